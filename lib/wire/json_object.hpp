#pragma once
/// Writes JSON member by member, in the order of the calls, with fixed decimals, into one text: an object within
/// another is written where it stands and not copied there.
///
///     const std::string text = json_object([](JsonObject& out) {
///       out.text("name", "HF-1");
///       out.object("at", [](JsonObject& at) { at.number("east_m", 1.5, 4); });
///     });
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
void append_json_string(std::string& out, std::string_view text);
std::string json_string(std::string_view text);
/// Fixed decimals, or `null` when there is no finite number.
void append_json_number(std::string& out, std::optional<double> value, int decimals);

class JsonObject;

/// The values between two brackets, and the commas between them.
class JsonArray {
 public:
  explicit JsonArray(std::string& out) : out_(out) { out_ += '['; }
  JsonArray(const JsonArray&) = delete;
  JsonArray& operator=(const JsonArray&) = delete;
  ~JsonArray() { out_ += ']'; }

  void raw(std::string_view json);
  void text(std::string_view value);
  void number(std::optional<double> value, int decimals);
  template <class Fill>
  void object(Fill&& fill);
  template <class Fill>
  void array(Fill&& fill) {
    begin();
    JsonArray inner(out_);
    fill(inner);
  }

 private:
  void begin();

  std::string& out_;
  bool empty_ = true;
};

/// The members between two braces. Keys are this program's own words and written as they are.
class JsonObject {
 public:
  explicit JsonObject(std::string& out) : out_(out) { out_ += '{'; }
  JsonObject(const JsonObject&) = delete;
  JsonObject& operator=(const JsonObject&) = delete;
  ~JsonObject() { out_ += '}'; }

  void raw(std::string_view key, std::string_view json);
  void null(std::string_view key) { raw(key, "null"); }
  /// An empty text is null.
  void text(std::string_view key, std::string_view value);
  void texts(std::string_view key, std::span<const std::string> values);
  void number(std::string_view key, std::optional<double> value, int decimals);
  void count(std::string_view key, std::uint64_t value);
  void integer(std::string_view key, std::optional<int> value);
  void flag(std::string_view key, bool value) { raw(key, value ? "true" : "false"); }
  void time(std::string_view key, const std::optional<UtcTime>& value);

  /// `fill` is given the object, or the array, to write into.
  template <class Fill>
  void object(std::string_view key, Fill&& fill) {
    begin(key);
    JsonObject inner(out_);
    fill(inner);
  }
  template <class Fill>
  void array(std::string_view key, Fill&& fill) {
    begin(key);
    JsonArray inner(out_);
    fill(inner);
  }

 private:
  void begin(std::string_view key);

  std::string& out_;
  bool empty_ = true;
};

template <class Fill>
void JsonArray::object(Fill&& fill) {
  begin();
  JsonObject inner(out_);
  fill(inner);
}

/// One object as a text of its own; `expected_size` is how long it may well become.
template <class Fill>
std::string json_object(Fill&& fill, std::size_t expected_size = 512) {
  std::string text;
  text.reserve(expected_size);
  {
    JsonObject out(text);
    fill(out);
  }
  return text;
}

}  // namespace stillpoint::wire
