#include "geodesy/frames.hpp"

#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "geodesy/frames_state.hpp"
#include "geodesy/typed.hpp"

namespace stillpoint::geodesy {
namespace {

// A crew may step over the edge of a zone; half way into the next one it has the wrong zone.
constexpr double kZoneMarginDeg = 1.0;

tl::unexpected<FrameFailure> frame_failure(std::string text) {
  return tl::unexpected(FrameFailure{FrameFault::frame, std::move(text)});
}

tl::unexpected<FrameFailure> no_date(std::string text) {
  return tl::unexpected(FrameFailure{FrameFault::no_date, std::move(text)});
}

bool is_on_earth(const Geographic& position) noexcept {
  return std::abs(position.latitude_deg) <= 90.0 && std::abs(position.longitude_deg) <= 360.0 &&
         std::isfinite(position.ellipsoid_height_m);
}

}  // namespace

Frames::Frames(std::unique_ptr<State> state) noexcept : state_(std::move(state)) {}
Frames::Frames(Frames&&) noexcept = default;
Frames& Frames::operator=(Frames&&) noexcept = default;
Frames::~Frames() = default;

// --- per epoch ---------------------------------------------------------------------------------------------------

std::optional<std::string> Frames::State::outside(const SourcePath& path, double latitude_deg,
                                                  double longitude_deg) const {
  const Area& area = path.operation.area();
  if (!area.contains(latitude_deg, longitude_deg)) {
    return place_text(latitude_deg, longitude_deg) + " is outside the area of use of \"" +
           path.operation.description() + "\": " + area.text();
  }
  if (projection && projection->zone &&
      !projection->zone->widened(kZoneMarginDeg).contains(latitude_deg, longitude_deg)) {
    return place_text(latitude_deg, longitude_deg) + " is outside " + projection->name + ": " +
           projection->zone->text();
  }
  return std::nullopt;
}

std::optional<std::string> Frames::why_not_here(std::size_t source, double latitude_deg, double longitude_deg) const {
  if (source >= state_->paths.size()) return "no source has the number " + std::to_string(source);
  if (!is_on_earth({latitude_deg, longitude_deg, 0.0})) return "the position is not a place on Earth";
  return state_->outside(state_->paths[source], latitude_deg, longitude_deg);
}

// EPSG method 1064: a straight line with a constant velocity. The velocity is given in the project frame.
Geographic Frames::State::moved_to_project_epoch(const Geographic& position, double coordinate_epoch) const noexcept {
  const double metres_per_mm_years = (*project_epoch - coordinate_epoch) / 1000.0;
  return LocalFrame(position).to_geographic({velocity->east_mm_per_year * metres_per_mm_years,
                                             velocity->north_mm_per_year * metres_per_mm_years,
                                             velocity->up_mm_per_year * metres_per_mm_years});
}

FrameResult<InProject> Frames::to_project(std::size_t source, const Geographic& position,
                                          std::optional<UtcTime> utc) const {
  if (source >= state_->paths.size()) return frame_failure("no source has the number " + std::to_string(source));
  const SourcePath& path = state_->paths[source];
  if (!utc) return no_date("the receiver has not said the date, so the frames' motion is unknown");
  const double observed = decimal_year(*utc);
  if (!is_usable_year(observed)) {
    return no_date("the date " + to_text(*utc) + " cannot be right: it is not between 1980 and 2100");
  }
  if (!is_on_earth(position)) return frame_failure("the position is not a place on Earth");
  if (auto reason = state_->outside(path, position.latitude_deg, position.longitude_deg)) {
    return frame_failure(std::move(*reason));
  }
  const double epoch = path.coordinate_epoch.value_or(observed);
  const std::optional<Geographic> moved = path.operation.apply(position, epoch);
  if (!moved) {
    return frame_failure("PROJ could not carry out \"" + path.operation.description() + "\" at " +
                         place_text(position.latitude_deg, position.longitude_deg) + " at " + fixed(epoch, 2));
  }
  if (!state_->project_epoch) return InProject{*moved, epoch};
  return InProject{state_->moved_to_project_epoch(*moved, epoch), *state_->project_epoch};
}

FrameResult<Enu> Frames::shift_at(std::size_t source, const Geographic& position, std::optional<UtcTime> utc) const {
  const FrameResult<InProject> moved = to_project(source, position, utc);
  if (!moved) return tl::unexpected(moved.error());
  return LocalFrame(position).to_enu(moved->position);
}

// --- per point ---------------------------------------------------------------------------------------------------

FrameResult<Delivered> Frames::deliver(const Geographic& position, double coordinate_epoch) const {
  if (!is_on_earth(position)) return frame_failure("the position is not a place on Earth");
  Delivered out;
  const std::string here = place_text(position.latitude_deg, position.longitude_deg);
  if (const auto& projection = state_->projection) {
    proj_errno_reset(projection->pj.get());
    const PJ_COORD grid = proj_trans(projection->pj.get(), PJ_FWD,
                                     proj_coord(position.longitude_deg, position.latitude_deg, 0.0, HUGE_VAL));
    if (proj_errno(projection->pj.get()) != 0 || !std::isfinite(grid.v[0]) || !std::isfinite(grid.v[1])) {
      return frame_failure(here + " cannot be projected into " + projection->name);
    }
    out.easting_m = grid.v[0] * projection->metres_per_unit;
    out.northing_m = grid.v[1] * projection->metres_per_unit;
  }
  if (!state_->geoid) return out;
  std::optional<Geographic> in_geoid_frame = position;
  if (state_->to_geoid_frame) {
    if (!is_usable_year(coordinate_epoch)) {
      return no_date("the coordinate epoch " + fixed(coordinate_epoch, 2) + " is not between 1980 and 2100");
    }
    if (!state_->to_geoid_frame->area().contains(position.latitude_deg, position.longitude_deg)) {
      return frame_failure(here + " is outside the area of use of \"" + state_->to_geoid_frame->description() +
                           "\": " + state_->to_geoid_frame->area().text());
    }
    in_geoid_frame = state_->to_geoid_frame->apply(position, coordinate_epoch);
    if (!in_geoid_frame)
      return frame_failure(here + " cannot be brought into the geoid's frame " + state_->geoid_frame);
  }
  out.orthometric_height_m = state_->geoid->orthometric_height_m(*in_geoid_frame);
  if (!out.orthometric_height_m) return frame_failure(here + " is outside the geoid grid " + state_->geoid->name());
  out.geoid = state_->geoid->name();
  return out;
}

const std::vector<Operation>& Frames::operations() const noexcept {
  return state_->operations;
}
const std::string& Frames::project_frame() const noexcept {
  return state_->project.code;
}
const std::string& Frames::project_frame_wkt() const noexcept {
  return state_->project_wkt;
}
bool Frames::project_frame_is_projected() const noexcept {
  return state_->projection.has_value();
}

}  // namespace stillpoint::geodesy
