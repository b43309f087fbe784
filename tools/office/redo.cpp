// `redo`: the day computed again after a human mistake, as new versions beside the old.
//
// Rule:   first the record must give what the field stored. Then the corrections of every earlier redo, which the
//         pointbook keeps, and of this file are applied, and every stay ends where it ended on the day. A point that
//         comes out other than its newest version gets one more. A decision by hand stays: a rejected point stays
//         rejected, a point accepted for reasons that are the same still stays accepted.
// Errors: sentences on stderr; exit status 0 done or nothing to do, 1 the record does not give the field's points, 2
//         usage, configuration or the redo file, 3 cannot write (a daemon holds the pointbook), 4 unreadable.

#include <CLI/CLI.hpp>
#include <algorithm>
#include <iostream>

#include "base/identity.hpp"
#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "config/redo.hpp"
#include "geodesy/antenna.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "office.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/mark_file.hpp"
#include "pointbook/versions.hpp"
#include "redo_checks.hpp"
#include "redo_stays.hpp"
#include "reduce/say.hpp"
#include "second_look.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

using occupation::PointStatus;

/// From what the row is: the same correction of the same version never gets two identities in one moment.
std::string new_uuid(UtcTime now, const std::string& what) {
  const std::string seed = sha256_hex(what + "\n" + std::to_string(now.ms));
  UuidEntropy entropy{};
  for (std::size_t i = 0; i < entropy.size(); ++i)
    entropy[i] = static_cast<std::uint8_t>(seed[i] ^ (seed[i + 20] << 4));
  return make_uuid7(now, entropy);
}

/// The corrections in force: those the pointbook remembers, and the new file unless it is one of them.
struct Corrections {
  std::vector<config::Redo> redos;
  std::string text, sha256;
  const config::Redo& own() const { return redos[own_at]; }
  std::size_t own_at = 0;
  bool applied_before = false;
  std::string zone;  ///< of the project, for local times of the new file
};

/// Every correction that an event of the pointbook tells of.
Result<void> remembered(const pointbook::Contents& book, Corrections& out) {
  for (const pointbook::Event& event : book.events) {
    if (!pointbook::is(event, pointbook::EventKind::redo)) continue;
    const auto redone = pointbook::redone_of(event);
    if (!redone) return fail(kSay.earlier_unreadable(book.path, event.text));
    const std::string& text = redone->toml;
    auto parsed = config::parse_redo(text, kSay.the_redo_of(to_text(event.utc)));
    if (!parsed.errors.empty()) return fail(kSay.earlier_wrong(parsed.errors.front().text));
    if (auto done = resolve_times(parsed.redo, redone->zone); !done) return fail(kSay.earlier_wrong(done.error().text));
    if (sha256_hex(text) == out.sha256) {
      out.applied_before = true;
      out.own_at = out.redos.size();
    }
    out.redos.push_back(std::move(parsed.redo));
  }
  return {};
}

/// Zero, or the exit status after saying what is wrong.
int read_corrections(const std::string& redo, const pointbook::Contents& book, const std::string& zone,
                     Corrections& out) {
  auto text = read_named_file(kSay.the_redo_file(), redo, kMostTableBytes);
  if (!text) return complain(text.error().text, kUsage);
  out.text = std::move(*text);
  out.sha256 = sha256_hex(out.text);
  auto own = config::parse_redo(out.text, redo);
  for (const Error& error : own.errors) complain(error.text, kUsage);
  if (!own.errors.empty()) return kUsage;
  if (has_local_times(own.redo)) out.zone = zone;
  if (auto done = remembered(book, out); !done) return complain(done.error().text, kCannotRead);
  if (!out.applied_before) {
    if (auto done = resolve_times(own.redo, zone); !done) return complain(done.error().text, kUsage);
    out.own_at = out.redos.size();
    out.redos.push_back(std::move(own.redo));
  }
  const auto points = pointbook::points_of(book.versions);
  for (config::Redo& one : out.redos) {
    if (auto done = resolve_names(one, points); !done) return complain(done.error().text, kUsage);
  }
  return 0;
}

