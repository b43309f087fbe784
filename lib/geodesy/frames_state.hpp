#pragma once
/// What one `Frames` holds. Only for this room.

#include <memory>
#include <optional>
#include <string>
#include <vector>

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
  std::optional<Area> zone;
};

struct SourcePath {
  std::string name;
  std::optional<double> coordinate_epoch;
  Operation3d operation;
};

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
  /// How much a mark differs between two dates in the project frame, in words.
  std::string size_text(const Geographic& place, double first_year, double last_year) const;
  std::optional<std::string> outside(const SourcePath& path, double latitude_deg, double longitude_deg) const;
};

}  // namespace stillpoint::geodesy
