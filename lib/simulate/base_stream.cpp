#include "simulate/base_stream.hpp"

#include <cmath>

#include "geodesy/local.hpp"
#include "rtcm/encode.hpp"

namespace stillpoint::simulate {
namespace {

constexpr std::int64_t kPlaceEveryS = 10;
constexpr std::int64_t kWeekMs = 604'800'000;
constexpr std::int64_t kGpsEpochMs = 315'964'800'000;  // 1980-01-06; leap seconds are of no matter here

}  // namespace

BaseStream::BaseStream(const Scenario& scenario, const std::vector<FramedMark>& marks)
    : mark_(scenario.marks[scenario.base->mark].name), station_(scenario.base->station), start_(scenario.start) {
  for (std::size_t i = 0; i < marks.size(); ++i) places_[scenario.marks[i].name] = geodesy::to_geocentric(marks[i].at);
}

void BaseStream::write(double at_s, const std::vector<const Fault*>& active, Burst& out) {
  const auto second = static_cast<std::int64_t>(std::floor(at_s));
  if (second_ == second || find_fault(active, FaultKind::outage) != nullptr) return;
  second_ = second;
  const Fault* other = find_fault(active, FaultKind::other_base);
  const int station = other ? other->count : station_;
  const std::string& mark = other ? other->text : mark_;
  if (told_ != mark) out.base_ecef_m = places_.at(mark);
  if (told_ != mark || second % kPlaceEveryS == 0)
    out.corrections += rtcm::base_position_frame(station, places_.at(mark));
  told_ = mark;
  out.corrections += rtcm::observations_frame(station, (start_.ms - kGpsEpochMs + second * 1000) % kWeekMs);
}

}  // namespace stillpoint::simulate
