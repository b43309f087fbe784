#pragma once
/// A shot on a control mark against the mark: how far off, within what, and whether the work may go on.
///
/// Rule:    horizontal and vertical each pass when they are at most 2·√(u_mark² + u_shot²) (standard uncertainties;
///          horizontal u is √(u_east² + u_north²)) and at most the source's hard limit, where it has one.
/// Units:   metres; residuals are shot minus mark, east, north, up at the mark. 95 % figures say so.
/// Time:    the mark is brought to the shot's coordinate epoch in the project frame before anything is compared.
/// Threads: plain functions; `Transfers` belongs to its thread.
/// Errors:  one sentence when mark and shot cannot honestly be compared.

#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "control/marks.hpp"
#include "geodesy/transfers.hpp"
#include "occupation/point.hpp"

namespace stillpoint::control {

/// A mark in the project frame, at the date of a shot.
struct PlacedMark {
  geodesy::Geographic position;  ///< its height is the shot's own when the mark gives no ellipsoid height
  double coordinate_epoch = 0;
};

/// A mark in a moving frame without a velocity can only be compared with shots of its own epoch, unless the project
/// frame holds still with the plate.
Result<PlacedMark> place_mark(geodesy::Transfers& transfers, const Mark& mark, const std::string& project_frame,
                              const occupation::Coordinates& shot);

struct Residual {
  double east_m = 0, north_m = 0;
  std::optional<double> up_m;             ///< empty: the mark has no height, or none that can be compared
  std::array<double, 4> covariance_m2{};  ///< ee, en, nn, uu of the residual: shot and mark together

  double horizontal_m() const noexcept;
  double u_horizontal_m() const noexcept;  ///< √(ee + nn)
  double u_vertical_m() const noexcept;
  double east95_m() const noexcept, north95_m() const noexcept, up95_m() const noexcept;
};

Result<Residual> residual(geodesy::Transfers& transfers, const Mark& mark, const std::string& project_frame,
                          const occupation::Coordinates& shot);

enum class Outcome : std::uint8_t { pass, pass_with_note, stop };
/// `pass` `pass-with-note` `stop`
std::string_view to_word(Outcome outcome) noexcept;

struct Verdict {
  Outcome outcome = Outcome::stop;
  double limit_horizontal_m = 0;           ///< the smaller of tolerance and hard limit
  std::optional<double> limit_vertical_m;  ///< empty: no height was compared
  std::string text;                        ///< one sentence with the numbers and their limits
  std::string limits;                      ///< why a limit is smaller than the configured one; empty: it is not
  std::vector<std::string> notes;          ///< what a person should know although it passed
};

struct Allowed {
  std::optional<config::PerAxis> hard_limit_m;
};
/// `notes`: the mark's cautions. A note never turns a stop into a pass.
Verdict judge(const std::string& mark, const Residual& residual, const Allowed& allowed,
              std::vector<std::string> notes);

/// A shot on a mark that passed, and the source it was made under.
struct SourceShot {
  std::string source;
  Residual residual;           ///< against the mark
  occupation::Coordinates at;  ///< what the method alone says, and how well
};

/// The step between two shots on one mark under two sources. Each shot is compared with the mark at its own date, so
/// the motion of a plate between the dates makes no step. The mark's own error cancels.
///          uncertainties).
struct Overlap {
  std::string older_source, newer_source;
  Residual step;  ///< newer minus older
  bool agrees = false;
  double limit_horizontal_m = 0, limit_vertical_m = 0;
  std::string text;
};
Overlap compare_overlap(const std::string& mark, const SourceShot& older, const SourceShot& newer);

}  // namespace stillpoint::control
