#include "epoch/repetition.hpp"

#include <algorithm>
#include <cstring>

namespace stillpoint::epoch {
namespace {

constexpr std::int64_t kLeastMs = 2000;  // three epochs at 1 Hz, so that it is announced within 3 s
constexpr int kLeastEpochs = 3;
constexpr std::int64_t kLongestStepMs = 15'000;  // longer is a gap, which says nothing
constexpr std::int64_t kMemoryMs = 2'400'000;    // in two halves, the older of which is dropped
constexpr int kEnoughRuns = 30;
// Long runs are few, so the longest of them are known less well.
constexpr std::int64_t kTimesUsual = 3, kTimesUsualLong = 6;
constexpr std::int64_t kLongRunMs = 2500;
constexpr std::int64_t kShareOfTold = 4;
constexpr double kStandsMps = 0.15;

std::uint64_t mixed(std::uint64_t a, std::uint64_t b) noexcept {
  a = (a ^ (a >> 32U)) * 0x9E3779B97F4A7C15U + b;
  return (a ^ (a >> 29U)) * 0xBF58476D1CE4E5B9U;
}

std::uint64_t digest(std::string_view text, std::uint64_t value) noexcept {
  for (; text.size() >= 8; text.remove_prefix(8)) {
    std::uint64_t word = 0;
    std::memcpy(&word, text.data(), 8);
    value = mixed(value, word);
  }
  std::uint64_t word = text.size() + 1;
  for (const char c : text) word = word << 8U | static_cast<unsigned char>(c);
  return mixed(value, word);
}

constexpr std::uint32_t bit(int field) noexcept {
  return std::uint32_t{1} << static_cast<unsigned>(field);
}

/// Which fields of a kind are its time, and which its place. Field 0 is the address.
struct Parts {
  std::string_view kind;
  std::uint32_t time = 0, place = 0;
  bool begins = false;  ///< its time is that of the instant
};
constexpr std::uint32_t kPositionOf2 = bit(2) | bit(3) | bit(4) | bit(5);
constexpr std::array<Parts, 9> kParts{{
    {"GGA", bit(1), kPositionOf2 | bit(9) | bit(11), true},
    {"GNS", bit(1), kPositionOf2 | bit(9) | bit(10), true},
    {"GST", bit(1), 0, true},
    {"RMC", bit(1) | bit(9), bit(3) | bit(4) | bit(5) | bit(6) | bit(7) | bit(8), true},
    {"GLL", bit(5), bit(1) | bit(2) | bit(3) | bit(4), false},
    {"VTG", 0, bit(1) | bit(2) | bit(3) | bit(4) | bit(5) | bit(6) | bit(7) | bit(8), false},
    {"ZDA", bit(1) | bit(2) | bit(3) | bit(4) | bit(5) | bit(6), 0, false},
    {"GBS", bit(1), 0, false},
    {"GRS", bit(1), 0, false},
}};

const Parts* parts_of(std::string_view body) noexcept {
  if (body.size() < 6 || body[5] != ',') return nullptr;
  const std::string_view kind = body.substr(2, 3);
  const auto found = std::find_if(kParts.begin(), kParts.end(), [kind](const Parts& p) { return p.kind == kind; });
  return found == kParts.end() ? nullptr : &*found;
}

/// Satellites' sentences have no time, and are most of the bytes.
bool is_timeless(std::string_view body) noexcept {
  return body.size() > 5 && body[2] == 'G' && body[3] == 'S' && (body[4] == 'A' || body[4] == 'V');
}

}  // namespace

Saying saying_of(std::string_view body, std::string_view time) noexcept {
  Saying said;
  const std::string_view address = body.substr(0, body.find(','));
  said.address = static_cast<std::uint32_t>(digest(address, 0));
  if (is_timeless(body)) {
    said.rest = digest(body, 0);
    return said;
  }
  const Parts* parts = parts_of(body);
  std::string_view left = body;
  for (int field = 0;; ++field) {
    const std::size_t comma = left.find(',');
    const std::string_view text = left.substr(0, comma);
    const std::uint32_t here = field < 32 ? bit(field) : 0;
    if (parts != nullptr && (parts->time & here) != 0) {
      if (parts->begins && field == 1) said.time = text;
    } else if (parts != nullptr && (parts->place & here) != 0) {
      said.place = digest(text, said.place);
    } else if (parts != nullptr || time.empty() || text != time) {
      said.rest = digest(text, said.rest);
    }
    if (comma == std::string_view::npos) return said;
    left.remove_prefix(comma + 1);
  }
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

/// The sentence's place among those of its address in this burst.
std::uint8_t Repetition::occurrence_of(std::uint32_t address) noexcept {
  for (std::size_t i = 0; i < used_; ++i) {
    if (slots_[i].address == address && slots_[i].occurrence == 0) return in_group_[i]++;
  }
  return 0;
}

void Repetition::compare(const Saying& said) noexcept {
  const std::uint8_t occurrence = occurrence_of(said.address);
  for (std::size_t i = 0; i < used_; ++i) {
    Slot& slot = slots_[i];
    if (slot.address != said.address || slot.occurrence != occurrence) continue;
    const bool rest = slot.rest != said.rest;
    whole_changed_ |= (rest || slot.place != said.place) && slot.epoch >= whole_.first_epoch;
    rest_changed_ |= rest && slot.epoch >= rest_.first_epoch;
    slot.place = said.place;
    slot.rest = said.rest;
    slot.epoch = epoch_;
    return;
  }
  if (used_ == slots_.size()) {
    whole_changed_ = rest_changed_ = true;
    return;
  }
  slots_[used_] = {said.address, occurrence, said.place, said.rest, epoch_};
  in_group_[used_] = 1;
  ++used_;
}

void Repetition::hear(std::string_view body) noexcept {
  const Saying said = saying_of(body, {time_.data(), time_size_});
  if (!said.time.empty() && said.time != std::string_view(time_.data(), time_size_)) {
    time_size_ = std::min(said.time.size(), time_.size());
    std::copy_n(said.time.begin(), time_size_, time_.begin());
    in_group_.fill(0);
  }
  compare(said);
}

/// How long to wait before this stream's habits are known.
std::int64_t Repetition::patience_ms() const noexcept {
  int telling = 0;  // kinds that say more than where the receiver is
  for (std::size_t i = 0; i < used_; ++i) telling += slots_[i].rest != 0 && slots_[i].occurrence == 0 ? 1 : 0;
  const std::int64_t alone = telling > 2 ? 1 : 8;
  if (minute_decimals_ >= 7) return 15'000 * alone;
  if (minute_decimals_ == 6) return 30'000 * alone;
  return (minute_decimals_ == 5 ? 150'000 : 450'000) * alone;
}

std::int64_t Repetition::limit_ms() const noexcept {
  std::optional<std::int64_t> usual = usual_rest_.second_longest_ms();
  if (const auto whole = usual_whole_.second_longest_ms(); whole && (!usual || *whole < *usual)) usual = whole;
  if (!usual) return patience_ms();
  return std::max(kLeastMs, (*usual > kLongRunMs ? kTimesUsualLong : kTimesUsual) * *usual);
}

/// A run is over. Of one that was told as a repetition only a share is learnt: a fault must not make the next fault
/// usual, yet a stream that is often told wrongly must end to be.
void Repetition::note_change(const Epoch& epoch, std::int64_t now_ms) noexcept {
  const auto lasted = [&](const Run& run) {
    const std::int64_t ms = *last_ms_ - run.since_ms;
    return run.called ? std::min(ms, limit_ms() / kShareOfTold) : ms;
  };
  const bool stands = !epoch.speed_mps || *epoch.speed_mps <= kStandsMps;
  if (whole_changed_ && stands) usual_whole_.note(lasted(whole_), now_ms);
  if (rest_changed_) usual_rest_.note(lasted(rest_), now_ms);
}

bool Repetition::repeats(const Epoch& epoch) noexcept {
  if (!epoch.stream_ms || !epoch.position) {
    last_ms_.reset();
  } else {
    const std::int64_t now_ms = *epoch.stream_ms;
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
  return last_ms_ && whole_.called;
}

}  // namespace stillpoint::epoch
