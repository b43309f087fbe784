#include "geodesy/transfers.hpp"

#include <proj_experimental.h>

#include <cmath>
#include <map>
#include <utility>

#include "base/number.hpp"
#include "base/units.hpp"
#include "geodesy/operation_choice.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"
#include "geodesy/sentences.hpp"
#include "geodesy/typed.hpp"
#include "geodesy/usual_frames.hpp"

namespace stillpoint::geodesy {
namespace {

// As for seconds: half way into the next zone it is the wrong one.
constexpr double kZoneMarginDeg = 1.0;

struct Grid {
  PjPtr pj;  // longitude, latitude to easting, northing
  double metres_per_unit = 1.0;
};

/// A unit that the data set names frames by: `NAD83(2011) / Texas Central (ftUS)`.
struct NamedUnit {
  double metres;
  const char *suffix, *name, *code;
};
constexpr NamedUnit kUnits[] = {
    {1.0, "", "metre", "9001"}, {kFootM, " (ft)", "foot", "9002"}, {kSurveyFootM, " (ftUS)", "US survey foot", "9003"}};

const NamedUnit* named_unit(double metres) {
  for (const NamedUnit& unit : kUnits) {
    if (std::abs(unit.metres - metres) < 1e-9) return &unit;
  }
  return nullptr;
}

/// The frame's name without the unit in it.
std::string without_unit(const std::string& name) {
  for (const NamedUnit& unit : kUnits) {
    const std::string suffix = unit.suffix;
    if (!suffix.empty() && name.ends_with(suffix)) return name.substr(0, name.size() - suffix.size());
  }
  return name;
}

bool is_moving(PJ_CONTEXT* context, const ReferenceFrame& frame) {
  const PjPtr datum(proj_crs_get_datum(context, frame.base.get()));
  return is_global_frame(frame.base_code) || frame.tie_code != frame.base_code ||
         (datum && proj_get_type(datum.get()) == PJ_TYPE_DYNAMIC_GEODETIC_REFERENCE_FRAME);
}

}  // namespace

struct Transfers::State {
  ContextPtr context;
  std::map<std::string, Result<ReferenceFrame>> frames;
  std::map<std::pair<std::string, std::string>, Result<Operation3d>> ways;
  std::map<std::string, Result<Grid>> grids;