/// Whether a correction covers a stay; an error when it begins or ends in the middle of it. A mark has no name of a point.
Result<bool> covers(const config::AntennaCorrection& given, const occupation::Point& point, bool on_mark,
                    const std::string& path) {
  if (!given.points.empty()) {
    const StayName who{point.name, point.visit};
    return !on_mark && std::find(given.points.begin(), given.points.end(), who) != given.points.end();
  }
  if (!point.started_utc || !point.finished_utc) return false;
  const bool before = given.from && *point.finished_utc < *given.from;
  const bool after = given.until && *point.started_utc >= *given.until;
  if (before || after) return false;
  const bool begins_inside = given.from && *point.started_utc < *given.from;
  const bool ends_inside = given.until && *point.finished_utc >= *given.until;
  if (!begins_inside && !ends_inside) return true;
  return fail(kSay.within_stay(path, std::to_string(given.line), begins_inside ? "begins" : "ends", title(point),
                               to_text(*point.started_utc), to_text(*point.finished_utc)));
}

/// How one stay of the day is computed anew.
Result<session::Again> anew(const occupation::Point& point, bool cut_off, bool on_mark,
                            const Corrections& corrections) {
  session::Again again;
  const auto& reasons = point.reasons;
  const bool broken_off =
      std::find(reasons.begin(), reasons.end(), occupation::HoldReason::interrupted) != reasons.end();
  again.broken_off = cut_off;
  if (!broken_off || cut_off) again.epochs = point.epochs_used + point.epochs_refused;
  for (const config::Redo& redo : corrections.redos) {
    for (const config::AntennaCorrection& given : redo.antennas) {
      const auto height_m = geodesy::antenna_height_m(given.antenna);
      if (!height_m) return fail(redo.path + ", line " + std::to_string(given.line) + ": " + height_m.error().text);
      const auto covered = covers(given, point, on_mark, redo.path);
      if (!covered) return tl::unexpected(covered.error());
      if (*covered) again.antenna_height_m = *height_m;
    }
  }
  return again;
}

/// How each stay of the day is computed anew, by its opening: those on points, and those on marks.
Result<std::map<std::size_t, session::Again>> stays_anew(const std::vector<Row>& stays,
                                                         const std::vector<CheckRow>& checks,
                                                         const Corrections& corrections) {
  std::map<std::size_t, session::Again> out;
  const auto add = [&](std::size_t opening, const occupation::Point& point, bool cut_off,
                       bool on_mark) -> Result<void> {
    auto again = anew(point, cut_off, on_mark, corrections);
    if (!again) return tl::unexpected(again.error());
    out[opening] = *again;
    return {};
  };
  for (const Row& row : stays) {
    if (!row.point.measures.empty()) continue;  // it follows from its stays
    if (auto done = add(row.opening, row.point, row.cut_off, false); !done) return tl::unexpected(done.error());
  }
  for (const CheckRow& row : checks) {
    if (auto done = add(row.opening, row.check.point, false, true); !done) return tl::unexpected(done.error());
  }
  return out;
}

/// Openings are counted alike on the day and anew; what was made from stays is no opening, and has its name.
bool is_same_stay(const Row& before, const Row& again) {
  const occupation::Point &a = before.point, &b = again.point;
  if (a.measures.empty()) return b.measures.empty() && before.opening == again.opening;
  return !b.measures.empty() && a.name == b.name && a.visit == b.visit && a.started_utc == b.started_utc;
}

/// A receiver that reduces its heights itself has no antenna height to correct here.
Result<void> antennas_can_change(const config::Settings& settings, const Corrections& corrections) {
  if (!settings.antenna.already_reduced_by_receiver) return {};
  for (const config::Redo& redo : corrections.redos) {
    if (redo.antennas.empty()) continue;
    return fail(kSay.nothing_subtracted(redo.path, std::to_string(redo.antennas.front().line)));
  }
  return {};
}

