#include "simulate/path.hpp"

#include <cmath>
#include <numbers>

#include "geodesy/frames.hpp"

namespace stillpoint::simulate {
namespace {

constexpr double kDeg = std::numbers::pi / 180.0;

/// GRS 80's radii of curvature at the place, with its height.
FramedMark framed(const geodesy::Geographic& at) noexcept {
  constexpr double kA = 6378137.0, kF = 1 / 298.257222101, kE2 = kF * (2 - kF);
  const double sine = std::sin(at.latitude_deg * kDeg);
  const double w2 = 1 - kE2 * sine * sine, w = std::sqrt(w2);
  const double meridian_m = kA * (1 - kE2) / (w2 * w) + at.ellipsoid_height_m;
  const double parallel_m = (kA / w + at.ellipsoid_height_m) * std::cos(at.latitude_deg * kDeg);
  return {at, 1.0 / (meridian_m * kDeg), 1.0 / (parallel_m * kDeg)};
}

config::Settings between(const std::string& from, const std::string& to, std::optional<double> epoch) {
  config::Settings settings;
  settings.project.frame = to;
  config::Source source;
  source.name = "truth";
  source.frame = from;
  source.coordinate_epoch = epoch;
  settings.sources.push_back(source);
  return settings;
}

}  // namespace

Result<std::vector<FramedMark>> marks_in(const Scenario& scenario, const std::string& frame,
                                         std::optional<double> coordinate_epoch) {
  const std::string& target = frame.empty() ? scenario.frame : frame;
  const auto frames = geodesy::Frames::open(between(scenario.frame, target, coordinate_epoch));
  if (!frames) return fail(scenario.path + ": from " + scenario.frame + " to " + target + ": " + frames.error().text);
  std::vector<FramedMark> out;
  for (const Mark& mark : scenario.marks) {
    // A disturbed mark stands where it stands; the list still says the old place.
    const FramedMark listed = framed({mark.latitude_deg, mark.longitude_deg, mark.ellipsoid_height_m});
    const geodesy::Geographic stands{listed.at.latitude_deg + mark.disturbed_m.north * listed.deg_per_m_north,
                                     listed.at.longitude_deg + mark.disturbed_m.east * listed.deg_per_m_east,
                                     listed.at.ellipsoid_height_m + mark.disturbed_m.up};
    const auto moved = frames->to_project(0, stands, scenario.start);
    if (!moved) return fail(scenario.path + ": mark " + mark.name + ": " + moved.error().text);
    out.push_back(framed(moved->position));
  }
  return out;
}

Path::Path(const Scenario& scenario, const std::vector<FramedMark>& marks) : stands_(scenario.stands) {
  for (std::size_t i = 0; i + 1 < stands_.size(); ++i) {
    const FramedMark& a = marks[stands_[i].mark];
    const Axes d = difference_m(marks[stands_[i + 1].mark].at, a.at, a);
    const double walk_s = stands_[i + 1].when.from_s - stands_[i].when.to_s;
    double course_deg = std::atan2(d.east, d.north) / kDeg;
    if (course_deg < 0) course_deg += 360.0;
    legs_.push_back({walk_s > 0 ? std::sqrt(d.east * d.east + d.north * d.north) / walk_s : 0.0, course_deg});
  }
}

PoleAt Path::at(double at_s) noexcept {
  while (next_ < stands_.size() && at_s >= stands_[next_].when.to_s) ++next_;
  PoleAt out;
  if (stands_.empty()) return out;
  // Before the first stand and after the last the pole is where it will stand, or stood.
  const bool over = next_ == stands_.size();
  const Stand& ahead = stands_[over ? next_ - 1 : next_];
  out = {ahead.mark, ahead.mark, 0, ahead.antenna_height_m, 0, 0, &ahead};
  if (over || at_s >= ahead.when.from_s || next_ == 0) return out;
  const Stand& behind = stands_[next_ - 1];
  out.from = behind.mark;
  out.part = (at_s - behind.when.to_s) / (ahead.when.from_s - behind.when.to_s);
  out.antenna_height_m = behind.antenna_height_m + out.part * (ahead.antenna_height_m - behind.antenna_height_m);
  out.speed_mps = legs_[next_ - 1].speed_mps;
  out.course_deg = legs_[next_ - 1].course_deg;
  out.stand = nullptr;
  return out;
}

geodesy::Geographic antenna_at(const PoleAt& pole, const std::vector<FramedMark>& marks,
                               const Axes& offset_m) noexcept {
  const FramedMark& a = marks[pole.from];
  geodesy::Geographic out = a.at;
  if (pole.from != pole.to) {
    const geodesy::Geographic& b = marks[pole.to].at;
    out.latitude_deg += pole.part * (b.latitude_deg - out.latitude_deg);
    out.longitude_deg += pole.part * (b.longitude_deg - out.longitude_deg);
    out.ellipsoid_height_m += pole.part * (b.ellipsoid_height_m - out.ellipsoid_height_m);
  }
  out.latitude_deg += offset_m.north * a.deg_per_m_north;
  out.longitude_deg += offset_m.east * a.deg_per_m_east;
  out.ellipsoid_height_m += offset_m.up + pole.antenna_height_m;
  return out;
}

Axes difference_m(const geodesy::Geographic& position, const geodesy::Geographic& truth,
                  const FramedMark& near) noexcept {
  return {(position.longitude_deg - truth.longitude_deg) / near.deg_per_m_east,
          (position.latitude_deg - truth.latitude_deg) / near.deg_per_m_north,
          position.ellipsoid_height_m - truth.ellipsoid_height_m};
}

}  // namespace stillpoint::simulate
