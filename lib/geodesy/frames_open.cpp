#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "geodesy/areas.hpp"
#include "geodesy/frames_state.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

// A crew may step over the edge of a zone; half way into the next one it has the wrong zone.
constexpr double kZoneMarginDeg = 1.0;

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
    return fail(kSay.no_east_north(frame.text()));
  }
  const char* const options[] = {"ALLOW_BALLPARK=NO", nullptr};
  const PjPtr raw(
      proj_create_crs_to_crs_from_pj(context, frame.base_2d.get(), frame.projected.get(), nullptr, options));
  Projection projection{raw ? PjPtr(proj_normalize_for_visualization(context, raw.get())) : nullptr,
                        *unit_m,
                        frame.code + ' ' + frame.name,
                        frame.zone,
                        {}};
  if (frame.zone) projection.about_zone = frame.zone->widened(kZoneMarginDeg);
  if (!projection.pj) return fail(kSay.cannot_project(frame.text()));
  return projection;
}

std::optional<std::string> wkt_of(PJ_CONTEXT* context, const PJ* crs) {
  const char* const options[] = {"MULTILINE=NO", nullptr};
  const char* wkt = proj_as_wkt(context, crs, PJ_WKT2_2019, options);
  if (wkt == nullptr) return std::nullopt;
  return wkt;
}

/// WKT 1, for programs that read no other; empty: PROJ cannot write it. Ellipsoid heights stand in it as a vertical
/// system whose datum is of the type 2002, "ellipsoidal" (OGC 01-009, 6.2 and 7.3.12), since it knows no frame of three
/// geographic axes.
std::string wkt1_of(PJ_CONTEXT* context, const PJ* crs) {
  const char* const options[] = {"MULTILINE=NO", "ALLOW_ELLIPSOIDAL_HEIGHT_AS_VERTICAL_CRS=YES", nullptr};
  const char* wkt = proj_as_wkt(context, crs, PJ_WKT1_GDAL, options);
  return wkt == nullptr ? std::string() : wkt;
}

/// A text of WKT: a quote inside it is doubled.
std::string in_wkt(const std::string& text) {
  std::string out = "\"";
  for (const char c : text) out.append(c == '"' ? 2 : 1, c);
  return out + '"';
}

Operation describe(const config::Source& source, const ReferenceFrame& from, const ReferenceFrame& to,
                   const Operation3d& operation) {
  Operation out;
  out.source = source.name;
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
  if (!operation.is_identity() && operation.moves_nothing()) {
    out.notes.push_back(kSay.tied_alike());
  }
  if (source.coordinate_epoch && operation.is_time_dependent()) {
    out.notes.push_back(kSay.at_own_epoch(fixed(*source.coordinate_epoch, 2)));
  }
  return out;
}

std::optional<std::string> project_epoch_fault(const config::Project& project) {
  if (!project.coordinate_epoch) return std::nullopt;
  if (!is_usable_year(*project.coordinate_epoch)) {
    return kSay.project_epoch_wrong(fixed(*project.coordinate_epoch, 4));
  }
  if (!project.site_velocity_mm_per_year) {
    return kSay.velocity_missing(fixed(*project.coordinate_epoch, 4));
  }
  const config::SiteVelocity& v = *project.site_velocity_mm_per_year;
  if (!std::isfinite(v.east_mm_per_year) || !std::isfinite(v.north_mm_per_year) || !std::isfinite(v.up_mm_per_year)) {
    return kSay.velocity_not_finite();
  }
  return std::nullopt;
}

}  // namespace

Result<void> Frames::State::open_project(const config::Project& settings) {
  if (auto fault = project_epoch_fault(settings)) return fail(std::move(*fault));
  Result<ReferenceFrame> frame = resolve_frame(context.get(), settings.frame);
  if (!frame) return fail(kSay.of_project_frame(frame.error().text));
  project = std::move(*frame);
  look_at(project);
  area_words = settings.area_looked_at;
  project_epoch = settings.coordinate_epoch;
  velocity = settings.site_velocity_mm_per_year;
  auto wkt = wkt_of(context.get(), project.projected ? project.projected.get() : project.base.get());
  if (!wkt) return fail(kSay.of_project_frame(kSay.no_wkt(project.text())));
  project_wkt = *std::move(wkt);
  project_wkt1 = wkt1_of(context.get(), project.projected ? project.projected.get() : project.base.get());
  if (!project.projected) return {};
  Result<Projection> opened = open_projection(context.get(), project);
  if (!opened) return fail(kSay.of_project_frame(opened.error().text));
  projection = std::move(*opened);
  return {};
}

