#pragma once
/// A scenario as plain, validated values: the place, the walk, the sky, the corrections and their errors, the
/// receiver's manners, the faults; and for a rehearsal the answer key and the scripted crews.
///
/// Units:   in the names; errors 1 sigma. Times are seconds from the scenario's start, unless a name says UTC.
/// Threads: plain values; `parse` is pure.
/// Errors:  `parse` returns every error of the file, each one sentence with line, key, value and allowed range.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/quality.hpp"
#include "base/result.hpp"
#include "base/time.hpp"
#include "simulate/errors.hpp"

namespace stillpoint::simulate {

struct Span {
  double from_s = 0, to_s = 0;  ///< from inclusive, to exclusive
  bool holds(double at_s) const noexcept { return at_s >= from_s && at_s < to_s; }
};

/// A place with true coordinates in the scenario's frame.
struct Mark {
  std::string name, code;
  double latitude_deg = 0, longitude_deg = 0, ellipsoid_height_m = 0;
  bool known = false;         ///< a control mark: its coordinates are on the crew's list
  bool has_height = true;     ///< known in height too
  Axes disturbed_m;           ///< where it really stands, against where the list says
  bool wanted = false;        ///< the job: a point of this name is to be brought home
  double tolerance_m = 0;     ///< horizontal, for `wanted`
  double tolerance_up_m = 0;  ///< height, for `wanted`
  int points = 10;            ///< what bringing it home is worth
};

/// The pole stands on a mark; between two stands it is carried in a straight line.
struct Stand {
  std::size_t mark = 0;
  Span when;
  double antenna_height_m = 0;  ///< true height of the phase centre above the mark
  double wobble_m = 0.002;      ///< of the pole's top
  Axes lean_m;                  ///< of the phase centre off the plumb line
};

struct Canopy {
  Span when;
  double mask_deg = 10;
  double keep = 1;  ///< share of the satellites above the mask that are still received
  double noise_factor = 1;
  double multipath_m = 0, multipath_tau_s = 40;
  bool claimed = true;  ///< whether the receiver's error figures know of it
};

enum class AgeManner : std::uint8_t { counts, blank, zero, constant };

struct Source {
  std::string name;
  Quality quality = Quality::none;
  std::string station;  ///< as printed
  std::string frame;    ///< empty: the scenario's
  std::optional<double> coordinate_epoch;
  ErrorModel errors;
  double claim_scale = 1;                      ///< 1: the receiver's error figures are honest; 0.5: half of the truth
  std::optional<Axes> claim_m;                 ///< a constant claim instead
  AgeManner age = AgeManner::counts;           ///< how the age is printed
  double age_from_s = 1, age_cycle_s = 1;      ///< lowest age, and how far it counts before new corrections come
  double drift_m_per_min = 0;                  ///< 1 sigma a minute of age beyond a cycle
  double converge_factor = 1, converge_s = 1;  ///< errors at first are larger by the factor, which decays
};

struct Use {
  double at_s = 0;
  std::optional<std::size_t> source;  ///< empty: no position
};

enum class FaultKind : std::uint8_t {
  outage,       ///< no corrections arrive: the age grows
  false_fix,    ///< offset, with a claim of its own
  frozen,       ///< position, DOPs and age repeat
  multipath,    ///< a bulge that comes and goes: offset times a half wave
  base_shift,   ///< offset, and nothing shows it
  own_shift,    ///< the receiver shifts its own output to another frame; `says` prints DTM
  silence,      ///< nothing is sent
  cut,          ///< the link is gone
  bit_errors,   ///< rate a byte
  drops,        ///< rate a sentence
  merges,       ///< rate a sentence: its line end is lost
  garbage,      ///< bytes between the sentences, rate an epoch
  binary,       ///< binary frames between the sentences, rate an epoch
  no_sentence,  ///< one kind of sentence is missing
  decimals,     ///< minutes are printed with `count` decimals
  time_step,    ///< the printed time is off by `seconds`
  date_step,    ///< the printed date is off by `days`
  cold_start,   ///< no position, and a date of 1980
  late,         ///< everything comes `seconds` later than it was sent, in its order
  unused,       ///< corrections come, and the receiver does not use them: the age grows as in an outage
  other_base,   ///< the base with the number `count` on the mark `text` sends instead
};
std::string_view to_word(FaultKind kind) noexcept;

struct Fault {
  FaultKind kind = FaultKind::outage;
  Span when;
  std::string note;
  Axes offset_m;
  std::optional<double> claim_m;
  double rate = 0;
  int count = 0;  ///< decimals, days
  double seconds_s = 0;
  std::string text;   ///< kind of sentence, frame, mark
  bool says = false;  ///< own_shift: DTM is printed
};

/// A base whose corrections a caster sends. While the kinds `outage` hold, it sends nothing.
struct Base {
  std::size_t mark = 0;  ///< on which it stands
  int station = 0;
  std::string frame;  ///< in which it says where it stands; empty: the scenario's
  std::optional<double> coordinate_epoch;
};

struct Every {
  std::string sentence;
  int epochs = 1;
};

struct Receiver {
  double rate_hz = 1;
  std::string talker = "GN";
  std::vector<std::string> sentences{"GGA", "GSA", "GSV", "RMC", "GST"};  ///< in the order of sending
  std::vector<Every> every;                                               ///< fewer than one an epoch
  std::vector<std::string>
      blank;  ///< fields left empty: "hdop", "ellipse", "satellites", "age", "station", "separation"
  int minute_decimals = 7, height_decimals = 3, age_decimals = 1;
  int satellite_cap = 99;
  int sbas_quality = 2;   ///< 2 or 9
  bool status_v = false;  ///< RMC's navigation status says V beside good fixes
  bool system_id = true;  ///< GSA ends with the system's number
  bool crlf = true;
  double separation_m = -36.1;
  int latency_ms = 120;
};

/// What the trainee should notice, and how one sees that they did.
enum class Right : std::uint8_t {
  good_point,     ///< the mark's newest point is accepted and within tolerance
  again,          ///< and it is so by a second visit
  not_accepted,   ///< what was measured in the window was discarded, held or rejected, and the mark was tried
  mark_measured,  ///< a known mark was measured in the window
  waited,         ///< the mark's point ended after the window, and no point ended inside it
};

struct Hazard {
  std::string id, what, move, cost;
  Span when;
  std::string mark;
  std::vector<std::string> said;  ///< alert keys, reasons and flags of which the tool should have said one
  Right right = Right::good_point;
  int points = 10;
};

enum class Act : std::uint8_t { begin, keep, discard, reject, accept, check, close_day };

struct Action {
  double at_s = 0;
  Act act = Act::begin;
  std::string name, code, note, reason;
  bool again = false;
  std::optional<int> visit;  ///< reject, accept: which one; empty: the newest
};

struct Crew {
  std::string name;
  std::vector<Action> actions;
};

struct Scenario {
  std::string path;
  std::string name, about;
  UtcTime start;
  double seconds_s = 0;
  std::uint64_t seed = 1;
  std::string frame;                    ///< of the true coordinates
  std::string config;                   ///< the trainee's configuration, relative to the scenario
  int pass_at = 70;                     ///< of 100
  double computer_clock_off_s = 0;      ///< of the machine that records: arrivals in a log are off by it
  std::optional<double> disk_free_mib;  ///< rehearsal: below it the daemon warns
  Receiver receiver;
  std::vector<Mark> marks;
  std::vector<Stand> stands;
  std::vector<Canopy> canopies;
  std::vector<Source> sources;
  std::vector<Use> uses;
  std::optional<Base> base;
  std::vector<Fault> faults;
  std::vector<Hazard> hazards;
  std::vector<Crew> crews;

  const Mark* find_mark(std::string_view name) const noexcept;
  UtcTime utc_at(double at_s) const noexcept;
  /// The start by the clock of the machine that records.
  UtcTime start_by_computer() const noexcept;
};

/// The first of these faults of a kind; null: none of them is.
const Fault* find_fault(const std::vector<const Fault*>& faults, FaultKind kind) noexcept;

struct ParsedScenario {
  Scenario scenario;  ///< meaningful only when `errors` is empty
  std::vector<Error> errors;
};

/// `path` is used in messages only.
ParsedScenario parse_scenario(std::string_view toml_text, const std::string& path);

/// Every table and key of a scenario, with a sentence each.
std::string scenario_help();

}  // namespace stillpoint::simulate
