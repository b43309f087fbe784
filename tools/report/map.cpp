// The map of the day and its sheets.

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "report/html.hpp"
#include "report/map_paper.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"
#include "report/standing.hpp"

namespace stillpoint::report {
namespace {

constexpr double kRadius = 0.85, kSmallRadius = 0.5;  // of an accepted point's disc
constexpr double kLegend = 8.2;                       // height of the strip above the map
constexpr double kMapHeight = 87.4, kSheetHeight = 208;
// A day with sheets has a line more to say below its map, and the first page stays one page.
constexpr double kSecondLineOfCaption = 6;
constexpr std::size_t kNamedOnMap = 60, kNamedOnSheet = 64;

/// One map: what is drawn how.
struct Look {
  double radius = kRadius;
  double exaggeration = 1;
  bool rings = true;
  bool all_names = true;
};

void draw_rings(Svg& svg, LabelBoard& board, const MapPaper& paper, const std::vector<Plotted>& points, double times) {
  for (const Plotted& each : points) {
    if (!paper.shows(each.at, 0)) continue;
    const double major = each.ring.major_m * times * paper.mm_per_m(),
                 minor = each.ring.minor_m * times * paper.mm_per_m();
    const double x = paper.x(each.at.east_m), y = paper.y(each.at.north_m);
    svg.ellipse("ell", x, y, major, minor, each.ring.turn_deg);
    if (major < 15) board.shade(around(x, y, major, major));
  }
}

void block_signs(LabelBoard& board, const MapPaper& paper, const DayPlan& plan, const Look& look) {
  const double half = look.radius * 1.5;
  for (const Plotted& each : plan.points)
    board.block(around(paper.x(each.at.east_m), paper.y(each.at.north_m), half, half));
  for (const PlottedMark& each : plan.marks)
    board.block(around(paper.x(each.at.east_m), paper.y(each.at.north_m), 1.6, 1.6));
}

/// Held points first, then marks, the first and the last point, then all others in their order.
std::vector<Name> names_on(const MapPaper& paper, const DayPlan& plan, const Look& look,
                           const std::vector<const Plotted*>& own) {
  std::vector<Name> out;
  const auto add = [&](const PlanPlace& at, const std::string& text, double clear, bool bold, int priority) {
    if (text.empty() || !paper.shows(at, 0)) return;
    out.push_back({text, paper.x(at.east_m), paper.y(at.north_m), clear, 2.75, bold, priority});
  };
  for (const PlottedMark& each : plan.marks) add(each.at, each.name, 1.6, false, 1);
  for (const Plotted& each : plan.points) {
    const bool end = &each == &plan.points.front() || &each == &plan.points.back();
    const bool is_own = own.empty() || std::find(own.begin(), own.end(), &each) != own.end();
    const int priority = each.sign == Sign::held ? (is_own ? 0 : 4) : end ? 2 : is_own ? 3 : 5;
    if (priority > 2 && !look.all_names) continue;
    const double ring = look.rings ? each.ring.major_m * look.exaggeration * paper.mm_per_m() : 0;
    const double clear = std::max(look.radius * (each.sign == Sign::accepted ? 1 : 1.5), std::min(ring, 4.0));
    add(each.at, each.name, clear, each.sign == Sign::held, priority);
  }
  return out;
}

void draw_signs(Svg& svg, const MapPaper& paper, const DayPlan& plan, const Look& look) {
  for (const PlottedMark& each : plan.marks) {
    if (paper.shows(each.at, 0)) draw_sign(svg, Sign::mark, paper.x(each.at.east_m), paper.y(each.at.north_m), 1.15);
  }
  for (const bool late : {false, true}) {  // what is not accepted lies on top
    for (const Plotted& each : plan.points) {
      if ((each.sign != Sign::accepted) != late || !paper.shows(each.at, 0)) continue;
      draw_sign(svg, each.sign, paper.x(each.at.east_m), paper.y(each.at.north_m), look.radius);
    }
  }
}

/// What the signs mean, with their numbers, in a strip above the map.
void draw_legend(Svg& svg, const Facts& facts, const DayPlan& plan, const Look& look) {
  const double y = kLegend / 2 + 0.2;
  double x = 6;
  const auto item = [&](Sign sign, const std::string& text) {
    draw_sign(svg, sign, x, y, 0.95);
    svg.text("", x + 2.6, y + 1, text);
    x += 2.6 + text_width(text, 2.75, false) + 6;
  };
  using occupation::PointStatus;
  const std::size_t rejected = count(facts, PointStatus::rejected);
  const std::size_t accepted = count(facts, PointStatus::accepted);
  const std::size_t held = facts.points.size() - rejected - accepted;
  item(Sign::accepted, "accepted, " + std::to_string(accepted));
  if (held > 0) item(Sign::held, "held, " + std::to_string(held));
  if (rejected > 0) item(Sign::rejected, "rejected, " + std::to_string(rejected));
  if (!plan.marks.empty()) item(Sign::mark, kSay.known_marks(std::to_string(plan.marks.size())));
  if (!look.rings) return;
  svg.ellipse("ell", x + 1, y, 2, 1.45, 0);
  svg.text("", x + 4.4, y + 1,
           look.exaggeration > 1 ? kSay.ellipse_drawn(printed(look.exaggeration, 0)) : kSay.ellipse_true());
}

struct Drawn {
  Svg svg;
  std::size_t left_out = 0;  ///< names that found no place
};

Svg frame_of(double height) {
  Svg svg(kPaperWidth_mm, height);
  svg.path("frame", "M.2 .2H" + mm(kPaperWidth_mm - 0.2) + "V" + mm(height - 0.2) + "H.2Z");
  svg.line("ax", 0.2, kLegend, kPaperWidth_mm - 0.2, kLegend);
  return svg;
}

Box plot_of(double height) {
  return {0.3, kLegend + 0.1, kPaperWidth_mm - 0.3, height - 0.3};
}

Box content_of(const Box& plot) {
  return {plot.left + 18, plot.top + 7, plot.right - 16, plot.bottom - 10};
}

/// Extra things on the map before names are placed.
template <class Before>
Drawn drawn(const Facts& facts, const DayPlan& plan, const MapPaper& paper, const Look& look, double height,
            const std::vector<const Plotted*>& own, Before before) {
  Drawn out{frame_of(height)};
  const Box& plot = paper.plot();
  LabelBoard board({plot.left + 0.5, plot.top + 0.5, plot.right - 0.5, plot.bottom - 0.5});
  draw_mesh(out.svg, board, paper, facts.measures);
  draw_scale(out.svg, board, paper, plan, facts.measures);
  block_signs(board, paper, plan, look);
  if (look.rings) draw_rings(out.svg, board, paper, plan.points, look.exaggeration);
  before(out.svg, board);
  const auto names = names_on(paper, plan, look, own);
  const auto placed = board.place_all(names);
  out.left_out = names.size() - placed.size();
  draw(out.svg, names, placed);
  draw_signs(out.svg, paper, plan, look);
  draw_legend(out.svg, facts, plan, look);
  return out;
}

std::string caption_of(const Facts& facts, const DayPlan& plan, std::size_t left_out) {
  std::vector<std::string> parts;
  if (!plan.prefix.empty()) parts.push_back(kSay.numbers_alone(plan.example, plan.prefix + plan.example));
  parts.push_back(facts.origin.name.empty() ? kSay.on_the_grid(facts.frame_name) : kSay.metres_from(facts.origin.name));
  if (!plan.far_marks.empty()) parts.push_back(kSay.marks_outside(joined(plan.far_marks, ", ")));
  if (left_out > 0) parts.push_back(kSay.names_left_out(counted(left_out, "name")));
  return joined(parts, " ");
}

/// The points of each sheet.
using Sheets = std::vector<std::vector<const Plotted*>>;

/// Halves the points along their longer side until the names of each part find room on a sheet.
void split(std::vector<const Plotted*> points, Sheets& out) {
  if (points.size() <= kNamedOnSheet) {
    out.push_back(std::move(points));
    return;
  }
  Bounds bounds;
  for (const Plotted* each : points) bounds.take(each->at);
  const bool by_east = bounds.wide() * 1.2 >= bounds.high();
  const auto middle = points.begin() + static_cast<std::ptrdiff_t>(points.size() / 2);
  std::nth_element(points.begin(), middle, points.end(), [by_east](const Plotted* a, const Plotted* b) {
    return by_east ? a->at.east_m < b->at.east_m : a->at.north_m > b->at.north_m;
  });
  split({points.begin(), middle}, out);
  split({middle, points.end()}, out);
}

Sheets sheets_of(const DayPlan& plan) {
  std::vector<const Plotted*> all;
  for (const Plotted& each : plan.points) all.push_back(&each);
  Sheets out;
  if (!all.empty()) split(std::move(all), out);
  return out;
}

Bounds bounds_of(const std::vector<const Plotted*>& points) {
  Bounds out;
  for (const Plotted* each : points) out.take(each->at);
  return out;
}

/// Where each sheet lies, with its number.
void draw_sheets(Svg& svg, LabelBoard& board, const MapPaper& paper, const Sheets& sheets) {
  int number = 0;
  for (const auto& sheet : sheets) {
    const Bounds b = bounds_of(sheet);
    constexpr double kMargin = 1.2;
    const double left = paper.x(b.west) - kMargin, top = paper.y(b.north) - kMargin;
    const double right = paper.x(b.east) + kMargin, bottom = paper.y(b.south) + kMargin;
    svg.rect("sheet", left, top, right - left, bottom - top);
    const std::string text = std::to_string(++number);
    const std::vector<Name> names{{text, (left + right) / 2, top, 0.2, 3.4, true, 0}};
    draw(svg, names, board.place_all(names));
  }
}

}  // namespace

bool needs_sheets(const Facts& facts) {
  return facts.points.size() > kNamedOnMap;
}

std::string day_map(const Facts& facts) {
  const DayPlan plan = plan_of(facts);
  if (plan.bounds.empty) return paragraph(kSay.nothing_to_map());
  const bool many = needs_sheets(facts);
  const double height_mm = many ? kMapHeight - kSecondLineOfCaption : kMapHeight;
  const Box plot = plot_of(height_mm);
  const MapPaper paper(plan.bounds, plot, content_of(plot));
  const Sheets sheets = many ? sheets_of(plan) : Sheets();
  const Look look{many ? kSmallRadius : kRadius, exaggeration(plan.points, paper.mm_per_m()), !many, !many};
  const Drawn map = drawn(facts, plan, paper, look, height_mm, {},
                          [&](Svg& svg, LabelBoard& board) { draw_sheets(svg, board, paper, sheets); });
  std::string caption = many ? kSay.see_sheets(std::to_string(sheets.size())) + " " : "";
  caption += caption_of(facts, plan, map.left_out);
  const std::string says =
      kSay.map_says(counted(plan.points.size(), "point"), counted(plan.marks.size(), "known mark"));
  return figure(map.svg.html(says, "map"), caption, "wide");
}

std::string map_sheets(const Facts& facts) {
  const DayPlan plan = plan_of(facts);
  std::string out;
  int number = 0;
  const Sheets sheets = sheets_of(plan);
  for (const auto& own : sheets) {
    const Box plot = plot_of(kSheetHeight);
    const MapPaper paper(bounds_of(own), plot, content_of(plot));
    const Look look{kRadius, exaggeration(plan.points, paper.mm_per_m()), true, true};
    const Drawn sheet = drawn(facts, plan, paper, look, kSheetHeight, own, [](Svg&, LabelBoard&) {});
    const std::string title = kSay.sheet_of(std::to_string(++number), std::to_string(sheets.size()));
    out += figure(sheet.svg.html(title, "map"), title + " " + caption_of(facts, plan, sheet.left_out), "sheet");
  }
  return out;
}

}  // namespace stillpoint::report
