#include "report/map_paper.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "estimate/ellipse.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

constexpr double kLeastExtent_m = 10;

/// A name without the digits at its end.
std::string before_digits(const std::string& name) {
  return name.substr(0, name.find_last_not_of("0123456789") + 1);
}

/// What most names begin with, if most do.
std::string prefix_of(const std::vector<Plotted>& points) {
  std::map<std::string, std::size_t> counts;
  for (const Plotted& each : points) {
    const std::string& name = each.fact->newest.point.name;
    const std::string prefix = before_digits(name);
    if (prefix.size() < name.size()) ++counts[prefix];
  }
  for (const auto& [prefix, count] : counts) {
    if (prefix.size() >= 2 && count >= 3 && 5 * count >= 3 * points.size()) return prefix;
  }
  return {};
}

void name_points(DayPlan& plan) {
  plan.prefix = prefix_of(plan.points);
  std::set<std::string> seen;
  for (Plotted& each : plan.points) {
    const std::string& name = each.fact->newest.point.name;
    if (!seen.insert(name).second) continue;
    const bool is_short = !plan.prefix.empty() && each.sign == Sign::accepted && before_digits(name) == plan.prefix &&
                          name.size() > plan.prefix.size();
    each.name = is_short ? name.substr(plan.prefix.size()) : name;
    if (is_short && plan.example.empty()) plan.example = each.name;
  }
  if (plan.example.empty()) plan.prefix.clear();
}

/// Marks that would shrink the map to nothing are told in words.
void take_marks(DayPlan& plan, const Facts& facts) {
  const Bounds& b = plan.bounds;
  const double reach_m = std::max({b.wide(), b.high(), kLeastExtent_m}) * 0.4;
  Bounds with_marks = b;
  for (const MarkFact& mark : facts.marks) {
    const auto at = place_of(facts, mark);
    if (!at) continue;
    const bool near = b.empty || (at->east_m > b.west - reach_m && at->east_m < b.east + reach_m &&
                                  at->north_m > b.south - reach_m && at->north_m < b.north + reach_m);
    if (!near) {
      plan.far_marks.push_back(mark.name);
      continue;
    }
    plan.marks.push_back({mark.name, *at});
    with_marks.take(*at);
  }
  plan.bounds = with_marks;
}

std::string mesh_number(const Measures& in, double metres, bool first, std::string_view heading) {
  const std::string number = printed(in.of(metres), 0);
  return first ? number + " " + std::string(in.unit()) + " " + std::string(heading) : number;
}

void block_text(LabelBoard& board, double x, double y, std::string_view text, double size) {
  board.block({x - 0.3, y - size * 0.8, x + text_width(text, size, false) + 0.3, y + size * 0.25});
}

}  // namespace

Ring ring95(double ee_m2, double en_m2, double nn_m2) noexcept {
  const estimate::Ellipse ellipse = estimate::ellipse95(ee_m2, en_m2, nn_m2);
  return {ellipse.long_m, ellipse.short_m, -ellipse.from_east_deg};
}

void Bounds::take(const PlanPlace& place) {
  if (std::exchange(empty, false)) {
    *this = {place.east_m, place.north_m, place.east_m, place.north_m, false};
    return;
  }
  west = std::min(west, place.east_m), east = std::max(east, place.east_m);
  south = std::min(south, place.north_m), north = std::max(north, place.north_m);
}

Bounds bounds_of(const std::vector<Plotted>& points) {
  Bounds out;
  for (const Plotted& each : points) out.take(each.at);
  return out;
}

DayPlan plan_of(const Facts& facts) {
  DayPlan plan;
  for (const PointFact& fact : facts.points) {
    const auto at = place_of(facts, fact);
    if (!at) continue;
    const auto& c = fact.newest.point.at->covariance_enu_m2;
    plan.points.push_back({&fact, *at, ring95(c[0], c[1], c[2]), sign_of(fact), {}});
  }
  plan.bounds = bounds_of(plan.points);
  name_points(plan);
  take_marks(plan, facts);
  return plan;
}

MapPaper::MapPaper(const Bounds& bounds, const Box& plot, const Box& content)
    : plot_(plot),
      middle_x_((content.left + content.right) / 2),
      middle_y_((content.top + content.bottom) / 2),
      east_m_((bounds.west + bounds.east) / 2),
      north_m_((bounds.south + bounds.north) / 2),
      mm_per_m_(std::min(content.width() / std::max(bounds.wide(), kLeastExtent_m),
                         content.height() / std::max(bounds.high(), kLeastExtent_m))) {}

bool MapPaper::shows(const PlanPlace& at, double margin_mm) const noexcept {
  const double px = x(at.east_m), py = y(at.north_m);
  return px > plot_.left + margin_mm && px < plot_.right - margin_mm && py > plot_.top + margin_mm &&
         py < plot_.bottom - margin_mm;
}

