#include "corrections/outage_study.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "corrections/sentences.hpp"

namespace stillpoint::corrections {
namespace {

constexpr double kGrownS = 10.0;            // an age that grows by more is a loss, not a saw-tooth
constexpr std::size_t kHealthyEpochs = 30;  // fewer say nothing about what is usual
constexpr double kFreshFactor = 1.5;        // room above the usual age
constexpr double kMostUsual = 0.9;          // an outage before the one meant must not become usual
constexpr double kLongestLimitS = 1800.0;   // common practice: nobody works with older corrections
constexpr double kSeldomBlank = 0.02;       // of the ages: a sentence that was lost, not a manner
constexpr double kKeptShare = 0.6;          // of the satellites; fewer left than this is a loss of sky

bool is_carrier(Quality quality) noexcept {
  return quality == Quality::rtk_fixed || quality == Quality::rtk_float;
}

/// The same corrections may be in use: fixed and float differ by the solution, not by what it rests on.
bool is_same_use(Quality a, Quality b) noexcept {
  return a == b || (is_carrier(a) && is_carrier(b));
}

double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  const auto at = static_cast<std::size_t>(share * static_cast<double>(values.size() - 1));
  return values[at];
}

std::string seconds_text(double value_s) {
  return fixed(value_s, value_s == std::floor(value_s) ? 0 : 1) + " s";
}

}  // namespace

void OutageStudy::observe(const epoch::Epoch& epoch) {
  if (!epoch.stream_ms) return;
  Second second{*epoch.stream_ms, epoch.utc, epoch.quality, {}, {}, epoch.satellites, epoch.position.has_value()};
  if (epoch.age && !epoch.age->integer_zero) {
    second.age_s = epoch.age->seconds;
    whole_ = whole_ && epoch.age->seconds == std::floor(epoch.age->seconds);
  }
  if (epoch.error && epoch.error->sigma_latitude_m && epoch.error->sigma_longitude_m) {
    second.sigma_m = std::hypot(*epoch.error->sigma_latitude_m, *epoch.error->sigma_longitude_m);
  }
  seconds_.push_back(second);
}

/// Index of the last epoch of the run in which the age grew most; the size when it never grew by more than a saw-tooth.
std::size_t OutageStudy::loss_by_age() const {
  std::size_t best = seconds_.size(), begin = 0;
  double best_s = kGrownS;
  for (std::size_t i = 1; i < seconds_.size(); ++i) {
    if (!grows_at(i)) {
      begin = i;
      continue;
    }
    const double grown_s = *seconds_[i].age_s - *seconds_[begin].age_s;
    if (grown_s < best_s) continue;
    best_s = grown_s;
    best = i;
  }
  return best;
}

/// The age of this epoch is at least that of the one before, in the same class: whole seconds repeat at high rates.
bool OutageStudy::grows_at(std::size_t i) const {
  const auto &before = seconds_[i - 1], &now = seconds_[i];
  return now.quality == before.quality && may_have_source(now.quality) && before.age_s && now.age_s &&
         *now.age_s >= *before.age_s;
}

/// The class of this epoch is lower than that of the one before because the sky was lost, not the corrections.
bool OutageStudy::is_loss_of_fix(std::size_t i) const {
  const auto &before = seconds_[i - 1], &now = seconds_[i];
  if (!now.has_position || now.quality == Quality::none || now.quality == Quality::estimated) return true;
  return before.satellites && now.satellites && *now.satellites <= kKeptShare * *before.satellites;
}

/// Index of the first epoch after a healthy run in which the class was dropped; the size when it never was.
std::size_t OutageStudy::loss_by_class() const {
  std::size_t run = 0;
  for (std::size_t i = 0; i < seconds_.size(); ++i) {
    const bool same =
        i > 0 && is_same_use(seconds_[i].quality, seconds_[i - 1].quality) && may_have_source(seconds_[i].quality);
    const bool dropped = i > 0 && !same && rank_of(seconds_[i].quality) < rank_of(seconds_[i - 1].quality);
    if (dropped && run >= kHealthyEpochs && !is_loss_of_fix(i)) return i;
    run = same ? run + 1 : 1;
  }
  return seconds_.size();
}

