#pragma once
/// A geoid model in a grid file: how far the geoid is above the ellipsoid of the frame the grid was made for.
///
/// Units:   degrees, metres.
/// Threads: belongs to the thread of its PROJ context.
/// Errors:  `open` says why the file cannot serve; `height_m` gives nothing outside the grid.

#include <optional>
#include <string>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "geodesy/local.hpp"
#include "geodesy/proj_handle.hpp"

namespace stillpoint::geodesy {

class GeoidGrid {
 public:
  static Result<GeoidGrid> open(PJ_CONTEXT* context, const config::Geoid& geoid);

  /// Orthometric height of a position that is in the grid's own frame.
  std::optional<double> orthometric_height_m(const Geographic& position) const noexcept;
  const std::string& name() const noexcept { return name_; }

 private:
  GeoidGrid(PjPtr shift, std::string name) : shift_(std::move(shift)), name_(std::move(name)) {}
  PjPtr shift_;
  std::string name_;
};

}  // namespace stillpoint::geodesy
