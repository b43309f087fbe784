#include "epoch/fingerprint.hpp"

#include <algorithm>
#include <cmath>
#include <string_view>
#include <type_traits>
#include <variant>

#include "base/number.hpp"
#include "epoch/sentences.hpp"

namespace stillpoint::epoch {
namespace {

constexpr std::array<std::string_view, 9> kWords{"GGA", "GNS", "RMC", "GST", "GSA", "GSV", "VTG", "ZDA", "DTM"};
constexpr std::size_t kTalkersOf = 3;  // of the first three kinds
constexpr std::int64_t kWindowMs = 10'000;
constexpr std::int64_t kGapMs = 3'000;
constexpr int kComes = 3;
// A step is taken for the nearest of these; what a receiver's clock wanders is less than half of any gap between them.
constexpr std::array<std::int64_t, 9> kIntervals{50, 100, 125, 200, 250, 500, 1000, 2000, 5000};

/// The place in `kWords`, or its size for a sentence that nobody reads.
std::size_t kind_of(const nmea::Decoded& sentence) noexcept {
  // In the order of the content's alternatives: Other, Malformed, GGA, GST, GSA, GSV, RMC, ZDA, GNS, VTG, DTM.
  constexpr std::array<std::uint8_t, 11> kPlaces{9, 9, 0, 3, 4, 5, 2, 7, 1, 6, 8};
  using Content = decltype(nmea::Decoded::content);
  static_assert(std::variant_size_v<Content> == kPlaces.size());
  static_assert(std::is_same_v<std::variant_alternative_t<2, Content>, nmea::Gga>);
  static_assert(std::is_same_v<std::variant_alternative_t<6, Content>, nmea::Rmc>);
  static_assert(std::is_same_v<std::variant_alternative_t<10, Content>, nmea::Dtm>);
  return kPlaces[sentence.content.index()];
}

std::int64_t nearest_interval(std::int64_t step_ms) noexcept {
  return *std::min_element(kIntervals.begin(), kIntervals.end(), [step_ms](std::int64_t a, std::int64_t b) {
    return std::llabs(a - step_ms) < std::llabs(b - step_ms);
  });
}

std::string rate_text(std::int64_t interval_ms) {
  const double hz = 1000.0 / static_cast<double>(interval_ms);
  return fixed(hz, hz == std::floor(hz) ? 0 : 1) + " a second";
}

}  // namespace

void Fingerprint::sentence(const nmea::Decoded& sentence) noexcept {
  const std::size_t kind = kind_of(sentence);
  if (kind >= kKinds) return;
  ++window_.counts[kind];
  if (kind < kTalkersOf) window_.talkers[kind] = sentence.talker;
}

Fingerprint::Habits Fingerprint::habits_of(const Window& window) const noexcept {
  Habits out;
  for (std::size_t i = 0; i < kKinds; ++i) {
    const bool now_and_then = window.counts[i] > 0 && window.counts[i] < kComes;
    out.comes[i] = now_and_then ? known_ && known_->comes[i] : window.counts[i] > 0;
    if (i < kTalkersOf && out.comes[i]) out.talkers[i] = window.talkers[i];
  }
  if (window.epochs > 1) out.interval_ms = nearest_interval((window.last_ms - window.first_ms) / (window.epochs - 1));
  out.minute_decimals = window.minute_decimals;
  return out;
}

std::string Fingerprint::difference(const Habits& before, const Habits& now) {
  std::string out;
  const auto add = [&out](const std::string& what) { out += (out.empty() ? "" : "; ") + what; };
  for (std::size_t i = 0; i < kKinds; ++i) {
    const std::string word(kWords[i]);
    if (before.comes[i] && !now.comes[i]) add(kSay.no_longer_comes(word));
    if (!before.comes[i] && now.comes[i]) add(kSay.comes_now(word));
    if (i >= kTalkersOf || !before.comes[i] || !now.comes[i] || before.talkers[i] == now.talkers[i]) continue;
    add(kSay.other_talker(word, now.talkers[i].data(), before.talkers[i].data()));
  }
  if (before.interval_ms != now.interval_ms && before.interval_ms > 0 && now.interval_ms > 0) {
    add(kSay.other_rate(rate_text(now.interval_ms), rate_text(before.interval_ms)));
  }
  if (before.minute_decimals != now.minute_decimals) {
    add(kSay.other_decimals(std::to_string(now.minute_decimals), std::to_string(before.minute_decimals)));
  }
  return out.empty() ? out : kSay.settings_changed(out);
}

std::string Fingerprint::epoch(const Epoch& epoch) {
  if (!epoch.stream_ms) return {};
  const std::int64_t now_ms = *epoch.stream_ms;
  if (window_.epochs > 0 && (now_ms - window_.last_ms > kGapMs || now_ms < window_.last_ms)) window_.whole = false;
  if (window_.epochs == 0) window_.first_ms = now_ms;
  window_.last_ms = now_ms;
  ++window_.epochs;
  const bool has_position = epoch.position && epoch.quality != Quality::none;
  window_.whole = window_.whole && has_position;
  if (has_position) window_.minute_decimals = std::max(window_.minute_decimals, epoch.position->minute_decimals);
  if (now_ms - window_.first_ms < kWindowMs && window_.whole) return {};

  const bool whole = window_.whole;
  const Habits habits = habits_of(window_);
  window_ = {};
  if (!whole) {
    candidate_.reset();
    return {};
  }
  const bool stands = candidate_ == habits;
  candidate_ = habits;
  if (known_ == habits || !stands) return {};
  const std::string text = known_ ? difference(*known_, habits) : std::string();
  known_ = habits;
  return text;
}

}  // namespace stillpoint::epoch
