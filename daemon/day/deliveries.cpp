#include "day/deliveries.hpp"

#include <algorithm>
#include <utility>

#include "common/clock.hpp"
#include "common/sentences.hpp"

namespace stillpoint::daemon {
namespace {

tl::unexpected<Error> not_safe(const std::string& what, const Result<void>& done) {
  return fail(kSay.not_safe(what, done ? std::string("superseded") : done.error().text));
}

}  // namespace

Deliveries::Deliveries(Handover handover, To to) : handover_(std::move(handover)), to_(std::move(to)) {}

void Deliveries::know(std::vector<occupation::StoredPoint> points, const std::vector<std::string>& spooled,
                      const std::vector<std::string>& spooled_shots) {
  for (const std::string& uuid : spooled) on_the_way_[uuid] = Storage::spooled;
  for (const std::string& uuid : spooled_shots) on_the_way_[uuid] = Storage::spooled;
  shots_on_the_way_.insert(spooled_shots.begin(), spooled_shots.end());
  for (auto& stored : points) {
    const bool waits = on_the_way_.contains(stored.uuid);
    points_.put(std::move(stored), waits ? Storage::spooled : Storage::stored);
  }
}

bool Deliveries::learn(occupation::StoredPoint stored) {
  const CatalogueEntry* mine = points_.find(stored.point.name, stored.point.visit);
  if (mine != nullptr) return mine->stored.uuid == stored.uuid || mine->stored.version != stored.version;
  points_.put(std::move(stored), Storage::stored);
  return true;
}

void Deliveries::submit(occupation::StoredPoint stored, PointDone done, std::string uuid) {
  stored.uuid = uuid.empty() ? new_uuid() : std::move(uuid);
  stored.stored_at = utc_now();
  if (done) points_done_[stored.uuid] = std::move(done);
  on_the_way_[stored.uuid] = Storage::memory;
  points_.put(stored, Storage::memory);
  handover_.when_synced([this, stored = std::move(stored)] { to_.point(stored); });
}

void Deliveries::submit(pointbook::CheckShot shot, ShotDone done, std::string uuid) {
  shot.uuid = uuid.empty() ? new_uuid() : std::move(uuid);
  shot.stored_at = utc_now();
  on_the_way_[shot.uuid] = Storage::memory;
  shots_on_the_way_.insert(shot.uuid);
  if (done) shots_done_[shot.uuid] = std::move(done);
  handover_.when_synced([this, shot = std::move(shot)] { to_.shot(shot); });
}

const occupation::StoredPoint* Deliveries::spooled(const std::string& uuid) {
  on_the_way_[uuid] = Storage::spooled;
  points_.mark(uuid, Storage::spooled);
  spooled_ += shots_on_the_way_.contains(uuid) ? 0U : 1U;
  return newest(uuid);
}

void Deliveries::stored(const std::string& uuid) {
  on_the_way_.erase(uuid);
  points_.mark(uuid, Storage::stored);
  stored_ += shots_on_the_way_.erase(uuid) == 0 ? 1U : 0U;
}

void Deliveries::answer(const std::string& uuid, const Result<void>& done) {
  if (const auto shot = shots_done_.extract(uuid); !shot.empty()) {
    done ? shot.mapped()({}) : shot.mapped()(not_safe(kSay.the_check(), done));
  }
  if (const auto point = points_done_.extract(uuid); !point.empty()) {
    // It is as safe when another version has followed it already.
    const CatalogueEntry* const later = points_.successor_of(uuid);
    const occupation::StoredPoint* const stored = !done ? nullptr : later != nullptr ? &later->stored : newest(uuid);
    stored != nullptr ? point.mapped()(*stored) : point.mapped()(not_safe(kSay.the_point(), done));
  }
}

const occupation::StoredPoint* Deliveries::newest(const std::string& uuid) const {
  const CatalogueEntry* entry = points_.find_version(uuid);
  return entry == nullptr ? nullptr : &entry->stored;
}

bool Deliveries::are_all_safe() const {
  return std::none_of(on_the_way_.begin(), on_the_way_.end(),
                      [](const auto& one) { return one.second == Storage::memory; });
}

}  // namespace stillpoint::daemon
