#include "occupation/repeats.hpp"

#include <algorithm>
#include <cmath>

#include "estimate/visits.hpp"
#include "geodesy/local.hpp"
#include "occupation/geoid.hpp"
#include "occupation/place.hpp"

namespace stillpoint::occupation {
namespace {

constexpr double kSameEpoch_years = 0.5;  // a plate moves a centimetre or two in that time

bool has_flag(const Point& point, const char* flag) {
  return std::find(point.flags.begin(), point.flags.end(), flag) != point.flags.end();
}

bool usable(const Point& point) {
  return point.at && point.status == PointStatus::accepted && point.started_utc && point.finished_utc;
}

/// How much of a visit counted: its time, less the share of seconds that did not.
double counted_s(const Point& point) {
  const double used = static_cast<double>(point.epochs_used), refused = static_cast<double>(point.epochs_refused);
  if (used == 0) return 0;
  return static_cast<double>(point.finished_utc->ms - point.started_utc->ms) / 1000.0 * used / (used + refused);
}

/// The visit whose source, frame and epoch the others must share: the longest, the earliest of equals.
const Point* leader_of(std::span<const Point* const> visits) {
  const Point* best = nullptr;
  for (const Point* visit : visits) {
    if (usable(*visit) && (!best || counted_s(*visit) > counted_s(*best))) best = visit;
  }
  return best;
}

const char* why_left_out(const Point& visit, const Point& leader) {
  if (!usable(visit)) return "not-accepted";
  if (visit.source != leader.source) return "other-source";
  if (visit.frame != leader.frame) return "other-frame";
  if (std::abs(visit.at->coordinate_epoch - leader.at->coordinate_epoch) > kSameEpoch_years)
    return "other-coordinate-epoch";
  return nullptr;
}

estimate::Visit visit_of(const Point& point, int initialization, const geodesy::LocalFrame& plane) {
  const Coordinates& at = *point.at;
  const auto enu = plane.to_enu(place_of(at));
  estimate::Visit out;
  out.estimate.epochs = point.epochs_used;
  out.estimate.east_m = enu.east_m, out.estimate.north_m = enu.north_m, out.estimate.up_m = enu.up_m;
  out.estimate.ee_m2 = at.covariance_enu_m2[0], out.estimate.en_m2 = at.covariance_enu_m2[1];
  out.estimate.nn_m2 = at.covariance_enu_m2[2], out.estimate.uu_m2 = at.covariance_enu_m2[3];
  out.estimate.error95_horizontal_m = at.error95_horizontal_m;
  out.estimate.error95_vertical_m = ellipsoid_error95_m(at);
  out.first = *point.started_utc, out.last = *point.finished_utc;
  out.initialization = initialization;
  out.counted_s = counted_s(point);
  return out;
}

/// Visits that can be combined at all, with their place in the plane.
struct Usable {
  std::vector<const Point*> points;
  std::vector<estimate::Visit> visits;
};

Usable usable_of(std::span<const Point* const> visits, const Point& leader, const geodesy::LocalFrame& plane,
                 Combined& out) {
  Usable usable;
  int initialization = 0;
  for (const Point* visit : visits) {
    if (!has_flag(*visit, kSameInitialization)) ++initialization;
    if (const char* why = why_left_out(*visit, leader)) {
      out.left_out.push_back({visit->visit, why});
      continue;
    }
    usable.points.push_back(visit);
    usable.visits.push_back(visit_of(*visit, initialization, plane));
  }
  return usable;
}

/// When visits disagree, one of them is wrong and nobody knows which: the error is widened until it covers each of them
/// with its own error.
void cover(const Usable& usable, const estimate::Combined& mean, Coordinates& at) {
  for (const std::size_t k : mean.counted) {
    const estimate::Estimate& e = usable.visits[k].estimate;
    const double apart_m = std::hypot(e.east_m - mean.east_m, e.north_m - mean.north_m);
    at.error95_horizontal_m = std::max(at.error95_horizontal_m, apart_m + e.error95_horizontal_m);
    at.error95_vertical_m = std::max(at.error95_vertical_m, std::abs(e.up_m - mean.up_m) + e.error95_vertical_m);
  }
}

void fill_position(const Usable& usable, const estimate::Combined& mean, const geodesy::LocalFrame& plane,
                   Combined& out) {
  const geodesy::Geographic position = plane.to_geographic({mean.east_m, mean.north_m, mean.up_m});
  Coordinates at;
  at.latitude_deg = position.latitude_deg;
  at.longitude_deg = position.longitude_deg;
  at.ellipsoid_height_m = position.ellipsoid_height_m;
  at.error95_horizontal_m = mean.error95_horizontal_m;
  at.error95_vertical_m = mean.error95_vertical_m;
  at.covariance_enu_m2 = {mean.ee_m2, mean.en_m2, mean.nn_m2, mean.uu_m2};
  for (const std::size_t k : mean.counted) {
    at.coordinate_epoch += usable.points[k]->at->coordinate_epoch / static_cast<double>(mean.counted.size());
    at.effective_epochs += usable.points[k]->at->effective_epochs;
  }
  if (mean.disagree) cover(usable, mean, at);
  double geoid95_m = 0;  // the same on every visit
  for (const std::size_t k : mean.counted) geoid95_m = std::max(geoid95_m, geoid_part95_m(*usable.points[k]->at));
  at.error95_vertical_m = std::hypot(at.error95_vertical_m, geoid95_m);
  out.at = at;
}

/// Those that add nothing to the ones that count.
void name_dependent(const Usable& usable, const estimate::Combined& mean, Combined& out) {
  for (std::size_t i = 0; i < usable.visits.size(); ++i) {
    if (std::find(mean.counted.begin(), mean.counted.end(), i) != mean.counted.end()) continue;
    bool same = false;
    for (const std::size_t k : mean.counted) same |= usable.visits[i].initialization == usable.visits[k].initialization;
    out.left_out.push_back({usable.points[i]->visit, same ? kSameInitialization : "too-soon"});
  }
  std::stable_sort(out.left_out.begin(), out.left_out.end(),
                   [](const LeftOut& a, const LeftOut& b) { return a.visit < b.visit; });
}

estimate::CommonFloor floor_of(const std::vector<config::Source>& sources, const std::string& name) {
  for (const config::Source& source : sources)
    if (source.name == name) return {source.error_floor_m.horizontal_m, source.error_floor_m.vertical_m};
  return {};
}

}  // namespace

std::optional<Combined> combine(std::span<const Point* const> visits, const std::vector<config::Source>& sources) {
  if (std::count_if(visits.begin(), visits.end(), [](const Point* p) { return p->at.has_value(); }) < 2)
    return std::nullopt;
  Combined out;
  out.name = visits.front()->name;
  const Point* leader = leader_of(visits);
  if (!leader) {
    for (const Point* visit : visits) out.left_out.push_back({visit->visit, "not-accepted"});
    return out;
  }
  out.source = leader->source;
  out.frame = leader->frame;
  const geodesy::LocalFrame plane(place_of(*leader->at));
  const Usable usable = usable_of(visits, *leader, plane, out);
  const auto mean = estimate::combine(usable.visits, floor_of(sources, leader->source));
  for (const std::size_t k : mean->counted) {
    out.counted.push_back(usable.points[k]->visit);
    out.error_scale_verified &= !has_flag(*usable.points[k], "error-scale-not-verified");
  }
  out.separation_m = mean->separation_m;
  out.separation_up_m = mean->separation_up_m;
  out.disagree = mean->disagree;
  out.next_counts_from = estimate::next_counts_from(usable.visits);
  fill_position(usable, *mean, plane, out);
  name_dependent(usable, *mean, out);
  return out;
}

}  // namespace stillpoint::occupation
