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

#include "control/statement.hpp"
#include "occupation/repeats.hpp"
#include "pointbook/reader.hpp"

namespace stillpoint::report {

/// One stay, as it stands now.
struct PointFact {
  occupation::StoredPoint newest;                                ///< without epochs
  const std::vector<occupation::EpochRecord>* epochs = nullptr;  ///< of its first version; null: none were kept
  std::string doubt;  ///< why a failed check makes it doubtful; empty: it does not
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

struct Facts {
  std::vector<std::string> crews;  ///< whose configurations measured the points
  std::string project, frame, path, file_sha256, program_version;
  std::string geoid;  ///< z of the pointbook is the height above it; empty: the ellipsoid height
  bool training = false, closed = false;
  UtcTime made_at;
  std::optional<UtcTime> first, last;
  std::vector<PointFact> points;                  ///< in the order of first storing
  std::vector<occupation::StoredPoint> versions;  ///< all of them
  std::vector<pointbook::CheckShot> checks;       ///< newest version of each
  CheckSums check_sums;
  EpochSums sums;
  std::vector<AlertFact> alerts;
  std::vector<RepeatFact> repeats;
  std::vector<occupation::Combined> together;  ///< what the visits of one name come to, as the daemon works it out
  std::vector<std::string> merge_conflicts;
  std::vector<pointbook::Event> outages;  ///< as the day itself summed them up: length, cause, place
  std::vector<pointbook::Event> noted;    ///< what no other table of the report shows
  std::vector<ChangeFact> changes;
  std::vector<pointbook::AntennaSetup> antennas;
  std::vector<std::string> damage;
  bool spool_waits = false;
  std::optional<config::PerAxis> wanted;  ///< the error that was wanted, at 95 %
  std::vector<std::string> decisions;     ///< what the office must decide, most pressing first
  std::vector<std::string> caveats;       ///< what the answer rests on, though nobody has to decide about it
};

/// `book` must outlive the facts: they point to its epochs.
Facts facts_of(const pointbook::Contents& book, UtcTime made_at, std::optional<config::PerAxis> wanted = {});

std::size_t count(const Facts& facts, occupation::PointStatus status);

// changes.cpp
std::vector<ChangeFact> changes_of(const pointbook::Contents& book);
/// Events that are neither alerts, nor acts of people, nor anything else the report has a table for.
std::vector<pointbook::Event> others_of(const std::vector<pointbook::Event>& events);
std::vector<AlertFact> alerts_of(const std::vector<pointbook::Event>& events);
std::vector<RepeatFact> repeats_of(const std::vector<PointFact>& points);
std::vector<occupation::Combined> together_of(const std::vector<PointFact>& points);
CheckSums sums_of(const std::vector<pointbook::CheckShot>& checks);

}  // namespace stillpoint::report
