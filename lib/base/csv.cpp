#include "base/csv.hpp"

namespace stillpoint {
namespace {

/// Apostrophes in front are passed over: `'=1` is given another one, so that `csv_fields` takes off exactly the one
/// that was added.
bool is_formula(std::string_view text) noexcept {
  const auto first = text.find_first_not_of('\'');
  return first != std::string_view::npos && std::string_view("=+-@\t\r").find(text[first]) != std::string_view::npos;
}

}  // namespace

std::string_view next_line(std::string_view& rest) noexcept {
  const auto end = rest.find('\n');
  std::string_view line = rest.substr(0, end);
  rest.remove_prefix(end == std::string_view::npos ? rest.size() : end + 1);
  if (!line.empty() && line.back() == '\r') line.remove_suffix(1);
  return line;
}

std::string_view without_byte_order_mark(std::string_view text) noexcept {
  constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
  if (text.starts_with(kByteOrderMark)) text.remove_prefix(kByteOrderMark.size());
  return text;
}

std::optional<std::vector<std::string>> csv_fields(std::string_view line) {
  std::vector<std::string> out(1);
  bool quoted = false;
  for (std::size_t i = 0; i < line.size(); ++i) {
    const char c = line[i];
    if (c == '"' && quoted && i + 1 < line.size() && line[i + 1] == '"') {
      out.back().push_back('"');
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (c == ',' && !quoted) {
      out.emplace_back();
    } else {
      out.back().push_back(c);
    }
  }
  if (quoted) return std::nullopt;
  for (std::string& field : out) {
    if (field.starts_with('\'') && is_formula(field)) field.erase(0, 1);
  }
  return out;
}

std::string csv_field(std::string_view text) {
  if (text.find_first_of(",\"\r\n") == std::string_view::npos) return std::string(text);
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c);
  return out + "\"";
}

std::string csv_text(std::string_view text) {
  return csv_field(is_formula(text) ? "'" + std::string(text) : std::string(text));
}

}  // namespace stillpoint
