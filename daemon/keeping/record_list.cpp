#include "keeping/record_list.hpp"

#include <spdlog/spdlog.h>

#include <utility>

#include "common/file.hpp"
#include "keeping/sentences.hpp"

namespace stillpoint::daemon {

void RecordList::enter_in(PairCatalogue& catalogue, std::function<std::optional<UtcTime>()> time) {
  time_ = std::move(time);
  catalogue_ = &catalogue;
}

/// A pair that is missing from the list would not be missed when it is deleted, so whoever closes the day is told.
void RecordList::begun(const std::string& stem) {
  PairCatalogue* const list = catalogue_;
  if (list == nullptr) return;
  if (const auto done = list->begun(pair_name(stem)); !done) doubt(stem, kSayOfRecord.not_on_list(done.error().text));
}

/// Without its line a pair still has its checksum file.
void RecordList::sealed(const PairSums& sums, bool now) {
  PairCatalogue* const list = catalogue_;
  if (list == nullptr) return;
  const auto until = now && time_ ? time_() : std::nullopt;
  const auto done = list->sealed({pair_name(sums.stem), until, sums.nmea, sums.journal});
  if (!done) spdlog::warn("the end of {} cannot be entered in {}", pair_name(sums.stem), done.error().text);
}

Result<void> RecordList::day_closed(const std::string& current) {
  PairCatalogue* const list = catalogue_;
  return list == nullptr ? Result<void>{} : list->closed(pair_name(current));
}

void RecordList::doubt(const std::string& stem, const std::string& why) {
  doubtful_.push_back(pair_name(stem) + " " + why);
  spdlog::error("of the record, {}", doubtful_.back());
}

std::string RecordList::unsynced(const std::string& stem, int code) {
  doubt(stem, kSayOfRecord.seconds_lost(errno_text(-code)));
  return kSayOfRecord.not_synced(errno_text(-code));
}

}  // namespace stillpoint::daemon
