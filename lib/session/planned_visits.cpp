#include "session/planned_visits.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <utility>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {
std::int64_t day_of(UtcTime utc) noexcept {
  return days_from_civil(date_of(utc));
}
constexpr std::size_t kDateLength = 10;  // of a time's text
// One epoch with a wrong date must not close a visit; several in a row close it.
constexpr int kPastEnd = 5;
}  // namespace

void PlannedVisits::plan(std::vector<PlannedVisit> visits) {
  for (PlannedVisit& visit : visits) planned_.push_back({std::move(visit)});
  by_start_.clear();
  for (std::size_t i = 0; i < planned_.size(); ++i) by_start_.push_back(i);
  std::stable_sort(by_start_.begin(), by_start_.end(),
                   [this](std::size_t a, std::size_t b) { return planned_[a].visit.start < planned_[b].visit.start; });
  closed_first_ = begun_first_ = 0;
}

std::string PlannedVisits::near(const std::string& name) const {
  std::string found;
  for (const Planned& planned : planned_) {
    if (planned.visit.name == name) return {};
    if (found.empty() && reads_like(planned.visit.name, name)) found = planned.visit.name;
  }
  return found;
}

/// Of a whole day's visits only those between the first that is still open and the last that has begun are looked at.
void PlannedVisits::observe(const gate::Judged& judged, double antenna_height_m, std::optional<UtcTime> initialized,
                            Outputs& out) {
  if (planned_.empty()) return;
  const auto& utc = judged.epoch.utc;
  if (utc && !judged.epoch.date_contradicted) {
    if (!dated_) dated_ = {*utc, *utc};
    dated_ = {std::min(dated_->first, *utc), std::max(dated_->second, *utc)};
  }
  while (closed_first_ < by_start_.size() && planned_[by_start_[closed_first_]].done) ++closed_first_;
  std::size_t next = closed_first_;
  for (; next < by_start_.size(); ++next) {
    Planned& p = planned_[by_start_[next]];
    // An epoch without a time belongs to the stay it falls into, and is refused there.
    const bool begun = !p.visit.start || (utc ? *utc >= *p.visit.start : next < begun_first_);
    if (!begun) break;
    observe(p, {judged, antenna_height_m, initialized}, out);
  }
  // An earlier epoch with a wrong date may have been counted past the end of visits that come later.
  for (std::size_t i = next; i < begun_first_; ++i) planned_[by_start_[i]].past_end = 0;
  begun_first_ = std::max(begun_first_, next);
}

void PlannedVisits::observe(Planned& p, const Seen& seen, Outputs& out) {
  const auto& utc = seen.judged.epoch.utc;
  if (p.done) return;
  if (p.visit.end && utc && *utc >= *p.visit.end) {
    if (++p.past_end >= kPastEnd) close(p, seen.antenna_height_m, out);
    return;
  }
  p.past_end = 0;
  if (!p.stay && !utc && p.visit.start) return;
  if (!p.stay) open(p, seen.antenna_height_m);
  p.stay->interrupt(std::exchange(p.broken, occupation::CutOff::no));
  if (utc) p.last_utc = utc;
  p.interval_ms = seen.judged.epoch.interval_ms;
  if (p.stay->observe(seen.judged).counted && !p.initialized) p.initialized = seen.initialized;
}

std::string PlannedVisits::missed() const {
  std::uint64_t count = 0;
  std::int64_t days = 0;  // of the first of them
  for (const Planned& p : planned_) {
    if (!dated_ || p.last_utc || !p.visit.start || !p.visit.end) continue;
    const std::int64_t before = day_of(dated_->first) - day_of(*p.visit.start);
    const std::int64_t after = day_of(*p.visit.start) - day_of(dated_->second);
    if (std::max(before, after) <= 0) continue;
    if (count++ == 0) days = before > 0 ? -before : after;
  }
  if (count == 0) return {};
  const auto date = [](UtcTime utc) { return to_text(utc).substr(0, kDateLength); };
  return kSay.visits_missed(counted(count, "visit lies", "visits lie"),
                            counted(static_cast<std::uint64_t>(std::abs(days)), "day"), days < 0 ? "before" : "after",
                            date(dated_->first), date(dated_->second));
}

void PlannedVisits::open(Planned& p, double antenna_height_m) {
  p.stay.emplace(occupation::Stand{p.visit.name, p.visit.visit, p.visit.code, "", antenna_height_m,
                                   basis_->options.keep_epochs, basis_->options.training},
                 basis_->settings, basis_->frames);
}

void PlannedVisits::close(Planned& p, double antenna_height_m, Outputs& out) {
  p.done = true;
  if (!p.stay) open(p, antenna_height_m);
  // The data broke off well before the end of the visit, whether they came back after it or not.
  const std::int64_t gap_ms = epoch::gap_limit_ms(std::llround(basis_->settings.gap_s() * 1000), p.interval_ms);
  const bool short_of_end = p.visit.end && p.last_utc && p.visit.end->ms - p.last_utc->ms > gap_ms;
  if (short_of_end) p.stay->interrupt();
  const auto index = static_cast<std::size_t>(&p - planned_.data());
  out.points.push_back({index, false, p.stay->finish(),
                        basis_->options.keep_epochs ? p.stay->epochs() : decltype(FinishedPoint::epochs){}});
  base_->say(out.points.back().point);
  repeats_->close(out.points.back().point, p.initialized, out);
  p.stay.reset();
}

void PlannedVisits::interrupt(occupation::CutOff how) noexcept {
  for (Planned& p : planned_) p.broken = p.stay ? how : occupation::CutOff::no;
}

void PlannedVisits::end_open(double antenna_height_m, Outputs& out) {
  for (Planned& p : planned_) {
    if (p.done || !p.stay) continue;
    if (p.past_end == 0) p.stay->interrupt();
    close(p, antenna_height_m, out);
  }
}

void PlannedVisits::finish(double antenna_height_m, Outputs& out) {
  for (Planned& p : planned_) {
    if (!p.done) close(p, antenna_height_m, out);
  }
}

}  // namespace stillpoint::session
