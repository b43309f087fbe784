#include "day/saved_stay.hpp"

#include <algorithm>
#include <utility>

#include "common/clock.hpp"
#include "occupation/occupation.hpp"
#include "session/checks.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::int64_t kSaveMs = 4'000;
constexpr std::int64_t kSavedASecond = 600;  // epochs; a long stay is written whole each time, so the less often

/// An open stay before a second has counted: a crash must not make it vanish.
session::OpenStay nothing_yet(const occupation::Stand& stand) {
  session::OpenStay out;
  occupation::Point& point = out.stay.point;
  point.name = stand.name;
  point.visit = stand.visit;
  point.code = stand.code;
  point.note = stand.note;
  point.antenna_height_m = stand.antenna_height_m;
  return out;
}

}  // namespace

void SavedStay::forget() {
  if (std::exchange(again_, std::nullopt)) handover_.in_order([this] { save_(std::nullopt); });
}

void SavedStay::forget_earlier() {
  earlier_.reset();
  handover_.in_order([this] { save_(std::nullopt); });
}

void SavedStay::look(MachineTime now) {
  if (session_.open_stand() == nullptr) return forget();
  if (again_ && now < *again_) return;
  if (session_.checks().is_open()) return;
  auto open = session_.open_stay();
  if (!open) open.emplace(nothing_yet(*session_.open_stand()));
  session::FinishedPoint& stay = open->stay;
  const auto epochs = static_cast<std::int64_t>(stay.epochs.size());
  again_ = MachineTime{now.ms + std::max(kSaveMs, epochs * 1000 / kSavedASecond)};
  occupation::StoredPoint stored;
  stored.uuid = new_uuid();
  stored.point = std::move(stay.point);
  stored.epochs = std::move(stay.epochs);
  handover_.in_order([this, stored = std::move(stored)] { save_(stored); });
}

}  // namespace stillpoint::daemon