double exaggeration(const std::vector<Plotted>& points, double mm_per_m) {
  std::vector<double> majors_m;
  for (const Plotted& each : points) {
    if (each.ring.major_m > 0) majors_m.push_back(each.ring.major_m);
  }
  if (majors_m.empty()) return 1;
  const auto middle = majors_m.begin() + static_cast<std::ptrdiff_t>(majors_m.size() / 2);
  std::nth_element(majors_m.begin(), middle, majors_m.end());
  const double wanted = 2.0 / (*middle * mm_per_m), power = std::pow(10.0, std::floor(std::log10(wanted)));
  double best = power;
  for (const double factor : {2.0, 4.0, 10.0}) {
    if (std::abs(std::log(factor * power / wanted)) < std::abs(std::log(best / wanted))) best = factor * power;
  }
  return std::max(best, 1.0);
}

void draw_mesh(Svg& svg, LabelBoard& board, const MapPaper& paper, const Measures& in) {
  constexpr double kBetween_mm = 22, kSize = 2.5;
  const Box& plot = paper.plot();
  const double unit_m = 1 / in.of(1);
  const double step_m = step_not_below(kBetween_mm / paper.mm_per_m() / unit_m) * unit_m;
  const double east0_m = -(paper.x(0) - plot.left) / paper.mm_per_m();
  const double north0_m = (paper.y(0) - plot.bottom) / paper.mm_per_m();
  bool first = true;
  for (double at = std::ceil(east0_m / step_m) * step_m; paper.x(at) < plot.right - 7; at += step_m) {
    const std::string text = mesh_number(in, at, first, "east");
    svg.line("grid", paper.x(at), plot.top, paper.x(at), plot.bottom);
    if (paper.x(at) - plot.left < 3) continue;
    svg.text("t", paper.x(at) + 0.8, plot.bottom - 1, text);
    block_text(board, paper.x(at) + 0.8, plot.bottom - 1, text, kSize);
    first = false;
  }
  first = true;
  for (double at = std::ceil(north0_m / step_m) * step_m; paper.y(at) > plot.top + 4; at += step_m) {
    const std::string text = mesh_number(in, at, first, "north");
    svg.line("grid", plot.left, paper.y(at), plot.right, paper.y(at));
    if (plot.bottom - paper.y(at) < 6) continue;
    svg.text("t", plot.left + 1, paper.y(at) - 0.8, text);
    block_text(board, plot.left + 1, paper.y(at) - 0.8, text, kSize);
    first = false;
  }
}

void draw_scale(Svg& svg, LabelBoard& board, const MapPaper& paper, const DayPlan& plan, const Measures& in) {
  constexpr double kWide = 48, kHigh = 14, kLow = 5;
  const Box& plot = paper.plot();
  const Box corners[] = {{plot.right - kWide - 2, plot.bottom - kHigh - kLow, plot.right - 2, plot.bottom - kLow},
                         {plot.left + 22, plot.top + 2, plot.left + 22 + kWide, plot.top + 2 + kHigh},
                         {plot.right - kWide - 2, plot.top + 2, plot.right - 2, plot.top + 2 + kHigh},
                         {plot.left + 22, plot.bottom - kHigh - kLow, plot.left + 22 + kWide, plot.bottom - kLow}};
  const Box* best = corners;
  std::size_t fewest = plan.points.size() + plan.marks.size() + 1;
  for (const Box& corner : corners) {
    std::size_t inside = 0;
    const auto count = [&](const PlanPlace& at) {
      if (around(paper.x(at.east_m), paper.y(at.north_m), 2.5, 2.5).overlaps(corner)) ++inside;
    };
    for (const Plotted& each : plan.points) count(each.at);
    for (const PlottedMark& each : plan.marks) count(each.at);
    if (inside < fewest) best = &corner, fewest = inside;
  }
  const double unit_m = 1 / in.of(1);
  double length_m = step_not_below(10 / paper.mm_per_m() / unit_m) * unit_m;
  const double length = length_m * paper.mm_per_m(), x = best->left + 1, y = best->bottom - 3;
  svg.path("bar", step('M', x, y - 1.8) + "v1.8h" + mm(length) + "v-1.8");
  svg.text("", x + length + 1.5, y + 0.4,
           printed(in.of(length_m), length_m < unit_m ? 1 : 0) + " " + std::string(in.unit()));
  svg.path("na", step('M', best->right - 4, best->top + 1) + "l1.7 6.2-1.7-1.2-1.7 1.2z");
  svg.text("", best->right - 4, best->top + 11, "N", Anchor::middle);
  board.block(*best);
}

}  // namespace stillpoint::report
