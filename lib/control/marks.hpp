#pragma once
/// Control marks as somebody wrote them down, validated: what each says about itself, in the frame it declares.
///
/// Columns: name, frame, coordinate_epoch (all required); latitude_deg and longitude_deg, or easting_m and northing_m;
///          height_m with height_kind (`ellipsoid`, `orthometric`; `none` and no height for a mark without one);
///          sigma_horizontal_m, and sigma_vertical_m where there is a height; optional: geoid,
///          velocity_east_mm_per_year and the same for north and up, recovered (a date), status (`good`, `disturbed`,
///          `superseded`, `base`), remarks.
/// Units:   degrees, metres, decimal years; sigmas are 1 sigma, horizontal of each axis.
/// Threads: plain values.
/// Errors:  one sentence a row; a row with an error is no mark. Warnings do not keep a mark from being used.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "config/settings.hpp"
#include "control/table.hpp"

namespace stillpoint::control {

enum class HeightOf : std::uint8_t { none, ellipsoid, orthometric };
enum class MarkStatus : std::uint8_t { good, disturbed, superseded, base };
std::string_view to_word(HeightOf kind) noexcept;
std::string_view to_word(MarkStatus status) noexcept;

struct Mark {
  std::string name;
  std::string frame;
  double coordinate_epoch = 0;
  std::optional<double> latitude_deg, longitude_deg;
  std::optional<double> easting_m, northing_m;
  HeightOf height_kind = HeightOf::none;
  std::optional<double> height_m;
  std::string geoid;
  double sigma_horizontal_m = 0;
  std::optional<double> sigma_vertical_m;
  std::optional<config::SiteVelocity> velocity;  ///< in its own frame
  std::optional<Date> recovered;
  MarkStatus status = MarkStatus::good;
  std::string remarks;
  std::string where;  ///< file and line, for sentences
};

struct Marks {
  std::vector<Mark> marks;
  std::vector<std::string> errors;    ///< rows that are no marks, and why
  std::vector<std::string> warnings;  ///< marks that are, with a caution

  const Mark* find(std::string_view name) const noexcept;
};

Marks marks_from(const Table& table);
/// A file that cannot be read as a table at all is the one error.
Marks parse_marks(std::string_view csv, const std::string& path);

/// Without those whose frame nobody knows, or that give easting and northing in a frame that has none: nothing could be
/// compared with them, and they are told as errors.
Marks in_known_frames(Marks marks);

/// What a person must be told before this mark is used; empty: nothing.
std::vector<std::string> cautions(const Mark& mark, UtcTime now);

}  // namespace stillpoint::control
