#include "geodesy/transfers.hpp"

#include <cmath>
#include <map>
#include <utility>

#include "base/number.hpp"
#include "geodesy/operation_choice.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"
#include "geodesy/sentences.hpp"
#include "geodesy/typed.hpp"
#include "geodesy/usual_frames.hpp"

namespace stillpoint::geodesy {
namespace {

struct Grid {
  PjPtr pj;  // longitude, latitude to easting, northing
  double metres_per_unit = 1.0;
};

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

Result<Geographic> Transfers::move(const std::string& from, const std::string& to, const Geographic& position,
                                   double year) {
  if (!is_usable_year(year)) return fail(kSay.year_wrong(fixed(year, 2)));
  const auto& first = state_->frame(from);
  if (!first) return tl::unexpected(first.error());
  const auto& second = state_->frame(to);
  if (!second) return tl::unexpected(second.error());
  auto at = state_->ways.find({from, to});
  if (at == state_->ways.end()) {
    auto way = choose_operation(state_->context.get(), *first, *second, std::nullopt);
    at = state_->ways.emplace(std::pair{from, to}, std::move(way)).first;
  }
  if (!at->second) return tl::unexpected(at->second.error());
  const Operation3d& way = *at->second;
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
