#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>
#include <utility>

#include "base/number.hpp"
#include "geodesy/frames_state.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

// Closer dates than this differ by less than a millimetre anywhere.
constexpr double kSameEpochYears = 0.02;

// Frames that ride on one tectonic plate each, in the order in which they are asked.
constexpr std::array<std::string_view, 6> kPlateFrames{"EPSG:6319", "EPSG:8254", "EPSG:7931",
                                                       "EPSG:7843", "EPSG:6321", "EPSG:6324"};

/// Land on both sides of the fault between two plates: a mark there moves against the frame of either.
struct Fault {
  double south_deg, north_deg, west_deg, east_deg;
  std::array<std::string_view, 2> frames;  ///< of the plate whose country it is
  std::string_view beyond;                 ///< the frame that holds still with the other plate
};
// The San Andreas system; its box from memory of a map. The plates' motion past each other is that of the two frames.
constexpr std::array<Fault, 1> kFaults{{{31.0, 41.0, -126.0, -114.0, {"EPSG:6319", "EPSG:8254"}, "EPSG:6321"}}};

double length_m(const Enu& enu) {
  return std::hypot(enu.east_m, enu.north_m, enu.up_m);
}

struct Span {
  double first = 0;
  double last = 0;
  double years() const noexcept { return last - first; }
};

double epoch_of(const SourcePath& path, double observed) {
  return path.coordinate_epoch.value_or(observed);
}

Span span_of(const std::vector<SourcePath>& paths, double observed) {
  Span span{kLatestYear, kEarliestYear};
  for (const SourcePath& path : paths) {
    span.first = std::min(span.first, epoch_of(path, observed));
    span.last = std::max(span.last, epoch_of(path, observed));
  }
  return span;
}

bool is_plate_frame(const ReferenceFrame& frame) {
  return std::ranges::find(kPlateFrames, frame.tie_code) != kPlateFrames.end();
}

struct PlateMotion {
  std::string frame_name;
  double size_m = 0;
};

/// How far a mark that stands still in a plate's own frame moves in `project` over the span: forth at the first date,
/// back at the last.
std::optional<PlateMotion> plate_motion(PJ_CONTEXT* context, const ReferenceFrame& project, const Geographic& place,
                                        const Span& span) {
  for (const std::string_view code : kPlateFrames) {
    const Result<ReferenceFrame> plate = resolve_frame(context, code);
    if (!plate || !plate->area || !plate->area->contains(place.latitude_deg, place.longitude_deg)) continue;
    const Result<Operation3d> way = choose_operation(context, project, *plate, std::nullopt);
    if (!way || !way->area().contains(place.latitude_deg, place.longitude_deg)) continue;
    const auto fixed_mark = way->apply(place, span.first);
    const auto later = fixed_mark ? way->undo(*fixed_mark, span.last) : std::nullopt;
    if (later) return PlateMotion{plate->base_name, length_m(LocalFrame(place).to_enu(*later))};
  }
  return std::nullopt;
}

/// How far a mark moves in `project` that goes with the plate across a fault on land, where the place is near to one.
std::optional<PlateMotion> beyond_the_fault(PJ_CONTEXT* context, const ReferenceFrame& project, const Geographic& place,
                                            const Span& span) {
  for (const Fault& fault : kFaults) {
    const Area near{"", fault.west_deg, fault.south_deg, fault.east_deg, fault.north_deg};
    if (std::ranges::find(fault.frames, project.tie_code) == fault.frames.end() ||
        !near.contains(place.latitude_deg, place.longitude_deg)) {
      continue;
    }
    const Result<ReferenceFrame> world = resolve_frame(context, "ITRF2014");
    const Result<ReferenceFrame> beyond = resolve_frame(context, fault.beyond);
    if (!world || !beyond) continue;
    const Result<Operation3d> to_beyond = choose_operation(context, *world, *beyond, std::nullopt);
    const Result<Operation3d> to_project = choose_operation(context, *world, project, std::nullopt);
    if (!to_beyond || !to_project) continue;
    const auto at = [&](double year) {
      const auto held = to_beyond->apply(place, span.first);  // stands still on its own plate
      const auto then = held ? to_beyond->undo(*held, year) : std::nullopt;
      return then ? to_project->apply(*then, year) : std::nullopt;
    };
    const auto early = at(span.first);
    const auto late = at(span.last);
    if (early && late) return PlateMotion{beyond->base_name, length_m(LocalFrame(*early).to_enu(*late))};
  }
  return std::nullopt;
}

/// The largest error over the sources when one date is taken for the other.
std::optional<std::pair<std::string, double>> cost_of_a_wrong_date(const std::vector<SourcePath>& paths,
                                                                   const Geographic& place, const Span& span) {
  std::optional<std::pair<std::string, double>> worst;
  for (const SourcePath& path : paths) {
    if (!path.operation.is_time_dependent()) continue;
    const auto early = path.operation.apply(place, span.first);
    const auto late = path.operation.apply(place, span.last);
    if (!early || !late) continue;
    const double size_m = length_m(LocalFrame(*early).to_enu(*late));
    if (!worst || size_m > worst->second) worst.emplace(path.name, size_m);
  }
  return worst;
}

std::string epochs_text(const std::vector<SourcePath>& paths, double observed) {
  std::string text;
  for (const SourcePath& path : paths) {
    text += (text.empty() ? "" : ", ") + kSay.source_at(path.name, fixed(epoch_of(path, observed), 2));
  }
  return text;
}

}  // namespace

std::string Frames::State::size_text(const Geographic& place, double first_year, double last_year) const {
  const Span span{first_year, last_year};
  const std::string years = fixed(span.years(), 1);
  if (velocity) {
    const Enu moved{velocity->east_mm_per_year * span.years() / 1000.0,
                    velocity->north_mm_per_year * span.years() / 1000.0,
                    velocity->up_mm_per_year * span.years() / 1000.0};
    return kSay.by_site_velocity(fixed(length_m(moved), 3));
  }
  if (is_plate_frame(project)) {
    const auto motion = beyond_the_fault(context.get(), project, place, span);
    return kSay.moves_with_plate(
        project.base_name, years,
        motion ? kSay.beyond_the_fault(fixed(motion->size_m, 2), motion->frame_name) : std::string());
  }
  if (const auto motion = plate_motion(context.get(), project, place, span)) {
    return kSay.by_plate(motion->frame_name, fixed(motion->size_m, 3));
  }
  return kSay.by_unknown(years);
}

std::vector<std::string> Frames::notes_at(const Geographic& position, UtcTime utc) const {
  const double observed = decimal_year(utc);
  if (state_->paths.empty() || state_->project_epoch || !is_usable_year(observed)) return {};
  const Span span = span_of(state_->paths, observed);
  if (span.years() < kSameEpochYears) return {};
  const auto cost = cost_of_a_wrong_date(state_->paths, position, span);
  return {kSay.different_dates(epochs_text(state_->paths, observed), state_->size_text(position, span.first, span.last),
                               cost ? kSay.cost_of_wrong_date(cost->first, fixed(cost->second, 3)) : std::string())};
}

}  // namespace stillpoint::geodesy
