#include "geodesy/frames.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "geodesy/geoid_grid.hpp"
#include "geodesy/operation_choice.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"

namespace stillpoint::geodesy {
namespace {

// A crew may step over the edge of a zone; half way into the next one it has the wrong zone.
constexpr double kZoneMarginDeg = 1.0;

struct Projection {
  PjPtr pj;  // longitude, latitude to easting, northing
  double metres_per_unit = 1.0;
  std::string name;
  std::optional<Area> zone;
};

struct SourcePath {
  std::string name;
  std::optional<double> coordinate_epoch;
  Operation3d operation;
};

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

// --- opening -----------------------------------------------------------------------------------------------------

struct Axis {
  std::string direction;
  double metres_per_unit = 0.0;
};

std::optional<Axis> axis_of(PJ_CONTEXT* context, const PJ* system, int index) {
  const char* direction = nullptr;
  Axis axis;
  if (proj_cs_get_axis_info(context, system, index, nullptr, nullptr, &direction, &axis.metres_per_unit, nullptr,
                            nullptr, nullptr) == 0 ||
      direction == nullptr) {
    return std::nullopt;
  }
  axis.direction = direction;
  return axis;
}

/// Metres in one unit of both axes, when the axes are east and north in either order.
std::optional<double> east_north_unit_m(PJ_CONTEXT* context, const PJ* projected) {
  const PjPtr system(proj_crs_get_coordinate_system(context, projected));
  if (!system || proj_cs_get_axis_count(context, system.get()) != 2) return std::nullopt;
  const auto first = axis_of(context, system.get(), 0);
  const auto second = axis_of(context, system.get(), 1);
  if (!first || !second || first->metres_per_unit != second->metres_per_unit) return std::nullopt;
  const bool east_north = first->direction == "east" && second->direction == "north";
  const bool north_east = first->direction == "north" && second->direction == "east";
  if (!east_north && !north_east) return std::nullopt;
  return first->metres_per_unit;
}

Result<Projection> open_projection(PJ_CONTEXT* context, const ReferenceFrame& frame) {
  const auto unit_m = east_north_unit_m(context, frame.projected.get());
  if (!unit_m) {
    return fail(frame.text() + " does not count east and north, so easting and northing have no meaning in it");
  }
  const char* const options[] = {"ALLOW_BALLPARK=NO", nullptr};
  const PjPtr raw(
      proj_create_crs_to_crs_from_pj(context, frame.base_2d.get(), frame.projected.get(), nullptr, options));
  Projection projection{raw ? PjPtr(proj_normalize_for_visualization(context, raw.get())) : nullptr, *unit_m,
                        frame.code + ' ' + frame.name, frame.area};
  if (!projection.pj) return fail("PROJ cannot project into " + frame.text());
  return projection;
}

Operation describe(const std::string& source_name, const ReferenceFrame& from, const ReferenceFrame& to,
                   const Operation3d& operation) {
  Operation out;
  out.source = source_name;
  out.from = from.text();
  out.to = to.text();
  out.description = operation.description();
  out.accuracy_m = operation.accuracy_m();
  out.area = operation.area().text();
  out.time_dependent = operation.is_time_dependent();
  out.notes = from.notes;
  for (const std::string& note : to.notes) {
    if (std::ranges::find(out.notes, note) == out.notes.end()) out.notes.push_back(note);
  }
  return out;
}

std::optional<std::string> project_epoch_fault(const config::Project& project) {
  if (!project.coordinate_epoch) return std::nullopt;
  if (!is_usable_year(*project.coordinate_epoch)) {
    return "project coordinate_epoch " + fixed(*project.coordinate_epoch, 4) + " is not between 1980 and 2100";
  }
  if (!project.site_velocity_mm_per_year) {
    return "project coordinate_epoch " + fixed(*project.coordinate_epoch, 4) +
           " needs site_velocity_mm_per_year, or the points cannot be moved to that epoch";
  }
  const config::SiteVelocity& v = *project.site_velocity_mm_per_year;
  if (!std::isfinite(v.east_mm_per_year) || !std::isfinite(v.north_mm_per_year) || !std::isfinite(v.up_mm_per_year)) {
    return "project site_velocity_mm_per_year must be finite numbers";
  }
  return std::nullopt;
}

}  // namespace

struct Frames::State {
  ContextPtr context;
  ReferenceFrame project;
  std::string project_wkt;
  std::optional<double> project_epoch;
  std::optional<config::SiteVelocity> velocity;
  std::vector<SourcePath> paths;
  std::vector<Operation> operations;
  std::optional<Projection> projection;
  std::optional<GeoidGrid> geoid;
  std::optional<Operation3d> to_geoid_frame;
  std::string geoid_frame;

