#include "epoch/assembler.hpp"

#include <algorithm>
#include <cmath>
#include <new>
#include <type_traits>
#include <utility>

namespace stillpoint::epoch {
namespace {

constexpr std::int64_t kLeastIdleMs = 250;
constexpr double kIdleShareOfInterval = 0.4;
constexpr int kRunAfterMistake = 4;  ///< times longer the proof after each wrong guess
constexpr int kLongestRun = 100'000;
constexpr int kGgaMemory = 30;

std::optional<double> not_zero(std::optional<double> value) noexcept {
  return value && *value != 0 ? value : std::nullopt;
}

void keep_worst(std::optional<double>& worst, std::optional<double> value) noexcept {
  if (value && *value != 0 && (!worst || *worst < *value)) worst = value;
}

/// Best letter first; a letter not listed says nothing.
Quality quality_of_modes(const std::array<char, 8>& modes) noexcept {
  struct Row {
    char letter;
    Quality quality;
  };
  constexpr std::array<Row, 8> kRows{{{'R', Quality::rtk_fixed},
                                      {'F', Quality::rtk_float},
                                      {'D', Quality::differential},
                                      {'P', Quality::pps},
                                      {'A', Quality::autonomous},
                                      {'E', Quality::estimated},
                                      {'M', Quality::manual},
                                      {'S', Quality::simulated}}};
  for (const Row& row : kRows) {
    if (std::find(modes.begin(), modes.end(), row.letter) != modes.end()) return row.quality;
  }
  return Quality::none;
}

/// Farther apart than one unit in the last digit of the coarser one: more than rounding can explain.
bool disagree(const std::optional<nmea::Position>& a, const std::optional<nmea::Position>& b) noexcept {
  if (!a || !b || a->digits_hash == b->digits_hash) return false;
  const double unit_deg = std::pow(10.0, -std::min(a->minute_decimals, b->minute_decimals)) / 60.0 * 1.001;
  return std::fabs(a->latitude_deg - b->latitude_deg) > unit_deg ||
         std::fabs(a->longitude_deg - b->longitude_deg) > unit_deg;
}

/// A datum code beside its own reference, without offsets, says that nothing is shifted.
bool shifts(const std::optional<nmea::Dtm>& datum) noexcept {
  if (!datum) return false;
  const bool offset = not_zero(datum->latitude_offset_min) || not_zero(datum->longitude_offset_min) ||
                      not_zero(datum->altitude_offset_m);
  return offset || datum->local != datum->reference;
}

/// Constructs the epoch anew in place. Assigning a new one would build it elsewhere and copy it.
void renew(Epoch& epoch) noexcept {
  static_assert(std::is_trivially_destructible_v<Epoch>);
  ::new (static_cast<void*>(&epoch)) Epoch;
}

}  // namespace

void Dops::add(const nmea::Gsa& gsa, SteadyTime arrived) noexcept {
  if (count++ == 0) first_arrival = arrived;
  keep_worst(pdop, gsa.pdop);
  keep_worst(hdop, gsa.hdop);
  keep_worst(vdop, gsa.vdop);
}

void Dops::add(const Dops& other) noexcept {
  count += other.count;
  keep_worst(pdop, other.pdop);
  keep_worst(hdop, other.hdop);
  keep_worst(vdop, other.vdop);
}

const Epoch* Assembler::push(const nmea::Decoded& sentence, SteadyTime arrived) noexcept {
  closed_ = false;
  const auto& content = sentence.content;
  if (const auto* gga = std::get_if<nmea::Gga>(&content)) {
    on_timed(Kind::gga, *gga, arrived);
  } else if (const auto* gsa = std::get_if<nmea::Gsa>(&content)) {
    on_gsa(*gsa, arrived);
  } else if (const auto* rmc = std::get_if<nmea::Rmc>(&content)) {
    on_timed(Kind::rmc, *rmc, arrived);
  } else if (const auto* gst = std::get_if<nmea::Gst>(&content)) {
    on_timed(Kind::gst, *gst, arrived);
  } else if (const auto* gns = std::get_if<nmea::Gns>(&content)) {
    on_timed(Kind::gns, *gns, arrived);
  } else if (const auto* vtg = std::get_if<nmea::Vtg>(&content)) {
    on_vtg(*vtg, arrived);
  } else if (const auto* zda = std::get_if<nmea::Zda>(&content)) {
    on_zda(*zda, arrived);
  } else if (const auto* dtm = std::get_if<nmea::Dtm>(&content)) {
    on_dtm(*dtm, arrived);
  }
  last_heard_ = arrived;
  return handed_out();
}

template <class Sentence>
void Assembler::on_timed(Kind kind, const Sentence& sentence, SteadyTime arrived) noexcept {
  const bool is_position = kind == Kind::gga || kind == Kind::gns;
  const auto time = sentence.time_of_day_ms;
  if (!time && !(kind == Kind::gga || (kind == Kind::gns && gga_expected_ == 0))) return;
  if (!open_ || !time || open_->time_of_day_ms != time) {
    if (time && !is_position && too_late(kind, *time)) {
      count_late();
      return;
    }
    begin(time, arrived);
  } else {
    end_group();
  }
  take(sentence);
  mark(kind, arrived);
}

/// Closes the open instant and opens one at this time.
void Assembler::begin(std::optional<std::int32_t> time_of_day_ms, SteadyTime arrived) noexcept {
  if (group_count_ > 0) gsa_lead_.saw_behind(arrived.ms - last_heard_.ms);
  if (vtg_in_group_) vtg_lead_.saw_behind(arrived.ms - last_heard_.ms);
  const auto lead_hdop = group_hdop_;
  close(Why::time_changed);
  open_.emplace(time_of_day_ms);
  open_->first_arrival = pending_.count > 0 ? pending_.first_arrival : arrived;
  open_->lead_hdop = lead_hdop;
  datum_before_ = datum_;
  if (!time_of_day_ms) {
    pending_ = {};
    pending_vtg_.reset();
  }
  end_group();
}

/// A sentence with a time has come for the open instant: the sentences without a time that waited belong to it.
void Assembler::end_group() noexcept {
  if (pending_.count > 0) {
    open_->dops.add(pending_);
    pending_ = {};
  }
  if (pending_vtg_ && !open_->vtg) open_->vtg = pending_vtg_;
  pending_vtg_.reset();
  group_count_ = 0;
  group_hdop_.reset();
  vtg_in_group_ = false;
}

/// Books the sentence as the latest of its instant, and closes the instant when it is the learnt last one.
void Assembler::mark(Kind kind, SteadyTime arrived) noexcept {
  open_->last = open_->seen.add(kind);
  open_->last_arrival = arrived;
  if (open_->last != learnt_last_ || !open_->time_of_day_ms || !has_report(*open_)) return;
  if (closed_) {
    open_->complete = true;
  } else {
    close(Why::last_came);
  }
}

void Assembler::take(const nmea::Gga& gga) noexcept {
  gga_expected_ = kGgaMemory;
  if (open_->gga) {
    ++counters_.duplicate_sentences;
    if (open_->gga->quality != gga.quality || disagree(open_->gga->position, gga.position) ||
        open_->gga->position.has_value() != gga.position.has_value()) {
      open_->conflicting = true;
    }
    return;
  }
  open_->gga = gga;
  if (open_->gns && disagree(open_->gns->position, gga.position)) open_->conflicting = true;
}

/// GNS comes once for all systems and may come again for each of them, without a position.
void Assembler::take(const nmea::Gns& gns) noexcept {
  auto& first = open_->gns;
  if (open_->gga && disagree(open_->gga->position, gns.position)) open_->conflicting = true;
  if (!first || (!first->position && gns.position)) {
    const auto age = first ? first->age : std::nullopt;
    const auto station = first ? first->station : std::nullopt;
    first = gns;
    if (!first->age) first->age = age;
    if (!first->station) first->station = station;
    return;
  }
  if (gns.position) {
    ++counters_.duplicate_sentences;
    if (disagree(first->position, gns.position)) open_->conflicting = true;
    return;
  }
  if (!first->age) first->age = gns.age;
  if (!first->station) first->station = gns.station;
}

void Assembler::take(const nmea::Gst& gst) noexcept {
  if (open_->gst) {
    ++counters_.duplicate_sentences;
  } else {
    open_->gst = gst;
  }
}

void Assembler::take(const nmea::Rmc& rmc) noexcept {
  if (open_->rmc) {
    ++counters_.duplicate_sentences;
    return;
  }
  open_->rmc = rmc;
  calendar_.hear(rmc);
}

void Assembler::on_gsa(const nmea::Gsa& gsa, SteadyTime arrived) noexcept {
  if (group_count_++ == 0) {
    const std::int64_t silence_ms = arrived.ms - last_heard_.ms;
    gsa_lead_.saw_before(silence_ms);
    group_after_silence_ = silence_ms >= Lead::kSilenceMs;
  }
  keep_worst(group_hdop_, gsa.hdop);
  if (gsa_lead_.leads()) {
    pending_.add(gsa, arrived);
    return;
  }
  if (!open_) {
    if (!group_after_silence_) count_untimed_late();
    return;
  }
  if (!open_->time_of_day_ms) return;
  open_->dops.add(gsa, arrived);
  mark(Kind::gsa, arrived);
}

void Assembler::on_vtg(const nmea::Vtg& vtg, SteadyTime arrived) noexcept {
  const std::int64_t silence_ms = arrived.ms - last_heard_.ms;
  vtg_lead_.saw_before(silence_ms);
  vtg_in_group_ = true;
  if (vtg_lead_.leads()) {
    pending_vtg_ = vtg;
    return;
  }
  if (!open_) {
    if (silence_ms < Lead::kSilenceMs) count_untimed_late();
    return;
  }
  if (!open_->time_of_day_ms) return;
  if (open_->vtg) {
    ++counters_.duplicate_sentences;
  } else {
    open_->vtg = vtg;
  }
  mark(Kind::vtg, arrived);
}

void Assembler::on_zda(const nmea::Zda& zda, SteadyTime arrived) noexcept {
  calendar_.hear(zda);
  if (!open_ || !zda.time_of_day_ms || open_->time_of_day_ms != zda.time_of_day_ms) return;
  if (open_->seen.has(Kind::zda)) ++counters_.duplicate_sentences;
  end_group();
  mark(Kind::zda, arrived);
}

void Assembler::on_dtm(const nmea::Dtm& dtm, SteadyTime arrived) noexcept {
  datum_ = dtm;
  if (!open_ || !open_->time_of_day_ms) return;
  mark(Kind::dtm, arrived);
}

/// True when the instant of this time was closed a moment ago without such a sentence. If the instant had one, this is
/// a second one, and the time has stepped back.
bool Assembler::too_late(Kind kind, std::int32_t time_of_day_ms) const noexcept {
  return std::any_of(recent_.begin(), recent_.end(), [&](const Closed& closed) {
    return closed.time_of_day_ms == time_of_day_ms && !closed.seen.has(kind);
  });
}

void Assembler::count_late() noexcept {
  ++counters_.late_sentences;
  if (learnt_last_ == Place{} || !last_closed_by_learnt_) return;
  learnt_last_ = {};
  candidate_ = {};
  run_ = 0;
  run_needed_ = std::min(run_needed_ * kRunAfterMistake, kLongestRun);
}

/// Counts a sentence without a time as late, but only when the last instant had a time: at start-up none has.
void Assembler::count_untimed_late() noexcept {
  const Closed& last = recent_[(next_recent_ + recent_.size() - 1) % recent_.size()];
  if (last.time_of_day_ms) count_late();
}

bool Assembler::has_report(const Instant& instant) const noexcept {
  return instant.gga || (instant.gns && (gga_expected_ == 0 || is_gga_overdue(instant)));
}

/// A GGA that is missed once is lost, and its second with it; when the next one is missed too, GNS speaks for them.
bool Assembler::is_gga_overdue(const Instant& instant) const noexcept {
  if (!instant.time_of_day_ms || !gga_time_of_day_ms_ || gga_period_.usual_ms() == 0) return false;
  const std::int64_t since_ms = *instant.time_of_day_ms - *gga_time_of_day_ms_;
  return since_ms > gga_period_.usual_ms() + gga_period_.usual_ms() / 2;
}

std::int64_t Assembler::idle_limit_ms() const noexcept {
  const auto share_ms = static_cast<std::int64_t>(kIdleShareOfInterval * static_cast<double>(interval_.shortest_ms()));
  return std::max(kLeastIdleMs, share_ms);
}

const Epoch* Assembler::tick(SteadyTime now) noexcept {
  closed_ = false;
  if (open_ && open_->complete) {
    close(Why::last_came);
  } else if (open_ && now.ms - last_heard_.ms >= idle_limit_ms()) {
    close(Why::idle);
  }
  return handed_out();
}

const Epoch* Assembler::finish() noexcept {
  closed_ = false;
  close(Why::idle);
  return handed_out();
}

/// When enough epochs in a row end with the same sentence, that sentence is taken for the last of every burst.
void Assembler::learn(const Instant& instant, Why why) noexcept {
  last_closed_by_learnt_ = why == Why::last_came;
  if (last_closed_by_learnt_) return;
  run_ = instant.last == candidate_ ? run_ + 1 : 1;
  candidate_ = instant.last;
  if (run_ >= run_needed_) learnt_last_ = candidate_;
}

/// Ends the open instant; when it was an epoch, `epoch_` holds it.
void Assembler::close(Why why) noexcept {
  if (!open_) return;
  recent_[next_recent_] = {open_->time_of_day_ms, open_->seen};
  next_recent_ = (next_recent_ + 1) % recent_.size();
  renew(epoch_);
  place_in_time(*open_);
  if (has_report(*open_)) {
    if (open_->time_of_day_ms) learn(*open_, why);
    if (open_->gga) note_gga(*open_);
    fill_epoch(*open_);
    ++counters_.epochs;
    closed_ = true;
  } else {
    ++counters_.fragments;
    if (gga_expected_ > 0) --gga_expected_;
    last_closed_by_learnt_ = false;
    last_hdop_.reset();
  }
  open_.reset();
}

void Assembler::note_gga(const Instant& instant) noexcept {
  gga_time_of_day_ms_ = instant.time_of_day_ms;
  if (epoch_.stream_ms) gga_period_.came(*epoch_.stream_ms);
}

void Assembler::place_in_time(const Instant& instant) noexcept {
  if (!instant.time_of_day_ms) return;
  const auto placed = calendar_.place(*instant.time_of_day_ms, instant.last_arrival);
  if (last_instant_ms_ && placed.stream_ms < *last_instant_ms_) ++counters_.backward_times;
  last_instant_ms_ = placed.stream_ms;
  epoch_.stream_ms = placed.stream_ms;
  epoch_.utc = placed.utc;
  epoch_.lifted_days = placed.lifted_days;
  epoch_.clock_days = placed.clock_days;
  epoch_.clock_dated = placed.clock_dated;
}

/// Against the epoch before; the step also teaches the stream's interval.
TimeStep Assembler::step_to(std::int64_t stream_ms) noexcept {
  const auto before_ms = std::exchange(last_epoch_ms_, stream_ms);
  if (!before_ms) return TimeStep::first;
  const std::int64_t step_ms = stream_ms - *before_ms;
  if (step_ms == 0) return TimeStep::repeated;
  if (step_ms < 0) return TimeStep::backward;
  interval_.step(step_ms);
  return TimeStep::forward;
}

template <class Report>
void Assembler::copy_report(const Report& report) noexcept {
  epoch_.altitude_m = report.altitude_m;
  epoch_.geoid_separation_m = report.geoid_separation_m;
  epoch_.height_decimals = report.height_decimals;
  epoch_.age = report.age;
  epoch_.station = report.station;
  epoch_.satellites = report.satellites;
  epoch_.hdop = not_zero(report.hdop);
  if (epoch_.quality != Quality::none) epoch_.position = report.position;
}

void Assembler::copy_position(const Instant& instant) noexcept {
  epoch_.from_gns = !instant.gga;
  epoch_.quality = instant.gga ? instant.gga->quality : quality_of_modes(instant.gns->modes);
  if (instant.gga) {
    copy_report(*instant.gga);
  } else {
    copy_report(*instant.gns);
  }
  if (!instant.gns) return;
  epoch_.gns_modes = instant.gns->modes;
  epoch_.satellites = std::max(epoch_.satellites, instant.gns->satellites);
  if (!epoch_.hdop) epoch_.hdop = not_zero(instant.gns->hdop);
}

void Assembler::copy_rest(const Instant& instant) noexcept {
  epoch_.pdop = instant.dops.pdop;
  epoch_.vdop = instant.dops.vdop;
  epoch_.gsa_hdop = instant.dops.hdop;
  if (!epoch_.hdop) epoch_.hdop = epoch_.gsa_hdop;
  epoch_.error = instant.gst;
  if (instant.vtg) epoch_.speed_mps = instant.vtg->speed_mps;
  if (instant.rmc) {
    if (instant.rmc->speed_mps) epoch_.speed_mps = instant.rmc->speed_mps;
    epoch_.rmc_valid = instant.rmc->valid;
    epoch_.rmc_mode = instant.rmc->mode;
  }
  // A DTM within the instant may belong before or behind its position. If either datum is shifted, the shifted one
  // counts.
  epoch_.datum = !shifts(datum_) && shifts(datum_before_) ? datum_before_ : datum_;
}

/// Fills in what this instant lacks from the last sentence of a kind that comes more slowly than positions, while that
/// still holds.
void Assembler::hold_slow_kinds() noexcept {
  if (!epoch_.stream_ms) return;
  const std::int64_t now_ms = *epoch_.stream_ms;
  if (epoch_.error) {
    gst_period_.came(now_ms);
    if (gst_period_.may_be_slower_than(epoch_.interval_ms)) held_gst_ = epoch_.error;
    held_gst_quality_ = epoch_.quality;
  } else if (gst_period_.holds_at(now_ms) && held_gst_quality_ == epoch_.quality) {
    epoch_.error = held_gst_;  // of the same class: a fixed position's error says nothing about a float one
  }
  if (epoch_.pdop || epoch_.vdop || epoch_.gsa_hdop) {
    dops_period_.came(now_ms);
    if (dops_period_.may_be_slower_than(epoch_.interval_ms))
      held_dops_ = {1, epoch_.pdop, epoch_.gsa_hdop, epoch_.vdop, {}};
  } else if (dops_period_.holds_at(now_ms)) {
    epoch_.pdop = held_dops_.pdop;
    epoch_.vdop = held_dops_.vdop;
    epoch_.gsa_hdop = held_dops_.hdop;
    if (!epoch_.hdop) epoch_.hdop = held_dops_.hdop;
  }
  if (epoch_.speed_mps) {
    speed_period_.came(now_ms);
    held_speed_mps_ = epoch_.speed_mps;
  } else if (speed_period_.holds_at(now_ms)) {
    epoch_.speed_mps = held_speed_mps_;
  }
}

void Assembler::fill_epoch(const Instant& instant) noexcept {
  epoch_.first_arrival = instant.first_arrival;
  epoch_.last_arrival = instant.last_arrival;
  epoch_.conflicting = instant.conflicting;
  if (epoch_.stream_ms) epoch_.step = step_to(*epoch_.stream_ms);
  copy_position(instant);
  gsa_lead_.compare(last_hdop_, instant.lead_hdop, epoch_.hdop);
  last_hdop_ = epoch_.hdop;
  copy_rest(instant);
  epoch_.interval_ms = interval_.usual_ms();
  hold_slow_kinds();
}

}  // namespace stillpoint::epoch
