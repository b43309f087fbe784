#pragma once
/// The one list of what is stored of a point and of its epochs. Columns, binding, reading, canonical content, exact
/// comparison and what is new in the spool and in JSON follow from it: one more stored field is one more line here.
///
/// Form:    `io(Field, member)` is called once for each, in the order of the canonical content. A visitor that changes
///          members also has `bool next_is_null()`: whether the next value is missing.
/// Since:   every book, spool and content of version `since` or later knows the field. What an older one does not know
///          has the value of a member that nobody has set. Fields of a later version stand last in their function.
/// Units:   in the names.
/// Threads: pure functions. Errors: those of the visitor.

#include <optional>
#include <string_view>
#include <type_traits>

#include "occupation/point.hpp"

namespace stillpoint::occupation {

/// Digits after the point of a number.
struct Decimals {
  int stored = 6;  ///< in the canonical content
  int shown = 4;   ///< in JSON
};
inline constexpr Decimals kDegrees{11, 11}, kMetres{6, 4}, kSquareMetres{12, 8}, kYears{8, 4}, kOther{6, 4};

struct Field {
  std::string_view name;
  Decimals decimals = kOther;
  bool nullable = false;                    ///< an empty text is stored as NULL
  int since = 1;                            ///< version of book, content and spool
  bool content = true;                      ///< part of the canonical content
  bool compared = true;                     ///< part of the exact comparison
  bool shown = true;                        ///< a member of the JSON object, if it came after version 1
  bool unique = false;                      ///< no two rows share it
  char separator = ' ';                     ///< between the parts of a list
  const std::string_view* words = nullptr;  ///< of a bool that is stored as one of two words: for false, for true
};

inline constexpr std::string_view kVerdictWords[] = {"refused", "accepted"};

/// A position alone: all that a check shot keeps of its coordinates.
template <class Io, class Coordinates>
void position_fields(Io& io, Coordinates& at) {
  io(Field{"coordinate_epoch", kYears}, at.coordinate_epoch);
  io(Field{"latitude_deg", kDegrees}, at.latitude_deg);
  io(Field{"longitude_deg", kDegrees}, at.longitude_deg);
  io(Field{"easting_m", kMetres}, at.easting_m);
  io(Field{"northing_m", kMetres}, at.northing_m);
  io(Field{"ellipsoid_height_m", kMetres}, at.ellipsoid_height_m);
}

template <class Io, class Coordinates>
void coordinate_fields(Io& io, Coordinates& at) {
  position_fields(io, at);
  io(Field{"orthometric_height_m", kMetres}, at.orthometric_height_m);
  io(Field{.name = "geoid", .nullable = true}, at.geoid);
  io(Field{"error95_horizontal_m", kMetres}, at.error95_horizontal_m);
  io(Field{"error95_vertical_m", kMetres}, at.error95_vertical_m);
  io(Field{"covariance_ee_m2", kSquareMetres}, at.covariance_enu_m2[0]);
  io(Field{"covariance_en_m2", kSquareMetres}, at.covariance_enu_m2[1]);
  io(Field{"covariance_nn_m2", kSquareMetres}, at.covariance_enu_m2[2]);
  io(Field{"covariance_uu_m2", kSquareMetres}, at.covariance_enu_m2[3]);
  io(Field{"repeatability_m", kMetres}, at.repeatability_m);
  io(Field{"effective_epochs"}, at.effective_epochs);
}

template <class Io, class Epoch>
void epoch_fields(Io& io, Epoch& e) {
  io(Field{"utc"}, e.utc);
  io(Field{"quality"}, e.quality);
  io(Field{"station"}, e.station);
  io(Field{.name = "source", .nullable = true}, e.source);
  io(Field{"age_s"}, e.age_s);
  io(Field{"correction"}, e.correction);
  io(Field{.name = "verdict", .words = kVerdictWords}, e.accepted);
  io(Field{.name = "reasons", .nullable = true}, e.reasons);
  io(Field{"latitude_deg", kDegrees}, e.latitude_deg);
  io(Field{"longitude_deg", kDegrees}, e.longitude_deg);
  io(Field{"ellipsoid_height_m", kMetres}, e.ellipsoid_height_m);
  io(Field{"sigma_east_m", kMetres}, e.sigma_east_m);
  io(Field{"sigma_north_m", kMetres}, e.sigma_north_m);
  io(Field{"sigma_up_m", kMetres}, e.sigma_up_m);
}

/// What a point says of itself; its coordinates aside.
template <class Io, class Point>
void naming_fields(Io& io, Point& p) {
  io(Field{"name"}, p.name);
  io(Field{"visit"}, p.visit);
  io(Field{.name = "code", .nullable = true}, p.code);
  io(Field{.name = "note", .nullable = true}, p.note);
  io(Field{"status"}, p.status);
  io(Field{.name = "reasons", .nullable = true}, p.reasons);
  io(Field{.name = "reason_texts", .nullable = true, .separator = '\n'}, p.reason_texts);
  io(Field{"frame"}, p.frame);
}

template <class Io, class Point>
void provenance_fields(Io& io, Point& p) {
  io(Field{"epochs_used"}, p.epochs_used);
  io(Field{"epochs_refused"}, p.epochs_refused);
  io(Field{"refused"}, p.refused);
  io(Field{.name = "source", .nullable = true}, p.source);
  io(Field{"station"}, p.station);
  io(Field{"quality"}, p.quality);
  io(Field{"antenna_height_m", kMetres}, p.antenna_height_m);
  io(Field{"started_utc"}, p.started_utc);
  io(Field{"finished_utc"}, p.finished_utc);
  io(Field{.name = "flags", .nullable = true}, p.flags);
  io(Field{"error_scale"}, p.error_scale);
  io(Field{.name = "estimator", .since = 2}, p.estimator);
  io(Field{.name = "rules", .since = 2}, p.rules);
  io(Field{.name = "crew", .nullable = true, .since = 2, .compared = false, .shown = false}, p.crew);
  io(Field{.name = "offset_measures", .nullable = true, .since = 6, .shown = false}, p.measures);
  io(Field{.name = "base_station", .since = 6, .shown = false}, p.base_station);
  io(Field{.name = "base_x_m", .decimals = kMetres, .since = 6, .shown = false}, p.base_x_m);
  io(Field{.name = "base_y_m", .decimals = kMetres, .since = 6, .shown = false}, p.base_y_m);
  io(Field{.name = "base_z_m", .decimals = kMetres, .since = 6, .shown = false}, p.base_z_m);
}

namespace detail {
/// Hands every value on as one that may be missing, and here is.
template <class Io>
struct Missing {
  Io& io;
  template <class Value>
  void operator()(const Field& field, const std::optional<Value>&) {
    io(field, std::optional<Value>());
  }
  template <class Value>
  void operator()(const Field& field, const Value&) {
    io(field, std::optional<Value>());
  }
};
}  // namespace detail

/// Coordinates that may be missing as a whole: then each of their values is.
template <class Io>
void optional_coordinate_fields(Io& io, const std::optional<Coordinates>& at) {
  if (at) return coordinate_fields(io, *at);
  const Coordinates none;
  detail::Missing<Io> missing{io};
  coordinate_fields(missing, none);
}
template <class Io>
void optional_coordinate_fields(Io& io, std::optional<Coordinates>& at) {
  const bool there = !io.next_is_null();
  Coordinates read;
  coordinate_fields(io, read);
  if (there) at = read;
}

template <class Io, class Point>
void point_fields(Io& io, Point& p) {
  naming_fields(io, p);
  optional_coordinate_fields(io, p.at);
  provenance_fields(io, p);
}

}  // namespace stillpoint::occupation
