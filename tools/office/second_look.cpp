#include "second_look.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <functional>
#include <iostream>
#include <set>
#include <type_traits>

#include "base/number.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "pointbook/happened.hpp"
#include "reduce/say.hpp"
#include "sentences.hpp"
#include "verify.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

const std::vector<occupation::EpochRecord>& epochs_of(const pointbook::Contents& book, const std::string& uuid) {
  static const std::vector<occupation::EpochRecord> kNone;
  const auto at = book.epochs.find(uuid);
  return at == book.epochs.end() ? kNone : at->second;
}

Ask as_the_field_did(const pointbook::Contents& book) {
  Ask ask;
  ask.follow_commands = true;
  ask.training = book.training;
  ask.empty_stays = false;
  if (book.spool_waits) return ask;  // what lies there is not known here
  ask.stored.emplace();
  for (const occupation::StoredPoint* stored : first_versions(book))
    ask.stored->insert(reduce::StayBegun::of(stored->point));
  return ask;
}

std::string value_text(const std::string& value) {
  return value.empty() ? "nothing" : value;
}

std::string shot_title(const pointbook::CheckShot& shot) {
  return kSay.check_of(shot.mark, to_text(shot.utc));
}

std::string differs_in(std::size_t values) {
  return kSay.differs_in(counted(values, "value"));
}

std::size_t seconds_of(const occupation::Point& point) {
  return point.epochs_used + point.epochs_refused;
}

std::string sentence_of(const Compared& pair) {
  if (pair.unanswered) return kSay.unanswered(title(pair.again->point));
  if (pair.never_saved()) return kSay.was_open(title(pair.again->point));
  if (pair.field == nullptr) return kSay.not_in_book(title(pair.again->point));
  const std::string who = title(pair.field->point);
  if (pair.beyond_record) {
    const std::size_t there = pair.again == nullptr ? 0 : seconds_of(pair.again->point);
    return kSay.record_broke_off(who, std::to_string(seconds_of(pair.field->point)), std::to_string(there));
  }
  if (pair.again == nullptr) return kSay.not_in_record(who);
  if (pair.otherwise()) {
    return kSay.other_rules(who, std::to_string(pair.field->point.rules), std::to_string(pair.again->point.rules),
                            counted(pair.differences.size(), "value"));
  }
  if (!pair.same()) return who + ": " + differs_in(pair.differences.size());
  const std::string seconds = std::to_string(seconds_of(pair.field->point));
  if (pair.recovered) return kSay.as_saved(who, seconds);
  return kSay.same_seconds(who, seconds);
}

std::string sentence_of(const ComparedShot& pair) {
  if (pair.unanswered) return kSay.unanswered(shot_title(session::shot_of(pair.again->check)));
  if (pair.field == nullptr) {
    return kSay.not_in_book(shot_title(session::shot_of(pair.again->check)));
  }
  const std::string who = shot_title(*pair.field);
  if (pair.again == nullptr) return kSay.not_in_record(who);
  return who + ": " + (pair.same() ? kSay.the_same() : differs_in(pair.differences.size()));
}

void tell(const std::vector<pointbook::Difference>& differences) {
  for (const pointbook::Difference& d : differences) {
    std::cout << "  " << d.field << ": stored " << value_text(d.one) << ", recomputed " << value_text(d.other) << '\n';
  }
}

/// A shot that somebody made from a point holds the very coordinates of that point. How many do not.
std::size_t tell_shots_of_points(const pointbook::Contents& book, const std::vector<Compared>& pairs) {
  std::size_t wrong = 0;
  for (const pointbook::CheckShot& shot : book.checks) {
    const auto from = std::find_if(pairs.begin(), pairs.end(), [&](const Compared& pair) {
      return shot.version == 1 && pair.field != nullptr && pair.field->uuid == shot.point_uuid;
    });
    if (from == pairs.end() || from->again == nullptr || !from->again->point.at) continue;
    pointbook::CheckShot again = shot;
    again.at = *from->again->point.at;
    const auto found = pointbook::differences(pointbook::exact_fields(shot), pointbook::exact_fields(again));
    if (found.empty()) continue;
    ++wrong;
    std::cout << kSay.differs_from_point(shot_title(shot), counted(found.size(), "value")) << "\n";
    tell(found);
  }
  return wrong;
}

