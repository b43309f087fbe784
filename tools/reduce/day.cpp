#include "day.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <iostream>
#include <nlohmann/json.hpp>
#include <optional>

#include "base/identity.hpp"
#include "calibrate.hpp"
#include "geodesy/antenna.hpp"
#include "geodesy/frames.hpp"
#include "pointbook/book.hpp"
#include "session/session.hpp"
#include "session/visits.hpp"
#include "wire/json.hpp"

namespace stillpoint::reduce {
namespace {

namespace fs = std::filesystem;

int complain(const std::string& sentence, int status) {
  std::cerr << "stillpoint-reduce: " << sentence << "\n";
  return status;
}

/// A finished point waiting for its place in the output.
struct Row {
  std::size_t order = 0;
  occupation::Point point;
  std::vector<occupation::EpochRecord> epochs;
};

class Day {
 public:
  Day(const Options& options, const config::Settings& settings) : options_(options), settings_(settings) {}

  Result<void> start(bool follow_commands, const std::vector<session::PlannedVisit>& visits);
  void play(Stream& stream, Result<void>& played);
  void command(const std::string& json, SteadyTime given);
  void collect();
  const std::vector<Row>& rows();
  session::Summary total() const;
  std::vector<occupation::Combined> combined();
  const std::string& frame() const { return frame_; }
  const std::string& frame_wkt() const { return frame_wkt_; }
  bool projected() const { return projected_; }
  std::optional<std::string> complaint;  ///< of a journal that cannot be followed

 private:
  void apply(const nlohmann::json& what, SteadyTime given);

