#include "session/base_watch.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

constexpr double kNearestMarkM = 1000;
constexpr double kNearRoverM = 1000;
constexpr double kFollowedM = 10;
constexpr std::int64_t kChangeMs = 5000;  // a stop-work alert then stays until somebody has seen it

double apart_m(const geodesy::Geographic& a, const geodesy::Geographic& b) {
  const geodesy::Enu enu = geodesy::LocalFrame(a).to_enu(b);
  return std::hypot(enu.east_m, enu.north_m, enu.up_m);
}

/// The published place of the base: the nearest one that the file of marks has. Its own frame is near enough to say
/// which one is meant.
const control::Mark* published(const control::Marks& marks, const geodesy::Geographic& sent) {
  const control::Mark* nearest = nullptr;
  double nearest_m = kNearestMarkM;
  for (const control::Mark& mark : marks.marks) {
    if (mark.status != control::MarkStatus::base || !mark.latitude_deg || !mark.longitude_deg) continue;
    const double m =
        apart_m({*mark.latitude_deg, *mark.longitude_deg, mark.height_m.value_or(sent.ellipsoid_height_m)}, sent);
    if (m >= nearest_m) continue;
    nearest = &mark;
    nearest_m = m;
  }
  return nearest;
}

bool is_of_base(std::optional<Quality> quality) noexcept {
  return quality == Quality::rtk_fixed || quality == Quality::rtk_float;
}

FrameProofState state_of(control::FrameAnswer answer) noexcept {
  switch (answer) {
    case control::FrameAnswer::proven:
      return FrameProofState::proven;
    case control::FrameAnswer::contradicted:
      return FrameProofState::contradicted;
    case control::FrameAnswer::none_fits:
      break;
  }
  return FrameProofState::open;
}

}  // namespace

bool BaseWatch::rests_on_base(const gate::Judged& judged) noexcept {
  return judged.match.source && is_of_base(judged.epoch.quality);
}

void BaseWatch::note_change(const corrections::BaseChange& change, const Moment& moment, bool rests) {
  moved_m_ = change.moved_m;
  if (!change.moved_m) has_followed_ = false;
  const std::string station = std::to_string(change.station);
  change_.whole = change.moved_m ? kSay.base_moved(station, fixed(*change.moved_m, 3))
                                 : kSay.base_changed(station, std::to_string(change.station_before));
  change_.brief = change.moved_m ? kSayBriefly.base_moved() : kSayBriefly.base_changed();
  changed_ = rests ? std::optional(moment.now) : std::nullopt;
}

void BaseWatch::note(const corrections::StreamWatch& watch, const gate::Judged* last) {
  station_ = watch.station();
  base_ = watch.base();
  distance_m_.reset();
  if (!base_ || last == nullptr || !last->epoch.position) return;
  const auto& position = *last->epoch.position;
  const geodesy::Geographic rover{position.latitude_deg, position.longitude_deg,
                                  last->epoch.ellipsoid_height_m().value_or(0)};
  distance_m_ = apart_m(rover, geodesy::from_geocentric(base_->ecef_m));
  if (moved_m_ && *moved_m_ > kFollowedM && *distance_m_ < kNearRoverM) has_followed_ = true;
}

bool BaseWatch::prove(const control::Marks& marks, const gate::Judged& judged) {
  if (!base_ || !judged.epoch.utc || !rests_on_base(judged)) return false;
  const std::size_t source = *judged.match.source;
  const std::pair now{*base_, source};
  if (tried_ == now && !(is_virtual() && proof_.state != FrameProofState::open)) return false;
  tried_ = now;
  Proof next = proof_of(marks, basis_->settings.sources[source], *judged.epoch.utc);
  take_check(next);
  const bool is_other = next.state != proof_.state || next.text != proof_.text;
  proof_ = std::move(next);
  return is_other;
}

