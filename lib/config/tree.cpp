#include "config/tree.hpp"

#define TOML_HEADER_ONLY 1
#define TOML_EXCEPTIONS 0
#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <optional>
#include <utility>

#include "base/number.hpp"
#include "base/utf8.hpp"
#include "config/sentences.hpp"
#include "config/stray.hpp"

namespace stillpoint::config {
namespace {

constexpr std::size_t kQuotedBytes = 48;

/// The line of the first byte that is not UTF-8 text, or nothing.
std::optional<int> first_bad_line(std::string_view text) noexcept {
  const std::size_t end = std::min(first_not_utf8(text).value_or(text.size()), text.find('\0'));
  if (end >= text.size()) return std::nullopt;
  return 1 + static_cast<int>(std::count(text.begin(), text.begin() + static_cast<std::ptrdiff_t>(end), '\n'));
}

int line_of(const toml::source_region& region) noexcept {
  return static_cast<int>(region.begin.line);
}

Value convert(const toml::node& node);

std::string date_text(const toml::date& date) {
  const auto two = [](int part) { return (part < 10 ? "-0" : "-") + std::to_string(part); };
  return std::to_string(date.year) + two(date.month) + two(date.day);
}

Value convert_table(const toml::table& table) {
  struct Placed {
    toml::source_position where;
    Entry entry;
  };
  std::vector<Placed> placed;
  for (const auto& [key, child] : table) {
    placed.push_back({key.source().begin, {std::string(key.str()), line_of(key.source()), convert(child)}});
  }
  std::stable_sort(placed.begin(), placed.end(), [](const Placed& a, const Placed& b) {
    return std::pair(a.where.line, a.where.column) < std::pair(b.where.line, b.where.column);
  });
  Value out;
  for (auto& each : placed) out.entries.push_back(std::move(each.entry));
  return out;
}

Value convert(const toml::node& node) {
  Value out;
  if (const auto* table = node.as_table()) {
    out = convert_table(*table);
  } else if (const auto* array = node.as_array()) {
    out.kind = Value::Kind::array;
    for (const auto& item : *array) out.items.push_back(convert(item));
  } else if (const auto* text = node.as_string()) {
    out.kind = Value::Kind::text;
    out.text = text->get();
  } else if (const auto* integer = node.as_integer()) {
    out.kind = Value::Kind::integer;
    out.integer = integer->get();
    out.number = static_cast<double>(out.integer);
  } else if (const auto* number = node.as_floating_point()) {
    out.kind = Value::Kind::number;
    out.number = number->get();
  } else if (const auto* boolean = node.as_boolean()) {
    out.kind = Value::Kind::boolean;
    out.boolean = boolean->get();
  } else {
    out.kind = Value::Kind::date;
    if (const auto* date = node.as_date()) out.text = date_text(date->get());
  }
  out.line = line_of(node.source());
  return out;
}

std::string number_text(double value) {
  if (std::isnan(value)) return "nan";
  if (std::isinf(value)) return value < 0 ? "-inf" : "inf";
  if (std::abs(value) >= 1e15) return value < 0 ? kSay.below_all() : kSay.above_all();
  std::string text = fixed(value, 9);
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text += '0';
  return text;
}

}  // namespace

const Entry* Value::find(std::string_view key) const noexcept {
  const auto at = std::find_if(entries.begin(), entries.end(), [&](const Entry& each) { return each.key == key; });
  return at == entries.end() ? nullptr : &*at;
}

Result<Value> parse_tree(std::string_view toml_text, const std::string& path) {
  if (const auto line = first_bad_line(toml_text)) {
    return fail(kSay.not_utf8(path, std::to_string(*line)));
  }
  if (const auto stray = first_stray(toml_text)) {
    const auto before = toml_text.substr(0, stray->at);
    const std::string line = std::to_string(1 + std::count(before.begin(), before.end(), '\n'));
    if (stray->in_header) return fail(kSay.no_table_name(path, line));
    return fail(kSay.stray(path, line, in_quotes(toml_text.substr(stray->at, utf8_length(toml_text, stray->at)))));
  }
  const toml::parse_result parsed = toml::parse(toml_text);
  if (!parsed) {
    const auto& error = parsed.error();
    const auto& where = error.source().begin;
    std::string words(error.description());
    std::replace_if(
        words.begin(), words.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
    return fail(kSay.no_toml(path, std::to_string(where.line), std::to_string(where.column), words));
  }
  return convert(parsed.table());
}

std::string printable(std::string_view text) {
  std::string out;
  std::size_t at = 0;
  while (at < text.size()) {
    const std::size_t length = std::max<std::size_t>(utf8_length(text, at), 1);
    if (out.size() + length > kQuotedBytes) return out + "...";
    const bool control = static_cast<unsigned char>(text[at]) < 0x20 || text[at] == 0x7F;
    out += control ? std::string_view("?") : text.substr(at, length);
    at += length;
  }
  return out;
}

std::string in_quotes(std::string_view text) {
  return '"' + printable(text) + '"';
}

std::string describe(const Value& value) {
  switch (value.kind) {
    case Value::Kind::text:
      return in_quotes(value.text);
    case Value::Kind::integer:
      return std::to_string(value.integer);
    case Value::Kind::number:
      return number_text(value.number);
    case Value::Kind::boolean:
      return value.boolean ? "true" : "false";
    case Value::Kind::date:
      return kSay.a_date();
    case Value::Kind::array:
      return value.items.empty() ? kSay.an_empty_array() : kSay.an_array();
    case Value::Kind::table:
      return kSay.a_table();
  }
  return kSay.a_value();
}

}  // namespace stillpoint::config
