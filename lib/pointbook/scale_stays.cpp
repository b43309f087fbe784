#include "pointbook/scale_stays.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "control/scale_sentences.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/versions.hpp"

namespace stillpoint::pointbook {
namespace {

/// The versions of every point that somebody stood on, by what it is called now.
std::map<std::pair<std::string, int>, Versions> by_visit(const std::vector<occupation::StoredPoint>& versions) {
  std::map<std::pair<std::string, int>, Versions> out;
  for (Versions& point : points_of(versions)) {
    const occupation::Point& newest = point.back()->point;
    if (!newest.measures.empty()) continue;
    out[{newest.name, newest.visit}] = std::move(point);
  }
  return out;
}

}  // namespace

std::vector<control::ScaleStay> shot_stays(const std::vector<CheckShot>& all, int number) {
  std::vector<control::ScaleStay> out;
  for (const CheckShot& shot : newest_checks(all)) {
    control::ScaleStay stay = control::stay_of(shot);
    if (says_no_longer_compared(shot)) stay.unfit = control::kSayScale.old_numbers();
    stay.book = number;
    out.push_back(std::move(stay));
  }
  return out;
}

std::vector<PointStay> point_stays(const Contents& book) {
  static const std::vector<occupation::EpochRecord> kNone;
  std::vector<PointStay> out;
  for (const auto& [visit, versions] : by_visit(book.versions)) {
    PointStay stay{&versions.back()->point, &kNone};
    // A decision by hand is a version without seconds of its own.
    for (const auto* version : versions) {
      const auto at = book.epochs.find(version->uuid);
      if (at != book.epochs.end() && !at->second.empty()) stay.epochs = &at->second;
    }
    out.push_back(stay);
  }
  return out;
}

Result<std::vector<control::ScaleStay>> scale_stays(const Book& book) {
  const auto checks = book.read_checks();
  if (!checks) return tl::unexpected(checks.error());
  const auto versions = book.read_all_versions();
  if (!versions) return tl::unexpected(versions.error());
  std::vector<control::ScaleStay> out = shot_stays(*checks, 0);
  const auto visits = by_visit(*versions);
  std::map<std::string, int> times;
  for (const auto& [visit, all] : visits) ++times[visit.first];
  for (const auto& [visit, all] : visits) {
    if (times[visit.first] < 2) continue;
    std::vector<occupation::EpochRecord> epochs;
    for (auto version = all.rbegin(); version != all.rend() && epochs.empty(); ++version) {
      auto read = book.read_epochs((*version)->uuid);
      if (!read) return tl::unexpected(read.error());
      epochs = std::move(*read);
    }
    out.push_back(control::stay_of(all.back()->point, epochs));
  }
  return out;
}

}  // namespace stillpoint::pointbook