/// What a hand has put right on the newest version, and what it has decided, is not undone by a computation.
void keep_decision(const occupation::Point& newest, occupation::Point& again) {
  occupation::Called{newest.name, newest.visit, newest.code, newest.note}.give(again);
  again.measures = newest.measures;  // its stays may be called otherwise by now
  const bool by_hand = newest.status == PointStatus::accepted && !newest.reasons.empty();
  if (newest.status == PointStatus::rejected) {
    again.status = PointStatus::rejected;
  } else if (by_hand && again.status == PointStatus::held && newest.reasons == again.reasons) {
    again.status = PointStatus::accepted;
    const auto& flags = newest.flags;
    if (std::find(flags.begin(), flags.end(), occupation::kAcceptedByHand) == flags.end()) return;
    again.flags.emplace_back(occupation::kAcceptedByHand);
    std::sort(again.flags.begin(), again.flags.end());
  }
}

struct Change {
  const occupation::StoredPoint* newest = nullptr;
  occupation::StoredPoint next;
  std::optional<geodesy::Enu> moved;
};

std::string moved_text(const Change& change) {
  if (!change.moved) return change.next.point.at ? kSay.coordinates_now() : kSay.nothing_counts_now();
  return "moved " + with_sign(change.moved->east_m, 4) + " m east, " + with_sign(change.moved->north_m, 4) +
         " m north, " + with_sign(change.moved->up_m, 4) + " m up";
}

std::optional<geodesy::Enu> moved(const occupation::Point& from, const occupation::Point& to) {
  if (!from.at || !to.at) return std::nullopt;
  return geodesy::LocalFrame(occupation::place_of(*from.at)).to_enu(occupation::place_of(*to.at));
}

std::string status_note(const Change& change) {
  const auto before = change.newest->point.status, after = change.next.point.status;
  if (after == PointStatus::rejected) return kSay.stays_rejected();
  if (before == after) return "";
  std::string text = kSay.status_changed(to_word(before), to_word(after));
  for (const std::string& why : change.next.point.reason_texts) text += "; " + why;
  return text;
}

/// What a person wants to know of a change: where to, and which inputs and counts are others.
std::vector<std::string> change_lines(const Change& change) {
  std::vector<std::string> out{moved_text(change)};
  if (auto note = status_note(change); !note.empty()) out.push_back(std::move(note));
  static constexpr std::array<std::string_view, 8> kTold{"frame", "source",      "antenna_height_m", "coordinate_epoch",
                                                         "geoid", "epochs_used", "epochs_refused",   "error_scale"};
  const auto found =
      pointbook::differences(pointbook::exact_fields(change.newest->point), pointbook::exact_fields(change.next.point));
  for (const pointbook::Difference& d : found) {
    if (std::find(kTold.begin(), kTold.end(), d.field) == kTold.end()) continue;
    out.push_back(d.field + " " + (d.one.empty() ? "nothing" : d.one) + " became " +
                  (d.other.empty() ? "nothing" : d.other));
  }
  const auto &from = change.newest->point.at, &to = change.next.point.at;
  if (from && to) {
    out.push_back(kSay.errors_became(fixed(from->error95_horizontal_m, 3), fixed(to->error95_horizontal_m, 3),
                                     fixed(from->error95_vertical_m, 3), fixed(to->error95_vertical_m, 3)));
  }
  return out;
}

/// A mark that neither the marks file nor any check shot knows is a slip of the pen.
Result<void> marks_are_known(const std::vector<control::Mark>& corrected, const config::Settings& settings,
                             const pointbook::Contents& book) {
  control::Marks file;
  if (!corrected.empty() && !settings.checks.marks.empty()) {
    auto read = pointbook::read_mark_file(settings.checks.marks);
    if (!read) return tl::unexpected(read.error());
    file = std::move(*read);
  }
  for (const control::Mark& mark : corrected) {
    const auto has_shot = [&](const pointbook::CheckShot& shot) { return shot.mark == mark.name; };
    if (file.find(mark.name) != nullptr || std::any_of(book.checks.begin(), book.checks.end(), has_shot)) continue;
    return fail(kSay.no_such_mark(mark.name));
  }
  return {};
}

class Redoing {
 public:
  Redoing(const DayFiles& files, const pointbook::Contents& book, const Corrections& corrections)
      : files_(files), book_(book), corrections_(corrections) {}

