#include "wire/fields.hpp"

#include <cmath>

#include "base/typed.hpp"

namespace stillpoint::wire {
namespace {

/// The end of the JSON text that starts at `at`: the place of its closing quote or bracket, or of the comma behind it.
std::size_t end_of_value(std::string_view line, std::size_t at) noexcept {
  int depth = 0;
  for (bool in_string = false; at < line.size(); ++at) {
    const char c = line[at];
    if (in_string) {
      if (c == '\\') ++at;
      if (c == '"') in_string = false;
    } else if (c == '"') {
      in_string = true;
    } else if (c == '{' || c == '[') {
      ++depth;
    } else if (c == '}' || c == ']') {
      if (--depth < 0) return at;
    } else if (c == ',' && depth == 0) {
      return at;
    }
  }
  return at;
}

std::size_t skip_blanks(std::string_view line, std::size_t at) noexcept {
  const auto next = line.find_first_not_of(" \t\r\n", at);
  return next == std::string_view::npos ? line.size() : next;
}

}  // namespace

const Json& member(const Json& object, std::string_view key) noexcept {
  static const Json kNull;
  if (!object.is_object()) return kNull;
  for (const auto& [name, value] : object.get_ref<const Json::object_t&>()) {
    if (name == key) return value;
  }
  return kNull;
}

std::string text_of(const Json& object, std::string_view key) {
  const Json& value = member(object, key);
  return value.is_string() ? value.get<std::string>() : std::string();
}

std::optional<double> number_of(const Json& object, std::string_view key) noexcept {
  const Json& value = member(object, key);
  if (!value.is_number()) return std::nullopt;
  return value.get<double>();
}

long long count_of(const Json& object, std::string_view key) noexcept {
  constexpr double kLargest = 1e15;
  const double value = number_of(object, key).value_or(0);
  return std::abs(value) < kLargest ? std::llround(value) : 0;
}

bool flag_of(const Json& object, std::string_view key) noexcept {
  const Json& value = member(object, key);
  return value.is_boolean() && value.get<bool>();
}

const Json& list_of(const Json& object, std::string_view key) noexcept {
  static const Json kEmpty = Json::array();
  const Json& value = member(object, key);
  return value.is_array() ? value : kEmpty;
}

std::string line_of(const Json& json) {
  return escape_unseen(json.dump(-1, ' ', false, Json::error_handler_t::replace));
}

std::string_view raw_member(std::string_view line, std::string_view key) noexcept {
  std::size_t at = skip_blanks(line, 0);
  if (at >= line.size() || line[at] != '{') return {};
  while (++at < line.size()) {
    at = skip_blanks(line, at);
    const auto colon_from = at < line.size() && line[at] == '"' ? line.find('"', at + 1) : std::string_view::npos;
    if (colon_from == std::string_view::npos) return {};
    const std::string_view name = line.substr(at + 1, colon_from - at - 1);
    const auto colon = line.find(':', colon_from);
    if (colon == std::string_view::npos) return {};
    const std::size_t from = skip_blanks(line, colon + 1);
    at = end_of_value(line, from);
    if (name == key) return line.substr(from, line.find_last_not_of(" \t\r\n", at - 1) + 1 - from);
  }
  return {};
}

}  // namespace stillpoint::wire
