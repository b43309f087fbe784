#include "second_look.hpp"

#include <algorithm>
#include <filesystem>
#include <iostream>

#include "say.hpp"
#include "verify.hpp"

namespace stillpoint::reduce {
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
  return ask;
}

std::string value_text(const std::string& value) {
  return value.empty() ? "nothing" : value;
}

std::string sentence_of(const Compared& pair) {
  if (pair.field == nullptr) return title(pair.again->point) + ": the record gives it, the pointbook does not have it";
  const std::string who = title(pair.field->point);
  if (pair.again == nullptr) return who + ": the record does not give it";
  if (!pair.same())
    return who + ": DIFFERS in " + std::to_string(pair.differences.size()) +
           (pair.differences.size() == 1 ? " value" : " values");
  const std::string seconds = std::to_string(pair.field->point.epochs_used + pair.field->point.epochs_refused);
  if (pair.recovered) return who + ": the same as it was last saved before the program ended, " + seconds + " seconds";
  return who + ": the same, " + seconds + " seconds";
}

void tell(const Compared& pair) {
  std::cout << sentence_of(pair) << '\n';
  for (const pointbook::Difference& d : pair.differences) {
    std::cout << "  " << d.field << ": stored " << value_text(d.one) << ", recomputed " << value_text(d.other) << '\n';
  }
}

/// A shot must hold the very coordinates of the point it was made from. How many do not.
std::size_t tell_shots(const pointbook::Contents& book, const std::vector<Compared>& pairs) {
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
    std::cout << "check on " << shot.mark << " of " << to_text(shot.utc) << ": DIFFERS from its point in "
              << found.size() << (found.size() == 1 ? " value\n" : " values\n");
    for (const pointbook::Difference& d : found) {
      std::cout << "  " << d.field << ": stored " << value_text(d.one) << ", recomputed " << value_text(d.other)
                << '\n';
    }
  }
  return wrong;
}

int conclude(const pointbook::Contents& book, const std::vector<Compared>& pairs) {
  std::size_t same = 0;
  for (const Compared& pair : pairs) {
    tell(pair);
    same += pair.same() ? 1U : 0U;
  }
  const std::size_t wrong_shots = tell_shots(book, pairs);
  for (const std::string& damage : book.damage) std::cout << damage << '\n';
  const std::size_t later = book.versions.size() - first_versions(book).size();
  if (later > 0) std::cout << later << " later versions were made by hand; they are not part of this comparison\n";
  if (book.spool_waits) {
    std::cout << "points lie beside the pointbook that are not in it yet; start the daemon once, then verify again\n";
  }
  const bool good =
      same == pairs.size() && wrong_shots == 0 && book.damage.empty() && !book.spool_waits && !pairs.empty();
  if (pairs.empty()) std::cout << book.path << ": no point in it, and none in the record\n";
  if (good) {
    std::cout << book.path << ": every point comes out of the record as the field stored it, to the last bit ("
              << pairs.size() << (pairs.size() == 1 ? " point)\n" : " points)\n");
  } else if (same < pairs.size()) {
    std::cout << book.path << ": " << pairs.size() - same << " of " << pairs.size()
              << " points do NOT come out of the record as the field stored them\n";
  }
  std::cout.flush();
  if (!std::cout) return complain("cannot write to standard output", kCannotWrite);
  return good ? kAllAccepted : kSomeHeld;
}

}  // namespace

Result<std::vector<std::string>> logs_of(const Options& options, const config::Settings& settings) {
  if (!options.logs.empty()) return options.logs;
  std::vector<std::string> out;
  std::error_code failed;
  for (const auto& entry : fs::directory_iterator(settings.project.record, failed)) {
    if (entry.path().extension() == ".nmea") out.push_back(entry.path().string());
  }
  if (failed) return fail("cannot read the record " + settings.project.record + " (" + failed.message() + ")");
  if (out.empty()) return fail("there is no log in the record " + settings.project.record + "; name them with --log");
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
  for (const occupation::StoredPoint* stored : first_versions(book)) {
    const auto told = [&](const pointbook::Event& event) {
      return event.kind == "recovered" && event.text.starts_with(title(stored->point) + " was open");
    };
    if (std::any_of(book.events.begin(), book.events.end(), told)) {
      recovered_[{stored->point.name, stored->point.visit}] = stored;
    }
  }
}

/// Keeps a recovered stay as it stood when as many seconds had come as were saved.
void FieldDay::look(const session::Session& session) {
  if (!session.is_occupied()) return;
  const auto open = session.open_stay();
  if (!open) return;
  const StayName who{open->point.name, open->point.visit};
  const auto wanted = recovered_.find(who);
  if (wanted == recovered_.end() || as_saved_.contains(who)) return;
  const occupation::Point& saved = wanted->second->point;
  const bool there = open->point.finished_utc == saved.finished_utc &&
                     open->point.epochs_used + open->point.epochs_refused == saved.epochs_used + saved.epochs_refused;
  if (there) as_saved_[who] = Row{0, open->point, open->epochs};
}

Result<void> FieldDay::recompute(const std::vector<std::string>& logs) {
  auto stream = Stream::open(logs);
  if (!stream) return tl::unexpected(stream.error());
  if (!stream->is_recorded()) {
    return fail(
        "a log has no journal, which says when points were occupied; a pointbook is compared with the record "
        "of the daemon that wrote it");
  }
  if (!recovered_.empty()) day_.watch = [this](const session::Session& session) { look(session); };
  return day_.play(*stream);
}

std::vector<Compared> FieldDay::compare() {
  std::map<StayName, const Row*> given;
  for (const Row& row : day_.rows()) given[{row.point.name, row.point.visit}] = &row;
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
    if (pair.again != nullptr) {
      pair.differences =
          pointbook::differences(stored->point, epochs_of(book_, stored->uuid), pair.again->point, pair.again->epochs);
    }
    out.push_back(std::move(pair));
  }
  for (const Row& row : day_.rows()) {
    if (given.contains({row.point.name, row.point.visit})) out.push_back({nullptr, &row, false, {}});
  }
  return out;
}

int verify_day(const Options& options, const config::Settings& settings) {
  const auto logs = logs_of(options, settings);
  if (!logs) return complain(logs.error().text, kCannotRead);
  const auto book = pointbook::read_contents(options.pointbook);
  if (!book) return complain(book.error().text, kCannotRead);
  const int sums = verify(*logs);
  FieldDay field(*book, settings);
  if (auto done = field.start(); !done) return complain(done.error().text, kUsage);
  if (auto done = field.recompute(*logs); !done) return complain(done.error().text, kCannotRead);
  return std::max(sums, conclude(*book, field.compare()));
}

}  // namespace stillpoint::reduce
