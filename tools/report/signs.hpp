#pragma once
/// The signs of the drawings: each means the same on the page, in the report's map, tables and strips.
///
/// Units:   millimetres; `r` is the radius of the disc that an accepted point has, the others are sized by it.
/// Threads: pure. Errors: none.

#include <string>

#include "report/facts.hpp"
#include "report/svg.hpp"

namespace stillpoint::report {

enum class Sign : std::uint8_t { accepted, held, mark, rejected };

Sign sign_of(const PointFact& fact) noexcept;
/// The sign as a path; empty for the disc, which is a circle.
std::string sign_path(Sign sign, double x, double y, double r);
void draw_sign(Svg& svg, Sign sign, double x, double y, double r);
/// A drawing of its own, for text and tables; it says nothing to those who do not see it, for words stand beside it.
std::string sign_icon(Sign sign);

/// What became of a second.
enum class Second : std::uint8_t { counted, refused, set_apart };

Second second_of(const occupation::EpochRecord& epoch) noexcept;
/// Cross or open square; the dot of a counted second is a line of no length.
std::string second_path(Second second, double x, double y);

}  // namespace stillpoint::report
