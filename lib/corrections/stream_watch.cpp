#include "corrections/stream_watch.hpp"

#include <cmath>
#include <utility>
#include <variant>

#include "base/utf8.hpp"

namespace stillpoint::corrections {
namespace {

constexpr double kHalfStepM = 0.00005;  // positions come in steps of 0.1 mm

}  // namespace

double distance_m(const std::array<double, 3>& a, const std::array<double, 3>& b) noexcept {
  return std::hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);
}

void StreamWatch::take(std::string_view bytes, SteadyTime arrived) {
  if (bytes.empty()) return;
  last_byte_ = arrived;
  framer_.push(bytes, [&](const rtcm::Frame& frame) { read(frame.body, arrived); });
}

void StreamWatch::cut() {
  framer_.finish([](const rtcm::Frame&) {});
}

void StreamWatch::read(std::string_view body, SteadyTime arrived) {
  const rtcm::Message message = rtcm::decode(body);
  if (std::holds_alternative<rtcm::Malformed>(message.content)) {
    ++framer_.damage().malformed;
  } else if (const auto* position = std::get_if<rtcm::BasePosition>(&message.content)) {
    note_base(*position, arrived);
  } else if (const auto* seen = std::get_if<rtcm::Observations>(&message.content)) {
    note_station(seen->station, arrived);
    note_corrections(arrived);
  } else if (const auto* text = std::get_if<rtcm::Text>(&message.content)) {
    text_ = shown(text->utf8);
  } else if (std::holds_alternative<rtcm::Other>(message.content) && message.type != 0) {
    note_corrections(arrived);
  }
}

void StreamWatch::note_corrections(SteadyTime arrived) {
  if (!last_frame_ || arrived.ms - last_frame_->ms > kPauseMs) flowing_since_ = arrived;
  last_frame_ = arrived;
}

bool StreamWatch::note_station(int station, SteadyTime arrived) {
  if (station_ && *station_ != station) {
    if (arrived.ms - heard_.ms < kOtherStationMs) return false;
    change_ = BaseChange{*station_, station, {}};
    base_.reset();
  }
  station_ = station;
  heard_ = arrived;
  return true;
}

void StreamWatch::note_base(const rtcm::BasePosition& position, SteadyTime arrived) {
  if (!note_station(position.station, arrived)) return;
  const Base now{position.station, position.ecef_m, position.is_computed};
  const double moved_m = base_ ? distance_m(base_->ecef_m, now.ecef_m) : 0;
  const bool has_moved = moved_m > kMovedM + kHalfStepM;
  if (has_moved) change_ = BaseChange{now.station, now.station, moved_m};
  if (!base_ || has_moved || base_->is_computed != now.is_computed) base_ = now;
}

std::optional<BaseChange> StreamWatch::take_change() noexcept {
  return std::exchange(change_, std::nullopt);
}

std::string StreamWatch::take_text() {
  return std::exchange(text_, {});
}

}  // namespace stillpoint::corrections
