#include "base/sentence.hpp"

namespace stillpoint {

std::string filled(std::string_view text, const std::string_view* values, std::size_t count) {
  std::string out;
  for (std::size_t i = 0; i < count; ++i) {
    const std::size_t open = text.find('{'), close = text.find('}', open);
    out.append(text.substr(0, open)).append(values[i]);
    text.remove_prefix(close + 1);
  }
  return out.append(text);
}

}  // namespace stillpoint
