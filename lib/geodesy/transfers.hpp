#pragma once
/// Any frame to any other, at a date: what a control mark needs to be compared, and what the search for a wrong frame
/// asks.
///
/// Units:   degrees, metres, decimal years.
/// Time:    the year the caller gives; there is no default.
/// Threads: one `Transfers`, one thread (it owns a PROJ context; the network is off). Operations are kept once found.
/// Errors:  one sentence: an unknown or vague frame, no honest operation, a place outside its area.

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::geodesy {

/// What a way between two frames is, for whoever is handed its results.
struct Way {
  bool moves = false;  ///< false: one frame, or two names of it
  std::string description;
  std::optional<double> accuracy_m;  ///< as stated in the EPSG data set
  std::string area;
  bool time_dependent = false;
};

/// What other programs are told of a frame.
struct Definition {
  std::string label;        ///< `EPSG:6345 NAD83(2011) / UTM zone 16N`
  std::string base_label;   ///< of the geographic 3D frame behind it
  std::string system;       ///< code, or WKT 2 where the wanted unit gives the frame no code
  std::string flat_system;  ///< the same without a height
  bool has_code = true;     ///< false: the frame of `label`, counted in another unit
  bool projected = false;
  bool moving = false;    ///< no plate holds it: coordinates of a mark change with the date
  bool is_wgs84 = false;  ///< a realization of it
  double unit_m = 1;      ///< metres in one unit of a projected frame's axes
};

struct GridPlace {
  double easting_m = 0, northing_m = 0;
};

class Transfers {
 public:
  static Result<Transfers> open();
  Transfers(Transfers&&) noexcept;
  Transfers& operator=(Transfers&&) noexcept;
  ~Transfers();

  /// Of a projected frame its geographic 3D base is meant.
  Result<Geographic> move(const std::string& from, const std::string& to, const Geographic& position, double year);

  /// How `move` goes.
  Result<Way> way(const std::string& from, const std::string& to);

  /// Of a position in the base frame. A place well outside the frame's zone is refused.
  Result<GridPlace> to_grid(const std::string& frame, const Geographic& position);

  /// `unit_m`: the metres in one unit of a projected frame's axes; empty: the frame's own. The data set often has the
  /// frame in that unit under a code of its own, which is then taken.
  Result<Definition> definition(const std::string& frame, std::optional<double> unit_m);

  /// Latitude and longitude, in the base frame, of a position in a projected frame; the height is passed on.
  Result<Geographic> from_grid(const std::string& frame, double easting_m, double northing_m, double height_m);

  /// The code the frame is known by ("ITRF2014" and "EPSG:7912" are one); of a projected frame its base.
  Result<std::string> base_code(const std::string& frame);
  Result<std::string> label(const std::string& frame);
  bool is_projected(const std::string& frame);
  /// Metres in one unit of a projected frame's axes; 1 for other frames.
  double metres_per_unit(const std::string& frame);
  /// Whether positions of a map layer in `system` (a code) are positions in the frame: it is the frame itself, or the
  /// 2D form of it that maps are drawn in.
  bool is_drawn_in(const std::string& frame, const std::string& system);
  /// The frame of such a layer: the 3D form of a 2D system, else the system itself.
  std::string frame_of_layer(const std::string& system);

  /// Codes of the usual frames whose area holds the place.
  std::vector<std::string> serving(const Geographic& place);

 private:
  struct State;
  explicit Transfers(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::geodesy