/// One verdict for all of a kind; whether it is good.
template <class Pair>
bool tell_all(const pointbook::Contents& book, const std::vector<Pair>& pairs, const std::string& what, bool brief) {
  const auto same = static_cast<std::size_t>(std::count_if(pairs.begin(), pairs.end(), std::mem_fn(&Pair::same)));
  const auto compared =
      static_cast<std::size_t>(std::count_if(pairs.begin(), pairs.end(), std::mem_fn(&Pair::compared)));
  for (const Pair& pair : pairs) {
    if (brief && pair.same()) continue;
    std::cout << sentence_of(pair) << '\n';
    tell(pair.differences);
  }
  if (same < pairs.size()) {
    std::cout << kSay.not_from_record(book.path, std::to_string(pairs.size() - same), counted(pairs.size(), what))
              << "\n";
    return false;
  }
  if (compared > 0) {
    std::cout << kSay.all_from_record(book.path, what, counted(compared, what)) << "\n";
  }
  return true;
}

/// What is no part of the comparison, and who made it.
template <class Row>
void tell_later(const pointbook::Contents& book, const std::vector<Row>& rows, const std::string& what) {
  std::size_t by_redo = 0, by_hand = 0, from_points = 0;
  for (const Row& row : rows) {
    if (made_by_redo(book, row.uuid)) {
      ++by_redo;
    } else if (row.version > 1) {
      ++by_hand;
    } else if constexpr (std::is_same_v<Row, pointbook::CheckShot>) {
      from_points += row.point_uuid.empty() ? 0U : 1U;
    }
  }
  const auto say = [&](std::size_t count, const std::string& how) {
    if (count > 0) std::cout << counted(count, "version") << " of " << what << " " << how << '\n';
  };
  say(by_redo, kSay.made_by_redo());
  say(by_hand, kSay.made_by_hand());
  say(from_points, kSay.made_from_points());
}

/// How far a point lies from where the present rules put it; empty: one of both has no place.
std::optional<double> moved_m(const Compared& pair) {
  const auto &field = pair.field->point.at, &again = pair.again->point.at;
  if (!field || !again) return std::nullopt;
  const auto enu = geodesy::LocalFrame(occupation::place_of(*field)).to_enu(occupation::place_of(*again));
  return std::hypot(enu.east_m, enu.north_m, enu.up_m);
}

/// Books of earlier rules are good for ever; how much the present ones would change is told.
void tell_rules(const pointbook::Contents& book, const std::vector<Compared>& pairs) {
  std::size_t earlier = 0, otherwise = 0;
  int rules = 0;
  double most_m = 0;
  for (const Compared& pair : pairs) {
    if (!pair.under_earlier_rules()) continue;
    ++earlier;
    rules = pair.field->point.rules;
    if (!pair.otherwise()) continue;
    ++otherwise;
    most_m = std::max(most_m, moved_m(pair).value_or(0));
  }
  if (earlier == 0) return;
  std::cout << kSay.under_other_rules(book.path, counted(earlier, "point"), std::to_string(rules),
                                      std::to_string(otherwise), std::to_string(occupation::kRules), fixed(most_m, 3))
            << "\n";
}

int conclude(const pointbook::Contents& book, const std::vector<Compared>& pairs,
             const std::vector<ComparedShot>& shots, bool brief) {
  const bool points_good = tell_all(book, pairs, "point", brief);
  const bool shots_good = tell_all(book, shots, kSay.check_shot(), brief);
  tell_rules(book, pairs);
  const std::size_t wrong = tell_shots_of_points(book, pairs);
  for (const std::string& damage : book.damage) std::cout << damage << '\n';
  tell_later(book, book.versions, "points");
  tell_later(book, book.checks, kSay.check_shots());
  if (book.spool_waits) {
    std::cout << kSay.verify_again() << "\n";
  }
  const bool empty = pairs.empty() && shots.empty();
  if (empty) std::cout << kSay.nothing_in_it(book.path) << "\n";
  std::cout.flush();
  if (!std::cout) return complain(kSay.output_lost(), kCannotWrite);
  const bool good = points_good && shots_good && wrong == 0 && book.damage.empty() && !book.spool_waits && !empty;
  return good ? kAllAccepted : kSomeHeld;
}

}  // namespace

