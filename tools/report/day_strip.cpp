// The age of the corrections through the day, with the points and checks below it.

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "report/drawings.hpp"
#include "report/html.hpp"
#include "report/labels.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"
#include "report/signs.hpp"

namespace stillpoint::report {
namespace {

constexpr double kLeft = 14, kRight = 171.5, kTop = 4, kFloor = 43.5, kPoints = 51.5, kChecks = 59, kHigh = 64;
constexpr double kGap_s = 3.5;  // no line is drawn over a longer one

struct Limits {
  double fresh_s = 0, most_s = 0;
};

/// Those of the sources that were used, where they have the same; the strip has one scale.
std::optional<Limits> limits_of(const Facts& facts) {
  if (!facts.configuration) return std::nullopt;
  std::optional<Limits> out;
  for (const config::Source& source : facts.configuration->sources) {
    if (!is_used(facts, source)) continue;
    const bool same = !out || (out->fresh_s == source.gate.fresh_age_s && out->most_s == source.gate.max_age_s);
    if (!same) return std::nullopt;
    out = Limits{source.gate.fresh_age_s, source.gate.max_age_s};
  }
  return out;
}

struct Strip {
  UtcTime first;
  double span_s = 1, most_s = 1;
  double x(UtcTime at) const { return kLeft + seconds_between(first, at) / span_s * (kRight - kLeft); }
  double y(double age_s) const { return kFloor - std::min(age_s / most_s, 1.0) * (kFloor - kTop); }
};

Strip strip_of(const Facts& facts, const std::optional<Limits>& limits) {
  Strip strip;
  strip.first = *facts.first;
  strip.span_s = std::max(seconds_between(*facts.first, *facts.last), 60.0);
  double most_s = limits ? limits->most_s * 1.3 : 1;
  for (const PointFact& fact : facts.points) {
    if (fact.epochs == nullptr) continue;
    for (const auto& epoch : *fact.epochs) most_s = std::max(most_s, epoch.age_s.value_or(0));
  }
  strip.most_s = most_s * 1.08;
  return strip;
}

void draw_hatch(Svg& svg, double top, double bottom) {
  std::string path;
  const double high = bottom - top;
  for (double at = kLeft - high; at < kRight; at += 2) {
    const double from = std::max(at, kLeft), to = std::min(at + high, kRight);
    if (to > from) path += step('M', from, bottom - (from - at)) + step('L', to, bottom - (to - at));
  }
  svg.path("hatch", path);
}

void draw_zones(Svg& svg, const Strip& strip, const Limits& limits) {
  const double old = strip.y(limits.most_s), late = strip.y(limits.fresh_s);
  svg.rect("old", kLeft, kTop, kRight - kLeft, old - kTop);
  draw_hatch(svg, old, late);
  svg.line("lim", kLeft, old, kRight, old);
  svg.text("t halo", kLeft + 1.2, kTop + 3.4, kSay.zone_too_old());
  if (late - old > 4) svg.text("t halo", kLeft + 1.2, old + 3.4, kSay.zone_late());
}

void draw_ages(Svg& svg, const Strip& strip, const std::optional<Limits>& limits) {
  std::vector<double> values{0};
  if (limits) {
    values.push_back(limits->fresh_s);
    values.push_back(limits->most_s);
  }
  const double between_s = step_not_below(strip.most_s / 3);
  for (double at = between_s; at < strip.most_s; at += between_s) values.push_back(at);
  double last = kFloor + 10;
  std::sort(values.begin(), values.end());
  for (const double value : values) {
    const bool crowded = last - strip.y(value) < 3;
    if (crowded) continue;
    last = strip.y(value);
    svg.text("t", kLeft - 1, last + 0.9, printed(value, between_s < 1 ? 1 : 0), Anchor::end);
  }
  svg.text("t", kLeft - 1, kTop - 1, "s", Anchor::end);
}

/// Round local times, at most nine.
void draw_hours(Svg& svg, const Facts& facts, const Strip& strip) {
  svg.line("ax", kLeft, kFloor, kRight, kFloor);
  int step_min = 1;
  for (const int minutes : {1, 2, 5, 10, 15, 30, 60, 120, 180, 360, 720, 1440, 2880, 10080}) {
    step_min = minutes;
    if (strip.span_s / 60 / minutes <= 9) break;
  }
  const std::int64_t last = facts.last->ms;
  for (std::int64_t ms = (facts.first->ms + 59'999) / 60'000 * 60'000; ms <= last; ms += 60'000) {
    const UtcTime at{ms};
    if (facts.clock.minute_of_day(at) % std::min(step_min, 1440) != 0) continue;
    const double x = strip.x(at);
    svg.line("ax", x, kFloor, x, kFloor + 1.2);
    if (x < kLeft + 3 || x > kRight - 5) continue;
    svg.text("t", x, kFloor + 3.8, facts.clock.minute(at), Anchor::middle);
  }
}

/// The lowest and highest age of each quarter of a millimetre; the pen is lifted over a gap.
std::string age_path(const std::vector<occupation::EpochRecord>& epochs, const Strip& strip) {
  std::string path;
  std::optional<UtcTime> before;
  long column = -1;
  double low_s = 0, high_s = 0;
  bool lifted = true;
  const auto flush = [&] {
    if (column < 0) return;
    path += step(lifted ? 'M' : 'L', static_cast<double>(column) / 4, strip.y(low_s));
    path += high_s > low_s ? "V" + mm(strip.y(high_s)) : lifted ? "h.1" : "";
    lifted = false;
  };
  for (const occupation::EpochRecord& epoch : epochs) {
    if (!epoch.utc || !epoch.age_s) continue;
    const bool gap = !before || seconds_between(*before, *epoch.utc) > kGap_s;
    const long at = std::lround(strip.x(*epoch.utc) * 4);
    if (gap || at != column) {
      flush();
      column = at;
      low_s = high_s = *epoch.age_s;
      if (gap) lifted = true;
    }
    low_s = std::min(low_s, *epoch.age_s);
    high_s = std::max(high_s, *epoch.age_s);
    before = epoch.utc;
  }
  flush();
  return path;
}

void draw_outages(Svg& svg, const Facts& facts, const Strip& strip) {
  LabelBoard board({kLeft, kTop + 0.5, kRight, kTop + 12});
  board.block({kLeft, kTop + 0.5, kLeft + 2 + text_width(kSay.zone_too_old(), 2.5, false), kTop + 4.4});
  std::vector<Name> names;
  for (const OutageFact& outage : facts.missing) {
    const double x = strip.x(outage.from), width = outage.lasted_s / strip.span_s * (kRight - kLeft);
    if (x < kLeft || x > kRight) continue;
    svg.rect("solid", x, kTop, std::max(std::min(width, kRight - x), 0.4), 0.9);
    names.push_back({kSay.outage_on_strip(facts.clock.at(outage.from), span(outage.lasted_s)), x, kTop + 2.6, 0.5, 2.75,
                     true, static_cast<int>(-outage.lasted_s)});
  }
  draw(svg, names, board.place_all(names));
}

void draw_points(Svg& svg, const Facts& facts, const Strip& strip) {
  svg.text("t", kLeft - 3, kPoints + 0.9, "points", Anchor::end);
  LabelBoard board({kLeft - 2, kPoints + 1, kRight + 1, kPoints + 5});
  std::vector<Name> names;
  const double r = facts.points.size() > 120 ? 0.5 : 0.8;
  for (const bool late : {false, true}) {
    for (const PointFact& fact : facts.points) {
      const auto& when = fact.newest.point.finished_utc;
      const Sign sign = sign_of(fact);
      if (!when || (sign != Sign::accepted) != late) continue;
      draw_sign(svg, sign, strip.x(*when), kPoints, r);
      if (sign == Sign::held) names.push_back({name_of(fact), strip.x(*when), kPoints, r * 1.5, 2.5, true, 0});
    }
  }
  draw(svg, names, board.place_all(names));
}

void draw_checks(Svg& svg, const Facts& facts, const Strip& strip) {
  svg.text("t", kLeft - 3, kChecks + 0.9, "checks", Anchor::end);
  LabelBoard board({kLeft - 2, kChecks - 2.5, kPaperWidth_mm, kHigh});
  std::vector<Name> names;
  for (const pointbook::CheckShot& shot : facts.checks) {
    const double x = strip.x(shot.utc);
    draw_sign(svg, Sign::mark, x, kChecks, 0.9);
    board.block(around(x, kChecks, 1.3, 1.3));
    names.push_back(
        {shot.passed ? shot.mark : kSay.failed_on(shot.mark), x, kChecks, 1.2, 2.5, !shot.passed, shot.passed ? 1 : 0});
  }
  draw(svg, names, board.place_all(names));
}

}  // namespace

std::string day_strip(const Facts& facts) {
  if (!facts.first || !facts.last) return paragraph(kSay.no_timed_second());
  const auto limits = limits_of(facts);
  const Strip strip = strip_of(facts, limits);
  Svg svg(kPaperWidth_mm, kHigh);
  if (limits) draw_zones(svg, strip, *limits);
  draw_ages(svg, strip, limits);
  draw_hours(svg, facts, strip);
  std::string path;
  for (const PointFact& fact : facts.points) {
    if (fact.epochs != nullptr) path += age_path(*fact.epochs, strip);
  }
  svg.path("trace", path);
  draw_outages(svg, facts, strip);
  draw_points(svg, facts, strip);
  draw_checks(svg, facts, strip);
  return figure(svg.html(kSay.strip_says(counted(facts.missing.size(), "outage"))),
                limits ? kSay.strip_caption() : kSay.strip_without_limits(), "wide");
}

}  // namespace stillpoint::report
