#pragma once
/// What one `Frames` holds. Only for this room.

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "geodesy/areas.hpp"
#include "geodesy/frames.hpp"
#include "geodesy/geoid_grid.hpp"
#include "geodesy/operation_choice.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"

namespace stillpoint::geodesy {

struct Projection {
  PjPtr pj;  // longitude, latitude to easting, northing
  double metres_per_unit = 1.0;
  std::string name;
  std::optional<Area> zone, about_zone;  ///< the second with what a crew may step over the edge
};

/// A square of the net of degrees.
struct Cell {
  int row, column;
  auto operator<=>(const Cell&) const = default;
};

/// A frame whose area is looked at wherever an epoch is, and what came of it in the cells asked about so far. A pole
/// can stand on the corner of four, so that the last one alone would not do.
struct LookedAt {
  ReferenceFrame frame;
  std::map<Cell, std::string> doubts;  ///< empty text: none
};

struct SourcePath {
  std::string name;
  std::optional<double> coordinate_epoch;
  Operation3d operation;
  std::size_t own_frame = 0;  ///< in `State::looked_at`
};

struct Frames::State {
  ContextPtr context;
  ReferenceFrame project;
  std::string project_wkt, project_wkt1;
  std::optional<double> project_epoch;
  std::optional<config::SiteVelocity> velocity;
  std::vector<SourcePath> paths;
  std::vector<Operation> operations;
  std::optional<Projection> projection;
  std::optional<GeoidGrid> geoid;
  std::optional<Operation3d> to_geoid_frame;
  std::optional<Operation3d> geoid_frame_to_itrf;
  std::string geoid_frame;
  std::vector<std::string> area_words;      ///< `area_looked_at` of the configuration
  mutable std::vector<LookedAt> looked_at;  ///< the project's frame first; each frame once

  /// What is said against `look`'s frame in the cell; empty: nothing.
  const std::string& doubt_in(LookedAt& look, const Cell& cell) const;
  Result<void> open_project(const config::Project& settings);
  Result<void> open_geoid(const config::Project& settings);
  /// The WKT of the project frame with heights above the geoid.
  Result<void> name_heights(const config::Geoid& settings);
  Result<void> open_sources(const std::vector<config::Source>& sources);
  Result<void> open_source(const config::Source& source);
  Geographic moved_to_project_epoch(const Geographic& position, double coordinate_epoch) const noexcept;
  /// How much a mark differs between two dates in the project frame, in words.
  std::string size_text(const Geographic& place, double first_year, double last_year) const;
  /// Why the areas of the source's frame and the project's must be looked at here; empty: they plainly serve, or the
  /// configuration has the word for it.
  const std::string& doubt_here(const SourcePath& path, double latitude_deg, double longitude_deg) const;
  std::size_t look_at(const ReferenceFrame& frame);
  FrameResult<Delivered> project_onto_grid(const Geographic& position) const;
  FrameResult<void> add_geoid(const Geographic& position, double coordinate_epoch, Delivered& out) const;
  /// Whether the source's operation and the project's zone serve this place.
  bool serves(const SourcePath& path, double latitude_deg, double longitude_deg) const noexcept {
    return path.operation.area().contains(latitude_deg, longitude_deg) &&
           (!projection || !projection->about_zone || projection->about_zone->contains(latitude_deg, longitude_deg));
  }
  /// Of a place that they do not serve.
  std::string why_outside(const SourcePath& path, double latitude_deg, double longitude_deg) const;
};

}  // namespace stillpoint::geodesy
