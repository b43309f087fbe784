#include "wire/json_object.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/number.hpp"
#include "base/typed.hpp"

namespace stillpoint::wire {
namespace {

enum class Kind : std::uint8_t { plain, escaped, other };

/// How a character stands in a JSON string: as it is, behind a backslash, or as a library knows better.
constexpr std::array<Kind, 256> kKinds = [] {
  std::array<Kind, 256> kinds{};
  kinds.fill(Kind::other);
  for (std::size_t c = 0x20; c < 0x7F; ++c) kinds[c] = Kind::plain;
  kinds['"'] = kinds['\\'] = Kind::escaped;
  return kinds;
}();

Kind kind_of(char c) noexcept {
  return kKinds[static_cast<unsigned char>(c)];
}

}  // namespace

void append_json_string(std::string& out, std::string_view text) {
  const std::size_t begin = out.size();
  out += '"';
  std::size_t done = 0;
  for (std::size_t at = 0; at < text.size(); ++at) {
    const Kind kind = kind_of(text[at]);
    if (kind == Kind::plain) continue;
    if (kind == Kind::other) {
      using nlohmann::json;
      out.resize(begin);
      out += escape_unseen(json(text).dump(-1, ' ', false, json::error_handler_t::replace));
      return;
    }
    out += text.substr(done, at - done);
    out += '\\';
    done = at;
  }
  out += text.substr(done);
  out += '"';
}

std::string json_string(std::string_view text) {
  std::string out;
  append_json_string(out, text);
  return out;
}

void append_json_number(std::string& out, std::optional<double> value, int decimals) {
  if (value && std::isfinite(*value)) {
    append_fixed(out, *value, decimals);
  } else {
    out += "null";
  }
}

void JsonArray::begin() {
  if (!empty_) out_ += ',';
  empty_ = false;
}

void JsonArray::raw(std::string_view json) {
  begin();
  out_ += json;
}

void JsonArray::text(std::string_view value) {
  begin();
  append_json_string(out_, value);
}

void JsonArray::number(std::optional<double> value, int decimals) {
  begin();
  append_json_number(out_, value, decimals);
}

void JsonObject::begin(std::string_view key) {
  const std::size_t before = out_.size();
  out_.resize(before + key.size() + (empty_ ? 3 : 4));
  char* at = out_.data() + before;
  if (!empty_) *at++ = ',';
  empty_ = false;
  *at++ = '"';
  at = std::copy(key.begin(), key.end(), at);
  *at++ = '"';
  *at = ':';
}

void JsonObject::raw(std::string_view key, std::string_view json) {
  begin(key);
  out_ += json;
}

void JsonObject::text(std::string_view key, std::string_view value) {
  if (value.empty()) return null(key);
  begin(key);
  append_json_string(out_, value);
}

void JsonObject::texts(std::string_view key, std::span<const std::string> values) {
  array(key, [values](JsonArray& out) {
    for (const std::string& each : values) out.text(each);
  });
}

void JsonObject::number(std::string_view key, std::optional<double> value, int decimals) {
  begin(key);
  append_json_number(out_, value, decimals);
}

void JsonObject::count(std::string_view key, std::uint64_t value) {
  begin(key);
  append_count(out_, value);
}

void JsonObject::integer(std::string_view key, std::optional<int> value) {
  if (!value) return null(key);
  begin(key);
  append_whole(out_, *value);
}

void JsonObject::time(std::string_view key, const std::optional<UtcTime>& value) {
  if (!value) return null(key);
  begin(key);
  out_ += '"';
  append_text(out_, *value);
  out_ += '"';
}

}  // namespace stillpoint::wire