  int run(const config::Settings& settings, const std::vector<std::string>& logs);

 private:
  int recompute(FieldDay& field, const std::vector<std::string>& logs);
  void compare(const Row& before, const Row& after);
  int redo_checks(const FieldDay& field, const Recomputation& again, const std::vector<control::Mark>& marks);
  int finish(const FieldDay& field);
  int write(const FieldDay& field, UtcTime now);
  pointbook::Event event(UtcTime now) const;
  void tell() const;
  const pointbook::Versions& versions_of(const StayName& who) const;
  bool computed_before(const StayName& who) const;

  const DayFiles& files_;
  const pointbook::Contents& book_;
  const Corrections& corrections_;
  std::vector<pointbook::Versions> points_ = pointbook::points_of(book_.versions);
  config::Settings corrected_;
  std::vector<Change> changes_;
  std::vector<RevisedShot> shots_;
  std::size_t unchanged_ = 0;
};

/// By the name and visit of the first version, which are what the record gives.
const pointbook::Versions& Redoing::versions_of(const StayName& who) const {
  const auto at = std::find_if(points_.begin(), points_.end(), [&](const pointbook::Versions& point) {
    return point.front()->point.name == who.first && point.front()->point.visit == who.second;
  });
  return *at;
}

/// A redo before this one gave it a version.
bool Redoing::computed_before(const StayName& who) const {
  const pointbook::Versions& all = versions_of(who);
  return std::any_of(all.begin(), all.end(),
                     [&](const occupation::StoredPoint* stored) { return made_by_redo(book_, stored->uuid); });
}

void Redoing::compare(const Row& before, const Row& after) {
  const StayName who{after.point.name, after.point.visit};
  const occupation::StoredPoint* newest = versions_of(who).back();
  const bool touched =
      !pointbook::differences(before.point, before.epochs, after.point, after.epochs).empty() || computed_before(who);
  Change change{newest, {}, {}};
  change.next.point = after.point;
  keep_decision(newest->point, change.next.point);
  const auto found =
      pointbook::differences(pointbook::exact_fields(newest->point), pointbook::exact_fields(change.next.point));
  if (!touched || found.empty()) {
    ++unchanged_;
    return;
  }
  change.moved = moved(newest->point, after.point);
  change.next.epochs = after.epochs;
  change.next.version = newest->version + 1;
  change.next.supersedes = newest->uuid;
  change.next.changed_by = corrections_.own().by;
  change.next.change_reason = corrections_.own().reason + " (" + moved_text(change) + ")";
  changes_.push_back(std::move(change));
}

int Redoing::recompute(FieldDay& field, const std::vector<std::string>& logs) {
  const std::vector<Row> stays = field.stays();
  auto anew = stays_anew(stays, field.day().checks(), corrections_);
  if (!anew) return complain(anew.error().text, kUsage);
  auto marks = corrected_marks(corrections_.redos);
  if (!marks) return complain(marks.error().text, kUsage);
  if (auto good = marks_are_known(*marks, corrected_, book_); !good) return complain(good.error().text, kUsage);
  Ask ask;
  ask.follow_commands = true;
  ask.training = book_.training;
  ask.computed_anew = std::move(*anew);
  ask.marks = *marks;
  Recomputation again(corrected_, std::move(ask));
  auto stream = Stream::open(logs);
  if (!stream) return complain(stream.error().text, kCannotRead);
  if (auto started = again.start(); !started) return complain(started.error().text, kUsage);
  if (auto played = again.play(*stream); !played) return complain(played.error().text, kCannotRead);
  for (const Row& before : stays) {
    const auto at = std::find_if(again.rows().begin(), again.rows().end(),
                                 [&](const Row& row) { return is_same_stay(before, row); });
    if (at == again.rows().end()) return complain(kSay.not_recomputed(title(before.point)), kSomeHeld);
    compare(before, *at);
  }
  return redo_checks(field, again, *marks);
}

