#pragma once
/// Any frame to any other, at a date: what a control mark needs to be compared, and what the search for a wrong frame
/// asks.
///
/// Units:   degrees, metres, decimal years.
/// Time:    the year the caller gives; there is no default.
/// Threads: one `Transfers`, one thread (it owns a PROJ context; the network is off). Operations are kept once found.
/// Errors:  one sentence: an unknown or vague frame, no honest operation, a place outside its area.

#include <memory>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::geodesy {

class Transfers {
 public:
  static Result<Transfers> open();
  Transfers(Transfers&&) noexcept;
  Transfers& operator=(Transfers&&) noexcept;
  ~Transfers();

  /// Of a projected frame its geographic 3D base is meant.
  Result<Geographic> move(const std::string& from, const std::string& to, const Geographic& position, double year);

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
