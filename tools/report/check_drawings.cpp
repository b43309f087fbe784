// What the checks on known marks were off, in plan and in height.

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "report/drawings.hpp"
#include "report/labels.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

constexpr double kPlanSide = 62, kPlanMiddle = 31, kPlanReach = 27.6;
constexpr double kHeightWide = 94, kLeft = 12, kZero = 31, kHeightReach = 26;

struct Shots {
  const std::vector<pointbook::CheckShot>& all;
  double limit_plan_m = 0, reach_plan_m = 0.001;
  double limit_up_m = 0, reach_up_m = 0.001;
};

Shots shots_of(const Facts& facts) {
  Shots out{facts.checks};
  for (const pointbook::CheckShot& shot : facts.checks) {
    out.limit_plan_m = std::max(out.limit_plan_m, shot.limit_horizontal_m);
    out.limit_up_m = std::max(out.limit_up_m, shot.limit_vertical_m.value_or(0));
    // What lies far beyond its limit stands at the edge with an arrow; the table has its number.
    const double most_m = 3 * shot.limit_horizontal_m;
    out.reach_plan_m = std::max(
        {out.reach_plan_m, shot.limit_horizontal_m, std::min(std::hypot(shot.off_east_m, shot.off_north_m), most_m)});
    const double limit_up_m = shot.limit_vertical_m.value_or(0);
    out.reach_up_m =
        std::max({out.reach_up_m, limit_up_m, std::min(std::abs(shot.off_up_m.value_or(0)), 3 * limit_up_m)});
  }
  return out;
}

void draw_circles(Svg& svg, LabelBoard& board, const Facts& facts, const Shots& shots, double mm_per_m) {
  svg.line("grid", kPlanMiddle, 3, kPlanMiddle, 59).line("grid", 3, kPlanMiddle, 59, kPlanMiddle);
  const double ring_m = step_not_below(shots.reach_plan_m / 3.5 * facts.measures.of(1)) / facts.measures.of(1);
  const auto named = [&](std::string_view look, double radius_m, const std::string& text) {
    const double top = kPlanMiddle - radius_m * mm_per_m;
    svg.circle(look, kPlanMiddle, kPlanMiddle, radius_m * mm_per_m);
    svg.text("t halo", kPlanMiddle + 0.8, top - 0.6, text);
    board.block({kPlanMiddle, top - 2.8, kPlanMiddle + text_width(text, 2.5, false) + 1.2, top});
  };
  if (shots.limit_plan_m > 0)
    named("lim", shots.limit_plan_m, kSay.limit_of(facts.measures.small_text(shots.limit_plan_m)));
  if (ring_m < shots.limit_plan_m * 0.8) named("thin", ring_m, facts.measures.small_text(ring_m));
}

std::string plan_drawing(const Facts& facts, const Shots& shots) {
  Svg svg(kPlanSide, kPlanSide);
  const double mm_per_m = kPlanReach / shots.reach_plan_m;
  LabelBoard board({0, 0, kPlanSide, kPlanSide});
  draw_circles(svg, board, facts, shots, mm_per_m);
  std::vector<Name> names;
  std::size_t number = 0;
  for (const pointbook::CheckShot& shot : shots.all) {
    const double far_mm = std::hypot(shot.off_east_m, shot.off_north_m) * mm_per_m;
    const double shrink = far_mm > kPlanReach + 0.01 ? kPlanReach / far_mm : 1;
    const double x = kPlanMiddle + shot.off_east_m * mm_per_m * shrink;
    const double y = kPlanMiddle - shot.off_north_m * mm_per_m * shrink;
    svg.line("arrow", kPlanMiddle, kPlanMiddle, x, y);
    if (shrink < 1) {
      svg.path("apart", step('M', x - 1, y - 1) + "h2v2h-2z");
    } else {
      svg.circle("acc", x, y, 1);
    }
    board.block(around(x, y, 1, 1));
    names.push_back({std::to_string(++number), x, y, 1, 2.75, true, shot.passed ? 1 : 0});
  }
  draw(svg, names, board.place_all(names));
  return figure(svg.html(kSay.plan_drawing_says(facts.measures.small_text(facts.check_sums.worst_plan_m))),
                kSay.plan_drawing());
}

void draw_height_limits(Svg& svg, const Facts& facts, const Shots& shots, double mm_per_m) {
  const double limit = shots.limit_up_m * mm_per_m;
  svg.line("grid", kLeft, kZero, kHeightWide - 2, kZero);
  svg.text("t", kLeft - 1, kZero + 1, "0", Anchor::end);
  if (shots.limit_up_m <= 0) return;
  for (const double side : {1.0, -1.0}) {
    svg.line("lim", kLeft, kZero - side * limit, kHeightWide - 2, kZero - side * limit);
    svg.text("t", kLeft - 1, kZero - side * limit + 1, facts.measures.small_with_sign(side * shots.limit_up_m),
             Anchor::end);
  }
  svg.text("t", kHeightWide - 2, kZero - limit - 1, kSay.limit_in(facts.measures.small_unit()), Anchor::end);
}

std::string height_drawing(const Facts& facts, const Shots& shots) {
  Svg svg(kHeightWide, kPlanSide);
  const double mm_per_m = kHeightReach / shots.reach_up_m;
  draw_height_limits(svg, facts, shots, mm_per_m);
  const auto n = static_cast<double>(shots.all.size());
  const double between = std::min(17.0, (kHeightWide - kLeft - 4) / n), width = std::min(5.0, between * 0.7);
  const std::size_t every =
      static_cast<std::size_t>(std::ceil(4.5 / between));  // numbers that would touch are left out
  std::size_t number = 0;
  for (const pointbook::CheckShot& shot : shots.all) {
    const double x = kLeft + between * (static_cast<double>(++number) - 0.5) + 1;
    if (!shot.off_up_m) continue;
    const double y = kZero - std::clamp(*shot.off_up_m * mm_per_m, -kHeightReach, kHeightReach);
    svg.rect("solid", x - width / 2, std::min(y, kZero), width, std::abs(y - kZero));
    if (number % every != 0 && shot.passed) continue;
    svg.text("lb", x, y <= kZero ? y - 1.2 : y + 3.4, std::to_string(number), Anchor::middle);
  }
  return figure(svg.html(kSay.height_drawing_says(facts.measures.small_text(facts.check_sums.worst_height_m))),
                kSay.height_drawing());
}

}  // namespace

std::string check_drawings(const Facts& facts) {
  if (facts.checks.empty()) return {};
  const Shots shots = shots_of(facts);
  std::string out = plan_drawing(facts, shots);
  if (facts.check_sums.with_height > 0) out += height_drawing(facts, shots);
  return "<div class=\"two\">" + out + "</div>\n";
}

}  // namespace stillpoint::report
