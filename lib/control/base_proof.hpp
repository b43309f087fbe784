#pragma once
/// In which frame a base of real-time corrections believes that it stands, from the position that it sends and the one
/// that is published for it.
///
/// Rule:    the published position is brought into every frame that serves the place, at today's date, and in the frames
///          that move with no plate also at its own date and at the configured one. A frame fits when the position sent
///          is at most three standard uncertainties of the published one away, and no less than 0.05 m, which is what an
///          operation between two realizations is worth. Frames that fit are named together: they are not told apart.
/// Check:   a check that passed says where the mark is in the source's frame: its published place and the shot's
///          offset. Every other frame that would have passed as well, is as near and proves nothing against it.
/// Units:   metres, decimal years.
/// Time:    the year the caller gives.
/// Threads: plain functions; `Transfers` belongs to its thread.
/// Errors:  one sentence where the published position serves no comparison.

#include <string>
#include <vector>

#include "base/result.hpp"
#include "control/compare.hpp"
#include "geodesy/transfers.hpp"

namespace stillpoint::control {

/// What a configuration says of the corrections.
struct FrameClaim {
  std::string frame;
  std::optional<double> coordinate_epoch{};  ///< empty: of the date of each second
};

/// How far the position sent lies from the published one in a frame.
struct FrameFit {
  std::string frame;            ///< code
  std::string label;            ///< with its name
  double coordinate_epoch = 0;  ///< of its coordinates
  bool is_moving = false;       ///< with no plate: the epoch matters
  double distance_m = 0;
};

enum class FrameAnswer : std::uint8_t { proven, contradicted, none_fits };

struct FrameProof {
  FrameAnswer answer = FrameAnswer::none_fits;
  double limit_m = 0;
  std::vector<FrameFit> fits;   ///< within the limit, nearest first
  std::vector<FrameFit> other;  ///< beyond it, nearest first
  std::string text;             ///< two sentences at most, with the figures
};

/// `sent`: the base's antenna reference point. `published`: that point too, with an ellipsoid height.
Result<FrameProof> prove_frame(geodesy::Transfers& transfers, const Mark& published, const geodesy::Geographic& sent,
                               const FrameClaim& configured, double year);

/// A check on a mark that passed under a source.
struct PassedShot {
  Mark mark;
  Residual off;
  occupation::Coordinates at;  ///< in the project frame
  double limit_m = 0;          ///< of the check, in space
};
/// What the check says of the frame of the source. It never contradicts: a check that passed agrees.
Result<FrameProof> prove_frame(geodesy::Transfers& transfers, const PassedShot& shot, const FrameClaim& configured,
                               double year);

}  // namespace stillpoint::control