/// Of the run before a loss by class: fixed or float, whichever had more epochs.
Quality OutageStudy::class_before(std::size_t loss) const {
  const Quality last = seconds_[loss - 1].quality;
  std::size_t all = 0, as_last = 0;
  for (std::size_t i = loss; i > 0 && is_same_use(seconds_[i - 1].quality, last); --i) {
    ++all;
    as_last += seconds_[i - 1].quality == last ? 1U : 0U;
  }
  if (2 * as_last >= all) return last;
  return last == Quality::rtk_fixed ? Quality::rtk_float : Quality::rtk_fixed;
}

void OutageStudy::tell_healthy(OutageFindings& out, std::size_t loss) const {
  std::vector<double> ages_s, sigmas_m;
  for (std::size_t i = 0; i < loss; ++i) {
    if (seconds_[i].quality != out.quality) continue;
    ++out.healthy_epochs;
    if (seconds_[i].age_s) ages_s.push_back(*seconds_[i].age_s);
    out.blank_share += seconds_[i].age_s ? 0 : 1;
    if (seconds_[i].sigma_m) sigmas_m.push_back(*seconds_[i].sigma_m);
  }
  if (out.healthy_epochs > 0) out.blank_share /= static_cast<double>(out.healthy_epochs);
  if (!ages_s.empty()) out.usual_age_s = quantile(ages_s, kMostUsual);
  if (!sigmas_m.empty()) out.sigma_before_m = quantile(sigmas_m, 0.5);
}

/// From the loss to the end of the class, and what came after.
void OutageStudy::tell_loss(OutageFindings& out, std::size_t loss) const {
  const Second& first = seconds_[loss];
  out.lost_utc = first.utc;
  std::size_t i = loss;
  std::optional<double> before_s;
  for (; i < seconds_.size() && seconds_[i].quality == out.quality; ++i) {
    const auto& s = seconds_[i];
    // A step back after growth: corrections came again while the class was still held.
    if (s.age_s && before_s && *s.age_s < *before_s - 1.0) break;
    before_s = s.age_s;
    out.largest_age_s = std::max(out.largest_age_s.value_or(0), s.age_s.value_or(0));
    if (s.sigma_m) out.sigma_last_m = s.sigma_m;
  }
  if (i < seconds_.size() && seconds_[i].quality != out.quality) {
    out.fix_lost = is_loss_of_fix(i);
    if (!out.fix_lost) out.held_s = static_cast<double>(seconds_[i].stream_ms - first.stream_ms) / 1000.0;
    out.dropped_to = seconds_[i].quality;
  }
  // This loss was found by the growth of the age, where one is printed.
  out.manner = out.usual_age_s ? AgeManner::counts : AgeManner::never_there;
}

OutageFindings OutageStudy::findings() const {
  OutageFindings out;
  out.whole_seconds = whole_;
  const std::size_t worst = loss_by_age();
  const std::size_t dropped = loss_by_class();
  std::size_t loss = dropped;
  if (worst < seconds_.size()) {
    // Goes back from the largest age to where the run began, then forward over the epochs whose age did not grow yet.
    loss = worst;
    while (loss > 1 && grows_at(loss)) --loss;
    while (loss < worst && *seconds_[loss + 1].age_s <= *seconds_[loss].age_s) ++loss;
  }
  if (loss == 0 || loss >= seconds_.size()) return out;
  out.found = true;
  out.quality = worst < seconds_.size() ? seconds_[worst].quality : class_before(loss);
  tell_healthy(out, loss);
  if (worst < seconds_.size()) {
    tell_loss(out, loss);
    return out;
  }
  out.lost_utc = seconds_[loss].utc;
  out.dropped_to = seconds_[loss].quality;
  out.manner = !out.usual_age_s       ? AgeManner::never_there
               : seconds_[loss].age_s ? AgeManner::stands
                                      : AgeManner::goes_blank;
  return out;
}

