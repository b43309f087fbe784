#include "epoch/repetition.hpp"

#include <algorithm>
#include <bit>

namespace stillpoint::epoch {
namespace {

constexpr std::int64_t kLeastMs = 2000;  // three epochs at 1 Hz, so that it is announced within 3 s
constexpr int kLeastEpochs = 3;
constexpr std::int64_t kLongestStepMs = 15'000;  // longer is a gap, which says nothing
constexpr std::int64_t kMemoryMs = 2'400'000;    // in two halves, the older of which is dropped
constexpr int kEnoughRuns = 30;
constexpr std::int64_t kLongEnoughMs = 1'200'000;
constexpr std::int64_t kAllHeard = 60;  // epochs in which every sentence is heard, to know the kinds
// Long runs are few, so the longest of them are known less well.
constexpr std::int64_t kTimesUsual = 3, kTimesUsualLong = 6;
constexpr std::int64_t kLongRunMs = 2500;
constexpr std::int64_t kShareOfTold = 4;
constexpr double kStandsMps = 0.15;
constexpr std::size_t kAddress = 5;  // characters of talker and kind

constexpr std::uint32_t kind_of(std::string_view three) noexcept {
  return static_cast<std::uint32_t>(static_cast<unsigned char>(three[0])) << 16U |
         static_cast<std::uint32_t>(static_cast<unsigned char>(three[1])) << 8U |
         static_cast<std::uint32_t>(static_cast<unsigned char>(three[2]));
}

Told told_of(std::string_view body) noexcept {
  if (body.size() < 6 || body[5] != ',') return Told::by_fields;
  switch (kind_of(body.substr(2, 3))) {
    case kind_of("GGA"):
    case kind_of("GNS"):
    case kind_of("RMC"):
      return Told::by_epoch;
    case kind_of("VTG"):
    case kind_of("GLL"):
    case kind_of("ZDA"):
      return Told::not_at_all;
    case kind_of("GST"):
    case kind_of("GBS"):
    case kind_of("GRS"):
      return Told::behind_time;
    case kind_of("GSA"):
    case kind_of("GSV"):
      return Told::as_text;
    default:
      return Told::by_fields;
  }
}

/// Talker and kind, or the first eight characters of what has none.
std::uint64_t address_of(std::string_view body) noexcept {
  std::array<char, 8> characters{};
  if (body.size() > kAddress && body[kAddress] == ',') {
    std::copy_n(body.begin(), kAddress, characters.begin());
  } else {
    std::copy_n(body.begin(), std::min(body.size(), characters.size()), characters.begin());
  }
  return std::bit_cast<std::uint64_t>(characters);
}

/// The next field, which is taken off.
std::string_view take_field(std::string_view& left, bool& more) noexcept {
  const std::size_t comma = left.find(',');
  const std::string_view text = left.substr(0, comma);
  more = comma != std::string_view::npos;
  left.remove_prefix(more ? comma + 1 : left.size());
  return text;
}

std::string_view behind_time(std::string_view body) noexcept {
  return body.substr(std::min(body.find(',', 6), body.size()));
}

/// Two sentences of one kind, with the instant's time of each.
bool says_the_same(Told told, std::string_view before, std::string_view now, std::string_view time_before,
                   std::string_view time_now) noexcept {
  if (told == Told::as_text) return before == now;
  if (told == Told::behind_time) {
    if (before.size() != now.size()) return behind_time(before) == behind_time(now);
    const std::size_t from = std::min(now.find(',', 6), now.size());
    return before.substr(from) == now.substr(from);
  }
  if (told != Told::by_fields) return true;
  for (bool more_before = true, more_now = true; more_before || more_now;) {
    const std::string_view a = take_field(before, more_before);
    const std::string_view b = take_field(now, more_now);
    if (a != b && !(a == time_before && b == time_now)) return false;
  }
  return true;
}

}  // namespace

bool says_the_same(std::string_view before, std::string_view now, std::string_view time_before,
                   std::string_view time_now) noexcept {
  return says_the_same(told_of(now), before, now, time_before, time_now);
}

void Repetition::Usual::Part::note(std::int64_t run_ms) noexcept {
  ++runs;
  if (run_ms > longest_ms) {
    second_ms = longest_ms;
    longest_ms = run_ms;
  } else {
    second_ms = std::max(second_ms, run_ms);
  }
}

void Repetition::Usual::note(std::int64_t run_ms, std::int64_t now_ms) noexcept {
  if (!since_ms_) since_ms_ = now_ms;
  if (now_ms - *since_ms_ > kMemoryMs / 2) {
    before_ = now_;
    now_ = {};
    since_ms_ = now_ms;
  }
  now_.note(run_ms);
}

std::optional<std::int64_t> Repetition::Usual::second_longest_ms() const noexcept {
  if (now_.runs + before_.runs < kEnoughRuns) return std::nullopt;
  const Part& longer = now_.longest_ms > before_.longest_ms ? now_ : before_;
  const Part& other = &longer == &now_ ? before_ : now_;
  return std::max(longer.second_ms, other.longest_ms);
}

/// The first slot of this address that has not been heard in this burst: a second GSA has a slot of its own.
Repetition::Slot* Repetition::slot_of(std::string_view body) noexcept {
  const std::uint64_t address = address_of(body);
  const auto is_its = [&](const Slot& slot) { return slot.burst != burst_ && slot.address == address; };
  if (expected_ < used_ && is_its(slots_[expected_])) return &slots_[expected_];
  const auto end = slots_.begin() + static_cast<std::ptrdiff_t>(used_);
  const auto found = std::find_if(slots_.begin(), end, is_its);
  if (found != end) return &*found;
  if (used_ == slots_.size()) return nullptr;
  slots_[used_].address = address;
  return &slots_[used_++];
}

void Repetition::compare(Slot& slot, Told told, std::string_view body) noexcept {
  const bool for_whole = !whole_changed_ && slot.epoch >= whole_.first_epoch;
  const bool for_rest = !rest_changed_ && slot.epoch >= rest_.first_epoch;
  slot.epoch = epoch_;
  if (says_the_same(told, slot.text(), body, slot.time.text(), time_.text())) return;
  whole_changed_ |= for_whole;
  rest_changed_ |= for_rest;
  keep(slot, body);
}

void Repetition::keep(Slot& slot, std::string_view body) const noexcept {
  slot.size = static_cast<std::uint8_t>(body.size());
  std::copy(body.begin(), body.end(), slot.body.begin());
  slot.time = time_;
}

void Repetition::compare(const Epoch& epoch) noexcept {
  const auto renew = [](auto& last, const auto& now) {
    if (last == now) return false;
    last = now;
    return true;
  };
  bool place = renew(place_of_last_.digits, epoch.position->digits_hash);
  place |= renew(place_of_last_.altitude_m, epoch.altitude_m);
  place |= renew(place_of_last_.separation_m, epoch.geoid_separation_m);
  place |= renew(place_of_last_.speed_mps, epoch.speed_mps);
  bool rest = renew(rest_of_last_.quality, epoch.quality);
  rest |= renew(rest_of_last_.satellites, epoch.satellites);
  rest |= renew(rest_of_last_.station, epoch.station);
  rest |= renew(rest_of_last_.hdop, epoch.hdop);
  rest |= renew(rest_of_last_.age, epoch.age);
  rest |= renew(rest_of_last_.rmc_mode, epoch.rmc_mode);
  rest_changed_ |= rest;
  whole_changed_ |= place || rest;
}

/// Notes the instant's time, to recognise it in fields of sentences that are not decoded.
void Repetition::note_time(std::string_view body) noexcept {
  const std::string_view time = body.substr(6, std::min(body.find(',', 6), body.size()) - 6);
  if (time.empty()) return;
  time_.size = static_cast<std::uint8_t>(std::min(time.size(), time_.digits.size()));
  std::copy_n(time.begin(), time_.size, time_.digits.begin());
}

/// Once something has moved in this epoch, the rest of it need not be compared and is skipped. A skipped sentence looks
/// slow when it is compared next, so its first change is not taken for a sign of life.
void Repetition::hear(std::string_view body) noexcept {
  const Told told = told_of(body);
  unread_kinds_ |= told == Told::by_fields;
  if (unread_kinds_ && told == Told::by_epoch) note_time(body);
  const bool all_heard = epoch_ >= kAllHeard;
  if (all_heard && (told <= Told::not_at_all || (whole_changed_ && rest_changed_))) return;
  body = body.substr(0, kStored);
  Slot* slot = slot_of(body);
  if (slot == nullptr) {
    whole_changed_ = rest_changed_ = true;
    return;
  }
  slot->burst = burst_;
  expected_ = static_cast<std::size_t>(slot - slots_.data()) + 1;
  if (slot->epoch < 0) {
    keep(*slot, body);
    slot->epoch = epoch_;
  } else {
    compare(*slot, told, body);
  }
}

/// How long to wait before this stream's habits are known.
std::int64_t Repetition::patience_ms() const noexcept {
  int telling = 0;  // kinds of sentences
  for (std::size_t i = 0; i < used_; ++i) {
    bool first = true;
    for (std::size_t k = 0; k < i; ++k) first &= slots_[k].address != slots_[i].address;
    telling += first ? 1 : 0;
  }
  const std::int64_t alone = telling > 2 ? 1 : 8;
  if (minute_decimals_ >= 7) return 15'000 * alone;
  if (minute_decimals_ == 6) return 30'000 * alone;
  return (minute_decimals_ == 5 ? 150'000 : 450'000) * alone;
}

std::int64_t Repetition::limit_ms() const noexcept {
  std::optional<std::int64_t> usual = usual_rest_.second_longest_ms();
  if (const auto whole = usual_whole_.second_longest_ms(); whole && (!usual || *whole < *usual)) usual = whole;
  const std::int64_t heard_ms = last_ms_ && first_run_ms_ ? *last_ms_ - *first_run_ms_ : 0;
  if (!usual || heard_ms < kLongEnoughMs) {
    const std::int64_t patience = patience_ms();
    if (!usual || heard_ms < patience) return patience;
  }
  return std::max(kLeastMs, (*usual > kLongRunMs ? kTimesUsualLong : kTimesUsual) * *usual);
}

/// Learns how long the run lasted. Of a run that was reported as a repetition only a share is learnt: one fault must
/// not make the next one look usual, yet a stream that is often reported wrongly must come to be trusted.
void Repetition::note_change(const Epoch& epoch, std::int64_t now_ms) noexcept {
  const auto lasted = [&](const Run& run) {
    const std::int64_t ms = *last_ms_ - run.since_ms;
    return run.called ? std::min(ms, limit_ms() / kShareOfTold) : ms;
  };
  const bool stands = !epoch.speed_mps || *epoch.speed_mps <= kStandsMps;
  if (whole_changed_ && stands) usual_whole_.note(lasted(whole_), now_ms);
  if (rest_changed_) usual_rest_.note(lasted(rest_), now_ms);
  if (!first_run_ms_ && (rest_changed_ || (whole_changed_ && stands))) first_run_ms_ = now_ms;
}

bool Repetition::repeats(const Epoch& epoch) noexcept {
  if (!epoch.stream_ms || !epoch.position) {
    last_ms_.reset();
  } else {
    const std::int64_t now_ms = *epoch.stream_ms;
    compare(epoch);
    const bool goes_on = last_ms_ && now_ms > *last_ms_ && now_ms - *last_ms_ <= kLongestStepMs;
    if (goes_on) note_change(epoch, now_ms);
    if (!goes_on || whole_changed_) whole_ = {now_ms, epoch_, false};
    if (!goes_on || rest_changed_) rest_ = {now_ms, epoch_, false};
    last_ms_ = now_ms;
    minute_decimals_ = epoch.position->minute_decimals;
    whole_.called |= epoch_ - whole_.first_epoch + 1 >= kLeastEpochs && now_ms - whole_.since_ms >= limit_ms();
    rest_.called |= whole_.called;
  }
  whole_changed_ = rest_changed_ = false;
  ++epoch_;
  ++burst_;
  expected_ = 0;
  return last_ms_ && whole_.called;
}

}  // namespace stillpoint::epoch
