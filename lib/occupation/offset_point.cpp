#include "occupation/offset_point.hpp"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/number.hpp"
#include "estimate/average.hpp"
#include "geodesy/offset.hpp"
#include "occupation/geoid.hpp"
#include "occupation/place.hpp"
#include "occupation/repeats.hpp"
#include "occupation/sentences.hpp"

namespace stillpoint::occupation {
namespace {

using geodesy::Measured;

double square(double value) {
  return value * value;
}

/// How much larger than its covariance an error at 95 % is.
double growth(double error95_m, double of_covariance_m) {
  return of_covariance_m > 0 ? std::max(1.0, square(error95_m / of_covariance_m)) : 1.0;
}

geodesy::Stood stood(const Coordinates& at) {
  auto c = at.covariance_enu_m2;
  const double plan = growth(at.error95_horizontal_m, estimate::horizontal95(c[0], c[1], c[2]));
  const double up = growth(ellipsoid_error95_m(at), estimate::vertical95(c[3]));
  return {place_of(at), {plan * c[0], plan * c[1], plan * c[2], up * c[3]}};
}

std::string title(const Point& point) {
  return kSay.stay(point.name, std::to_string(point.visit));
}

/// Why nothing can be measured from these stays; empty: it can.
std::string fault_of(const OffsetMeasures& measures, const std::vector<const Point*>& stays) {
  const std::size_t wanted = measures.bearing_deg ? 1 : 2;
  if (stays.size() != wanted || measures.stays.size() != wanted) return kSay.one_way_or_other();
  for (const Point* stay : stays) {
    if (!stay->measures.empty()) return kSay.from_offset(title(*stay));
    if (!stay->at) return kSay.stay_without_place(title(*stay));
    if (stay->status == PointStatus::rejected) return kSay.from_rejected(title(*stay));
  }
  const Point &first = *stays.front(), &last = *stays.back();
  if (wanted == 2 && first.name == last.name) return kSay.one_place_twice(first.name);
  const double years = std::abs(first.at->coordinate_epoch - last.at->coordinate_epoch);
  if (first.frame == last.frame && years <= kSameDateYears) return {};
  return kSay.other_dates(first.frame, fixed(first.at->coordinate_epoch, 2), last.frame,
                          fixed(last.at->coordinate_epoch, 2));
}

Result<geodesy::Offset> found(const OffsetMeasures& measures, const std::vector<const Point*>& stays) {
  const auto distance = [&](std::size_t i) {
    return Measured{measures.stays[i].distance_m, measures.stays[i].distance_sigma_m};
  };
  double unknown_m = 0;
  for (const MeasuredStay& stay : measures.stays) unknown_m = std::max(unknown_m, stay.distance_m);
  const Measured up = measures.up_m ? Measured{*measures.up_m, measures.up_sigma_m} : Measured{0, unknown_m};
  if (measures.bearing_deg) {
    return geodesy::offset_by_bearing(stood(*stays[0]->at), distance(0),
                                      {true_bearing_deg(measures), measures.bearing_sigma_deg}, up);
  }
  return geodesy::offset_by_distances(stood(*stays[0]->at), distance(0), stood(*stays[1]->at), distance(1),
                                      measures.side, up);
}

Coordinates coordinates_of(const geodesy::Offset& offset, const std::vector<const Point*>& stays) {
  Coordinates at;
  at.latitude_deg = offset.at.latitude_deg;
  at.longitude_deg = offset.at.longitude_deg;
  at.ellipsoid_height_m = offset.at.ellipsoid_height_m;
  const auto& c = offset.covariance_enu_m2;
  at.covariance_enu_m2 = c;
  double geoid95_m = 0;
  for (const Point* stay : stays) {
    at.coordinate_epoch += stay->at->coordinate_epoch / static_cast<double>(stays.size());
    geoid95_m = std::max(geoid95_m, geoid_part95_m(*stay->at));
  }
  at.error95_horizontal_m = estimate::horizontal95(c[0], c[1], c[2]);
  at.error95_vertical_m = std::hypot(estimate::vertical95(c[3]), geoid95_m);
  return at;
}

/// What all stays have in common; `otherwise` where they differ.
template <class Value>
Value common(const std::vector<const Point*>& stays, Value Point::*member, Value otherwise) {
  const Value& first = stays.front()->*member;
  const bool same = std::all_of(stays.begin(), stays.end(), [&](const Point* stay) { return stay->*member == first; });
  return same ? first : otherwise;
}

std::vector<std::string> flags_of(const OffsetMeasures& measures, const std::vector<const Point*>& stays) {
  std::vector<std::string> flags;
  for (const Point* stay : stays) flags.insert(flags.end(), stay->flags.begin(), stay->flags.end());
  // Of the stay's own standing: what the point's is says `follow_stays`.
  std::erase(flags, kAcceptedByHand);
  std::erase(flags, kSameInitialization);
  flags.emplace_back(kOffset);
  if (!measures.up_m) flags.emplace_back(kHeightNotMeasured);
  std::sort(flags.begin(), flags.end());
  flags.erase(std::unique(flags.begin(), flags.end()), flags.end());
  return flags;
}

void remove_reason(Point& point, HoldReason reason) {
  const auto at = std::find(point.reasons.begin(), point.reasons.end(), reason);
  if (at == point.reasons.end()) return;
  point.reason_texts.erase(point.reason_texts.begin() + (at - point.reasons.begin()));
  point.reasons.erase(at);
}

}  // namespace

Result<Point> offset_point(const OffsetMeasures& measures, const std::vector<const Point*>& stays,
                           std::optional<UtcTime> at) {
  if (auto fault = fault_of(measures, stays); !fault.empty()) return fail(std::move(fault));
  const auto offset = found(measures, stays);
  if (!offset) return tl::unexpected(offset.error());
  Point point;
  point.rules = kRules;
  point.estimator = kEstimator;
  point.frame = stays.front()->frame;
  point.at = coordinates_of(*offset, stays);
  point.source = common(stays, &Point::source, std::string());
  point.station = common(stays, &Point::station, std::optional<int>());
  point.quality = common(stays, &Point::quality, std::optional<Quality>());
  point.error_scale = common(stays, &Point::error_scale, std::optional<double>());
  point.antenna_height_m = common(stays, &Point::antenna_height_m, 0.0);
  point.crew = stays.front()->crew;
  point.flags = flags_of(measures, stays);
  point.measures = measures;
  if (!at) {
    for (const Point* stay : stays) at = std::max(at, stay->finished_utc);
  }
  point.started_utc = point.finished_utc = at;
  point.status = PointStatus::accepted;
  follow_stays(point, stays);
  return point;
}

bool follow_stays(Point& offset, const std::vector<const Point*>& stays) {
  const auto against = std::find_if(stays.begin(), stays.end(), [](const Point* stay) {
    return stay != nullptr && stay->status != PointStatus::accepted;
  });
  const bool unknown = std::find(stays.begin(), stays.end(), nullptr) != stays.end();
  const auto at = std::find(offset.reasons.begin(), offset.reasons.end(), HoldReason::stay_held);
  const bool was = at != offset.reasons.end();
  if (against == stays.end()) {
    if (!was || unknown) return false;
    remove_reason(offset, HoldReason::stay_held);
    if (offset.status == PointStatus::held && offset.reasons.empty()) offset.status = PointStatus::accepted;
    return true;
  }
  std::string text = kSay.stay_held(title(**against), to_word((*against)->status));
  const auto told = was ? offset.reason_texts.begin() + (at - offset.reasons.begin()) : offset.reason_texts.end();
  if (was && *told == text) return false;
  remove_reason(offset, HoldReason::stay_held);
  offset.reasons.push_back(HoldReason::stay_held);
  offset.reason_texts.push_back(std::move(text));
  if (offset.status == PointStatus::accepted) offset.status = PointStatus::held;
  return true;
}

bool has_no_height(const Point& point) noexcept {
  return !point.measures.empty() && !point.measures.up_m;
}

std::optional<double> told_vertical95_m(const Point& point) noexcept {
  return point.at && !has_no_height(point) ? std::optional(point.at->error95_vertical_m) : std::nullopt;
}

}  // namespace stillpoint::occupation
