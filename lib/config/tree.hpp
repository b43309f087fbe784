#pragma once
/// The TOML file as a small tree of values that know their line, in file order.
///
/// Threads: plain values.
/// Errors:  bytes that are not UTF-8 and text that is not TOML give one sentence with line and column.

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"

namespace stillpoint::config {

struct Entry;

struct Value {
  enum class Kind : std::uint8_t { text, integer, number, boolean, date, array, table };
  Kind kind = Kind::table;
  int line = 0;
  std::string text;  ///< of a date without a time: `2026-06-03`
  long long integer = 0;
  double number = 0;  ///< unit and meaning are the key's
  bool boolean = false;
  std::vector<Value> items;    ///< array
  std::vector<Entry> entries;  ///< table, in file order

  const Entry* find(std::string_view key) const noexcept;
};

struct Entry {
  std::string key;
  int line = 0;
  Value value;
};

/// `path` is used in messages only.
Result<Value> parse_tree(std::string_view toml_text, const std::string& path);

/// The value as it stands in a message: `"text"`, `-1`, `a table`. At most about 60 characters, no control characters.
std::string describe(const Value& value);

/// `text` in quotes, shortened, control characters shown as `?`.
std::string in_quotes(std::string_view text);
/// The same without the quotes, for names of keys.
std::string printable(std::string_view text);

}  // namespace stillpoint::config
