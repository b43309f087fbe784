#include "wire/json_object.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/number.hpp"

namespace stillpoint::wire {

namespace {

/// Characters that stand in a JSON string as they are.
constexpr std::array<bool, 256> kPlain = [] {
  std::array<bool, 256> plain{};
  for (std::size_t c = 0x20; c < 0x7F; ++c) plain[c] = c != '"' && c != '\\';
  return plain;
}();

void append_string(std::string& out, std::string_view text) {
  const bool plain =
      std::all_of(text.begin(), text.end(), [](char c) { return kPlain[static_cast<unsigned char>(c)]; });
  if (plain) {
    out += '"';
    out += text;
    out += '"';
    return;
  }
  using nlohmann::json;
  out += json(text).dump(-1, ' ', false, json::error_handler_t::replace);
}

}  // namespace

std::string json_string(std::string_view text) {
  std::string out;
  append_string(out, text);
  return out;
}

std::string json_number(std::optional<double> value, int decimals) {
  return value && std::isfinite(*value) ? fixed(*value, decimals) : "null";
}

std::string json_strings(std::span<const std::string> texts) {
  JsonArray out;
  for (const std::string& each : texts) out.add(json_string(each));
  return out.close();
}

void JsonObject::raw(std::string_view key, std::string_view json) {
  begin(key);
  out_ += json;
}

void JsonObject::begin(std::string_view key) {
  if (out_.size() > 1) out_ += ',';
  append_string(out_, key);
  out_ += ':';
}

void JsonObject::text(std::string_view key, std::string_view value) {
  if (value.empty()) return raw(key, "null");
  begin(key);
  append_string(out_, value);
}

void JsonArray::add(std::string_view json) {
  if (out_.size() > 1) out_ += ',';
  out_ += json;
}

}  // namespace stillpoint::wire
