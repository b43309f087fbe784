#include "wire/json_object.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "base/number.hpp"

namespace stillpoint::wire {

std::string json_string(std::string_view text) {
  const bool plain =
      std::all_of(text.begin(), text.end(), [](char c) { return c >= 0x20 && c < 0x7F && c != '"' && c != '\\'; });
  if (plain) return '"' + std::string(text) + '"';
  using nlohmann::json;
  return json(text).dump(-1, ' ', false, json::error_handler_t::replace);
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
  if (out_.size() > 1) out_ += ',';
  out_ += json_string(key);
  out_ += ':';
  out_ += json;
}

void JsonObject::text(std::string_view key, std::string_view value) {
  raw(key, value.empty() ? "null" : json_string(value));
}

void JsonArray::add(std::string_view json) {
  if (out_.size() > 1) out_ += ',';
  out_ += json;
}

}  // namespace stillpoint::wire
