#include "pointbook/column_text.hpp"

#include <algorithm>

#include "base/number.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::array kCorrectionStates{corrections::State::none, corrections::State::fresh,
                                       corrections::State::coasting, corrections::State::stale,
                                       corrections::State::unknown};

gate::Reason reason_at(std::size_t index) noexcept {
  return static_cast<gate::Reason>(index);
}

/// Takes `"word":12` off the front of `rest`.
std::optional<std::pair<std::string_view, std::uint64_t>> take_count(std::string_view& rest) {
  if (rest.empty() || rest.front() != '"') return std::nullopt;
  const std::size_t word_end = rest.find('"', 1);
  if (word_end == std::string_view::npos || word_end + 1 >= rest.size() || rest[word_end + 1] != ':')
    return std::nullopt;
  const std::string_view word = rest.substr(1, word_end - 1);
  rest.remove_prefix(word_end + 2);
  const std::size_t number_end = std::min(rest.find(','), rest.size());
  const auto count = parse_integer(rest.substr(0, number_end));
  if (!count || *count < 0) return std::nullopt;
  rest.remove_prefix(std::min(number_end + 1, rest.size()));
  return std::pair{word, static_cast<std::uint64_t>(*count)};
}

}  // namespace

std::string datetime_text(UtcTime time) {
  std::string text = to_text(time);
  if (text.find('.') == std::string::npos) text.insert(text.size() - 1, ".000");
  return text;
}

std::string join(const std::vector<std::string>& parts, char separator) {
  std::string out;
  for (const std::string& part : parts) {
    if (!out.empty()) out.push_back(separator);
    out += part;
  }
  return out;
}

std::vector<std::string> split(std::string_view text, char separator) {
  std::vector<std::string> parts;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find(separator), text.size());
    parts.emplace_back(text.substr(0, end));
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return parts;
}

std::string hold_reasons_text(const std::vector<occupation::HoldReason>& reasons) {
  std::vector<std::string> words;
  for (const occupation::HoldReason reason : reasons) words.emplace_back(to_word(reason));
  return join(words, ' ');
}

std::optional<std::vector<occupation::HoldReason>> hold_reasons_from(std::string_view text) {
  std::vector<occupation::HoldReason> reasons;
  for (const std::string& word : split(text, ' ')) {
    const auto reason = occupation::hold_reason_from_word(word);
    if (!reason) return std::nullopt;
    reasons.push_back(*reason);
  }
  return reasons;
}

std::string reasons_text(const gate::ReasonSet& reasons) {
  if (reasons.none()) return {};
  std::vector<std::string> words;
  for (std::size_t i = 0; i < reasons.size(); ++i) {
    if (reasons.test(i)) words.emplace_back(gate::to_word(reason_at(i)));
  }
  return join(words, ' ');
}

std::optional<gate::ReasonSet> reasons_from(std::string_view text) {
  gate::ReasonSet reasons;
  for (const std::string& word : split(text, ' ')) {
    const auto reason = gate::reason_from_word(word);
    if (!reason) return std::nullopt;
    reasons.set(static_cast<std::size_t>(*reason));
  }
  return reasons;
}

std::string refused_text(const RefusedCounts& refused) {
  std::string out = "{";
  for (std::size_t i = 0; i < refused.size(); ++i) {
    if (refused[i] == 0) continue;
    if (out.size() > 1) out.push_back(',');
    out += json_text(gate::to_word(reason_at(i))) + ":" + std::to_string(refused[i]);
  }
  return out + "}";
}

std::optional<RefusedCounts> refused_from(std::string_view text) {
  if (text.size() < 2 || text.front() != '{' || text.back() != '}') return std::nullopt;
  RefusedCounts refused{};
  std::string_view rest = text.substr(1, text.size() - 2);
  while (!rest.empty()) {
    const auto count = take_count(rest);
    if (!count) return std::nullopt;
    const auto reason = gate::reason_from_word(count->first);
    if (!reason) return std::nullopt;
    refused[static_cast<std::size_t>(*reason)] = count->second;
  }
  return refused;
}

std::optional<corrections::State> correction_from_word(std::string_view word) noexcept {
  for (const corrections::State state : kCorrectionStates) {
    if (corrections::to_word(state) == word) return state;
  }
  return std::nullopt;
}

std::string parts_text(const std::vector<std::pair<std::string, double>>& parts_m) {
  std::string out;
  for (const auto& [name, metres] : parts_m) {
    out += (out.empty() ? "{" : ",") + json_text(name) + ":" + fixed(metres, 6);
  }
  return out.empty() ? out : out + "}";
}

std::vector<std::pair<std::string, double>> parts_from(std::string_view text) {
  std::vector<std::pair<std::string, double>> parts;
  std::size_t at = 0;
  while ((at = text.find('"', at)) != std::string_view::npos) {
    std::string name;
    for (++at; at < text.size() && text[at] != '"'; ++at) {
      if (text[at] == '\\' && at + 1 < text.size()) ++at;
      name.push_back(text[at]);
    }
    const std::size_t end = std::min(text.find_first_of(",}", at), text.size());
    const auto metres = at + 2 <= end ? parse_decimal(text.substr(at + 2, end - at - 2)) : std::nullopt;
    if (metres) parts.emplace_back(std::move(name), *metres);
    at = end;
  }
  return parts;
}

std::string json_text(std::string_view text) {
  static constexpr std::string_view kHex = "0123456789abcdef";
  std::string out = "\"";
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '"' || c == '\\') {
      out.push_back('\\');
      out.push_back(c);
    } else if (byte < 0x20U) {
      out += "\\u00";
      out.push_back(kHex[byte >> 4U]);
      out.push_back(kHex[byte & 15U]);
    } else {
      out.push_back(c);
    }
  }
  return out + "\"";
}

}  // namespace stillpoint::pointbook
