#pragma once
/// The reference frames that crews meet, by region and world-wide: what a place is searched for.
///
/// Threads: constants. Source: codes and areas of the EPSG data set.

#include <span>
#include <string_view>

namespace stillpoint::geodesy {

struct UsualFrame {
  std::string_view code;
  bool global = false;  ///< moves with no plate: a mark's coordinates change with the date
};

std::span<const UsualFrame> usual_frames() noexcept;

/// True for the global frames of the list.
bool is_global_frame(std::string_view code) noexcept;

}  // namespace stillpoint::geodesy