Result<std::vector<std::string>> logs_of(const DayFiles& files, const config::Settings& settings) {
  if (!files.logs.empty()) return files.logs;
  std::vector<std::string> out;
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(settings.project.record, failed)) {
    if (entry.path().extension() == ".nmea") out.push_back(entry.path().string());
  }
  if (failed) return fail(kSay.record_unreadable(settings.project.record, failed.message()));
  if (out.empty()) return fail(kSay.record_empty(settings.project.record));
  std::sort(out.begin(), out.end());
  return out;
}

std::vector<const occupation::StoredPoint*> first_versions(const pointbook::Contents& book) {
  std::vector<const occupation::StoredPoint*> out;
  for (const auto& stored : book.versions) {
    if (stored.version == 1) out.push_back(&stored);
  }
  return out;
}

FieldDay::FieldDay(const pointbook::Contents& book, const config::Settings& settings)
    : book_(book), day_(settings, as_the_field_did(book)) {
  std::set<StayName> recovered;
  for (const pointbook::Event& event : book.events) {
    if (const auto told = pointbook::recovered_of(event)) recovered.emplace(told->name, told->visit);
  }
  for (const occupation::StoredPoint* stored : first_versions(book)) {
    const StayName who{stored->point.name, stored->point.visit};
    if (recovered.contains(who)) recovered_[who] = stored;
  }
}

/// Keeps a recovered stay as it stood when as many seconds had come as were saved.
void FieldDay::look(const session::Session& session) {
  if (session.open_stand() == nullptr || session.checks().is_open()) return;
  const auto shown = session.open_stay();
  if (!shown) return;
  const session::FinishedPoint* open = &shown->stay;
  const StayName who{open->point.name, open->point.visit};
  const auto wanted = recovered_.find(who);
  if (wanted == recovered_.end() || as_saved_.contains(who)) return;
  const occupation::Point& saved = wanted->second->point;
  const bool there = open->point.finished_utc == saved.finished_utc && seconds_of(open->point) == seconds_of(saved);
  if (there) as_saved_[who] = Row{0, day_.opening(), true, false, false, open->point, open->epochs};
}

Result<void> FieldDay::recompute(const std::vector<std::string>& logs) {
  auto stream = Stream::open(logs);
  if (!stream) return tl::unexpected(stream.error());
  if (!stream->is_recorded()) {
    return fail(kSay.no_journal());
  }
  if (!recovered_.empty()) day_.watch = [this](const session::Session& session) { look(session); };
  auto played = day_.play(*stream);
  broke_off_ = stream->broke_off();
  for (const std::string& note : stream->notes()) complain("note: " + note, 0);
  for (const std::string& note : day_.notes()) complain("note: " + note, 0);
  return played;
}

/// So young that the power may have gone before the record of its beginning was on the disk. A cut there leaves whole
/// lines, so that no file tells of it.
static bool is_just_begun(const occupation::Point& saved) {
  constexpr std::int64_t kSyncedWithinMs = 10'000;
  return saved.started_utc && saved.finished_utc && saved.finished_utc->ms - saved.started_utc->ms <= kSyncedWithinMs;
}

/// The spool may be on the disk before the last lines of the record are.
bool FieldDay::goes_further(const Compared& pair) const {
  if (pair.recovered) return false;
  if (pair.again == nullptr) {
    const occupation::Point& saved = pair.field->point;
    return recovered_.contains({saved.name, saved.visit}) && (broke_off_ || is_just_begun(saved));
  }
  if (!pair.again->cut_off) return false;
  const occupation::Point &field = pair.field->point, &again = pair.again->point;
  const bool same_stay = field.started_utc == again.started_utc || seconds_of(again) == 0;
  return same_stay && seconds_of(field) >= seconds_of(again);
}

