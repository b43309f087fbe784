#pragma once
/// Control marks from a layer of points: the columns are those of a marks file, the geometry says where the mark is.
///
/// Rule:    the system the layer is drawn in must be the frame that each mark declares, or the 2D form of it: else one
///          of the two is wrong, and nobody can tell which. Where the coordinates also stand in columns they must be
///          those of the geometry. The z of a point is its height where `height_kind` is given and `height_m` is not.
/// Units:   those of the layer's system; x is longitude or easting.
/// Threads: plain values; opens a PROJ context of its own.
/// Errors:  one sentence a row; a row with an error is no mark.

#include <optional>
#include <string>
#include <vector>

#include "control/marks.hpp"
#include "control/table.hpp"

namespace stillpoint::control {

struct Layer {
  Table table;         ///< the columns beside the geometry
  std::string system;  ///< `EPSG:6318`
  struct Place {
    double x = 0, y = 0;
    std::optional<double> z;
  };
  std::vector<std::optional<Place>> places;  ///< beside the rows; empty: no point
};

Marks marks_from(const Layer& layer);

}  // namespace stillpoint::control