  const Options& options_;
  const config::Settings& settings_;
  std::vector<session::PlannedVisit> visits_;
  bool follow_ = false;
  std::optional<session::Session> session_;
  std::vector<Row> rows_;
  std::size_t live_ = 0;
  session::Summary before_;  ///< of earlier starts of the daemon
  std::string frame_, frame_wkt_;
  bool projected_ = false;
};

void add(session::Summary& to, const session::Summary& more) {
  to.stream.bytes += more.stream.bytes;
  to.stream.sentences += more.stream.sentences;
  auto& d = to.stream.damage;
  const auto& m = more.stream.damage;
  d.bad_checksum += m.bad_checksum;
  d.no_checksum += m.no_checksum;
  d.oversize += m.oversize;
  d.cut_short += m.cut_short;
  d.malformed += m.malformed;
  d.garbage_bytes += m.garbage_bytes;
  to.epochs += more.epochs;
  to.accepted += more.accepted;
  to.refused += more.refused;
}

Result<void> Day::start(bool follow_commands, const std::vector<session::PlannedVisit>& visits) {
  if (const auto height_m = geodesy::antenna_height_m(settings_.antenna); !height_m) {
    return tl::unexpected(height_m.error());
  }
  auto frames = geodesy::Frames::open(settings_);
  if (!frames) return tl::unexpected(frames.error());
  frame_ = frames->project_frame();
  frame_wkt_ = frames->project_frame_wkt();
  projected_ = frames->project_frame_is_projected();
  follow_ = follow_commands;
  visits_ = visits;
  const bool keep_epochs = options_.epochs || options_.calibrate || !options_.pointbook.empty();
  session_.emplace(settings_, std::move(*frames), session::Options{keep_epochs, false, true, STILLPOINT_VERSION});
  if (!follow_) session_->plan(visits_);
  return {};
}

void Day::collect() {
  for (session::FinishedPoint& finished : session_->take().points) {
    const std::size_t order = finished.live ? live_++ : finished.planned;
    rows_.push_back({order, std::move(finished.point), std::move(finished.epochs)});
  }
}

void Day::apply(const nlohmann::json& what, SteadyTime given) {
  const std::string event = what.value("event", "");
  if (event == "cut") session_->cut(given, what.value("why", ""));
  if (event == "feed") {
    for (int i = 0; i <= static_cast<int>(session::FeedState::ended); ++i) {
      const auto state = static_cast<session::FeedState>(i);
      if (to_word(state) == what.value("state", "")) session_->feed(state, what.value("what", ""), given);
    }
  }
  const std::string command = what.value("command", "");
  // Whatever is computed: from here on the pole was another one.
  if (command == "antenna") session_->set_antenna(what.at("height_m").get<double>(), what.value("reason", ""));
  if (!follow_) return;
  if (command == "occupy") {
    session_->occupy({what.at("name").get<std::string>(), what.value("code", ""), what.value("note", ""), true,
                      what.at("visit").get<int>()});
  } else if (command == "keep") {
    session_->keep();
  } else if (command == "drop") {
    session_->drop();
  }
  if (event == "stopped") session_->finish();
}

void Day::command(const std::string& json, SteadyTime given) {
  session_->advance(given);
  try {
    apply(nlohmann::json::parse(json), given);
  } catch (const nlohmann::json::exception&) {
    complaint = "a command in the journal cannot be read: " + json;
  }
}

void Day::play(Stream& stream, Result<void>& played) {
  Sink sink;
  sink.bytes = [this](std::string_view bytes, SteadyTime arrived) {
    session_->push(bytes, arrived);
    collect();
  };
  sink.command = [this](const std::string& json, SteadyTime given) {
    command(json, given);
    collect();
  };
  sink.restart = [this](SteadyTime last) {
    if (!follow_) {  // planned visits go on over a restart, as over any gap
      session_->cut(last);
      // The daemon read its configuration again: so did the antenna height.
      if (const auto height_m = geodesy::antenna_height_m(settings_.antenna)) {
        session_->set_antenna(*height_m, "the configuration's height after a restart");
      }
      return false;
    }
    session_->finish();
    collect();
    add(before_, session_->summary());
    if (auto again = start(follow_, visits_); !again) complaint = again.error().text;
    return true;
  };
  played = stream.play(sink);
  session_->finish();
  collect();
}

const std::vector<Row>& Day::rows() {
  std::stable_sort(rows_.begin(), rows_.end(), [](const Row& a, const Row& b) { return a.order < b.order; });
  return rows_;
}

session::Summary Day::total() const {
  session::Summary out = before_;
  add(out, session_->summary());
  return out;
}

std::vector<occupation::Combined> Day::combined() {
  std::vector<const occupation::Point*> points;
  for (const Row& row : rows()) points.push_back(&row.point);
  return session_->combined(points);
}

/// UUIDs of recomputed points: from their place in the run, so that the same run gives the same file.
std::string uuid_of(const occupation::Point& point, std::size_t number) {
  const std::string seed = sha256_hex(point.name + "\n" + std::to_string(point.visit) + "\n" + std::to_string(number));
  UuidEntropy entropy{};
  for (std::size_t i = 0; i < entropy.size(); ++i) entropy[i] = static_cast<std::uint8_t>(seed[i]);
  return make_uuid7(point.started_utc.value_or(UtcTime{}), entropy);
}

int write_pointbook(const Options& options, const config::Settings& settings, Day& day) {
  if (fs::exists(options.pointbook)) {
    return complain(options.pointbook + " is there already; name a new file, nothing is overwritten", kCannotWrite);
  }
  // The file's date is that of its last point: the same run gives the same file.
  UtcTime made;
  for (const Row& row : day.rows()) made = std::max(made, row.point.finished_utc.value_or(made));
  auto book = pointbook::Book::open(
      options.pointbook, {settings.project.name, day.frame(), day.frame_wkt(), day.projected(), false, made});
  if (!book) return complain(book.error().text, kCannotWrite);
  std::size_t number = 0;
  for (const Row& row : day.rows()) {
    occupation::StoredPoint stored;
    stored.uuid = uuid_of(row.point, ++number);
    stored.stored_at = row.point.finished_utc.value_or(UtcTime{});
    stored.point = row.point;
    stored.epochs = row.epochs;
    if (auto done = book->append(stored); !done) return complain(done.error().text, kCannotWrite);
  }
  return 0;
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

int print(const Options& options, Day& day, const std::vector<SourceScale>& scales) {
  bool all = !day.rows().empty();
  for (const Row& row : day.rows()) {
    if (options.epochs) {
      for (const auto& epoch : row.epochs) std::cout << wire::to_json(epoch) << '\n';
    }
    std::cout << wire::to_json(row.point) << '\n';
    all &= row.point.status == occupation::PointStatus::accepted;
  }
  for (const auto& combined : day.combined()) std::cout << wire::to_json(combined) << '\n';
  for (const SourceScale& scale : scales) std::cout << to_json(scale) << '\n';
  std::cout << wire::to_json(day.total(), day.rows().size()) << '\n' << std::flush;
  if (!std::cout) return complain("cannot write the results to standard output", kCannotWrite);
  if (options.calibrate) return say_scales(scales);
  return all ? kAllAccepted : kSomeHeld;
}

Result<std::vector<session::PlannedVisit>> visits_of(const Options& options) {
  if (options.visits.empty()) {
    return std::vector<session::PlannedVisit>{{fs::path(options.logs.front()).stem().string(), 1, "", {}, {}}};
  }
  std::ifstream in(options.visits, std::ios::binary);
  if (!in) return fail("cannot read the visits file " + options.visits);
  const std::string text{std::istreambuf_iterator<char>(in), {}};
  return session::parse_visits(text, options.visits);
}

}  // namespace

int run(const Options& options, const config::Settings& settings, Stream stream) {
  const auto visits = visits_of(options);
  if (!visits) return complain(visits.error().text, kUsage);
  const auto marks = read_marks(options.marks);
  if (!marks) return complain(marks.error().text, kUsage);
  Day day(options, settings);
  const bool follow = options.visits.empty() && stream.has_commands();
  if (auto started = day.start(follow, *visits); !started) return complain(started.error().text, kUsage);
  Result<void> played;
  day.play(stream, played);
  if (!played) return complain(played.error().text, kCannotRead);
  if (day.complaint) return complain(*day.complaint, kCannotRead);
  for (const std::string& note : stream.notes()) std::cerr << "stillpoint-reduce: note: " << note << "\n";
  if (day.total().stream.sentences == 0) complain("no valid NMEA sentence in the log", kSomeHeld);
  if (!options.pointbook.empty()) {
    if (const int failed = write_pointbook(options, settings, day); failed != 0) return failed;
  }
  std::vector<SourceScale> scales;
  if (options.calibrate) {
    std::vector<Visited> visited;
    for (const Row& row : day.rows()) visited.push_back({&row.point, &row.epochs});
    auto calibrated = calibrate(settings, *marks, visited);
    if (!calibrated) return complain(calibrated.error().text, kUsage);
    scales = std::move(*calibrated);
  }
  return print(options, day, scales);
}

}  // namespace stillpoint::reduce