  const Result<ReferenceFrame>& frame(const std::string& name) {
    auto at = frames.find(name);
    if (at == frames.end()) at = frames.emplace(name, resolve_frame(context.get(), name)).first;
    return at->second;
  }
  const Result<Grid>& grid(const ReferenceFrame& frame);
  const Result<Operation3d>& way(const std::string& from, const std::string& to);
  Result<void> count_in(const ReferenceFrame& frame, const NamedUnit& unit, Definition& out);
};

Transfers::Transfers(std::unique_ptr<State> state) noexcept : state_(std::move(state)) {}
Transfers::Transfers(Transfers&&) noexcept = default;
Transfers& Transfers::operator=(Transfers&&) noexcept = default;
Transfers::~Transfers() = default;

Result<Transfers> Transfers::open() {
  auto state = std::make_unique<State>();
  state->context = make_context();
  if (!state->context) return fail(kSay.proj_cannot_start());
  return Transfers(std::move(state));
}

const Result<Operation3d>& Transfers::State::way(const std::string& from, const std::string& to) {
  const auto at = ways.find({from, to});
  if (at != ways.end()) return at->second;
  const auto &first = frame(from), &second = frame(to);
  const auto* wrong = !first ? &first : !second ? &second : nullptr;
  auto way = wrong == nullptr ? choose_operation(context.get(), *first, *second, std::nullopt)
                              : Result<Operation3d>(tl::unexpected(wrong->error()));
  return ways.emplace(std::pair{from, to}, std::move(way)).first->second;
}

Result<Way> Transfers::way(const std::string& from, const std::string& to) {
  const auto& found = state_->way(from, to);
  if (!found) return tl::unexpected(found.error());
  return Way{!found->moves_nothing(), found->description(), found->accuracy_m(), found->area().text(),
             found->is_time_dependent()};
}

Result<Geographic> Transfers::move(const std::string& from, const std::string& to, const Geographic& position,
                                   double year) {
  if (!is_usable_year(year)) return fail(kSay.year_wrong(fixed(year, 2)));
  const auto& found = state_->way(from, to);
  if (!found) return tl::unexpected(found.error());
  const Operation3d& way = *found;
  if (!way.area().contains(position.latitude_deg, position.longitude_deg)) {
    return fail(kSay.outside_area(place_text(position.latitude_deg, position.longitude_deg), way.description(),
                                  way.area().text()));
  }
  const auto moved = way.apply(position, year);
  if (!moved) return fail(kSay.could_not_carry_out(way.description()));
  return *moved;
}

const Result<Grid>& Transfers::State::grid(const ReferenceFrame& frame) {
  auto at = grids.find(frame.code);
  if (at != grids.end()) return at->second;
  Grid grid;
  const PjPtr system(proj_crs_get_coordinate_system(context.get(), frame.projected.get()));
  const bool known = system && proj_cs_get_axis_info(context.get(), system.get(), 0, nullptr, nullptr, nullptr,
                                                     &grid.metres_per_unit, nullptr, nullptr, nullptr) != 0;
  const char* const options[] = {"ALLOW_BALLPARK=NO", nullptr};
  const PjPtr raw(
      proj_create_crs_to_crs_from_pj(context.get(), frame.base_2d.get(), frame.projected.get(), nullptr, options));
  if (raw) grid.pj.reset(proj_normalize_for_visualization(context.get(), raw.get()));
  Result<Grid> made = fail(kSay.cannot_project(frame.text()));
  if (known && grid.pj) made = std::move(grid);
  return grids.emplace(frame.code, std::move(made)).first->second;
}

Result<Geographic> Transfers::from_grid(const std::string& name, double easting_m, double northing_m, double height_m) {
  const auto& frame = state_->frame(name);
  if (!frame) return tl::unexpected(frame.error());
  if (!frame->projected) return fail(kSay.no_grid(frame->label()));
  const auto& grid = state_->grid(*frame);
  if (!grid) return tl::unexpected(grid.error());
  proj_errno_reset(grid->pj.get());
  const PJ_COORD place =
      proj_trans(grid->pj.get(), PJ_INV,
                 proj_coord(easting_m / grid->metres_per_unit, northing_m / grid->metres_per_unit, 0.0, HUGE_VAL));
  if (proj_errno(grid->pj.get()) != 0 || !std::isfinite(place.v[0]) || !std::isfinite(place.v[1])) {
    return fail(kSay.no_place_in(fixed(easting_m, 3), fixed(northing_m, 3), frame->label()));
  }
  return Geographic{place.v[1], place.v[0], height_m};
}

Result<GridPlace> Transfers::to_grid(const std::string& name, const Geographic& position) {
  const auto& frame = state_->frame(name);
  if (!frame) return tl::unexpected(frame.error());
  if (!frame->projected) return fail(kSay.no_grid(frame->label()));
  const auto& grid = state_->grid(*frame);
  if (!grid) return tl::unexpected(grid.error());
  const std::string here = place_text(position.latitude_deg, position.longitude_deg);
  if (frame->zone && !frame->zone->widened(kZoneMarginDeg).contains(position.latitude_deg, position.longitude_deg)) {
    return fail(kSay.outside_zone(here, frame->label(), frame->zone->text()));
  }
  proj_errno_reset(grid->pj.get());
  const PJ_COORD place =
      proj_trans(grid->pj.get(), PJ_FWD, proj_coord(position.longitude_deg, position.latitude_deg, 0.0, HUGE_VAL));
  if (proj_errno(grid->pj.get()) != 0 || !std::isfinite(place.v[0]) || !std::isfinite(place.v[1])) {
    return fail(kSay.not_projected(here, frame->label()));
  }
  return GridPlace{place.v[0] * grid->metres_per_unit, place.v[1] * grid->metres_per_unit};
}

/// The same projection under another code where there is one, else the frame with its axes changed.
Result<void> Transfers::State::count_in(const ReferenceFrame& frame, const NamedUnit& unit, Definition& out) {
  out.unit_m = unit.metres;
  if (named_unit(grid(frame)->metres_per_unit) == &unit) return {};
  const std::string wanted = without_unit(frame.name) + unit.suffix;
  const auto twin = resolve_frame(context.get(), wanted);
  if (twin && twin->projected && twin->name == wanted && twin->base_code == frame.base_code) {
    out.label = twin->label();
    out.system = out.flat_system = twin->code;
    return {};
  }
  const PjPtr changed(
      proj_crs_alter_cs_linear_unit(context.get(), frame.projected.get(), unit.name, unit.metres, "EPSG", unit.code));
  const char* const options[] = {"MULTILINE=NO", nullptr};
  const char* wkt = changed ? proj_as_wkt(context.get(), changed.get(), PJ_WKT2_2019, options) : nullptr;
  if (wkt == nullptr) return fail(kSay.no_wkt(frame.label()));
  out.system = out.flat_system = wkt;
  out.has_code = false;
  return {};
}

Result<Definition> Transfers::definition(const std::string& name, std::optional<double> unit_m) {
  const auto& frame = state_->frame(name);
  if (!frame) return tl::unexpected(frame.error());
  Definition out;
  out.label = frame->label();
  out.base_label = frame->base_code + ' ' + frame->base_name;
  out.system = out.flat_system = frame->code;
  out.projected = frame->projected != nullptr;
  out.moving = is_moving(state_->context.get(), *frame);
  out.is_wgs84 = frame->base_name.starts_with("WGS 84 (");
  if (!out.projected) {
    const PjPtr flat = twin_without_height(state_->context.get(), frame->base.get());
    if (flat && !code_of(flat.get()).empty()) out.flat_system = code_of(flat.get());
    return out;
  }
  const auto& grid = state_->grid(*frame);
  if (!grid) return tl::unexpected(grid.error());
  const NamedUnit* unit = named_unit(unit_m.value_or(grid->metres_per_unit));
  if (unit == nullptr) return fail(kSay.no_east_north(frame->label()));
  if (auto counted = state_->count_in(*frame, *unit, out); !counted) return tl::unexpected(counted.error());
  return out;
}

Result<std::string> Transfers::base_code(const std::string& name) {
  const auto& frame = state_->frame(name);
  if (!frame) return tl::unexpected(frame.error());
  return frame->base_code;
}

Result<std::string> Transfers::label(const std::string& name) {
  const auto& frame = state_->frame(name);
  if (!frame) return tl::unexpected(frame.error());
  return frame->label();
}

bool Transfers::is_projected(const std::string& name) {
  const auto& frame = state_->frame(name);
  return frame && frame->projected;
}

double Transfers::metres_per_unit(const std::string& name) {
  const auto& frame = state_->frame(name);
  if (!frame || !frame->projected) return 1.0;
  const auto& grid = state_->grid(*frame);
  return grid ? grid->metres_per_unit : 1.0;
}

bool Transfers::is_drawn_in(const std::string& name, const std::string& system) {
  const auto& frame = state_->frame(name);
  return frame && code_with_height(state_->context.get(), system) == frame->code;
}

std::string Transfers::frame_of_layer(const std::string& system) {
  return code_with_height(state_->context.get(), system).value_or(system);
}

std::vector<std::string> Transfers::serving(const Geographic& place) {
  std::vector<std::string> out;
  for (const UsualFrame& usual : usual_frames()) {
    const auto& frame = state_->frame(std::string(usual.code));
    if (!frame || !frame->area || !frame->area->contains(place.latitude_deg, place.longitude_deg)) continue;
    out.emplace_back(usual.code);
  }
  return out;
}

}  // namespace stillpoint::geodesy
