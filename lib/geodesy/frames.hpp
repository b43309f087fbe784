#pragma once
/// From each correction source's reference frame to the project's one frame, with PROJ's silent traps closed.
///
/// Units:   degrees, metres, decimal years.
/// Time:    the observation's own UTC, or the source's numeric coordinate epoch. There is no default date.
/// Threads: one `Frames`, one thread (it owns a PROJ context; the network is off).
/// Errors:  `open` refuses, in a sentence, whatever cannot be right for this configuration; `to_project` says per epoch
///          why it cannot answer (`frame` or `no-date`).
/// Source:  PROJ and the EPSG data set it ships; the refusals are the project's own rules.

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "base/result.hpp"
#include "base/time.hpp"
#include "config/settings.hpp"
#include "geodesy/local.hpp"

namespace stillpoint::geodesy {

/// What `--check` tells about one source's way to the project frame.
struct Operation {
  std::string source;                ///< name of the correction source
  std::string from, to;              ///< frames as codes with their names
  std::string description;           ///< PROJ's own words for the operation; "the same frame" for an identity
  std::optional<double> accuracy_m;  ///< stated in the EPSG data set
  std::string area;                  ///< name and box of the area of use
  bool time_dependent = false;
  std::vector<std::string> notes;  ///< e.g. "IGS14 is taken as ITRF2014"
};

enum class FrameFault : std::uint8_t { frame, no_date };
struct FrameFailure {
  FrameFault fault = FrameFault::frame;
  std::string text;  ///< one sentence with values
};
template <class T>
using FrameResult = tl::expected<T, FrameFailure>;

/// One epoch in the project frame's geographic 3D base frame.
struct InProject {
  Geographic position;
  double coordinate_epoch = 0;  ///< decimal year the coordinates belong to
};

/// A finished point's coordinates in every form the project asks for.
struct Delivered {
  std::optional<double> easting_m, northing_m;  ///< metres also when the projected frame counts in feet
  std::optional<double> orthometric_height_m;
  std::string geoid;  ///< name, empty without a geoid
  /// How high the grid has the geoid above the ellipsoid of its own frame, and above that of ITRF2020, which receivers'
  /// own geoids are made for. Where no operation leads there the second is the first.
  double geoid_height_m = 0, geoid_height_in_itrf_m = 0;
};

class Frames {
 public:
  static Result<Frames> open(const config::Settings& settings);
  Frames(Frames&&) noexcept;
  Frames& operator=(Frames&&) noexcept;
  ~Frames();

  /// `source` is the index in `settings.sources`. `utc` empty: the date is unknown, and the answer is `no_date`.
  FrameResult<InProject> to_project(std::size_t source, const Geographic& position, std::optional<UtcTime> utc) const;

  /// How far the project frame's coordinates of this place are from the source's own, east, north and up at the place.
  FrameResult<Enu> shift_at(std::size_t source, const Geographic& position, std::optional<UtcTime> utc) const;

  /// Whether the source's operation serves this place; cheap, no transformation. Empty: it does; else the reason.
  std::optional<std::string> why_not_here(std::size_t source, double latitude_deg, double longitude_deg) const;

  /// Why the area of the source's frame or the project's must be looked at before seconds count here (`areas.hpp`).
  /// Empty: both plainly serve, or the configuration has the word for it.
  std::optional<std::string> doubt_here(std::size_t source, double latitude_deg, double longitude_deg) const;

  /// Projected coordinates and orthometric height of a position in the project's base frame. `coordinate_epoch` serves
  /// a geoid grid made for another frame.
  FrameResult<Delivered> deliver(const Geographic& position, double coordinate_epoch) const;

  const std::vector<Operation>& operations() const noexcept;

  /// The project frame as a code, e.g. "EPSG:6319", for points and the pointbook.
  const std::string& project_frame() const noexcept;
  /// WKT 2 of the project frame (a 2D projected frame stays 2D; heights are ellipsoid heights in its base frame). With
  /// orthometric heights it is compound, and its vertical part names the geoid.
  const std::string& project_frame_wkt() const noexcept;
  /// The same as WKT 1 (OGC 01-009), for programs that read no other; empty: it cannot be said in that.
  const std::string& project_frame_wkt1() const noexcept;
  bool project_frame_is_projected() const noexcept;

  /// Sentences a person should read once: mixed coordinate epochs among sources with their size at this place …
  std::vector<std::string> notes_at(const Geographic& position, UtcTime utc) const;

 private:
  struct State;
  explicit Frames(std::unique_ptr<State> state) noexcept;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::geodesy
