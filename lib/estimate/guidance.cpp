#include "estimate/guidance.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "estimate/sentences.hpp"
#include "estimate/visits.hpp"

namespace stillpoint::estimate {
namespace {

constexpr std::int64_t kLongestStay_ms = 5 * 60 * 1000;  // more of the same sky helps less than another one
constexpr std::int64_t kEarly_ms = 60 * 1000;            // before that the growth of the effective epochs says little
constexpr double kLeastUnseen = 0.05;                    // what one stay can reach, see course.cpp

/// How many times the variance must shrink; 1 or less: reached.
double missing(const StaySoFar& s) {
  const Estimate& e = s.conclusion.estimate;
  const auto squared = [](double error_m, std::optional<double> wanted_m) {
    return wanted_m && *wanted_m > 0 ? error_m * error_m / (*wanted_m * *wanted_m) : 0.0;
  };
  return std::max(squared(e.error95_horizontal_m, s.wanted_horizontal_m),
                  squared(e.error95_vertical_m, s.wanted_vertical_m));
}

std::string error_fact(const char* axis, double error_m, std::optional<double> wanted_m) {
  if (wanted_m) return kSay.error_and_wanted(axis, length_text(error_m), length_text(*wanted_m));
  return kSay.error(axis, length_text(error_m));
}

void say_levels(const StaySoFar& s, Guidance& out) {
  const Conclusion& c = s.conclusion;
  const bool in_height = c.separation_up_m > c.separation_m;
  const auto& sentence = in_height ? kSay.two_levels_in_height : kSay.two_levels;
  out.facts.push_back(sentence(length_text(in_height ? c.separation_up_m : c.separation_m),
                               std::to_string(c.estimate.epochs), std::to_string(s.other_level_epochs)));
}

void say_facts(const StaySoFar& s, Guidance& out) {
  const Estimate& e = s.conclusion.estimate;
  out.facts.push_back(error_fact("Horizontal", e.error95_horizontal_m, s.wanted_horizontal_m));
  out.facts.push_back(error_fact("Vertical", e.error95_vertical_m, s.wanted_vertical_m));
  if (s.conclusion.unresolved) say_levels(s, out);
  if (const std::string drift = drift_text(e); !drift.empty()) out.facts.push_back(drift + ".");
  if (e.claim_refuted_horizontal || e.claim_refuted_vertical) {
    out.facts.push_back(s.assumed_sigma ? kSay.assumed_refuted() : kSay.claim_refuted());
    return;
  }
  if (e.claim_unproven) {
    for (std::string& text : unproven_texts(s.checks_to_prove, s.assumed_sigma)) out.facts.push_back(std::move(text));
    return;
  }
  const std::string_view whose = s.assumed_sigma ? kSay.assumed_sigma.words() : kSay.receivers_figure.words();
  const auto& claim = s.error_scale_verified ? kSay.claim_verified : kSay.claim_not_verified;
  out.facts.push_back(claim(whose, fixed(s.error_scale, 2)));
  if (e.epochs <= 1 || e.effective_epochs >= static_cast<double>(e.epochs)) return;
  const std::string epochs = std::to_string(e.epochs);
  const bool moved = e.effective_epochs < kLessThanOne;
  out.facts.push_back(moved ? kSay.position_moved(epochs) : kSay.epochs_worth(epochs, fixed(e.effective_epochs, 1)));
}

/// How much longer at the rate so far; empty when one stay cannot reach it, or not soon.
std::optional<std::int64_t> stay_longer_ms(const StaySoFar& s, double times) {
  const Estimate& e = s.conclusion.estimate;
  if (std::min(e.unseen_horizontal, e.unseen_vertical) / times < kLeastUnseen) return std::nullopt;
  const double more_ms = static_cast<double>(s.counted_ms) * (times - 1.0);
  if (more_ms > static_cast<double>(kLongestStay_ms)) return std::nullopt;
  return static_cast<std::int64_t>(std::ceil(more_ms / 1000.0)) * 1000;
}

void come_back(const StaySoFar& s, const Sentence<1>& sentence, Guidance& out) {
  out.help = Help::come_back;
  const UtcTime earliest{s.now.ms + kIndependentAfter_ms};
  out.come_back_at = s.next_counts_from.value_or(earliest);
  out.advice = sentence(clock_minute(*out.come_back_at, s.clock_offset_min));
}

/// How far it moved, in claimed sigmas: the larger of plan and height is told.
double moved_sigmas(const Motion& motion) {
  return motion.drifting ? std::max(motion.drift_m, motion.excursion_m) / motion.claim_m : 0;
}

}  // namespace

std::string drift_text(const Estimate& estimate) {
  const bool in_height = moved_sigmas(estimate.motion_up) > moved_sigmas(estimate.motion);
  const Motion& motion = in_height ? estimate.motion_up : estimate.motion;
  if (!motion.drifting) return {};
  const bool along_line = motion.drift_m >= motion.excursion_m;
  const auto& moves = along_line ? kSay.drifts : kSay.wanders;
  const std::string_view what = in_height ? kSay.the_height.words() : kSay.the_position.words();
  return moves(what, length_text(along_line ? motion.drift_m : motion.excursion_m), fixed(motion.duration_s, 0),
               length_text(motion.claim_m));
}

std::vector<std::string> unproven_texts(std::optional<int> checks_to_prove, bool assumed_sigma) {
  std::vector<std::string> out{assumed_sigma ? kSay.assumed_not_reduced() : kSay.not_reduced()};
  if (!checks_to_prove || *checks_to_prove <= 0) return out;
  out.push_back(*checks_to_prove == 1 ? kSay.check_proves() : kSay.checks_prove(std::to_string(*checks_to_prove)));
  return out;
}

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

Guidance guide(const StaySoFar& s) {
  Guidance out;
  say_facts(s, out);
  const Estimate& e = s.conclusion.estimate;
  const double times = missing(s);
  if (s.conclusion.unresolved) {
    come_back(s, kSay.come_back_to_decide, out);
  } else if (e.motion.drifting || e.motion_up.drifting) {
    come_back(s, kSay.come_back_drifting, out);
  } else if (e.claim_refuted_horizontal || e.claim_refuted_vertical) {
    out.help = Help::move;
    out.advice = kSay.move();
  } else if (!s.wanted_horizontal_m && !s.wanted_vertical_m) {
    come_back(s, kSay.come_back_to_prove, out);
    out.help = Help::enough;
  } else if (times <= 1.0) {
    out.help = Help::enough;
    out.advice = kSay.keep();
  } else if (e.claim_unproven) {
    come_back(s, kSay.come_back_unproven, out);
  } else if (const auto longer_ms = stay_longer_ms(s, times)) {
    out.help = Help::stay;
    out.stay_ms = longer_ms;
    out.advice = kSay.stay(std::to_string(*longer_ms / 1000));
  } else if (s.counted_ms < kEarly_ms) {
    out.help = Help::stay;
    out.advice = kSay.too_early();
  } else {
    come_back(s, kSay.come_back_to_help, out);
  }
  return out;
}

}  // namespace stillpoint::estimate
