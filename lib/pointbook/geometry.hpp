#pragma once
/// A position as a GeoPackage geometry: the standard's own header and a well-known-binary POINT Z.
///
/// Units:   x, y, z in the units of the frame named by `srs_id`; x is easting or longitude whatever the frame's own
///          axis order (OGC 12-128r17, 2.1.3). z is the ellipsoid height, or in metres the height above the geoid that a
///          compound frame names.
/// Threads: pure functions.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::pointbook {

/// 37 bytes: `GP`, version 0, flags (little-endian, no envelope), srs_id, then WKB of type 1001.
std::string point_z_blob(std::int32_t srs_id, double x, double y, double z);

/// 29 bytes: the same without z, of type 1.
std::string point_blob(std::int32_t srs_id, double x, double y);

struct PointXyz {
  double x = 0, y = 0;
  std::optional<double> z;
};
/// A point of any program: either byte order, with or without envelope, z and m. Nothing for every other geometry, an
/// empty point, or bytes that are none.
std::optional<PointXyz> read_point_blob(std::string_view blob);

/// Metres in one unit of the frame's first axis, read from its WKT 2; 1 when the text names no length unit.
double axis_unit_m(std::string_view wkt);

/// The geoid that the heights of a compound WKT 2 are above; empty: heights are ellipsoid heights.
std::string geoid_in_wkt(std::string_view wkt);

/// Whether a WKT 2 speaks of a projected frame, alone or as the horizontal part of a compound one.
bool is_projected(std::string_view wkt) noexcept;

/// Whether the ground moves against the frame of a WKT 2, so that coordinates need a date.
bool is_dynamic(std::string_view wkt) noexcept;

/// The number by which a GeoPackage knows a frame: the code itself for `EPSG:6319`, else 100001, past EPSG's own range.
struct SrsName {
  std::string organization;
  std::int32_t organization_id = 0;
  std::int32_t srs_id = 0;
};
SrsName srs_name(std::string_view frame);
/// A compound frame has no code of its own.
SrsName srs_name_of_compound();

/// The frame's name inside its WKT, `NAD83(2011)`; empty when there is none.
std::string name_in_wkt(std::string_view wkt);

}  // namespace stillpoint::pointbook
