// Where points and marks lie on the plane of the report.

#include <algorithm>

#include "geodesy/local.hpp"
#include "occupation/offset_point.hpp"
#include "occupation/place.hpp"
#include "report/facts.hpp"

namespace stillpoint::report {
namespace {

MarkFact mark_of(const pointbook::CheckShot& shot) {
  MarkFact out;
  out.name = shot.mark;
  const geodesy::LocalFrame around(occupation::place_of(shot.at));
  out.at = around.to_geographic({-shot.off_east_m, -shot.off_north_m, -shot.off_up_m.value_or(0)});
  // The meridians' convergence turns offsets of centimetres by less than their last digit.
  if (shot.at.easting_m) out.easting_m = *shot.at.easting_m - shot.off_east_m;
  if (shot.at.northing_m) out.northing_m = *shot.at.northing_m - shot.off_north_m;
  return out;
}

PlanPlace on_plane(const Facts& facts, const geodesy::Geographic& at) {
  const geodesy::Enu off = geodesy::LocalFrame(facts.origin.at).to_enu(at);
  return {off.east_m, off.north_m};
}

}  // namespace

std::vector<MarkFact> marks_of(const std::vector<pointbook::CheckShot>& checks) {
  std::vector<MarkFact> out;
  for (const pointbook::CheckShot& shot : checks) {
    const bool known =
        std::any_of(out.begin(), out.end(), [&](const MarkFact& mark) { return mark.name == shot.mark; });
    if (!known) out.push_back(mark_of(shot));
  }
  return out;
}

bool is_projected(const Facts& facts) {
  return std::any_of(facts.points.begin(), facts.points.end(), [](const PointFact& fact) {
    const auto& at = fact.newest.point.at;
    return at && at->easting_m && at->northing_m;
  });
}

Origin origin_of(const Facts& facts) {
  if (is_projected(facts)) return {};
  if (!facts.marks.empty()) return {facts.marks.front().name, facts.marks.front().at};
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    if (point.at) return {name_of(fact), occupation::place_of(*point.at)};
  }
  return {};
}

std::optional<PlanPlace> place_of(const Facts& facts, const PointFact& fact) {
  const auto& at = fact.newest.point.at;
  if (!at) return std::nullopt;
  if (!facts.origin.name.empty()) return on_plane(facts, occupation::place_of(*at));
  if (!at->easting_m || !at->northing_m) return std::nullopt;
  return PlanPlace{*at->easting_m, *at->northing_m};
}

std::optional<PlanPlace> place_of(const Facts& facts, const MarkFact& mark) {
  if (!facts.origin.name.empty()) return on_plane(facts, mark.at);
  if (!mark.easting_m || !mark.northing_m) return std::nullopt;
  return PlanPlace{*mark.easting_m, *mark.northing_m};
}

std::optional<double> height_m(const Facts& facts, const PointFact& fact) {
  const auto& at = fact.newest.point.at;
  if (!at || occupation::has_no_height(fact.newest.point)) return std::nullopt;
  if (facts.geoid.empty()) return at->ellipsoid_height_m;
  return at->geoid == facts.geoid ? at->orthometric_height_m : std::nullopt;
}

}  // namespace stillpoint::report
