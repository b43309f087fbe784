#pragma once
/// The points of a pointbook as they are handed out: which of them, in which frame and unit, with what is said of each.
///
/// Rule:    the newest version of every accepted point, and of the held ones where they are asked for; those carry
///          their status wherever they are. Rejected points and superseded versions never leave the house. A point that
///          cannot be brought into the frame stops the delivery: a list with one missing looks whole.
/// Units:   the delivery's, for lengths; degrees have 11 decimals.
/// Time:    UTC of the data. Threads: one (PROJ). Errors: one sentence.

#include <map>
#include <optional>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "geodesy/transfers.hpp"
#include "pointbook/reader.hpp"
#include "report/facts.hpp"

namespace stillpoint::office {

enum class Format : std::uint8_t { gpkg, csv, geojson, shp, dxf };
inline constexpr const char* kFormatWords[] = {"gpkg", "csv", "geojson", "shp", "dxf"};

struct DeliveryWishes {
  std::string pointbook, out, as;
  std::string frame;                      ///< empty: the project's
  std::string units;                      ///< `m` `ft` `ft-us`; empty: the frame's own, metres for heights
  std::string height;                     ///< `orthometric` `ellipsoid`; empty: what z is in the pointbook
  std::string local;                      ///< name of the point that local lengths are measured from
  std::optional<double> combined_factor;  ///< grid length over ground length
  std::vector<std::string> columns;       ///< of a CSV; empty: all
  bool no_header = false, with_held = false;
  Format format() const;
};

enum class CellKind : std::uint8_t { text, whole, real, time };

struct Column {
  std::string name;   ///< `easting_m`
  std::string brief;  ///< the same in ten letters
  CellKind kind = CellKind::text;
  int decimals = 0;
};

struct HandedPoint {
  std::string label;  ///< its name, with the visit from the second on
  std::string code;
  std::string x, y;              ///< in the frame, to the last digit that is stored
  std::optional<std::string> z;  ///< empty: it has no height
  bool held = false, doubted = false;
  std::vector<std::string> cells;  ///< one for each column; empty: not known
};

struct Tally {
  std::size_t accepted = 0, held_given = 0, held_back = 0, without_place = 0, rejected = 0, older = 0, doubted = 0;
  std::size_t without_height = 0;
  std::vector<std::string> names_twice;
};

/// Where the coordinates of a delivery come from and what they mean.
struct Reference {
  std::string project_label;
  geodesy::Definition frame;
  std::optional<geodesy::Way> way;  ///< empty: the project's own frame
  config::LengthUnit unit = config::LengthUnit::metre;
  double unit_m = 1;
  bool orthometric = false;
  std::string geoid;                                ///< names of the geoids that the heights are above
  std::optional<geodesy::Geographic> local_origin;  ///< local lengths are measured from it
  std::optional<double> combined_factor;
  /// Lengths on the ground or from a point: no program can tell where they are.
  bool frameless() const noexcept { return local_origin || combined_factor; }
  bool in_degrees() const noexcept { return !frame.projected && !local_origin; }
  /// Longitude and latitude of a realization of WGS 84, as GeoJSON means them for everybody.
  bool is_rfc7946() const noexcept { return frame.is_wgs84 && in_degrees(); }
  /// What a program is told of the frame: a code, WKT 2, or nothing.
  std::string system(Format format) const;
};

struct Delivery {
  std::string project;
  bool training = false, spool_waits = false;
  Reference reference;
  std::vector<Column> columns;
  std::vector<HandedPoint> points;
  Tally tally;
  double first_epoch = 0, last_epoch = 0;
  std::vector<int> rules;             ///< editions, each once
  std::vector<std::string> withheld;  ///< what the report says of the whole day
  /// One epoch that serves all of them; empty: they differ by more than 0.01 year, in which no plate moves 2 mm.
  std::optional<double> layer_epoch() const;
};

Result<Delivery> delivery_of(const pointbook::Contents& book, const report::Facts& facts, const DeliveryWishes& wishes);

std::string unit_words(config::LengthUnit unit);

}  // namespace stillpoint::office
