#include "preflight/feed_habits.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "gate/limits.hpp"
#include "preflight/needs.hpp"
#include "preflight/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr double kMinute_m = 1852.0;  // of latitude: the nautical mile

std::optional<std::int64_t> time_of(const nmea::Decoded& decoded) {
  return std::visit(
      [](const auto& content) -> std::optional<std::int64_t> {
        if constexpr (requires { content.time_of_day_ms; }) {
          if (content.time_of_day_ms) return *content.time_of_day_ms;
        }
        return std::nullopt;
      },
      decoded.content);
}

/// Without zeros at its end.
std::string plain(double value, int decimals) {
  std::string text = fixed(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string seconds(std::int64_t ms) {
  return plain(static_cast<double>(ms) / 1000.0, 3) + " s";
}

/// A length as people say it: 0.19 m, 5 cm, 1.9 mm.
std::string length(double metres) {
  if (metres >= 0.1) return plain(metres, 2) + " m";
  if (metres >= 0.01) return plain(metres * 100, 1) + " cm";
  return plain(metres * 1000, 2) + " mm";
}

/// The limits that only this kind can answer, of those that some source applies.
std::vector<std::string_view> limits_on(const std::string& kind, const config::Settings& settings) {
  std::vector<std::string_view> out;
  for (const gate::Limit& limit : gate::kLimits) {
    const auto kinds = limit.sentences();
    if (std::find(kinds.begin(), kinds.end(), kind) == kinds.end() || kinds.front() == "GGA") continue;
    const bool applies = std::any_of(settings.sources.begin(), settings.sources.end(), [&](const auto& source) {
      return config::value_of(source.gate, *limit.setting).has_value();
    });
    if (applies) out.push_back(limit.setting->key);
  }
  return out;
}

std::string step_text(const std::string& what, const std::string& decimals, double step_m) {
  return kSayBefore.digits(what, decimals, length(step_m), length(step_m / 2)) + '\n';
}

}  // namespace

void FeedHabits::Digits::note(int decimals) noexcept {
  fewest = std::min(fewest.value_or(decimals), decimals);
  most = std::max(most.value_or(decimals), decimals);
}

std::string FeedHabits::Digits::text() const {
  return std::to_string(*fewest) + (*most == *fewest ? "" : " to " + std::to_string(*most));
}

void FeedHabits::hear(const std::string& kind, const nmea::Decoded& decoded) {
  if (const auto time_ms = time_of(decoded)) now_ms_ = time_ms;
  if (!now_ms_) return;
  Kind& known = kinds_[kind];
  if (known.instants > 0 && known.last_ms == *now_ms_) return;
  if (known.instants++ == 0) known.first_ms = *now_ms_;
  known.last_ms = *now_ms_;
  known.period.came(*now_ms_);
}

void FeedHabits::take(const epoch::Epoch& epoch) {
  interval_ms_ = epoch.interval_ms;
  if (epoch.position) minutes_.note(epoch.position->minute_decimals);
  if (epoch.ellipsoid_height_m()) heights_.note(epoch.height_decimals);
}

std::optional<std::int64_t> FeedHabits::period_of(const Kind& kind) const noexcept {
  if (kind.instants < 2 || kind.last_ms <= kind.first_ms) return std::nullopt;
  if (kind.instants > 4 && kind.period.usual_ms() > 0) return kind.period.usual_ms();
  return (kind.last_ms - kind.first_ms) / static_cast<std::int64_t>(kind.instants - 1);
}

std::string FeedHabits::of_positions(const config::Settings& settings) const {
  std::string text = kSayBefore.least_takes(std::to_string(settings.occupation.min_epochs),
                                            seconds(interval_ms_ * settings.occupation.min_epochs));
  const std::int64_t silence_ms = std::llround(settings.gap_s() * 1000);
  const std::int64_t gap_ms = epoch::gap_limit_ms(silence_ms, interval_ms_);
  if (gap_ms > silence_ms) {
    text += kSayBefore.gap_is(seconds(gap_ms), seconds(silence_ms));
  }
  return text;
}

std::string FeedHabits::meaning(const std::string& name, const Kind& kind, const config::Settings& settings) const {
  const auto period_ms = period_of(kind);
  if ((name == "GGA" || name == "GNS") && interval_ms_ > 0) return of_positions(settings);
  const auto limits = limits_on(name, settings);
  if (limits.empty() || interval_ms_ == 0) return {};
  if (!period_ms || *period_ms > epoch::Period::kLongestMs) {
    return kSayBefore.too_seldom(joined(limits, ", "));
  }
  if (*period_ms <= interval_ms_) return {};
  return kSayBefore.slower(joined(limits, ", "), seconds(*period_ms - interval_ms_));
}

void FeedHabits::tell_periods(std::ostream& out, const config::Settings& settings) const {
  if (kinds_.empty()) return;
  out << "periods\n";
  for (const auto& [name, kind] : kinds_) {
    const auto period_ms = period_of(kind);
    out << "  " << name << (period_ms ? "  every " + seconds(*period_ms) : "  once") << meaning(name, kind, settings)
        << '\n';
  }
}

void FeedHabits::tell_digits(std::ostream& out) const {
  if (minutes_.fewest) out << step_text("minutes", minutes_.text(), kMinute_m * std::pow(10.0, -*minutes_.fewest));
  if (heights_.fewest) out << step_text("heights", heights_.text(), std::pow(10.0, -*heights_.fewest));
}

std::vector<std::string> FeedHabits::too_coarse(const config::Gate& gate) const {
  std::vector<std::string> out;
  const auto compare = [&out](const Digits& seen, const std::optional<int>& wanted, const std::string& what) {
    if (!wanted || !seen.most || *seen.most >= *wanted) return;
    out.push_back(kSayBefore.too_few_digits(std::to_string(*seen.most), what, std::to_string(*wanted)));
  };
  compare(minutes_, gate.min_minute_decimals, "minutes");
  compare(heights_, gate.min_altitude_decimals, "heights");
  return out;
}

}  // namespace stillpoint::daemon
