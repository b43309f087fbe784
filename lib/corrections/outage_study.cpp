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
  Second second{*epoch.stream_ms, epoch.utc, epoch.quality, {}, {}};
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

/// Index of the first epoch after a healthy run in which the class was dropped; the size when it never was.
std::size_t OutageStudy::loss_by_class() const {
  std::size_t run = 0;
  for (std::size_t i = 0; i < seconds_.size(); ++i) {
    const bool same = i > 0 && seconds_[i].quality == seconds_[i - 1].quality && may_have_source(seconds_[i].quality);
    if (!same && run >= kHealthyEpochs && rank_of(seconds_[i].quality) < rank_of(seconds_[i - 1].quality)) return i;
    run = same ? run + 1 : 1;
  }
  return seconds_.size();
}

void OutageStudy::tell_healthy(OutageFindings& out, std::size_t loss) const {
  std::vector<double> ages_s, sigmas_m;
  for (std::size_t i = 0; i < loss; ++i) {
    if (seconds_[i].quality != out.quality) continue;
    ++out.healthy_epochs;
    if (seconds_[i].age_s) ages_s.push_back(*seconds_[i].age_s);
    if (seconds_[i].sigma_m) sigmas_m.push_back(*seconds_[i].sigma_m);
  }
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
    out.held_s = static_cast<double>(seconds_[i].stream_ms - first.stream_ms) / 1000.0;
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
  out.quality = worst < seconds_.size() ? seconds_[worst].quality : seconds_[loss - 1].quality;
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
  if (f.held_s) {
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
  return out;
}

std::vector<std::string> toml_lines(const OutageFindings& f) {
  if (!f.found) return {};
  std::vector<std::string> out;
  const bool printed = f.usual_age_s.has_value();
  if (printed) out.push_back("fresh_age_s = " + fixed(std::ceil(*f.usual_age_s * kFreshFactor), 1));
  out.push_back(std::string("age_missing = \"") + (printed ? "refuse" : "allow") + "\"");
  const double limit_s = f.held_s.value_or(f.largest_age_s.value_or(0));
  if (f.manner == AgeManner::counts && limit_s > 0) {
    out.push_back(kSay.max_age_note(fixed(limit_s, 0)));
  }
  return out;
}

}  // namespace stillpoint::corrections
