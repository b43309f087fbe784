#include "keeping/catalogue.hpp"

#include <algorithm>
#include <limits>

#include "common/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr const char* kOwnName = "stillpointd";  // who changed a point that nobody touched

}  // namespace

std::string_view to_word(Storage storage) noexcept {
  switch (storage) {
    case Storage::memory:
      return "waiting";
    case Storage::spooled:
      return "spooled";
    case Storage::stored:
      return "stored";
  }
  return "waiting";
}

void Catalogue::put(occupation::StoredPoint point, Storage storage) {
  point.epochs.clear();
  point.epochs.shrink_to_fit();
  const auto before = by_uuid_.find(point.supersedes);
  const auto [at, is_new] = place_.try_emplace({point.point.name, point.point.visit},
                                               before == by_uuid_.end() ? entries_.size() : before->second);
  if (at->second == entries_.size()) entries_.emplace_back();
  CatalogueEntry& entry = entries_[at->second];
  const occupation::Point& was = entry.stored.point;
  if (is_new && !entry.stored.uuid.empty()) place_.erase({was.name, was.visit});
  if (!entry.stored.uuid.empty() && entry.stored.uuid != point.uuid) replaced_[entry.stored.uuid] = at->second;
  by_uuid_.erase(entry.stored.uuid);
  by_uuid_[point.uuid] = at->second;
  const bool decides = entry.stored.uuid.empty() || was.status != point.point.status;
  std::string by = decides ? point.changed_by : entry.decided_by;
  std::string why = decides ? point.change_reason : entry.decided_why;
  entry = CatalogueEntry{std::move(point), storage, std::move(by), std::move(why)};
}

void Catalogue::mark(const std::string& uuid, Storage storage) {
  if (const auto at = by_uuid_.find(uuid); at != by_uuid_.end()) entries_[at->second].storage = storage;
}

const CatalogueEntry* Catalogue::find_version(const std::string& uuid) const {
  const auto at = by_uuid_.find(uuid);
  return at == by_uuid_.end() ? nullptr : &entries_[at->second];
}

const CatalogueEntry* Catalogue::successor_of(const std::string& uuid) const {
  const auto at = replaced_.find(uuid);
  return at == replaced_.end() ? nullptr : &entries_[at->second];
}

const CatalogueEntry* Catalogue::find(const std::string& name, std::optional<int> visit) const {
  if (visit) {
    const auto at = place_.find({name, *visit});
    return at == place_.end() ? nullptr : &entries_[at->second];
  }
  auto at = place_.upper_bound({name, std::numeric_limits<int>::max()});
  if (at == place_.begin() || (--at)->first.first != name) return nullptr;
  return &entries_[at->second];
}

bool misses_error(const CatalogueEntry& entry, double horizontal_m, double vertical_m) {
  const occupation::Point& point = entry.stored.point;
  if (!point.at || point.status != occupation::PointStatus::held) return false;
  return point.at->error95_horizontal_m > horizontal_m || point.at->error95_vertical_m > vertical_m;
}

std::string missing_point(const std::string& name, std::optional<int> visit) {
  return visit ? kSay.no_visit(name, std::to_string(*visit)) : kSay.no_point(name);
}

occupation::StoredPoint next_version(const CatalogueEntry& entry, const std::string& by, const std::string& reason) {
  occupation::StoredPoint next = entry.stored;
  next.version += 1;
  next.supersedes = entry.stored.uuid;
  next.changed_by = by;
  next.change_reason = reason;
  return next;
}

namespace {

/// A hand has accepted or rejected it. What it is called is no such decision.
bool is_decided_by_hand(const occupation::Point& point) {
  const bool although_held = point.status == occupation::PointStatus::accepted && !point.reasons.empty();
  return point.status == occupation::PointStatus::rejected || although_held || is_by_hand(point);
}

}  // namespace

occupation::StoredPoint amended(const CatalogueEntry& entry, const Amendment& amendment) {
  occupation::StoredPoint next = next_version(entry, amendment.by, amendment.reason);
  amendment.called.give(next.point);
  return next;
}

Result<occupation::StoredPoint> resolved(const CatalogueEntry& entry, const Decision& decision) {
  const occupation::Point& point = entry.stored.point;
  const bool accept = decision.accept;
  // An accepted point may turn out wrong later: a mark measured after it shows so. It is rejected as a new version.
  const bool can_be_rejected = !accept && point.status == occupation::PointStatus::accepted;
  if (point.status != occupation::PointStatus::held && !can_be_rejected) {
    return fail(kSay.not_undecided(kSay.stay(point.name, std::to_string(point.visit)), to_word(point.status)));
  }
  if (decision.reason.empty()) return fail(kSay.no_reason());
  occupation::StoredPoint next = next_version(entry, decision.by, decision.reason);
  std::erase(next.point.flags, occupation::kAcceptedByHand);
  if (accept) next.point.flags.emplace_back(occupation::kAcceptedByHand);
  std::sort(next.point.flags.begin(), next.point.flags.end());
  next.point.status = accept ? occupation::PointStatus::accepted : occupation::PointStatus::rejected;
  return next;
}

std::optional<occupation::StoredPoint> reconsidered(const CatalogueEntry& entry, const occupation::Point& point,
                                                    const std::string& why) {
  const bool decided = is_decided_by_hand(entry.stored.point);
  if (decided && point.measures == entry.stored.point.measures) return std::nullopt;
  occupation::StoredPoint next = next_version(entry, kOwnName, why);
  next.point.measures = point.measures;
  if (decided) return next;
  next.point.status = point.status;
  next.point.reasons = point.reasons;
  next.point.reason_texts = point.reason_texts;
  return next;
}

}  // namespace stillpoint::daemon