BaseWatch::Proof BaseWatch::proof_of(const control::Marks& marks, const config::Source& source, UtcTime utc) {
  Proof out{FrameProofState::open, "", source.name};
  const std::string station = std::to_string(base_->station);
  if (is_virtual()) {
    out.text = kSay.base_is_virtual(station);
    return out;
  }
  const geodesy::Geographic sent = geodesy::from_geocentric(base_->ecef_m);
  const control::Mark* mark = published(marks, sent);
  if (mark == nullptr) {
    out.text = kSay.base_unknown(station);
    return out;
  }
  const auto opened = transfers();
  if (!opened) {
    out.text = opened.error().text;
    return out;
  }
  const auto proof =
      control::prove_frame(**opened, *mark, sent, {source.frame, source.coordinate_epoch}, decimal_year(utc));
  out.text = proof ? proof->text : proof.error().text;
  if (proof) out.state = state_of(proof->answer);
  return out;
}

Result<geodesy::Transfers*> BaseWatch::transfers() {
  if (!transfers_) {
    auto opened = geodesy::Transfers::open();
    if (!opened) return tl::unexpected(opened.error());
    transfers_ = std::move(*opened);
  }
  return &*transfers_;
}

const config::Source* BaseWatch::source_named(const std::string& name) const {
  const auto& all = basis_->settings.sources;
  const auto found = std::find_if(all.begin(), all.end(), [&](const config::Source& one) { return one.name == name; });
  return found == all.end() ? nullptr : &*found;
}

bool BaseWatch::prove(const control::PassedShot& shot, const occupation::Point& point) {
  const config::Source* source = source_named(point.source);
  if (source == nullptr || !base_ || !point.finished_utc || !is_of_base(point.quality)) return false;
  const auto opened = transfers();
  if (!opened) return false;
  const auto proof = control::prove_frame(**opened, shot, {source->frame, source->coordinate_epoch},
                                          decimal_year(*point.finished_utc));
  if (!proof || proof->answer != control::FrameAnswer::proven) return false;
  checked_ = {base_->station, source->name, proof->text + " (" + to_text(*point.finished_utc).substr(0, 10) + ")"};
  if (proof_.source != source->name || proof_.state != FrameProofState::open) return false;
  take_check(proof_);
  return true;
}

void BaseWatch::take_check(Proof& proof) const {
  if (proof.state != FrameProofState::open || !checked_ || checked_->source != proof.source) return;
  if (checked_->station != base_->station) return;
  proof.state = FrameProofState::proven;
  proof.text = checked_->text;
}

void BaseWatch::say(occupation::Point& point) const {
  if (!is_of_base(point.quality) || point.status == occupation::PointStatus::none) return;
  point.base_station = station_;
  if (base_) {
    point.base_x_m = base_->ecef_m[0];
    point.base_y_m = base_->ecef_m[1];
    point.base_z_m = base_->ecef_m[2];
  }
  if (proof_.source != point.source) return;
  if (proof_.state == FrameProofState::proven) {
    point.flags.emplace_back("frame-proven");
    std::sort(point.flags.begin(), point.flags.end());
  }
  if (proof_.state != FrameProofState::contradicted) return;
  point.status = occupation::PointStatus::held;
  point.reasons.push_back(occupation::HoldReason::frame_contradicted);
  point.reason_texts.push_back(kSay.held_for_frame(point.source));
}

void BaseWatch::look(const Moment& moment, AlertBoard& board) const {
  const bool shown = changed_ && moment.now.ms - changed_->ms < kChangeMs;
  board.report(AlertKind::base_changed, {shown, shown ? changed_->ms + kChangeMs : kNotByTime}, moment,
               [this] { return change_; });
  board.report(AlertKind::frame_contradicted, {proof_.state == FrameProofState::contradicted}, moment, [this] {
    return AlertText{proof_.text, kSayBriefly.frame_contradicted()};
  });
}

void BaseWatch::fill(std::optional<BaseStatus>& told) const {
  if (!station_) return;
  BaseStatus& out = told.emplace();
  out.station = *station_;
  if (base_) out.ecef_m = base_->ecef_m;
  out.distance_m = distance_m_;
  out.is_virtual = is_virtual();
  out.proof_state = proof_.state;
  out.proof_text = proof_.text;
}

}  // namespace stillpoint::session