int Redoing::redo_checks(const FieldDay& field, const Recomputation& again, const std::vector<control::Mark>& marks) {
  shots_ = revised_shots(book_, field, again);
  std::map<std::string, const occupation::Point*> moved;
  for (const Change& change : changes_) {
    for (const pointbook::Versions& point : points_) {
      if (point.back() != change.newest) continue;
      for (const occupation::StoredPoint* stored : point) moved[stored->uuid] = &change.next.point;
    }
  }
  auto shots = corrected_shots(book_, moved, marks);
  if (!shots) return complain(shots.error().text, kUsage);
  for (RevisedShot& shot : *shots) shots_.push_back(std::move(shot));
  return 0;
}

pointbook::Event Redoing::event(UtcTime now) const {
  const config::Redo& own = corrections_.own();
  pointbook::Redone redone{own.by, own.reason, {}, {}, corrections_.sha256, corrections_.text, corrections_.zone};
  for (const auto& [newest, next, moved] : changes_) {
    pointbook::RedonePoint point{next.point.name, next.point.visit, next.version, next.uuid, {}};
    if (moved) point.moved_m = {moved->east_m, moved->north_m, moved->up_m};
    redone.changed.push_back(std::move(point));
  }
  for (const auto& [shot, opening, compared] : shots_) {
    redone.checks.push_back({shot.mark, shot.version, shot.uuid, opening, compared});
  }
  return pointbook::event_of(now, redone);
}

void Redoing::tell() const {
  for (const Change& change : changes_) {
    std::cout << kSay.version_beside(title(change.next.point), std::to_string(change.next.version),
                                     std::to_string(change.newest->version))
              << "\n";
    for (const std::string& line : change_lines(change)) std::cout << "  " << line << '\n';
  }
  for (const auto& [shot, opening, compared] : shots_) {
    std::cout << kSay.check_version(shot.mark, to_text(shot.utc), std::to_string(shot.version)) << "\n  " << shot.text
              << "\n";
  }
}

int Redoing::write(const FieldDay& field, UtcTime now) {
  auto opened = pointbook::Book::open(files_.pointbook, field.day().identity(book_.project, book_.training, now));
  if (!opened) return complain(opened.error().text, kCannotWrite);
  pointbook::Batch batch;
  for (Change& change : changes_) {
    change.next.uuid = new_uuid(now, corrections_.sha256 + title(change.next.point));
    change.next.stored_at = now;
    batch.points.push_back(change.next);
  }
  for (auto& [shot, opening, compared] : shots_) {
    shot.uuid = new_uuid(now, corrections_.sha256 + shot.supersedes + std::to_string(opening));
    shot.stored_at = now;
    shot.text += " (" + corrections_.own().by + ": " + corrections_.own().reason + ")";
    batch.checks.push_back(shot);
  }
  batch.events.push_back(event(now));
  if (auto done = opened->append(batch); !done) return complain(done.error().text, kCannotWrite);
  return 0;
}

int Redoing::finish(const FieldDay& field) {
  if (changes_.empty() && shots_.empty()) {
    std::cout << kSay.nothing_otherwise(files_.pointbook,
                                        corrections_.applied_before ? kSay.applied_before() + "\n" : "\n");
    return kAllAccepted;
  }
  if (const int failed = write(field, utc_now()); failed != 0) return failed;
  tell();
  const auto shots = std::count_if(book_.checks.begin(), book_.checks.end(),
                                   [](const pointbook::CheckShot& shot) { return shot.version == 1; });
  std::cout << kSay.new_versions(files_.pointbook, std::to_string(changes_.size()),
                                 std::to_string(changes_.size() + unchanged_), std::to_string(shots_.size()),
                                 std::to_string(shots), corrections_.own().by, corrections_.own().reason)
            << "\n";
  return kAllAccepted;
}

