#include "keeping/journaled.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "base/plain_file.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "common/times.hpp"
#include "keeping/open_stay.hpp"
#include "keeping/pair_catalogue.hpp"
#include "keeping/sentences.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/spool.hpp"
#include "record/command.hpp"
#include "record/journal.hpp"

namespace stillpoint::daemon {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostHeadBytes = 256;

std::vector<std::string> journals_in(const std::string& folder) {
  std::vector<std::string> out;
  std::error_code none;
  for (const auto& entry : fs::directory_iterator(folder, none)) {
    if (entry.path().extension() == ".journal") out.push_back(entry.path().string());
  }
  std::sort(out.begin(), out.end());
  return out;
}

/// Looked at before the rest is read: the journals of a season would keep a start waiting.
bool is_of_the_day(const std::string& path, UtcTime now) {
  if (plain_file_fault(path)) return false;
  std::string head(kMostHeadBytes, '\0');
  std::ifstream in(path, std::ios::binary);
  in.read(head.data(), static_cast<std::streamsize>(head.size()));
  head.resize(static_cast<std::size_t>(in.gcount()));
  const auto journal = record::parse_journal(head.substr(0, head.find('\n') + 1));
  return journal && now.ms - journal->head.utc.ms <= kDayBack_ms;
}

/// The stays and what was made of them, from line to line and from journal to journal.
class Reading {
 public:
  void take(const record::JournalLine& line) {
    if (line.command.empty()) {
      latest_ = line.arrived;
    } else if (const auto entry = record::from_line(line.command)) {
      take(*entry, line.arrived);
    }
  }
  /// The run has ended, in good order or not.
  void end_run() {
    if (last_ && latest_.ms - last_->ms <= record::kLongestAnswerMs) keeps.back().unanswered = true;
    last_.reset();
  }
  std::vector<JournaledKeep> keeps;

 private:
  void take(const record::Entry& entry, FeedTime at) {
    if (std::holds_alternative<record::Started>(entry.what)) end_run();
    latest_ = at;
    if (std::holds_alternative<record::Stopped>(entry.what)) last_.reset();
    const auto* safe = std::get_if<record::Safe>(&entry.what);
    if (safe != nullptr && !keeps.empty() && safe->made == keeps.back().uuid) last_.reset();
    if (const auto* occupy = std::get_if<record::Occupy>(&entry.what)) {
      begin({"", occupy->name, occupy->visit.value_or(1)});
    } else if (const auto* check = std::get_if<record::Check>(&entry.what)) {
      begin({"", check->mark, 0});
    } else if (const auto* amend = std::get_if<record::Amend>(&entry.what)) {
      take(*amend, entry.utc, at);
    } else if (const auto* offset = std::get_if<record::Offset>(&entry.what)) {
      keeps.push_back({offset->made, offset->name, offset->visit.value_or(1), entry.utc});
      last_ = at;
    } else if (const auto* keep = std::get_if<record::Keep>(&entry.what); keep != nullptr && !keep->made.empty()) {
      open_.uuid = keep->made;
      open_.utc = entry.utc;
      keeps.push_back(open_);
      last_ = at;
    }
  }
  void take(const record::Amend& amend, std::optional<UtcTime> utc, FeedTime at) {
    if (amend.made.empty()) {
      open_.name = amend.called();
      open_.visit = amend.called_visit();
    } else {
      keeps.push_back({amend.made, amend.called(), amend.called_visit(), utc});
      last_ = at;
    }
  }
  void begin(JournaledKeep stay) {
    open_ = std::move(stay);
    last_.reset();
  }

  JournaledKeep open_;
  FeedTime latest_;
  std::optional<FeedTime> last_;  ///< when the last keep was given; empty: it is safe, or something was begun since
};

std::string stay_text(const JournaledKeep& keep) {
  const std::string what =
      keep.visit == 0 ? kSay.check_on(keep.name) : kSay.stay(keep.name, std::to_string(keep.visit));
  return keep.utc ? kSayOfRecord.kept_at(what, to_text(*keep.utc)) + "," : what;
}

template <class Word>
std::vector<std::string> told(const std::vector<JournaledKeep>& keeps, const Known& known, bool unanswered,
                              const Word& word) {
  std::vector<std::string> out;
  for (const JournaledKeep& keep : keeps) {
    if (keep.unanswered == unanswered && !known.has(keep)) out.push_back(word(stay_text(keep)));
  }
  return out;
}

}  // namespace

std::vector<JournaledKeep> keeps_in(const std::string& folder, UtcTime now, LastRun last) {
  Reading reading;
  for (const std::string& path : journals_in(folder)) {
    if (!is_of_the_day(path, now)) continue;
    const auto text = read_file(path);
    const auto journal = text ? record::parse_journal(*text) : Result<record::Journal>(fail(""));
    if (!journal) continue;
    for (const auto& line : journal->lines) reading.take(line);
  }
  if (last == LastRun::over) reading.end_run();
  return std::move(reading.keeps);
}

Known::Known(const std::vector<pointbook::Kept>& stored) {
  for (const pointbook::Kept& kept : stored) {
    uuids_.insert(kept.uuid);
    if (kept.visit > 0) visits_.emplace(kept.name, kept.visit);
  }
}

void Known::add(const std::vector<occupation::StoredPoint>& points, const std::vector<pointbook::CheckShot>& shots) {
  for (const auto& stored : points) {
    uuids_.insert(stored.uuid);
    visits_.emplace(stored.point.name, stored.point.visit);
  }
  for (const auto& shot : shots) uuids_.insert(shot.uuid);
}

bool Known::has(const JournaledKeep& keep) const {
  return uuids_.contains(keep.uuid) || visits_.contains({keep.name, keep.visit});
}

std::vector<std::string> missing_keeps(const std::vector<JournaledKeep>& keeps, const Known& known) {
  return told(keeps, known, false, kSay.kept_and_missing);
}

std::vector<std::string> unanswered_keeps(const std::vector<JournaledKeep>& keeps, const Known& known) {
  return told(keeps, known, true, kSay.never_answered);
}

Known known_in(const std::string& pointbook) {
  Known known;
  if (const auto book = pointbook::read_contents(pointbook)) known.add(book->versions, book->checks);
  const pointbook::Waiting waiting = pointbook::waiting_in(pointbook);
  known.add(waiting.points, waiting.shots);
  if (const auto open = open_stay_in(pointbook)) known.add({*open}, {});  // it becomes a point at the next start
  return known;
}

}  // namespace stillpoint::daemon
