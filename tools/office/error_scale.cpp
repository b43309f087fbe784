#include "error_scale.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <iostream>
#include <map>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>

#include "base/number.hpp"
#include "control/compare.hpp"
#include "estimate/visits.hpp"
#include "geodesy/local.hpp"
#include "geodesy/transfers.hpp"
#include "office.hpp"
#include "pointbook/mark_file.hpp"
#include "reduce/day.hpp"
#include "reduce/options.hpp"

namespace stillpoint::office {
namespace {

using estimate::MarkVisit;

constexpr double kWeakMark = 0.3;  // a mark's own error, as a share of an epoch's, that would show in the scale

std::string visit_text(const occupation::Point& point) {
  return point.name + " visit " + std::to_string(point.visit);
}

std::string interval(const estimate::Factor& factor) {
  return fixed(factor.value, 2) + " (" + fixed(factor.low, 2) + " to " + fixed(factor.high, 2) + " at 95 %)";
}

/// The visit's mean, scatter and claim from its counted epochs. Their sigmas are scaled already, and the floor is left
/// out: it is no part of the receiver's claim.
std::optional<estimate::Estimate> estimate_of(const Visited& visited, const geodesy::LocalFrame& plane) {
  estimate::Average average;
  std::optional<UtcTime> first;
  for (const auto& epoch : *visited.epochs) {
    const bool whole = epoch.utc && epoch.latitude_deg && epoch.longitude_deg && epoch.ellipsoid_height_m &&
                       epoch.sigma_east_m && epoch.sigma_north_m && epoch.sigma_up_m;
    if (!epoch.accepted || !whole) continue;
    const auto enu = plane.to_enu({*epoch.latitude_deg, *epoch.longitude_deg, *epoch.ellipsoid_height_m});
    if (!first) first = epoch.utc;
    average.add({enu.east_m, enu.north_m, enu.up_m, *epoch.sigma_east_m * *epoch.sigma_east_m, 0,
                 *epoch.sigma_north_m * *epoch.sigma_north_m, *epoch.sigma_up_m * *epoch.sigma_up_m},
                static_cast<double>(epoch.utc->ms - first->ms) / 1000.0);
  }
  if (average.epochs() == 0) return std::nullopt;
  estimate::Estimate out = average.result();
  out.error95_horizontal_m = visited.point->at->error95_horizontal_m;
  out.error95_vertical_m = visited.point->at->error95_vertical_m;
  return out;
}

geodesy::Geographic position_of(const occupation::Point& point) {
  return {point.at->latitude_deg, point.at->longitude_deg, point.at->ellipsoid_height_m};
}

/// Why a visit proves nothing; empty: it does.
std::string unfit(const occupation::Point& point) {
  if (!point.at) return visit_text(point) + " is left out: no second counted.";
  if (point.status == occupation::PointStatus::accepted) return {};
  return visit_text(point) + " is left out: it is " + std::string(to_word(point.status)) +
         (point.reason_texts.empty() ? "." : ", " + point.reason_texts.front() + ".");
}

bool too_close(const occupation::Point& a, const occupation::Point& b) {
  if (!a.started_utc || !a.finished_utc || !b.started_utc || !b.finished_utc) return true;
  return b.started_utc->ms - a.finished_utc->ms < estimate::kIndependentAfter_ms &&
         a.started_utc->ms - b.finished_utc->ms < estimate::kIndependentAfter_ms;
}

class OnMarks {
 public:
  OnMarks(const config::Settings& settings, const control::Marks& marks, geodesy::Transfers& transfers)
      : settings_(settings), marks_(marks), transfers_(transfers) {}

  /// One visit to a mark; what keeps it from being used is noted.
  void add(const Visited& visited, const control::Mark& mark, SourceScale& out) {
    const occupation::Point& point = *visited.point;
    if (mark.status == control::MarkStatus::disturbed || mark.status == control::MarkStatus::superseded) {
      return note(out, visit_text(point) + " is left out: the mark is " + std::string(to_word(mark.status)) + ".");
    }
    const auto off = control::residual(transfers_, mark, settings_.project.frame, *point.at);
    if (!off) return note(out, visit_text(point) + " is left out: " + off.error().text + ".");
    // In the plane about the visit's own position the truth lies where the residual points back to.
    const auto seen = estimate_of(visited, geodesy::LocalFrame(position_of(point)));
    if (!seen) return note(out, visit_text(point) + " is left out: its epochs carry no positions or no error figure.");
    const auto number = static_cast<int>(&mark - marks_.marks.data());
    visits.push_back({number, *seen, -off->east_m, -off->north_m, -off->up_m.value_or(0), off->up_m.has_value()});
    const double claim_m = std::sqrt(0.5 * seen->claim_horizontal_m2);
    if (mark.sigma_horizontal_m > kWeakMark * claim_m) {
      note(out, visit_text(point) + ": the mark's own error of " + fixed(mark.sigma_horizontal_m, 3) +
                    " m makes the scale too large; an epoch claims " + fixed(claim_m, 3) + " m.");
    }
    for (const occupation::Point* other : used_) {
      if (!too_close(*other, point)) continue;
      note(out, visit_text(point) + " is within 45 min of " + visit_text(*other) +
                    ": they may share an error, and the interval is too narrow.");
      break;
    }
    used_.push_back(&point);
    out.until = std::max(out.until, point.finished_utc.value_or(UtcTime{}));
  }
  std::vector<MarkVisit> visits;

