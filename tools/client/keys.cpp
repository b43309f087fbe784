#include "client/keys.hpp"

#include <algorithm>

namespace stillpoint::client {
namespace {

/// The length of an escape sequence at the start of `bytes`, 1 for the escape key itself.
std::size_t escape_length(std::string_view bytes) {
  if (bytes.size() < 2 || (bytes[1] != '[' && bytes[1] != 'O')) return 1;
  std::size_t at = 2;
  while (at < bytes.size() && (bytes[at] < 0x40 || bytes[at] > 0x7e)) ++at;
  return std::min(at + 1, bytes.size());
}

}  // namespace

std::vector<std::string_view> keys_in(std::string_view bytes) {
  std::vector<std::string_view> out;
  while (!bytes.empty()) {
    const std::size_t length = bytes.front() == kEscapeKey.front() ? escape_length(bytes) : 1;
    out.push_back(bytes.substr(0, length));
    bytes.remove_prefix(length);
  }
  return out;
}

char small_letter(char key) noexcept {
  return static_cast<char>(key >= 'A' && key <= 'Z' ? key - 'A' + 'a' : key);
}

}  // namespace stillpoint::client
