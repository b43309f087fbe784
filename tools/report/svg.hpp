#pragma once
/// Writes one SVG drawing whose user unit is a millimetre of paper.
///
/// Classes name what a thing is; style.cpp says how it looks. Numbers have two decimals at most.
///
/// Units:   millimetres, y downwards; degrees clockwise.
/// Threads: one drawing, one thread.
/// Errors:  none; numbers must be finite.

#include <string>
#include <string_view>

namespace stillpoint::report {

/// A coordinate with two decimals, no more digits than needed.
std::string mm(double value);

/// "M1 2", "L3 4": a step of a path.
std::string step(char command, double x, double y);

enum class Anchor : std::uint8_t { start, middle, end };

class Svg {
 public:
  Svg(double width_mm, double height_mm) : width_(width_mm), height_(height_mm) {}
  Svg& path(std::string_view name, std::string_view d);
  Svg& line(std::string_view name, double x1, double y1, double x2, double y2);
  Svg& circle(std::string_view name, double x, double y, double radius);
  Svg& ellipse(std::string_view name, double x, double y, double major, double minor, double turn_deg);
  Svg& rect(std::string_view name, double x, double y, double width, double height);
  /// `y` is the baseline.
  Svg& text(std::string_view name, double x, double y, std::string_view text, Anchor anchor = Anchor::start);
  /// What another drawing holds, moved.
  Svg& insert(const Svg& other, double dx, double dy);
  /// `says` tells those who do not see it what it shows.
  std::string html(std::string_view says, std::string_view name = {}) const;

 private:
  double width_, height_;
  std::string body_;
};

/// The drawing with a line under it, not split by a page's end.
std::string figure(std::string_view svg, std::string_view caption, std::string_view name = {});

/// The next of 1, 2, 5, 10, 20, 50 … times a power of ten that is not below `least`.
double step_not_below(double least) noexcept;

}  // namespace stillpoint::report