 private:
  static void note(SourceScale& out, std::string sentence) { out.notes.push_back(std::move(sentence)); }
  const config::Settings& settings_;
  const control::Marks& marks_;
  geodesy::Transfers& transfers_;
  std::vector<const occupation::Point*> used_;
};

/// Visits to names that are no marks: each name its own plane, about its first visit.
std::vector<MarkVisit> repeats_of(std::span<const Visited> visits, SourceScale& out) {
  struct Place {
    int number;
    geodesy::LocalFrame plane;
    std::vector<const occupation::Point*> used;
  };
  std::map<std::string, Place> places;
  std::vector<MarkVisit> repeats;
  for (const Visited& visited : visits) {
    const occupation::Point& point = *visited.point;
    const auto at = places.try_emplace(
        point.name, Place{static_cast<int>(places.size()), geodesy::LocalFrame(position_of(point)), {}});
    Place& place = at.first->second;
    const auto near = std::find_if(place.used.begin(), place.used.end(),
                                   [&](const occupation::Point* other) { return too_close(*other, point); });
    if (near != place.used.end()) {
      out.notes.push_back(visit_text(point) + " is left out: it is within 45 min of visit " +
                          std::to_string((*near)->visit) + ".");
      continue;
    }
    const auto seen = estimate_of(visited, place.plane);
    if (!seen) {
      out.notes.push_back(visit_text(point) + " is left out: its epochs carry no positions or no error figure.");
      continue;
    }
    place.used.push_back(&point);
    out.until = std::max(out.until, point.finished_utc.value_or(UtcTime{}));
    repeats.push_back({place.number, *seen});
  }
  return repeats;
}

void conclude(const Result<estimate::Calibration>& result, SourceScale& out) {
  if (result) {
    out.result = *result;
  } else {
    out.problem = result.error().text;
  }
}

nlohmann::json factor_json(const estimate::Factor& factor) {
  if (factor.value <= 0) return nullptr;
  return {{"scale", factor.value}, {"low95", factor.low}, {"high95", factor.high}};
}

/// What one source's visits come to, on marks and on repeats.
void calibrate_source(const config::Source& source, OnMarks& on_marks, const control::Marks& marks,
                      std::span<const Visited> visits, std::vector<SourceScale>& out) {
  const auto fresh = [&](bool against_marks) {
    SourceScale scale;
    scale.source = source.name;
    scale.against_marks = against_marks;
    scale.in_use = source.error_scale;
    return scale;
  };
  SourceScale known = fresh(true), repeated = fresh(false);
  std::vector<Visited> others;
  std::size_t to_marks = 0;
  for (const Visited& visited : visits) {
    if (visited.point->source != source.name) continue;
    const control::Mark* mark = marks.find(visited.point->name);
    to_marks += mark ? 1U : 0U;
    if (auto why = unfit(*visited.point); !why.empty()) {
      (mark ? known : repeated).notes.push_back(std::move(why));
    } else if (mark) {
      on_marks.add(visited, *mark, known);
    } else {
      others.push_back(visited);
    }
  }
  const estimate::Scale in_use{source.error_scale, 0, 0};
  if (to_marks > 0) {
    conclude(estimate::calibrate_on_marks(on_marks.visits, in_use), known);
    out.push_back(std::move(known));
  }
  if (!others.empty()) {
    conclude(estimate::calibrate_on_repeats(repeats_of(others, repeated), in_use), repeated);
    out.push_back(std::move(repeated));
  }
}

}  // namespace

Result<std::vector<SourceScale>> calibrate(const config::Settings& settings, const control::Marks& marks,
                                           std::span<const Visited> visits) {
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  std::vector<SourceScale> out;
  for (const config::Source& source : settings.sources) {
    OnMarks on_marks(settings, marks, *transfers);
    calibrate_source(source, on_marks, marks, visits, out);
  }
  return out;
}

std::string to_json(const SourceScale& scale) {
  nlohmann::json out{{"calibration", scale.source},
                     {"against", scale.against_marks ? "marks" : "repeats"},
                     {"error_scale_in_use", scale.in_use},
                     {"error_scale", nullptr},
                     {"notes", scale.notes}};
  if (scale.result) {
    const estimate::Calibration& c = *scale.result;
    out["error_scale"] = c.error_scale;
    out["horizontal"] = factor_json(c.horizontal);
    out["vertical"] = factor_json(c.vertical);
    out["visits"] = c.visits;
    out["marks"] = c.marks;
    out["within_own_95"] = c.within95;
    out["toml"] = toml_lines(c, scale.until);
  } else {
    out["problem"] = scale.problem;
  }
  return out.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

std::vector<std::string> sentences(const SourceScale& scale) {
  std::vector<std::string> out;
  const std::string name = "source \"" + scale.source + "\"";
  const char* against = scale.against_marks ? "known marks" : "repeat visits without truth";
  for (const std::string& note : scale.notes) out.push_back("note: " + note);
  if (!scale.result) {
    out.push_back(name + " is not calibrated against " + against + ": " + scale.problem);
    return out;
  }
  const estimate::Calibration& c = *scale.result;
  out.push_back(name + " against " + against + ": plan " + interval(c.horizontal) +
                (c.vertical.value > 0 ? ", height " + interval(c.vertical) : ", no height to compare") + ".");
  const std::string places = counted(static_cast<std::uint64_t>(c.marks), "place");
  out.push_back(std::to_string(c.within95) + " of " + std::to_string(c.visits) + " visits to " + places +
                " lay within their own 95 % plan error, at the scale in use (" + fixed(scale.in_use, 2) + ").");
  if (!scale.against_marks) {
    out.emplace_back("An error common to all visits, such as a wrong frame, does not show without a known mark.");
  }
  out.push_back("Paste below name = \"" + scale.source + "\":");
  std::istringstream lines(toml_lines(c, scale.until));
  for (std::string line; std::getline(lines, line);) out.push_back("    " + line);
  return out;
}

namespace {

struct Asked {
  reduce::Options day;
  std::string marks;
  bool repeats = false;
};

/// None without a path. Rows that are no marks are told, and the others used, as the daemon does.
Result<control::Marks> marks_of(const std::string& path) {
  if (path.empty()) return control::Marks{};
  auto marks = pointbook::read_mark_file(path);
  if (!marks) return marks;
  for (const std::string& error : marks->errors) complain(error, kUsage);
  return marks;
}

/// The words of a calibration, after the results; the exit status.
int say_scales(const std::vector<SourceScale>& scales) {
  if (scales.empty()) return complain("no visit was to a mark, and none has a source: nothing to calibrate", kSomeHeld);
  bool all = true;
  for (const SourceScale& scale : scales) {
    for (const std::string& sentence : sentences(scale)) std::cerr << sentence << '\n';
    all &= scale.result.has_value();
  }
  return all ? kAllAccepted : kSomeHeld;
}

int run(const Asked& asked) {
  const auto settings = settings_of(asked.day.config);
  if (!settings) return kUsage;
  auto stream = Stream::open(asked.day.logs);
  if (!stream) return complain(stream.error().text, kCannotRead);
  const auto marks = marks_of(asked.marks);
  if (!marks) return complain(marks.error().text, kUsage);
  const auto computed = reduce::compute(asked.day, *settings, std::move(*stream), reduce::KeepEpochs::yes);
  if (!computed.day) return computed.failed;
  std::vector<Visited> visited;
  for (const Row& row : computed.day->rows()) visited.push_back({&row.point, &row.epochs});
  const auto scales = calibrate(*settings, *marks, visited);
  if (!scales) return complain(scales.error().text, kUsage);
  reduce::print_points(asked.day, *computed.day);
  for (const SourceScale& scale : *scales) std::cout << to_json(scale) << '\n';
  if (const int failed = reduce::print_summary(*computed.day); failed != 0) return failed;
  const int said = say_scales(*scales);
  return computed.unread && said == kSomeHeld ? kCannotRead : said;
}

constexpr const char* kFooter =
    "Prints one JSON object a line: the points, what each source comes to, a summary. What is for people, the line of\n"
    "the configuration among it, goes to standard error.\n"
    "MARKS: name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,\n"
    "sigma_vertical_m; easting_m and northing_m in place of latitude and longitude. Or a GeoPackage whose layer "
    "marks,\n"
    "or only layer of points, has these columns; it must be drawn in the frame that its rows declare.\n"
    "Exit status: 0 every source visited was calibrated, 1 not so, 2 usage, configuration or marks file, 3 cannot\n"
    "write, 4 unreadable.";

}  // namespace

void add_error_scale(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand("error-scale", "What each source's error_scale should be");
  const auto asked = std::make_shared<Asked>();
  reduce::add_recomputation(*verb, asked->day);
  auto* marks = verb->add_option("--marks", asked->marks,
                                 "Visits named as the marks of this file (CSV, or a GeoPackage's layer of points) are "
                                 "compared with them, and ten or more visits to other names with each other")
                    ->type_name("MARKS");
  auto* repeats = verb->add_flag("--repeats", asked->repeats,
                                 "Without known marks: from ten or more repeat visits, 45 min or more apart");
  marks->excludes(repeats);
  verb->footer(kFooter);
  verb->callback([asked, &status] {
    check_names({asked->day.config, asked->day.visits, asked->marks});
    check_names(asked->day.logs);
    if (asked->marks.empty() && !asked->repeats) throw CLI::RequiredError("--marks or --repeats");
    status = run(*asked);
  });
}

}  // namespace stillpoint::office
