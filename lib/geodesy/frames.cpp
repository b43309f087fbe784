#include "geodesy/frames.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "geodesy/frames_state.hpp"
#include "geodesy/sentences.hpp"
#include "geodesy/typed.hpp"

namespace stillpoint::geodesy {
namespace {

// A cell of this size, a few kilometres, is looked at once.
constexpr double kCellDeg = 0.05;
// A stream of damaged places must not fill the memory; a crew meets a few cells a day.
constexpr std::size_t kCellsKept = 256;

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

std::size_t Frames::State::look_at(const ReferenceFrame& frame) {
  const auto same = [&](const LookedAt& known) { return known.frame.base_code == frame.base_code; };
  const auto at = std::ranges::find_if(looked_at, same);
  if (at != looked_at.end()) return static_cast<std::size_t>(at - looked_at.begin());
  LookedAt added;
  added.frame.base_code = frame.base_code;
  added.frame.base_name = frame.base_name;
  added.frame.tie_code = frame.tie_code;
  added.frame.area = frame.area;
  looked_at.push_back(std::move(added));
  return looked_at.size() - 1;
}

// Whatever was asked before, the answer is that of the cell's middle: a day and its recomputation get the same.
const std::string& Frames::State::doubt_in(LookedAt& look, const Cell& cell) const {
  if (const auto at = look.doubts.find(cell); at != look.doubts.end()) return at->second;
  if (look.doubts.size() >= kCellsKept) look.doubts.clear();
  const auto doubt =
      doubt_about(look.frame, (cell.row + 0.5) * kCellDeg - 90.0, (cell.column + 0.5) * kCellDeg - 180.0);
  const bool known = doubt && std::ranges::find(area_words, doubt->word) != area_words.end();
  return look.doubts[cell] = doubt && !known ? doubt_text(look.frame, *doubt) : std::string();
}

const std::string& Frames::State::doubt_here(const SourcePath& path, double latitude_deg, double longitude_deg) const {
  const double within_turn_deg =
      std::abs(longitude_deg) <= 180.0 ? longitude_deg : std::remainder(longitude_deg, 360.0);
  const Cell cell{static_cast<int>((latitude_deg + 90.0) / kCellDeg),
                  static_cast<int>((within_turn_deg + 180.0) / kCellDeg)};
  const std::string& doubt = doubt_in(looked_at.front(), cell);
  return doubt.empty() && path.own_frame != 0 ? doubt_in(looked_at[path.own_frame], cell) : doubt;
}

std::string Frames::State::why_outside(const SourcePath& path, double latitude_deg, double longitude_deg) const {
  const Area& area = path.operation.area();
  const std::string here = place_text(latitude_deg, longitude_deg);
  if (!area.contains(latitude_deg, longitude_deg)) {
    return kSay.outside_area(here, path.operation.description(), area.text());
  }
  return kSay.outside_zone(here, projection->name, projection->zone->text());
}

std::optional<std::string> Frames::why_not_here(std::size_t source, double latitude_deg, double longitude_deg) const {
  if (source >= state_->paths.size()) return kSay.no_source(std::to_string(source));
  if (!is_on_earth({latitude_deg, longitude_deg, 0.0})) return kSay.not_on_earth();
  const SourcePath& path = state_->paths[source];
  if (state_->serves(path, latitude_deg, longitude_deg)) return std::nullopt;
  return state_->why_outside(path, latitude_deg, longitude_deg);
}

std::optional<std::string> Frames::doubt_here(std::size_t source, double latitude_deg, double longitude_deg) const {
  if (source >= state_->paths.size() || !is_on_earth({latitude_deg, longitude_deg, 0.0})) return std::nullopt;
  const std::string& doubt = state_->doubt_here(state_->paths[source], latitude_deg, longitude_deg);
  if (doubt.empty()) return std::nullopt;
  return place_text(latitude_deg, longitude_deg) + ": " + doubt;
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
  if (source >= state_->paths.size()) return frame_failure(kSay.no_source(std::to_string(source)));
  const SourcePath& path = state_->paths[source];
  if (!utc) return no_date(kSay.date_unknown());
  if (!is_usable(*utc)) return no_date(kSay.date_wrong(to_text(*utc)));
  if (!is_on_earth(position)) return frame_failure(kSay.not_on_earth());
  if (!state_->serves(path, position.latitude_deg, position.longitude_deg)) {
    return frame_failure(state_->why_outside(path, position.latitude_deg, position.longitude_deg));
  }
  const double epoch = path.coordinate_epoch ? *path.coordinate_epoch : decimal_year(*utc);
  const std::optional<Geographic> moved = path.operation.apply(position, epoch);
  if (!moved) {
    return frame_failure(kSay.could_not_carry_out_at(
        path.operation.description(), place_text(position.latitude_deg, position.longitude_deg), fixed(epoch, 2)));
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

FrameResult<Delivered> Frames::State::project_onto_grid(const Geographic& position) const {
  Delivered out;
  if (!projection) return out;
  proj_errno_reset(projection->pj.get());
  const PJ_COORD grid = proj_trans(projection->pj.get(), PJ_FWD,
                                   proj_coord(position.longitude_deg, position.latitude_deg, 0.0, HUGE_VAL));
  if (proj_errno(projection->pj.get()) != 0 || !std::isfinite(grid.v[0]) || !std::isfinite(grid.v[1])) {
    return frame_failure(
        kSay.not_projected(place_text(position.latitude_deg, position.longitude_deg), projection->name));
  }
  out.easting_m = grid.v[0] * projection->metres_per_unit;
  out.northing_m = grid.v[1] * projection->metres_per_unit;
  return out;
}

FrameResult<void> Frames::State::add_geoid(const Geographic& position, double coordinate_epoch, Delivered& out) const {
  const std::string here = place_text(position.latitude_deg, position.longitude_deg);
  std::optional<Geographic> own = position;
  if (to_geoid_frame) {
    if (!is_usable_year(coordinate_epoch)) {
      return no_date(kSay.coordinate_epoch_wrong(fixed(coordinate_epoch, 2)));
    }
    if (!to_geoid_frame->area().contains(position.latitude_deg, position.longitude_deg)) {
      return frame_failure(kSay.outside_area(here, to_geoid_frame->description(), to_geoid_frame->area().text()));
    }
    own = to_geoid_frame->apply(position, coordinate_epoch);
    if (!own) return frame_failure(kSay.not_in_geoid_frame(here, geoid_frame));
  }
  out.orthometric_height_m = geoid->orthometric_height_m(*own);
  if (!out.orthometric_height_m) return frame_failure(kSay.outside_grid(here, geoid->name()));
  out.geoid = geoid->name();
  out.geoid_height_m = out.geoid_height_in_itrf_m = own->ellipsoid_height_m - *out.orthometric_height_m;
  if (!geoid_frame_to_itrf || !is_usable_year(coordinate_epoch)) return {};
  if (const auto in_itrf = geoid_frame_to_itrf->apply(*own, coordinate_epoch)) {
    out.geoid_height_in_itrf_m = in_itrf->ellipsoid_height_m - *out.orthometric_height_m;
  }
  return {};
}

FrameResult<Delivered> Frames::deliver(const Geographic& position, double coordinate_epoch) const {
  if (!is_on_earth(position)) return frame_failure(kSay.not_on_earth());
  FrameResult<Delivered> out = state_->project_onto_grid(position);
  if (!out || !state_->geoid) return out;
  if (const auto added = state_->add_geoid(position, coordinate_epoch, *out); !added) {
    return tl::unexpected(added.error());
  }
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
const std::string& Frames::project_frame_wkt1() const noexcept {
  return state_->project_wkt1;
}
bool Frames::project_frame_is_projected() const noexcept {
  return state_->projection.has_value();
}

}  // namespace stillpoint::geodesy