Result<void> Frames::State::name_heights(const config::Geoid& settings) {
  const std::string name = settings.name + " height";
  const PjPtr flat(project.projected ? nullptr : twin_without_height(context.get(), project.base.get()));
  const PJ* horizontal = project.projected ? project.projected.get() : flat.get();
  const auto part = horizontal == nullptr ? std::nullopt : wkt_of(context.get(), horizontal);
  if (part) {
    const std::string both = "COMPOUNDCRS[" + in_wkt(project.name + " + " + name) + ',' + *part + ",VERTCRS[" +
                             in_wkt(name) + ",VDATUM[" + in_wkt(settings.name) + "],CS[vertical,1],AXIS[" +
                             in_wkt("gravity-related height (H)") + ",up],LENGTHUNIT[\"metre\",1],GEOIDMODEL[" +
                             in_wkt(settings.name) + "]]]";
    const PjPtr compound(proj_create(context.get(), both.c_str()));
    if (auto wkt = compound ? wkt_of(context.get(), compound.get()) : std::nullopt) {
      project_wkt = *std::move(wkt);
      project_wkt1 = wkt1_of(context.get(), compound.get());
      return {};
    }
  }
  return fail(kSay.no_wkt_with_heights(project.label(), settings.name));
}

Result<void> Frames::State::open_geoid(const config::Project& settings) {
  if (!settings.geoid) {
    if (settings.height == config::HeightKind::ellipsoid) return {};
    return fail(kSay.geoid_missing());
  }
  Result<ReferenceFrame> frame = resolve_frame(context.get(), settings.geoid->frame);
  if (!frame) return fail(kSay.of_geoid_frame(frame.error().text));
  if (frame->projected) {
    return fail(kSay.of_geoid_frame(kSay.geoid_frame_projected(frame->label(), frame->base_code)));
  }
  Result<Operation3d> way = choose_operation(context.get(), project, *frame, std::nullopt);
  if (!way) return fail(kSay.of_geoid_frame(way.error().text));
  Result<GeoidGrid> grid = GeoidGrid::open(context.get(), *settings.geoid);
  if (!grid) return tl::unexpected(grid.error());
  if (settings.height == config::HeightKind::orthometric) {
    if (auto named = name_heights(*settings.geoid); !named) return named;
  }
  geoid_frame = frame->text();
  if (!way->is_identity()) to_geoid_frame = std::move(*way);
  if (const Result<ReferenceFrame> itrf = resolve_frame(context.get(), "ITRF2020")) {
    Result<Operation3d> there = choose_operation(context.get(), *frame, *itrf, std::nullopt);
    if (there && !there->is_identity()) geoid_frame_to_itrf = std::move(*there);
  }
  geoid = std::move(*grid);
  return {};
}

Result<void> Frames::State::open_source(const config::Source& source) {
  const auto refused = [&](const std::string& why) { return fail(kSay.of_source(source.name, why)); };
  if (source.coordinate_epoch && !is_usable_year(*source.coordinate_epoch)) {
    return refused(kSay.source_epoch_wrong(fixed(*source.coordinate_epoch, 4)));
  }
  Result<ReferenceFrame> frame = resolve_frame(context.get(), source.frame);
  if (!frame) return refused(frame.error().text);
  if (frame->projected) {
    return refused(kSay.source_projected(frame->label(), frame->base_code));
  }
  Result<Operation3d> chosen = choose_operation(context.get(), *frame, project, source.gate.max_error95_horizontal_m);
  if (!chosen) return refused(chosen.error().text);
  operations.push_back(describe(source, *frame, project, *chosen));
  paths.push_back({source.name, source.coordinate_epoch, std::move(*chosen), look_at(*frame)});
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
  if (!state->context) return fail(kSay.proj_cannot_start());
  if (auto done = state->open_project(settings.project); !done) return tl::unexpected(done.error());
  if (auto done = state->open_geoid(settings.project); !done) return tl::unexpected(done.error());
  if (auto done = state->open_sources(settings.sources); !done) return tl::unexpected(done.error());
  read_areas();
  return Frames(std::move(state));
}

}  // namespace stillpoint::geodesy
