#pragma once
/// What a pointbook says about its day, worked out once for every page, table and plot of the report.
///
/// Nothing is left out and nothing is repaired: a point that was rejected, a day that was not closed, a row that does
/// not match its fingerprint are facts like others.
///
/// Units:   metres, in the names.
/// Time:    UTC of the data; when the report is made is handed in.
/// Threads: pure.
/// Errors:  none; what cannot be known is empty.

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "control/statement.hpp"
#include "geodesy/local.hpp"
#include "occupation/repeats.hpp"
#include "pointbook/reader.hpp"
#include "report/day_clock.hpp"
#include "report/measures.hpp"

namespace stillpoint::report {

/// One stay, as it stands now.
struct PointFact {
  occupation::StoredPoint newest;                                ///< without epochs
  const std::vector<occupation::EpochRecord>* epochs = nullptr;  ///< of its first version; null: none were kept
  std::string doubt;           ///< why a failed check makes it doubtful; empty: it does not
  std::size_t doubted_by = 0;  ///< number of that check, from 1; 0: none
};

enum class Paper : std::uint8_t { a4, letter };

/// What the report is asked to say, and how.
struct Wishes {
  std::optional<config::PerAxis> wanted;  ///< the error that was wanted, at 95 %; before the configuration's
  std::optional<config::Settings> configuration;
  DayClock clock;
  config::LengthUnit units = config::LengthUnit::metre;
  Paper paper = Paper::a4;
};

struct RefusalFact {
  gate::Reason reason = gate::Reason::quality;
  std::uint64_t counted_here = 0;  ///< epochs whose first reason it is: these add up
  std::uint64_t mentioned = 0;     ///< epochs that have it among their reasons
};

/// The epochs of all stays, counted twice: from the points' own sums and from the rows of the epochs.
struct EpochSums {
  std::uint64_t points_used = 0, points_refused = 0;
  std::uint64_t rows_used = 0, rows_refused = 0;
  std::uint64_t stays_without_rows = 0;
  std::vector<RefusalFact> refusals;
  bool agree() const noexcept {
    return stays_without_rows == 0 && points_used == rows_used && points_refused == rows_refused;
  }
};

/// An alert from its coming to its going, out of the events.
struct AlertFact {
  std::string key, text;
  UtcTime from;
  std::optional<UtcTime> until;  ///< empty: it never went
  bool outage = false;           ///< corrections or receiver were missing
};

/// A time without corrections or receiver.
struct OutageFact {
  UtcTime from;
  double lasted_s = 0;
};

/// One visit after another to one point.
struct RepeatFact {
  std::string name;
  int first_visit = 1, second_visit = 2;
  double minutes_between = 0;
  double east_m = 0, north_m = 0, up_m = 0;         ///< second minus first
  double allowed_plan_m = 0, allowed_height_m = 0;  ///< from the two 95 % errors
  /// Whether or not both count: visits that share an error should agree all the more.
  bool agree() const noexcept;
};

/// Something a person did.
struct ChangeFact {
  UtcTime when;
  std::string who, what, why;
};

struct CheckSums {
  std::size_t shots = 0, passed = 0, with_height = 0, marks = 0;
  double worst_plan_m = 0, worst_height_m = 0;
  std::optional<control::Statement> statement;  ///< over the last shot on each mark
};

/// Where easts and norths are measured from.
struct Origin {
  std::string name;  ///< of a known mark, or of the first point; empty: the frame's own grid
  geodesy::Geographic at{};
};

/// A known mark that was checked, by its own coordinates.
struct MarkFact {
  std::string name;
  geodesy::Geographic at{};
  std::optional<double> easting_m, northing_m;
};

struct Facts {
  DayClock clock;
  Measures measures;
  Paper paper = Paper::a4;
  std::optional<config::Settings> configuration;
  std::string frame_name;  ///< as its own definition has it, "NAD83(2011)"
  Origin origin;
  std::vector<MarkFact> marks;      ///< in the order of their first checks
  std::vector<OutageFact> missing;  ///< times without corrections or receiver, those that touch as one
  std::vector<std::string> crews;   ///< whose configurations measured the points
  std::string project, frame, path, file_sha256, program_version;
  std::string geoid;  ///< z of the pointbook is the height above it; empty: the ellipsoid height
  bool training = false, closed = false;
  UtcTime made_at;
  std::optional<UtcTime> first, last;        ///< of points and checks
  std::vector<PointFact> points;             ///< in the order of first storing
  std::vector<pointbook::CheckShot> checks;  ///< newest version of each
  CheckSums check_sums;
  EpochSums sums;
  std::vector<AlertFact> alerts;
  std::vector<RepeatFact> repeats;
  std::vector<occupation::Combined> together;  ///< what the visits of one name come to, as the daemon works it out
  std::vector<std::string> merge_conflicts;
  std::vector<pointbook::Event> events;  ///< all of them
  std::vector<ChangeFact> changes;
  std::vector<pointbook::AntennaSetup> antennas;
  std::vector<std::string> damage;
  bool spool_waits = false;
  std::optional<config::PerAxis> wanted;  ///< the error that was wanted, at 95 %
};

/// `book` must outlive the facts: they point to its epochs.
Facts facts_of(const pointbook::Contents& book, UtcTime made_at, const Wishes& wishes = {});

std::size_t count(const Facts& facts, occupation::PointStatus status);

/// The 95 % errors of the accepted points: the largest, and what half of them are within.
struct Errors {
  std::size_t points = 0;
  double most_plan_m = 0, half_plan_m = 0, most_up_m = 0, half_up_m = 0;
};
Errors errors_of(const Facts& facts);

/// Whether any point was measured with it.
bool is_used(const Facts& facts, const config::Source& source);
/// "CUL-7", "CUL-7, visit 2"
std::string name_of(const PointFact& fact);
bool has_flag(const PointFact& fact, std::string_view flag);

/// East and north of the origin, or on the frame's own grid.
struct PlanPlace {
  double east_m = 0, north_m = 0;
};
std::optional<PlanPlace> place_of(const Facts& facts, const PointFact& fact);
std::optional<PlanPlace> place_of(const Facts& facts, const MarkFact& mark);
/// The height as the project delivers it: above its geoid where it has one.
std::optional<double> height_m(const Facts& facts, const PointFact& fact);

// places.cpp
std::vector<MarkFact> marks_of(const std::vector<pointbook::CheckShot>& checks);
Origin origin_of(const Facts& facts);
bool is_projected(const Facts& facts);

// changes.cpp
std::vector<ChangeFact> changes_of(const pointbook::Contents& book);
std::vector<AlertFact> alerts_of(const std::vector<pointbook::Event>& events);
std::vector<OutageFact> missing_of(const std::vector<AlertFact>& alerts);
std::vector<RepeatFact> repeats_of(const std::vector<PointFact>& points);
std::vector<occupation::Combined> together_of(const std::vector<PointFact>& points);
CheckSums sums_of(const std::vector<pointbook::CheckShot>& checks);

}  // namespace stillpoint::report
