#pragma once
/// How lengths are told: in metres and millimetres, or in feet of either kind.
///
/// Units:   metres come in; what goes out says its own unit. A minus is a true one, thousands have a narrow space.
/// Threads: plain values.
/// Errors:  none; what is not known or not finite is "not known".

#include <optional>
#include <string>
#include <string_view>

#include "config/settings.hpp"

namespace stillpoint::report {

/// As `fixed`, with a true minus and a narrow space between thousands.
std::string printed(double value, int decimals);
/// The same with a sign before whatever is not nought as printed.
std::string printed_with_sign(double value, int decimals);

/// The metres of one such unit.
double metres_in(config::LengthUnit unit) noexcept;

class Measures {
 public:
  explicit Measures(config::LengthUnit unit = config::LengthUnit::metre) noexcept : unit_(unit) {}
  /// `m`, `ft`, `ftUS`
  std::string_view unit() const noexcept;
  /// What errors are told in: `mm`, or the same as `unit`.
  std::string_view small_unit() const noexcept;
  /// Coordinates and heights, three decimals: `1 068.685`
  std::string length(std::optional<double> length_m) const;
  /// Errors and differences: whole millimetres, or hundredths of a foot.
  std::string small(std::optional<double> length_m) const;
  std::string small_with_sign(std::optional<double> length_m) const;
  /// With its unit.
  std::string length_text(std::optional<double> length_m) const;
  std::string small_text(std::optional<double> length_m) const;
  /// What is below a tenth of a metre as `small_text`, more with two decimals of the larger unit.
  std::string distance_text(double length_m) const;
  /// A value beside the limit it misses, with as many decimals as tell one from the other.
  std::string small_beside(double length_m, double limit_m) const;
  /// In the larger unit.
  double of(double length_m) const noexcept;

 private:
  double small_of(double length_m) const noexcept;
  int small_decimals() const noexcept { return unit_ == config::LengthUnit::metre ? 0 : 2; }
  config::LengthUnit unit_;
};

}  // namespace stillpoint::report