std::vector<Compared> FieldDay::compare() {
  std::map<StayName, const Row*> given;
  for (const Row& row : day_.rows()) {
    if (!row.left_nothing) given[{row.point.name, row.point.visit}] = &row;
  }
  std::vector<Compared> out;
  for (const occupation::StoredPoint* stored : first_versions(book_)) {
    const StayName who{stored->point.name, stored->point.visit};
    Compared pair;
    pair.field = stored;
    if (const auto at = given.find(who); at != given.end()) pair.again = at->second;
    if (const auto at = as_saved_.find(who); at != as_saved_.end()) {
      pair.again = &at->second;
      pair.recovered = true;
    }
    given.erase(who);
    pair.beyond_record = goes_further(pair);
    if (pair.beyond_record) {
      out.push_back(std::move(pair));
      continue;
    }
    if (pair.again != nullptr) {
      pair.differences =
          pointbook::differences(stored->point, epochs_of(book_, stored->uuid), pair.again->point, pair.again->epochs);
      if (pair.under_earlier_rules()) std::erase_if(pair.differences, [](const auto& d) { return d.field == "rules"; });
    }
    out.push_back(std::move(pair));
  }
  for (const Row& row : day_.rows()) {
    if (!row.left_nothing && !given.contains({row.point.name, row.point.visit})) continue;
    out.push_back({nullptr, &row, false, row.unanswered && !book_.spool_waits, false, {}});
  }
  return out;
}

std::vector<ComparedShot> FieldDay::compare_shots() const {
  std::vector<const CheckRow*> given;
  for (const CheckRow& row : day_.checks()) {
    if (row.check.residual) given.push_back(&row);
  }
  std::vector<ComparedShot> out;
  for (const pointbook::CheckShot& shot : book_.checks) {
    if (shot.version != 1 || !shot.point_uuid.empty() || made_by_redo(book_, shot.uuid)) continue;
    const auto same_stay = [&](const CheckRow* row) {
      return row->check.mark.name == shot.mark && row->check.point.finished_utc == shot.utc;
    };
    ComparedShot pair{&shot, nullptr, false, {}};
    if (const auto at = std::find_if(given.begin(), given.end(), same_stay); at != given.end()) {
      pair.again = *at;
      pair.differences = pointbook::differences(shot, session::shot_of((*at)->check));
      given.erase(at);
    }
    out.push_back(std::move(pair));
  }
  for (const CheckRow* row : given) {
    out.push_back({nullptr, row, row->unanswered && !book_.spool_waits, {}});
  }
  return out;
}

std::vector<Row> FieldDay::stays() {
  std::set<StayName> stored;
  for (const occupation::StoredPoint* one : first_versions(book_)) stored.emplace(one->point.name, one->point.visit);
  std::vector<Row> out;
  for (const Row& row : day_.rows()) {
    const StayName who{row.point.name, row.point.visit};
    const auto saved = as_saved_.find(who);
    if (saved != as_saved_.end() && saved->second.opening == row.opening) {
      out.push_back(saved->second);
    } else if (!row.cut_off && !row.left_nothing && (stored.contains(who) || !row.unanswered)) {
      out.push_back(row);
    }
  }
  return out;
}

bool made_by_redo(const pointbook::Contents& book, const std::string& uuid) {
  return std::any_of(book.events.begin(), book.events.end(), [&](const pointbook::Event& event) {
    const auto redone = pointbook::redone_of(event);
    if (!redone) return false;
    const auto is_it = [&](const auto& row) { return row.uuid == uuid; };
    return std::any_of(redone->changed.begin(), redone->changed.end(), is_it) ||
           std::any_of(redone->checks.begin(), redone->checks.end(), is_it);
  });
}

int verify_day(const DayFiles& files, const config::Settings& settings) {
  const auto logs = logs_of(files, settings);
  if (!logs) return complain(logs.error().text, kCannotRead);
  const auto book = pointbook::read_contents(files.pointbook);
  if (!book) return complain(book.error().text, kCannotRead);
  const int sums = std::max(verify_files(*logs, files.brief), verify_closings(*book, *logs));
  FieldDay field(*book, settings);
  if (auto done = field.start(); !done) return complain(done.error().text, kUsage);
  if (auto done = field.recompute(*logs); !done) return complain(done.error().text, kCannotRead);
  return std::max(sums, conclude(*book, field.compare(), field.compare_shots(), files.brief));
}

}  // namespace stillpoint::office