  Result<void> open_project(const config::Project& settings);
  Result<void> open_geoid(const config::Project& settings);
  Result<void> open_sources(const std::vector<config::Source>& sources);
  Result<void> open_source(const config::Source& source);
  Geographic moved_to_project_epoch(const Geographic& position, double coordinate_epoch) const noexcept;
  std::optional<std::string> outside(const SourcePath& path, double latitude_deg, double longitude_deg) const;
};

Result<void> Frames::State::open_project(const config::Project& settings) {
  if (auto fault = project_epoch_fault(settings)) return fail(std::move(*fault));
  Result<ReferenceFrame> frame = resolve_frame(context.get(), settings.frame);
  if (!frame) return fail("project frame: " + frame.error().text);
  project = std::move(*frame);
  project_epoch = settings.coordinate_epoch;
  velocity = settings.site_velocity_mm_per_year;
  const char* const options[] = {"MULTILINE=NO", nullptr};
  const char* wkt = proj_as_wkt(context.get(), project.projected ? project.projected.get() : project.base.get(),
                                PJ_WKT2_2019, options);
  if (wkt == nullptr) return fail("project frame: PROJ cannot write " + project.text() + " as WKT");
  project_wkt = wkt;
  if (!project.projected) return {};
  Result<Projection> opened = open_projection(context.get(), project);
  if (!opened) return fail("project frame: " + opened.error().text);
  projection = std::move(*opened);
  return {};
}

Result<void> Frames::State::open_geoid(const config::Project& settings) {
  if (!settings.geoid) {
    if (settings.height == config::HeightKind::ellipsoid) return {};
    return fail("height = \"orthometric\" needs [project.geoid] with its grid");
  }
  Result<ReferenceFrame> frame = resolve_frame(context.get(), settings.geoid->frame);
  if (!frame) return fail("geoid frame: " + frame.error().text);
  if (frame->projected) {
    return fail("geoid frame: " + frame->text() + " is projected; write its base frame " + frame->base_code);
  }
  Result<Operation3d> way = choose_operation(context.get(), project, *frame, std::nullopt);
  if (!way) return fail("geoid frame: " + way.error().text);
  Result<GeoidGrid> grid = GeoidGrid::open(context.get(), *settings.geoid);
  if (!grid) return tl::unexpected(grid.error());
  geoid_frame = frame->text();
  if (!way->is_identity()) to_geoid_frame = std::move(*way);
  geoid = std::move(*grid);
  return {};
}

Result<void> Frames::State::open_source(const config::Source& source) {
  const std::string label = "source \"" + source.name + "\": ";
  if (source.coordinate_epoch && !is_usable_year(*source.coordinate_epoch)) {
    return fail(label + "coordinate_epoch " + fixed(*source.coordinate_epoch, 4) + " is not between 1980 and 2100");
  }
  Result<ReferenceFrame> frame = resolve_frame(context.get(), source.frame);
  if (!frame) return fail(label + frame.error().text);
  if (frame->projected) {
    return fail(label + frame->text() +
                " is projected, but a receiver gives latitude and longitude; write the base "
                "frame " +
                frame->base_code);
  }
  Result<Operation3d> chosen = choose_operation(context.get(), *frame, project, source.gate.max_error95_horizontal_m);
  if (!chosen) return fail(label + chosen.error().text);
  operations.push_back(describe(source.name, *frame, project, *chosen));
  paths.push_back({source.name, source.coordinate_epoch, std::move(*chosen)});
  return {};
}

Result<void> Frames::State::open_sources(const std::vector<config::Source>& sources) {
  for (const config::Source& source : sources) {
    if (Result<void> opened = open_source(source); !opened) return opened;
  }
  return {};
}

Result<Frames> Frames::open(const config::Settings& settings) {
  auto state = std::make_unique<State>();
  state->context = make_context();
  if (!state->context) return fail("PROJ cannot start");
  if (auto done = state->open_project(settings.project); !done) return tl::unexpected(done.error());
  if (auto done = state->open_geoid(settings.project); !done) return tl::unexpected(done.error());
  if (auto done = state->open_sources(settings.sources); !done) return tl::unexpected(done.error());
  return Frames(std::move(state));
}

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

std::vector<std::string> Frames::notes_at(const Geographic&, UtcTime) const {
  return {};
}

}  // namespace stillpoint::geodesy
