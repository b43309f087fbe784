#pragma once
/// The configuration as plain, validated values. `config/load.hpp` makes them from TOML; every room reads them.
///
/// Units:   in the names. Errors are 1 sigma unless a name says 95 %.
/// Threads: plain values.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/quality.hpp"

namespace stillpoint::config {

struct PerAxis {
  double horizontal_m = 0;
  double vertical_m = 0;
};

struct SiteVelocity {
  double east_mm_per_year = 0;
  double north_mm_per_year = 0;
  double up_mm_per_year = 0;
};

struct Geoid {
  std::string grid;  ///< absolute path, or a name PROJ finds
  std::string name;
  std::string frame;
  std::string sha256;  ///< empty: not checked
  double error_m = 0;  ///< of its heights, 1 sigma; in every height above it, however long the stay
};

enum class HeightKind : std::uint8_t { ellipsoid, orthometric };

/// What the dates of a log are worth whose journal says nothing of a clock.
enum class ArchiveDates : std::uint8_t { as_recorded, rolled_over };

/// What lengths are told in; the pointbook keeps metres.
enum class LengthUnit : std::uint8_t { metre, foot, us_survey_foot };

/// Whom to ask about the points.
struct Contact {
  std::string name, organisation, email;  ///< one of the first two at least
};

struct Project {
  std::string name;
  std::string crew;
  std::optional<Contact> contact;
  std::string local_time;  ///< a zone's name, "America/Detroit"; empty: UTC
  LengthUnit units = LengthUnit::metre;
  std::string frame;
  std::optional<double> coordinate_epoch;  ///< decimal year; empty means "observation"
  std::optional<SiteVelocity> site_velocity_mm_per_year;
  HeightKind height = HeightKind::ellipsoid;
  std::optional<PerAxis> wanted_error95_m;  ///< of a point at 95 %; empty: the one at which stays end by themselves
  ArchiveDates archive_dates = ArchiveDates::as_recorded;
  std::optional<Geoid> geoid;
  std::vector<std::string> area_looked_at;  ///< frames and countries whose doubt about the area somebody has looked at
  std::string plan;                         ///< absolute path of the planned points; empty: there are none
  std::string pointbook;                    ///< absolute path
  std::string record;                       ///< absolute path of the folder
};

enum class FeedKind : std::uint8_t { replay, serial, tcp, udp };

struct Feed {
  FeedKind kind = FeedKind::replay;
  std::string file;                ///< replay: absolute path
  std::optional<double> pace = 1;  ///< replay: times real time; empty means "max"
  std::string device;              ///< serial
  std::optional<int> baud;         ///< serial: empty means "auto"
  std::string host;                ///< tcp
  std::string address;             ///< udp
  std::string from;                ///< udp: the only sender whose datagrams are taken; empty: any
  std::uint16_t port = 0;          ///< tcp, udp
  double silence_s = 3.0;
};

struct Slant {
  double length_m = 0;
  double radius_m = 0;
  double plane_to_phase_centre_m = 0;  ///< signed
};

struct Antenna {
  std::vector<std::pair<std::string, double>> vertical_parts_m;  ///< in file order, then those given in feet
  std::optional<Slant> slant_m;
  std::optional<double> also_measured_ft;
  bool already_reduced_by_receiver = false;
};

/// Which reference-station ids belong to a source, compared as integers.
struct StationMatch {
  bool blank = false;
  std::vector<std::pair<int, int>> ranges;  ///< inclusive; a single number is a range of one
};

struct Match {
  std::vector<Quality> quality;         ///< empty: any quality that may have a source
  std::optional<StationMatch> station;  ///< empty: any station
};

/// What is done with a second whose age of corrections is blank: it does not count, our own clock runs, or it counts
/// for what the quality says, with a flag on the point.
enum class AgeMissing : std::uint8_t { refuse, allow, trust_quality };

/// The limits of one source. An absent limit is not applied; an equal value passes.
struct Gate {
  std::vector<Quality> quality;
  double fresh_age_s = 0;
  double max_age_s = 0;
  double coast_growth_m_per_min = 0;
  AgeMissing age_missing = AgeMissing::refuse;
  std::optional<double> max_hdop;
  std::optional<double> max_pdop;
  std::optional<double> max_vdop;
  std::optional<int> min_satellites;
  std::optional<double> max_error95_horizontal_m;
  std::optional<double> max_error95_vertical_m;
  std::optional<double> max_speed_mps;
  double settle_s = 0;
  std::optional<int> min_minute_decimals;
  std::optional<int> min_altitude_decimals;
};

/// From so many visits on an error scale is verified.
inline constexpr int kVisitsToVerify = 10;

/// What an error scale rests on.
struct ScaleEvidence {
  int visits = 0;
  std::string until;  ///< date of the last one, `2026-06-03`
};

struct Source {
  std::string name;
  Match match;
  std::string frame;
  std::optional<double> coordinate_epoch;  ///< empty means "observation"
  std::string evidence;
  double error_scale = 1.0;
  double unproven_margin = 1.5;  ///< while the scale is not verified the claim may be too small by this much
  std::optional<ScaleEvidence> error_scale_evidence;
  PerAxis error_floor_m;
  std::optional<PerAxis> assumed_sigma_m;
  std::optional<PerAxis> check_limit_m;  ///< the most a check on a control mark may be off, whatever the errors claim
  Gate gate;
  /// True only with evidence from enough visits: a number without evidence is not verified, and a measured 1.00 is.
  bool error_scale_verified() const noexcept {
    return error_scale_evidence && error_scale_evidence->visits >= kVisitsToVerify;
  }
};

struct OccupationRule {
  int min_epochs = 30;
  double min_duration_s = 30;
  double max_duration_s = 600;
  std::optional<PerAxis> finish_at_error95_m;
};

/// Other programs on the receiver's link.
struct Relay {
  std::string listen;                ///< empty: off
  std::string terminal;              ///< absolute path of a name for a pseudo-terminal; empty: none
  std::vector<std::string> writers;  ///< users that may write, by name or number, beside the daemon's own and root
  std::string token;                 ///< who begins with `token` and this may write; empty: nobody may that way
  double silence_s = 30;             ///< after so long without a byte from the writer it is told
  bool beyond_this_machine = false;  ///< `listen` may be reached from outside
  bool is_on() const noexcept { return !listen.empty() || !terminal.empty(); }
};

/// In which version of the protocol a caster is asked; `either`: the second, and the first where that one fails.
enum class CasterVersion : std::uint8_t { either, first, second };

/// The stream of corrections that the daemon brings to the receiver itself.
struct Corrections {
  std::string host;  ///< of the caster; empty: the daemon brings none
  std::uint16_t port = 0;
  std::string mount;
  CasterVersion version = CasterVersion::either;
  bool tls = false;
  std::string authority;       ///< absolute path of certificates that vouch for the caster; empty: the system's own
  std::string credentials;     ///< absolute path of a file; what stands in it is kept nowhere. Empty: no login
  bool send_position = false;  ///< the receiver's position may leave this machine
  bool is_on() const noexcept { return !host.empty(); }
};

struct Alerts {
  std::vector<std::string> run;
  double check_due_min = 120;
  double disk_free_mib = 500;
};

struct Page {
  std::string listen;                ///< empty: off
  bool beyond_this_machine = false;  ///< `listen` may be reached from outside, to look only
};

struct Control {
  std::string socket;  ///< absolute path
};

/// Control marks and the rules about checking on them; without marks there are no such rules.
struct Checks {
  std::string marks;  ///< absolute path of a CSV file; empty: none
};

struct Settings {
  std::string path;  ///< the file the settings came from
  Project project;
  std::vector<Feed> feeds;
  Antenna antenna;
  std::vector<Source> sources;
  OccupationRule occupation;
  Relay relay;
  Corrections corrections;
  Alerts alerts;
  Page page;
  Control control;
  Checks checks;

  /// Some feed leads to a receiver that can be written to. A replay stands alone.
  bool takes_corrections() const noexcept {
    const auto leads = [](const Feed& feed) { return feed.kind == FeedKind::serial || feed.kind == FeedKind::tcp; };
    const bool replays = !feeds.empty() && feeds.front().kind == FeedKind::replay;
    return !replays && std::any_of(feeds.begin(), feeds.end(), leads);
  }
  /// Seconds of stream without an epoch that count as a gap: the first feed's `silence_s`.
  double gap_s() const noexcept { return feeds.empty() ? 3.0 : feeds.front().silence_s; }
  /// The error of a point, at 95 %, that the work wants; empty: it says none.
  const std::optional<PerAxis>& wanted_error95_m() const noexcept {
    return project.wanted_error95_m ? project.wanted_error95_m : occupation.finish_at_error95_m;
  }
};

}  // namespace stillpoint::config
