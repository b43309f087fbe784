#include "error_scale.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>
#include <memory>
#include <nlohmann/json.hpp>
#include <utility>

#include "office.hpp"
#include "pointbook/mark_file.hpp"
#include "pointbook/scale_stays.hpp"
#include "reduce/day.hpp"
#include "reduce/options.hpp"
#include "sentences.hpp"
#include "session/check_shot.hpp"

namespace stillpoint::office {
namespace {

nlohmann::json factor_json(const estimate::Factor& factor) {
  if (factor.value <= 0) return nullptr;
  return {{"scale", factor.value}, {"low95", factor.low}, {"high95", factor.high}};
}

}  // namespace

Result<ScaleEvidence> ScaleEvidence::open(const config::Settings& settings, control::Marks marks) {
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  return ScaleEvidence(settings, std::move(marks), std::move(*transfers));
}

void ScaleEvidence::add(const occupation::Point& point, std::span<const occupation::EpochRecord> epochs) {
  control::ScaleStay stay = control::stay_of(point, epochs);
  if (const control::Mark* mark = marks_.find(point.name); mark != nullptr && point.at) {
    stay = control::on_mark(std::move(stay), *mark, control::residual(transfers_, *mark, point.frame, *point.at));
  }
  stay.book = books_;
  stays_.push_back(std::move(stay));
}

void ScaleEvidence::add(const pointbook::Contents& book) {
  ++books_;
  auto shots = pointbook::shot_stays(book.checks, books_);
  std::move(shots.begin(), shots.end(), std::back_inserter(stays_));
  for (const auto& stay : pointbook::point_stays(book)) add(*stay.point, *stay.epochs);
}

void ScaleEvidence::add(std::span<const reduce::Row> points, std::span<const reduce::CheckRow> checks) {
  ++books_;
  for (const reduce::CheckRow& row : checks) {
    if (!row.check.residual || row.check.kind == "turn") continue;
    stays_.push_back(control::stay_of(session::shot_of(row.check)));
    stays_.back().book = books_;
  }
  for (const reduce::Row& row : points) {
    if (row.point.measures.empty()) add(row.point, row.epochs);
  }
}

std::vector<control::SourceScale> ScaleEvidence::scales() const {
  return control::scales_of(settings_->sources, marks_, stays_);
}

std::string to_json(const control::SourceScale& scale) {
  nlohmann::json out{{"calibration", scale.source},
                     {"against", scale.against()},
                     {"error_scale_in_use", scale.in_use},
                     {"error_scale", nullptr},
                     {"notes", scale.notes}};
  if (scale.result) {
    const estimate::Calibration& c = *scale.result;
    out["error_scale"] = c.error_scale;
    out["horizontal"] = factor_json(c.horizontal);
    out["vertical"] = factor_json(c.vertical);
    out["visits"] = c.visits;
    out["counted"] = c.counted;
    out["marks"] = c.places;
    out["within_own_95"] = c.within95;
    out["toml"] = toml_lines(c, scale.until);
  } else {
    out["problem"] = scale.problem;
  }
  return out.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

namespace {

struct Asked {
  reduce::Options day;
  std::vector<std::string> books;
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

/// The words of the scales, after the results; the exit status.
int say_scales(const std::vector<control::SourceScale>& scales) {
  if (scales.empty()) return complain(kSay.nothing_to_calibrate(), kSomeHeld);
  bool all = true;
  for (const control::SourceScale& scale : scales) {
    for (const std::string& sentence : control::told(scale)) std::cerr << sentence << '\n';
    all &= scale.is_proof();
  }
  return all ? kAllAccepted : kSomeHeld;
}

/// 0, or the exit status of what went wrong.
int add_books(const std::vector<std::string>& paths, ScaleEvidence& evidence) {
  for (const std::string& path : paths) {
    const auto book = pointbook::read_contents(path);
    if (!book) return complain(book.error().text, kCannotRead);
    for (const std::string& damage : book->damage) complain(damage, kCannotRead);
    if (!book->damage.empty()) return kCannotRead;
    evidence.add(*book);
  }
  return 0;
}

/// The day's points are printed as by the reduction.
reduce::Computed add_day(const Asked& asked, const config::Settings& settings, ScaleEvidence& evidence) {
  auto stream = Stream::open(asked.day.logs);
  if (!stream) return {nullptr, false, complain(stream.error().text, kCannotRead)};
  auto computed = reduce::compute(asked.day, settings, std::move(*stream), reduce::KeepEpochs::yes);
  if (!computed.day) return computed;
  evidence.add(computed.day->rows(), computed.day->checks());
  reduce::print_points(asked.day, *computed.day);
  return computed;
}

int run(const Asked& asked) {
  const auto settings = settings_of(asked.day.config);
  if (!settings) return kUsage;
  auto marks = marks_of(asked.marks);
  if (!marks) return complain(marks.error().text, kUsage);
  auto evidence = ScaleEvidence::open(*settings, std::move(*marks));
  if (!evidence) return complain(evidence.error().text, kUsage);
  if (const int failed = add_books(asked.books, *evidence); failed != 0) return failed;
  reduce::Computed computed;
  if (!asked.day.logs.empty()) {
    computed = add_day(asked, *settings, *evidence);
    if (!computed.day) return computed.failed;
  }
  const auto scales = evidence->scales();
  for (const control::SourceScale& scale : scales) std::cout << to_json(scale) << '\n';
  if (computed.day) {
    if (const int failed = reduce::print_summary(*computed.day); failed != 0) return failed;
  }
  const int said = say_scales(scales);
  return computed.unread && said == kSomeHeld ? kCannotRead : said;
}

constexpr const char* kFooter =
    "From pointbooks, the day's and earlier ones: their check shots and repeat visits. From a log: the same of what "
    "it\n"
    "gives when it is computed anew. Nothing is changed: paste what is printed, or leave it.\n"
    "Prints one JSON object a line: the points of a log, what each source comes to, a summary. What is for people, "
    "the\n"
    "lines of the configuration among it, goes to standard error.\n"
    "MARKS: name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,\n"
    "sigma_vertical_m; easting_m and northing_m in place of latitude and longitude. Or a GeoPackage whose layer "
    "marks,\n"
    "or only layer of points, has these columns; it must be drawn in the frame that its rows declare.\n"
    "Exit status: 0 the error scale of every source visited is proven, 1 not so, 2 usage, configuration or marks "
    "file,\n"
    "3 cannot write, 4 unreadable.";

void require_evidence(const Asked& asked) {
  if (!asked.books.empty()) return;
  if (asked.day.logs.empty()) throw CLI::RequiredError(kSay.book_or_log());
  if (asked.marks.empty() && !asked.repeats) throw CLI::RequiredError(kSay.book_marks_or_repeats());
}

}  // namespace

void add_error_scale(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand("error-scale", "What each source's error_scale should be");
  const auto asked = std::make_shared<Asked>();
  reduce::add_recomputation(*verb, asked->day);
  verb->get_option("--log")->required(false);
  verb->add_option("--pointbook", asked->books, "The day's pointbook, and those of earlier days; each with the option")
      ->type_name("FILE.gpkg");
  auto* marks = verb->add_option("--marks", asked->marks,
                                 "Points named as the marks of this file (CSV, or a GeoPackage's layer of points) are "
                                 "compared with them, and repeat visits to other names with each other")
                    ->type_name("MARKS");
  auto* repeats = verb->add_flag("--repeats", asked->repeats,
                                 "Of a log, without known marks: from repeat visits, 45 min or more apart");
  marks->excludes(repeats);
  verb->footer(kFooter);
  verb->callback([asked, &status] {
    check_names({asked->day.config, asked->day.visits, asked->marks});
    check_names(asked->day.logs);
    check_names(asked->books);
    require_evidence(*asked);
    status = run(*asked);
  });
}

}  // namespace stillpoint::office