int Redoing::run(const config::Settings& settings, const std::vector<std::string>& logs) {
  if (auto good = antennas_can_change(settings, corrections_); !good) return complain(good.error().text, kUsage);
  FieldDay field(book_, settings);
  if (auto done = field.start(); !done) return complain(done.error().text, kUsage);
  if (auto done = field.recompute(logs); !done) return complain(done.error().text, kCannotRead);
  std::size_t wrong = 0;
  for (const Compared& pair : field.compare()) wrong += pair.same() ? 0U : 1U;
  std::size_t wrong_shots = 0;
  // A shot that only the record gives changes no row.
  for (const ComparedShot& pair : field.compare_shots()) wrong_shots += pair.same() || pair.field == nullptr ? 0U : 1U;
  if (wrong + wrong_shots > 0) {
    return complain(kSay.not_as_stored(std::to_string(wrong),
                                       wrong_shots == 0 ? "" : kSay.and_check_shots(std::to_string(wrong_shots))),
                    kSomeHeld);
  }
  auto loaded = config::load_corrected(files_.config, corrections_.redos);
  for (const Error& error : loaded.errors) complain(error.text, kUsage);
  if (!loaded.errors.empty()) return kUsage;
  corrected_ = std::move(loaded.settings);
  if (const int failed = recompute(field, logs); failed != 0) return failed;
  return finish(field);
}

int redo(const std::string& corrections_file, const DayFiles& files) {
  const auto settings = settings_of(files.config);
  if (!settings) return kUsage;
  const auto logs = logs_of(files, *settings);
  if (!logs) return complain(logs.error().text, kCannotRead);
  const auto book = pointbook::read_contents(files.pointbook);
  if (!book) return complain(book.error().text, kCannotRead);
  if (!book->damage.empty()) return complain(kSay.nothing_computed(book->damage.front()), kCannotRead);
  if (book->spool_waits) {
    return complain(kSay.rows_beside(book->path), kCannotRead);
  }
  Corrections corrections;
  if (const int failed = read_corrections(corrections_file, *book, settings->project.local_time, corrections);
      failed != 0)
    return failed;
  return Redoing(files, *book, corrections).run(*settings, *logs);
}

constexpr const char* kFooter =
    "FILE.toml says who corrects and why, and what: the antenna for a time range (between stays) or for points by "
    "name, "
    "keys\n"
    "of a source, or a mark. The record must give the field's points first; nothing is overwritten; a redo stays in "
    "force for later\n"
    "ones; no daemon may hold the pointbook.\n"
    "  by     = \"A. Brandvold\"\n"
    "  reason = \"the pole stood at 2.000, 1.800 was entered\"\n"
    "  [[antenna]]                            # both times may be left out\n"
    "  from_utc  = \"2026-06-03T14:05:00Z\"\n"
    "  until_utc = \"2026-06-03T15:30:00Z\"\n"
    "  # from_local = \"2026-06-03 10:05\", until_local: the same by the clocks of [project] local_time\n"
    "  # points = [\"CUL-7\", \"CUL-9 visit 2\"]: these and no others; a name alone is its first visit\n"
    "  vertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n"
    "  [[source]]                             # its name, and the keys that change\n"
    "  name  = \"county network\"\n"
    "  frame = \"EPSG:6319\"\n"
    "  gate  = { max_hdop = 1.5 }\n"
    "  [[mark]]                               # the columns of MARKS; corrects checks on it and what they held\n"
    "  name  = \"VM-11\"\n"
    "Exit status: 0 done or nothing to do, 1 the record does not give the field's points, 2 usage, configuration or\n"
    "FILE.toml, 3 cannot write, 4 unreadable.";

}  // namespace

void add_redo(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand("redo",
                                     "Recompute the day after a human mistake and store what comes out otherwise as "
                                     "new versions in the day's pointbook");
  const auto files = std::make_shared<DayFiles>();
  const auto corrections = std::make_shared<std::string>();
  verb->add_option("corrections", *corrections, "What was wrong; see below")->required()->type_name("FILE.toml");
  verb->add_option("--config", files->config, "Configuration (TOML)")->required()->type_name("FILE");
  verb->add_option("--pointbook", files->pointbook, "The day's own pointbook")->required()->type_name("DAY.gpkg");
  verb->add_option("--log", files->logs, "Recorded log; without it the whole record of the configuration is read")
      ->type_name("FILE");
  verb->footer(kFooter);
  verb->callback([files, corrections, &status] {
    check_names({files->config, files->pointbook, *corrections});
    check_names(files->logs);
    status = redo(*corrections, *files);
  });
}

}  // namespace stillpoint::office
