#include "report/plots.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "estimate/average.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "report/html.hpp"
#include "report/sentences.hpp"
#include "report/words.hpp"

namespace stillpoint::report {
namespace {

constexpr double kWide = 900, kLeft = 60, kRight = 890;

std::string label(double x, double y, std::string_view text, std::string_view anchor = "end") {
  return "<text x=\"" + px(x) + "\" y=\"" + px(y) + "\" text-anchor=\"" + std::string(anchor) + "\">" + escaped(text) +
         "</text>";
}

std::string line(double x1, double y1, double x2, double y2, std::string_view kind) {
  return "<path class=\"" + std::string(kind) + "\" d=\"M" + px(x1) + " " + px(y1) + "L" + px(x2) + " " + px(y2) +
         "\"/>";
}

/// Lines and labels at 0, 1, 2 … steps up to `most`.
std::string scale_at_left(double top, double bottom, double most, double step, int decimals) {
  std::string out;
  for (double value = 0; value <= most * 1.0001; value += step) {
    const double y = bottom - value / most * (bottom - top);
    out += line(kLeft, y, kRight, y, value == 0 ? "x" : "g") + label(kLeft - 6, y + 4, fixed(value, decimals));
  }
  return out;
}

// ---- The strip of the day.

struct Strip {
  UtcTime first;
  double span_s = 1, most_s = 1;
  double lower = 0;  ///< what a row for unknown ages takes from those below it
  double x(UtcTime at) const { return kLeft + seconds_between(first, at) / span_s * (kRight - kLeft); }
  double y(double age_s) const { return 150 - std::min(age_s / most_s, 1.0) * 130; }
};

struct Column {
  long x = 0;
  double low_s = 0, high_s = 0;
  bool after_gap = true;
};

/// The lowest and highest age of each pixel column.
std::vector<Column> age_columns(const std::vector<occupation::EpochRecord>& epochs, const Strip& strip) {
  constexpr double kGapS = 3;
  std::vector<Column> out;
  std::optional<UtcTime> before;
  for (const occupation::EpochRecord& epoch : epochs) {
    if (!epoch.utc || !epoch.age_s) continue;
    const bool gap = !before || seconds_between(*before, *epoch.utc) > kGapS;
    const long x = std::lround(strip.x(*epoch.utc));
    if (out.empty() || out.back().x != x) out.push_back({x, *epoch.age_s, *epoch.age_s, gap});
    out.back().low_s = std::min(out.back().low_s, *epoch.age_s);
    out.back().high_s = std::max(out.back().high_s, *epoch.age_s);
    before = epoch.utc;
  }
  return out;
}

/// The pen is lifted over a gap.
std::string age_path(const std::vector<occupation::EpochRecord>& epochs, const Strip& strip) {
  std::string path;
  for (const Column& column : age_columns(epochs, strip)) {
    path += (column.after_gap ? "M" : "L") + std::to_string(column.x) + " " + px(strip.y(column.low_s));
    path += column.high_s > column.low_s ? "V" + px(strip.y(column.high_s)) : column.after_gap ? "h0" : "";
  }
  return path;
}

/// Which pixel columns have a second of the kind, as bars of one row.
template <class Is>
std::string bars(const std::vector<occupation::EpochRecord>& epochs, const Strip& strip, double y, Is is) {
  std::string path;
  long from = -10, to = -10;
  const auto flush = [&] {
    if (from >= 0) path += "M" + std::to_string(from) + " " + px(y) + "h" + std::to_string(to - from + 1);
  };
  for (const occupation::EpochRecord& epoch : epochs) {
    if (!epoch.utc || !is(epoch)) continue;
    const long at = std::lround(strip.x(*epoch.utc));
    if (at <= to + 1) {
      to = std::max(to, at);
      continue;
    }
    flush();
    from = to = at;
  }
  flush();
  return path;
}

std::string strip_of_stay(const std::vector<occupation::EpochRecord>& epochs, const Strip& strip) {
  using corrections::State;
  struct Row {
    State state;
    double y;
  };
  std::string out = "<path class=\"c\" d=\"" + age_path(epochs, strip) + "\"/>";
  std::string path;
  for (const Row& row :
       {Row{State::fresh, 176}, Row{State::coasting, 192}, Row{State::stale, 208}, Row{State::none, 224}})
    path += bars(epochs, strip, row.y, [&](const auto& epoch) { return epoch.correction == row.state; });
  path += bars(epochs, strip, 240, [](const auto& epoch) { return epoch.correction == State::unknown; });
  path += bars(epochs, strip, 246 + strip.lower, [](const auto& epoch) { return epoch.accepted; });
  path += bars(epochs, strip, 262 + strip.lower, [](const auto& epoch) { return !epoch.accepted; });
  return out + "<path class=\"b\" d=\"" + path + "\"/>";
}

std::string clock_scale(const Strip& strip) {
  std::string out;
  constexpr int kParts = 6;
  for (int i = 0; i <= kParts; ++i) {
    const UtcTime at{strip.first.ms + static_cast<std::int64_t>(strip.span_s * 1000 * i / kParts)};
    out += line(strip.x(at), 20, strip.x(at), 270, "g") + label(strip.x(at), 286, clock_text(at),
                                                                i == kParts ? "end"
                                                                : i == 0    ? "start"
                                                                            : "middle");
  }
  return out;
}

// ---- Error curves.

std::vector<std::pair<double, double>> curve_of(const PointFact& fact) {
  std::vector<std::pair<double, double>> out;  // seconds, metres
  const occupation::Coordinates& at = *fact.newest.point.at;
  const geodesy::LocalFrame around(occupation::place_of(at));
  estimate::Average average;
  std::optional<UtcTime> first;
  for (const occupation::EpochRecord& epoch : *fact.epochs) {
    const bool whole = epoch.accepted && epoch.utc && epoch.latitude_deg && epoch.longitude_deg &&
                       epoch.ellipsoid_height_m && epoch.sigma_east_m && epoch.sigma_north_m && epoch.sigma_up_m;
    if (!whole || *epoch.sigma_east_m <= 0 || *epoch.sigma_north_m <= 0 || *epoch.sigma_up_m <= 0) continue;
    const auto off = around.to_enu({*epoch.latitude_deg, *epoch.longitude_deg, *epoch.ellipsoid_height_m});
    if (!first) first = epoch.utc;
    average.add({off.east_m, off.north_m, off.up_m, *epoch.sigma_east_m * *epoch.sigma_east_m, 0,
                 *epoch.sigma_north_m * *epoch.sigma_north_m, *epoch.sigma_up_m * *epoch.sigma_up_m},
                seconds_between(*first, *epoch.utc));
    out.emplace_back(seconds_between(*first, *epoch.utc), average.result().error95_horizontal_m);
  }
  return out;
}

std::string curve_figure(const PointFact& fact) {
  const auto curve = curve_of(fact);
  if (curve.size() < 2) return {};
  double most_m = 0;
  for (const auto& [time_s, error_m] : curve) most_m = std::max(most_m, error_m);
  const double step_m = step_not_below(most_m / 4), top_m = std::ceil(most_m / step_m) * step_m;
  std::string path;
  const double span_s = std::max(curve.back().first, 1.0);
  long column = -1;
  for (const auto& [time_s, error_m] : curve) {
    const long x = std::lround(kLeft + time_s / span_s * (kRight - kLeft));
    if (x == column) continue;
    column = x;
    path += (path.empty() ? "M" : "L") + std::to_string(x) + " " + px(170 - error_m / top_m * 150);
  }
  const occupation::Point& point = fact.newest.point;
  const std::string body = scale_at_left(20, 170, top_m, step_m, step_m < 0.01 ? 3 : 2) +
                           label(kLeft, 192, "0 s", "start") + label(kRight, 192, span(span_s)) +
                           "<path class=\"c\" d=\"" + path + "\"/>";
  return figure(point_name(point.name, point.visit),
                kSay.error_fell(metres(curve.front().second), metres(curve.back().second), span(span_s)), kWide, 200,
                body);
}

// ---- Checks.

std::string arrow(const pointbook::CheckShot& shot, std::size_t number, double px_per_m) {
  const double x = 150 + shot.off_east_m * px_per_m, y = 150 - shot.off_north_m * px_per_m;
  const double length = std::hypot(x - 150, y - 150);
  std::string out = line(150, 150, x, y, "c");
  if (length > 1) {
    const double ux = (x - 150) / length, uy = (y - 150) / length;
    out += "<path class=\"f\" d=\"M" + px(x) + " " + px(y) + "L" + px(x - 8 * ux + 4 * uy) + " " +
           px(y - 8 * uy - 4 * ux) + "L" + px(x - 8 * ux - 4 * uy) + " " + px(y - 8 * uy + 4 * ux) + "Z\"/>";
  }
  return out + label(x + 8, y - 4, std::to_string(number), "start");
}

}  // namespace

std::string day_strip(const Facts& facts) {
  if (!facts.first || !facts.last) return paragraph(kSay.no_timed_second());
  Strip strip;
  strip.first = *facts.first;
  strip.span_s = std::max(seconds_between(*facts.first, *facts.last), 1.0);
  double most_s = 0;
  bool unknown = false;
  for (const PointFact& fact : facts.points) {
    if (fact.epochs == nullptr) continue;
    for (const auto& epoch : *fact.epochs) {
      most_s = std::max(most_s, epoch.age_s.value_or(0));
      unknown |= epoch.correction == corrections::State::unknown;
    }
  }
  strip.lower = unknown ? 16 : 0;
  const double step_s = step_not_below(most_s / 4);
  strip.most_s = std::max(std::ceil(most_s / step_s), 1.0) * step_s;
  std::string body = scale_at_left(20, 150, strip.most_s, step_s, step_s < 1 ? 1 : 0) + clock_scale(strip);
  for (const auto& [text, y] : {std::pair{"fresh", 176.0},
                                {"coasting", 192.0},
                                {"stale", 208.0},
                                {"none", 224.0},
                                {"counted", 246.0 + strip.lower},
                                {"refused", 262.0 + strip.lower}})
    body += label(kLeft - 6, y + 4, text);
  if (unknown) body += label(kLeft - 6, 244, "unknown");
  for (const PointFact& fact : facts.points) {
    if (fact.epochs != nullptr) body += strip_of_stay(*fact.epochs, strip);
  }
  const std::string_view states = unknown ? kSay.states_and_unknown.words() : kSay.states_known.words();
  return figure(kSay.day(), kSay.ages_explained(fixed(most_s, 1), states), kWide, 295 + strip.lower, body);
}

std::string error_curves(const Facts& facts) {
  std::vector<const PointFact*> worst;
  for (const PointFact& fact : facts.points) {
    if (fact.epochs != nullptr && fact.newest.point.at) worst.push_back(&fact);
  }
  std::stable_sort(worst.begin(), worst.end(), [](const PointFact* a, const PointFact* b) {
    return a->newest.point.at->error95_horizontal_m > b->newest.point.at->error95_horizontal_m;
  });
  if (worst.size() > 3) worst.resize(3);
  std::string out;
  for (const PointFact* fact : worst) out += curve_figure(*fact);
  if (out.empty()) return paragraph(kSay.no_curve());
  return paragraph(kSay.curves_explained()) + out;
}

std::string check_arrows(const Facts& facts) {
  if (facts.checks.empty()) return {};
  double reach_m = 0.001;
  for (const auto& shot : facts.checks)
    reach_m = std::max({reach_m, std::hypot(shot.off_east_m, shot.off_north_m), shot.limit_horizontal_m});
  const double square_m = step_not_below(reach_m / 4), px_per_m = 140 / std::max(reach_m, square_m * 4);
  std::string body;
  for (double at_m = 0; at_m * px_per_m <= 141; at_m += square_m) {
    for (const double at : {150 - at_m * px_per_m, 150 + at_m * px_per_m})
      body += line(at, 10, at, 290, "g") + line(10, at, 290, at, "g");
  }
  body += "<circle cx=\"150\" cy=\"150\" r=\"5\" class=\"es\"/>" + line(144, 150, 156, 150, "c") +
          line(150, 144, 150, 156, "c");
  std::size_t number = 0;
  for (const auto& shot : facts.checks) body += arrow(shot, ++number, px_per_m);
  return figure(kSay.checks_shot_minus_mark(),
                kSay.squares_of_checks(fixed(square_m, 3), metres(facts.check_sums.worst_plan_m)), 300, 300, body,
                "one");
}

}  // namespace stillpoint::report
