#pragma once
/// Writes JSON objects member by member, in the order of the calls, with fixed decimals.
///
/// Units:   the caller's; the decimals are part of the contract of each member.
/// Threads: one writer, one thread.
/// Errors:  none: a number that is not finite becomes null, bytes that are not UTF-8 become U+FFFD.

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "base/time.hpp"

namespace stillpoint::wire {

/// `"text"` with everything escaped that JSON wants escaped.
std::string json_string(std::string_view text);
/// Fixed decimals, or `null` when there is no finite number.
std::string json_number(std::optional<double> value, int decimals);
/// `["a","b"]`
std::string json_strings(std::span<const std::string> texts);

class JsonObject {
 public:
  void raw(std::string_view key, std::string_view json);
  /// An empty text is null.
  void text(std::string_view key, std::string_view value);
  void number(std::string_view key, std::optional<double> value, int decimals) {
    raw(key, json_number(value, decimals));
  }
  void count(std::string_view key, std::uint64_t value) { raw(key, std::to_string(value)); }
  void integer(std::string_view key, std::optional<int> value) { raw(key, value ? std::to_string(*value) : "null"); }
  void flag(std::string_view key, bool value) { raw(key, value ? "true" : "false"); }
  void time(std::string_view key, const std::optional<UtcTime>& value) { text(key, value ? to_text(*value) : ""); }
  std::string close() const { return out_ + '}'; }

 private:
  void begin(std::string_view key);

  std::string out_ = "{";
};

/// Joins finished JSON values into an array.
class JsonArray {
 public:
  void add(std::string_view json);
  std::string close() const { return out_ + ']'; }

 private:
  std::string out_ = "[";
};

}  // namespace stillpoint::wire