config::AgeMissing policy_for(const OutageFindings& f) noexcept {
  using config::AgeMissing;
  if (f.usual_age_s && f.blank_share <= kSeldomBlank) return AgeMissing::refuse;
  const bool gave_up = f.dropped_to != Quality::none && !f.fix_lost;
  return gave_up ? AgeMissing::trust_quality : AgeMissing::allow;
}

namespace {

std::string policy_text(const OutageFindings& f) {
  const std::string blank =
      f.usual_age_s ? kSay.blank_in(fixed(100 * f.blank_share, 0)) : std::string(kSay.always_blank());
  switch (policy_for(f)) {
    case config::AgeMissing::refuse:
      return std::string(kSay.refuse_fits());
    case config::AgeMissing::trust_quality:
      return kSay.trust_fits(blank);
    case config::AgeMissing::allow:
      break;
  }
  return kSay.allow_fits(blank);
}

std::string_view to_word(config::AgeMissing policy) noexcept {
  if (policy == config::AgeMissing::trust_quality) return "trust-quality";
  return policy == config::AgeMissing::refuse ? "refuse" : "allow";
}

}  // namespace

std::vector<std::string> in_words(const OutageFindings& f) {
  if (!f.found) {
    return {kSay.no_loss(), kSay.record_a_loss()};
  }
  std::vector<std::string> out;
  out.push_back(kSay.before_loss(std::to_string(f.healthy_epochs), to_word(f.quality),
                                 f.lost_utc ? " at " + to_text(*f.lost_utc) : ""));
  out.push_back(f.usual_age_s
                    ? kSay.usual_age(seconds_text(*f.usual_age_s), f.whole_seconds ? kSay.whole_seconds() : ".")
                    : kSay.no_age());
  switch (f.manner) {
    case AgeManner::counts:
      out.push_back(kSay.age_counts_up(seconds_text(f.largest_age_s.value_or(0))));
      break;
    case AgeManner::stands:
      out.push_back(kSay.age_stands_still());
      break;
    case AgeManner::goes_blank:
      out.push_back(kSay.age_goes_blank());
      break;
    case AgeManner::never_there:
      out.push_back(kSay.only_class());
      break;
  }
  if (f.fix_lost) {
    out.emplace_back(kSay.fix_was_lost());
  } else if (f.held_s) {
    out.push_back(kSay.keeps_class(seconds_text(*f.held_s), to_word(f.dropped_to)));
  } else if (f.manner == AgeManner::counts) {
    out.push_back(kSay.never_gives_up());
  } else {
    out.push_back(kSay.how_long_unseen(to_word(f.dropped_to)));
  }
  if (f.sigma_before_m && f.sigma_last_m) {
    const double ratio = *f.sigma_last_m / *f.sigma_before_m;
    out.push_back(kSay.error_went(fixed(*f.sigma_before_m, 3), fixed(*f.sigma_last_m, 3),
                                  ratio > 1.2 ? "." : kSay.error_does_not_tell()));
  }
  out.push_back(policy_text(f));
  return out;
}

std::vector<std::string> toml_lines(const OutageFindings& f) {
  if (!f.found) return {};
  std::vector<std::string> out;
  if (f.usual_age_s) {
    const double fresh_s = std::min(std::ceil(*f.usual_age_s * kFreshFactor), kLongestLimitS);
    out.push_back("fresh_age_s = " + fixed(fresh_s, 1));
  }
  out.push_back("age_missing = \"" + std::string(to_word(policy_for(f))) + "\"");
  const double limit_s = f.held_s.value_or(f.largest_age_s.value_or(0));
  if (f.manner != AgeManner::counts || limit_s <= 0) return out;
  const std::string most = fixed(std::min(limit_s, kLongestLimitS), 0);
  out.push_back(limit_s > kLongestLimitS ? kSay.max_age_practice(most)
                : f.held_s               ? kSay.max_age_note(most)
                                         : kSay.max_age_unseen(most));
  return out;
}

}  // namespace stillpoint::corrections
