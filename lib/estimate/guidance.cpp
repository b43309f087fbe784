#include "estimate/guidance.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "estimate/visits.hpp"

namespace stillpoint::estimate {
namespace {

constexpr std::int64_t kLongestStay_ms = 5 * 60 * 1000;  // more of the same sky helps less than another one
constexpr std::int64_t kEarly_ms = 60 * 1000;            // before that the growth of the effective epochs says little
constexpr double kLeastUnseen = 0.05;                    // what one stay can reach, see average.cpp

/// How many times the variance must shrink; 1 or less: reached.
double missing(const Situation& s) {
  const Estimate& e = s.conclusion.estimate;
  const auto squared = [](double error_m, std::optional<double> wanted_m) {
    return wanted_m && *wanted_m > 0 ? error_m * error_m / (*wanted_m * *wanted_m) : 0.0;
  };
  return std::max(squared(e.error95_horizontal_m, s.wanted_horizontal_m),
                  squared(e.error95_vertical_m, s.wanted_vertical_m));
}

std::string error_fact(const char* axis, double error_m, std::optional<double> wanted_m) {
  std::string text = std::string(axis) + " " + length_text(error_m) + " at 95 % for the mean";
  if (wanted_m) text += ", wanted " + length_text(*wanted_m);
  return text + ".";
}

void say_levels(const Situation& s, Guidance& out) {
  const Conclusion& c = s.conclusion;
  const bool in_height = c.separation_up_m > c.separation_m;
  out.facts.push_back("Two levels " + length_text(in_height ? c.separation_up_m : c.separation_m) + " apart" +
                      (in_height ? " in height (" : " (") + std::to_string(c.estimate.epochs) + " and " +
                      std::to_string(s.other_level_epochs) + " epochs).");
}

void say_facts(const Situation& s, Guidance& out) {
  const Estimate& e = s.conclusion.estimate;
  out.facts.push_back(error_fact("Plan", e.error95_horizontal_m, s.wanted_horizontal_m));
  out.facts.push_back(error_fact("Height", e.error95_vertical_m, s.wanted_vertical_m));
  if (s.conclusion.unresolved) say_levels(s, out);
  if (e.claim_refuted_horizontal || e.claim_refuted_vertical) {
    out.facts.emplace_back(s.assumed_sigma ? "The epochs scatter more than the configured assumed_sigma_m allows."
                                           : "The epochs scatter more than the receiver's error figure allows.");
    return;
  }
  const std::string_view whose = s.assumed_sigma ? "the configured assumed_sigma_m" : "the receiver's error figure";
  out.facts.push_back("True if " + std::string(whose) + " holds (scale " + fixed(s.error_scale, 2) +
                      (s.error_scale_verified ? ")." : ", not verified)."));
  if (e.epochs > 1 && e.effective_epochs < static_cast<double>(e.epochs))
    out.facts.push_back(std::to_string(e.epochs) + " epochs are worth " + fixed(e.effective_epochs, 1) +
                        " independent ones.");
}

/// How much longer at the rate so far; empty when one stay cannot reach it, or not soon.
std::optional<std::int64_t> stay_longer_ms(const Situation& s, double times) {
  const Estimate& e = s.conclusion.estimate;
  if (std::min(e.unseen_horizontal, e.unseen_vertical) / times < kLeastUnseen) return std::nullopt;
  const double more_ms = static_cast<double>(s.counted_ms) * (times - 1.0);
  if (more_ms > static_cast<double>(kLongestStay_ms)) return std::nullopt;
  return static_cast<std::int64_t>(std::ceil(more_ms / 1000.0)) * 1000;
}

void come_back(const Situation& s, const char* why, Guidance& out) {
  out.help = Help::come_back;
  const UtcTime earliest{s.now.ms + kIndependentAfter_ms};
  out.come_back_at = s.next_counts_from.value_or(earliest);
  out.advice = "Come back after " + clock_minute(*out.come_back_at, s.clock_offset_min) + why;
}

}  // namespace

std::string_view to_word(Help help) noexcept {
  switch (help) {
    case Help::enough:
      return "enough";
    case Help::stay:
      return "stay";
    case Help::come_back:
      return "come-back";
    case Help::move:
      return "move";
  }
  return "";
}

std::string length_text(double length_m) {
  if (length_m < 0.0995) return fixed(length_m * 1000.0, 0) + " mm";
  return fixed(length_m, 2) + " m";
}

std::string clock_minute(UtcTime time, std::optional<int> offset_min) {
  constexpr std::int64_t kMinute_ms = 60 * 1000;
  const UtcTime up{(time.ms + kMinute_ms - 1) / kMinute_ms * kMinute_ms};
  const UtcTime local{up.ms + std::int64_t{offset_min.value_or(0)} * kMinute_ms};
  return clock_text(local).substr(0, 5) + (offset_min ? "" : " UTC");
}

Guidance guide(const Situation& s) {
  Guidance out;
  say_facts(s, out);
  const Estimate& e = s.conclusion.estimate;
  const double times = missing(s);
  if (s.conclusion.unresolved) {
    come_back(s, " and measure again: one level is wrong.", out);
  } else if (e.claim_refuted_horizontal || e.claim_refuted_vertical) {
    out.help = Help::move;
    out.advice = "Move away from reflections, or offset the point, and measure again.";
  } else if (!s.wanted_horizontal_m && !s.wanted_vertical_m) {
    come_back(s, " to prove it: no error was asked for.", out);
    out.help = Help::enough;
  } else if (times <= 1.0) {
    out.help = Help::enough;
    out.advice = "Keep the point: the error is within what was wanted.";
  } else if (const auto longer_ms = stay_longer_ms(s, times)) {
    out.help = Help::stay;
    out.stay_ms = longer_ms;
    out.advice = "Keep still for about " + std::to_string(*longer_ms / 1000) + " s more.";
  } else if (s.counted_ms < kEarly_ms) {
    out.help = Help::stay;
    out.advice = "Keep still: it is too early to tell how long it will take.";
  } else {
    come_back(s, ": another visit helps more than staying.", out);
  }
  return out;
}

}  // namespace stillpoint::estimate
