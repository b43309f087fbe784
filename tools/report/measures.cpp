#include "report/measures.hpp"

#include <cmath>

#include "base/number.hpp"
#include "base/units.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

constexpr std::string_view kMinus = "\u2212", kNarrowSpace = "\u202F";

std::string with_true_minus(std::string text) {
  if (text.starts_with('-')) text.replace(0, 1, kMinus);
  return text;
}

bool is_known(const std::optional<double>& value) {
  return value && std::isfinite(*value);
}

}  // namespace

std::string printed(double value, int decimals) {
  std::string text = fixed(value, decimals);
  const std::size_t sign = text.starts_with('-') ? 1 : 0;
  for (std::size_t at = std::min(text.find('.'), text.size()); at > sign + 3; at -= 3)
    text.insert(at - 3, kNarrowSpace);
  return with_true_minus(std::move(text));
}

std::string printed_with_sign(double value, int decimals) {
  return with_true_minus(with_sign(value, decimals));
}

double metres_in(config::LengthUnit unit) noexcept {
  return unit == config::LengthUnit::metre ? 1.0 : unit == config::LengthUnit::foot ? kFootM : kSurveyFootM;
}

std::string_view Measures::unit() const noexcept {
  constexpr std::string_view kWords[] = {"m", "ft", "ftUS"};
  return kWords[static_cast<int>(unit_)];
}

std::string_view Measures::small_unit() const noexcept {
  return unit_ == config::LengthUnit::metre ? "mm" : unit();
}

double Measures::of(double length_m) const noexcept {
  return length_m / metres_in(unit_);
}

double Measures::small_of(double length_m) const noexcept {
  return unit_ == config::LengthUnit::metre ? length_m * 1000 : of(length_m);
}

std::string Measures::length(std::optional<double> length_m) const {
  return is_known(length_m) ? printed(of(*length_m), 3) : kSay.not_known();
}

std::string Measures::small(std::optional<double> length_m) const {
  return is_known(length_m) ? printed(small_of(*length_m), small_decimals()) : kSay.not_known();
}

std::string Measures::small_with_sign(std::optional<double> length_m) const {
  return is_known(length_m) ? printed_with_sign(small_of(*length_m), small_decimals()) : kSay.not_known();
}

std::string Measures::length_text(std::optional<double> length_m) const {
  return is_known(length_m) ? length(length_m) + "\u00A0" + std::string(unit()) : kSay.not_known();
}

std::string Measures::small_text(std::optional<double> length_m) const {
  return is_known(length_m) ? small(length_m) + "\u00A0" + std::string(small_unit()) : kSay.not_known();
}

std::string Measures::distance_text(double length_m) const {
  if (std::abs(length_m) < 0.1) return small_text(length_m);
  return printed(of(length_m), std::abs(length_m) < 100 ? 2 : 0) + "\u00A0" + std::string(unit());
}

std::string Measures::small_beside(double length_m, double limit_m) const {
  int decimals = small_decimals();
  const auto text = [&](double value_m) { return printed(small_of(value_m), decimals); };
  while (decimals < 6 && length_m != limit_m && text(length_m) == text(limit_m)) ++decimals;
  return text(length_m);
}

}  // namespace stillpoint::report
