#include "journaled.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "base/plain_file.hpp"
#include "file.hpp"
#include "pair_catalogue.hpp"
#include "pointbook/reader.hpp"
#include "pointbook/spool.hpp"
#include "record/command.hpp"
#include "record/journal.hpp"
#include "sentences.hpp"

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
    const auto entry = record::from_line(line.command);
    if (!entry) return;
    if (const auto* occupy = std::get_if<record::Occupy>(&entry->what)) {
      open_ = {"", occupy->name, occupy->visit.value_or(1), {}};
    } else if (const auto* check = std::get_if<record::Check>(&entry->what)) {
      open_ = {"", check->mark, 0, {}};
    } else if (const auto* keep = std::get_if<record::Keep>(&entry->what); keep != nullptr && !keep->made.empty()) {
      open_.uuid = keep->made;
      open_.utc = entry->utc;
      keeps.push_back(open_);
    }
  }
  std::vector<JournaledKeep> keeps;

 private:
  JournaledKeep open_;
};

}  // namespace

std::vector<JournaledKeep> keeps_in(const std::string& folder, UtcTime now) {
  Reading reading;
  for (const std::string& path : journals_in(folder)) {
    if (!is_of_the_day(path, now)) continue;
    const auto text = read_file(path);
    const auto journal = text ? record::parse_journal(*text) : Result<record::Journal>(fail(""));
    if (!journal) continue;
    for (const auto& line : journal->lines) {
      if (!line.command.empty()) reading.take(line);
    }
  }
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
  std::vector<std::string> out;
  for (const JournaledKeep& keep : keeps) {
    if (known.has(keep)) continue;
    const std::string what =
        keep.visit == 0 ? kSay.check_on(keep.name) : kSay.stay(keep.name, std::to_string(keep.visit));
    out.push_back(what + (keep.utc ? ", kept at " + to_text(*keep.utc) + "," : "") +
                  " is in the record, and neither in the pointbook nor in its spool");
  }
  return out;
}

Known known_in(const std::string& pointbook) {
  Known known;
  if (const auto book = pointbook::read_contents(pointbook)) known.add(book->versions, book->checks);
  const pointbook::Waiting waiting = pointbook::waiting_in(pointbook);
  known.add(waiting.points, waiting.shots);
  return known;
}

}  // namespace stillpoint::daemon
