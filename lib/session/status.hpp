#pragma once
/// The state of the day as clients see it, as plain values. `wire` turns them into JSON.
///
/// Units: in the names. Empty: not known.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/quality.hpp"
#include "base/time.hpp"
#include "corrections/freshness.hpp"
#include "gate/verdict.hpp"
#include "occupation/point.hpp"

namespace stillpoint::session {

enum class FeedState : std::uint8_t { waiting, open, silent, frozen, ended };
/// `waiting` `open` `silent` `frozen` `ended`
std::string_view to_word(FeedState state) noexcept;

enum class Severity : std::uint8_t { notice, warning, stop_work };
/// `notice` `warning` `stop-work`
std::string_view to_word(Severity severity) noexcept;

/// What an alert says: whole, and in at most 48 characters what began with it. The brief words hold no value that goes on
/// changing: they are told as long as the alert is, and with the time at which it began.
struct AlertText {
  std::string whole, brief;
};

struct Alert {
  std::uint64_t id = 0;  ///< one number per occurrence
  std::string key;
  Severity severity = Severity::notice;
  std::string text;
  std::string brief;
  std::optional<UtcTime> since_utc;
  std::string since_time;            ///< `14:05:10` of the receiver, where it gives a time and no date; else empty
  std::optional<UtcTime> until_utc;  ///< set when it has cleared
  bool active = true;
  bool seen = false;
  int times = 1;        ///< more than 1: it comes and goes, and this row stands for so many times
  int repeats = 0;      ///< how often it was told again because nobody had seen it
  bool folded = false;  ///< a later row stands for this one
};

/// A stretch in which no usable corrections came, or nothing at all.
struct Outage {
  std::optional<UtcTime> from_utc, until_utc;
  double lasted_s = 0;
  std::optional<double> latitude_deg, longitude_deg;  ///< where it began, in the receiver's frame
  std::string point;                                  ///< occupied when it began; empty: none
  std::string why;                                    ///< the sentence it began with
};

/// What `keep` would give.
enum class KeepGives : std::uint8_t { nothing, held, accepted };
/// `nothing` `held` `accepted`
std::string_view to_word(KeepGives gives) noexcept;

struct EpochStatus {
  std::optional<UtcTime> utc;
  Quality quality = Quality::none;
  std::optional<int> satellites;
  std::optional<double> hdop, pdop;
  std::optional<double> error95_horizontal_m, error95_vertical_m;  ///< of this one epoch, scaled and grown
  std::optional<int> station;
  std::optional<double> latitude_deg, longitude_deg;  ///< as printed, in the receiver's frame: for maps and distances
  std::optional<double> speed_mps;
};

struct OccupationStatus {
  std::string name;
  int visit = 1;
  std::string code;
  bool check = false;  ///< on a control mark: keeping it makes a check shot, no point
  std::optional<UtcTime> since_utc;
  std::uint64_t accepted = 0, refused = 0;
  int needed_epochs = 0;
  double needed_s = 0;
  double counted_s = 0;  ///< stream time that counts so far
  bool enough = false;
  /// What `keep` would give now, and why not accepted: the reasons of a point held, in order, with their sentences.
  KeepGives keep_gives = KeepGives::nothing;
  std::vector<occupation::HoldReason> keep_why{};
  std::vector<std::string> keep_texts{};
  std::optional<double> apart_m{};  ///< how far its two places lie apart, where it has two
  std::uint64_t fell_away = 0;      ///< earlier seconds that lost their count with the newest one
  std::uint64_t came_back = 0;      ///< earlier seconds that count after all
  std::string recounted{};          ///< the sentence about both, shown for a while
  std::optional<double> error95_horizontal_m, error95_vertical_m, effective_epochs;
  std::optional<double> wanted_error95_horizontal_m{}, wanted_error95_vertical_m{};
  std::string advice;                             ///< one sentence
  std::vector<std::string> facts{};               ///< what the error rests on, one sentence each
  std::vector<std::string> unproven{};            ///< why averaging gains nothing yet, and what would change it
  std::optional<double> error_scale{};            ///< of the source averaged
  bool error_scale_verified = false;              ///< somebody has calibrated it
  bool assumed_sigma = false;                     ///< the receiver gives no error: the configuration's is averaged
  std::optional<UtcTime> counts_from_utc{};       ///< too soon after the visit before: a new one counts from then on
  std::optional<UtcTime> next_counts_from_utc{};  ///< when another visit counts, if this one ends now
};

/// Proof on control marks.
struct CheckStatus {
  bool configured = false;
  bool due = false, failed = false;
  std::optional<UtcTime> last_utc;
  std::optional<double> due_in_s;  ///< until the time since the last one makes it due; empty: no time does
  std::optional<double> off_m;     ///< horizontally, of the newest check
  std::string text;                ///< one line
};

/// The corrections on their way to the receiver.
struct DeliveryStatus {
  std::string_view state;   ///< `running` `connecting` `stopped`
  std::string_view reason;  ///< the word of a `corrections::Stop` while they have stopped; else empty
  std::string text;         ///< one line
  std::optional<UtcTime> last_frame_utc{};
  std::optional<double> age_s{};  ///< of the newest frame that reached the receiver, by our clock
};

/// Whether the base itself shows in which frame corrections give positions.
enum class FrameProofState : std::uint8_t { open, proven, contradicted };
/// `open` `proven` `contradicted`
std::string_view to_word(FrameProofState state) noexcept;

/// The base that corrections come from.
struct BaseStatus {
  int station = 0;
  std::optional<std::array<double, 3>> ecef_m{};
  std::optional<double> distance_m{};  ///< from the rover
  bool is_virtual = false;             ///< worked out near the rover
  FrameProofState proof_state = FrameProofState::open;
  std::string proof_text{};  ///< empty: nothing was tried
};

struct StoreStatus {
  std::uint64_t spooled = 0;  ///< points acknowledged since the start
  std::uint64_t stored = 0;   ///< of those, in the pointbook
  std::uint64_t waiting = 0;
};

struct Counter {
  std::string_view name;  ///< a constant of the program
  std::uint64_t count = 0;
};

struct Status {
  std::optional<UtcTime> time_utc;
  bool training = false;
  std::string project, crew;
  double antenna_height_m = 0;  ///< above the mark, from now on
  FeedState feed = FeedState::waiting;
  std::string feed_what;
  std::string standstill;  ///< why nothing is judged although the feed may be well; empty: it is
  std::optional<EpochStatus> epoch;
  std::string source;  ///< empty: none
  corrections::Freshness correction;
  std::optional<double> fresh_limit_s, age_limit_s;  ///< of the source, for the scale on the screen
  bool accepted = false;
  std::vector<gate::ReasonText> reasons;
  std::optional<OccupationStatus> occupation;
  std::vector<Alert> alerts;  ///< active, or gone and not seen; active ones first, then the most severe
  CheckStatus check;
  std::optional<DeliveryStatus> delivery;  ///< empty: nobody brings any that we see
  std::optional<BaseStatus> base;          ///< empty: not known
  StoreStatus store;                       ///< filled in by whoever stores
  std::vector<std::string> notes;          ///< said once a day
  std::vector<Counter> counters;
};

}  // namespace stillpoint::session
