#include "pointbook/fields.hpp"

#include <array>
#include <charconv>

#include "base/number.hpp"

namespace stillpoint::pointbook {
namespace {

template <class Value>
bool take(std::optional<Value>&& found, Value& value) {
  if (!found) return false;
  value = *std::move(found);
  return true;
}

}  // namespace

std::string text_of(const Field&, const std::string& value) {
  return value;
}
std::string text_of(const Field&, const Geometry& value) {
  return value.bytes;
}
std::string text_of(const Field& field, const std::vector<std::string>& values) {
  return join(values, field.separator);
}
std::string text_of(const Field&, const RefusedCounts& value) {
  return refused_text(value);
}
std::string text_of(const Field&, const gate::ReasonSet& value) {
  return reasons_text(value);
}
std::string text_of(const Field&, const std::vector<occupation::HoldReason>& value) {
  return hold_reasons_text(value);
}
std::string text_of(const Field&, const std::vector<std::pair<std::string, double>>& value) {
  return parts_text(value);
}
std::string text_of(const Field&, const OffsetMeasures& value) {
  return to_text(value);
}

bool take_text(const Field&, std::string&& text, std::string& value) {
  value = std::move(text);
  return true;
}
bool take_text(const Field& field, std::string&& text, std::vector<std::string>& values) {
  values = split(text, field.separator);
  return true;
}
bool take_text(const Field&, std::string&& text, RefusedCounts& value) {
  return take(refused_from(text), value);
}
bool take_text(const Field&, std::string&& text, gate::ReasonSet& value) {
  return take(reasons_from(text), value);
}
bool take_text(const Field&, std::string&& text, std::vector<occupation::HoldReason>& value) {
  return take(hold_reasons_from(text), value);
}
bool take_text(const Field&, std::string&& text, std::vector<std::pair<std::string, double>>& value) {
  value = parts_from(text);
  return true;
}
bool take_text(const Field&, std::string&& text, OffsetMeasures& value) {
  return take(offset_measures_from(text), value);
}
bool take_text(const Field&, std::string&& text, Quality& value) {
  return take(quality_from_word(text), value);
}
bool take_text(const Field&, std::string&& text, corrections::State& value) {
  return take(correction_from_word(text), value);
}
bool take_text(const Field&, std::string&& text, occupation::PointStatus& value) {
  return take(occupation::point_status_from_word(text), value);
}

std::string content_text(const Field& field, double value) {
  return fixed(value, field.decimals.stored);
}
std::string content_text(const Field& field, bool value) {
  return std::string(field.words != nullptr ? field.words[value ? 1 : 0] : value ? "1" : "0");
}
std::string content_text(const Field&, UtcTime value) {
  return datetime_text(value);
}

std::string exact_text(const Field&, double value) {
  std::array<char, 32> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value == 0 ? 0.0 : value).ptr;
  return {text.data(), end};
}
std::string exact_text(const Field& field, bool value) {
  return std::string(field.words != nullptr ? field.words[value ? 1 : 0] : value ? "yes" : "no");
}
std::string exact_text(const Field&, UtcTime value) {
  return to_text(value);
}

int version_of(const gate::ReasonSet& reasons) {
  for (std::size_t i = reason_count(1); i < reasons.size(); ++i) {
    if (reasons.test(i)) return kLaterReasons;
  }
  return 1;
}
int version_of(const RefusedCounts& counts) {
  const auto counted = [](std::uint64_t count) { return count > 0; };
  return std::any_of(counts.begin() + reason_count(1), counts.end(), counted) ? kLaterReasons : 1;
}

}  // namespace stillpoint::pointbook
