#pragma once
/// The finished point with its whole provenance, and the epochs it rests on.
///
/// Units: in the names. Every 95 % figure says of what. Missing values are empty, never zero, never NaN.

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "base/offset_measures.hpp"
#include "base/quality.hpp"
#include "base/time.hpp"
#include "corrections/freshness.hpp"
#include "estimate/claimed.hpp"
#include "gate/verdict.hpp"

namespace stillpoint::geodesy {
struct Delivered;
}  // namespace stillpoint::geodesy

namespace stillpoint::occupation {

/// The edition of the rules by which this program judges seconds. Points of earlier editions are read, reported and
/// delivered as they are.
/// 2: frozen is what repeats all that the receiver says, slow sentences hold until they are due, and visits that
/// contradict each other are held.
/// 3: a stay that drifts is held, one step of the last digit is no jump and no second place, and of several places or
/// visits the longest is kept.
/// 4: what comes late does not count, nor what the clock or the stream contradicts the date of; dates are lifted by the
/// computer's clock or as the configuration says, and never by a guess. A gap is longer than the silence limit by
/// arrival as well, positions that come slowly are a rate from their third equal step on, and GNS speaks for a GGA that
/// is missing twice. A frame whose area is in doubt at a place does not count there before somebody has looked, and a
/// point is held when the receiver's own geoid contradicts the project's.
inline constexpr int kRules = 4;
/// The edition of the estimator that this program averages with.
/// 2: what moves was not seen to average out, averaging gains nothing before the claim is proven, and digits are part
/// of the error.
inline constexpr int kEstimator = 2;

enum class PointStatus : std::uint8_t { none, held, accepted, rejected };
/// `none` `held` `accepted` `rejected`
std::string_view to_word(PointStatus status) noexcept;
std::optional<PointStatus> point_status_from_word(std::string_view word) noexcept;

/// Reasons to hold a point.
enum class HoldReason : std::uint8_t {
  too_few_epochs,
  too_short,
  unresolved,
  interrupted,
  overlap_check_due,
  check_failed,
  visits_disagree,  ///< another visit of the point contradicts it
  not_delivered,    ///< no coordinates in the form the project wants: outside the geoid grid, or the projection fails
  drifting,         ///< the position moved farther during the stay than the claim allows
  geoid_contradicted,  ///< the receiver's own geoid and the project's cannot both be right
  pole_wrong,          ///< the antenna stood higher or lower than was subtracted
  stay_held,           ///< of an offset point: a stay that it comes from is no accepted one
  base_changed,        ///< corrections came from another base, or it stood elsewhere
  frame_contradicted   ///< the base contradicts the frame that the source is said to give positions in
};
std::string_view to_word(HoldReason reason) noexcept;
std::optional<HoldReason> hold_reason_from_word(std::string_view word) noexcept;

/// Flag of a point that was held and that a hand accepted.
inline constexpr std::string_view kAcceptedByHand = "accepted-by-hand";

/// One observed second with its final verdict.
struct EpochRecord {
  std::optional<UtcTime> utc;
  Quality quality = Quality::none;
  std::optional<int> station;
  std::string source;  ///< empty: none
  std::optional<double> age_s;
  corrections::State correction = corrections::State::none;
  bool accepted = false;
  gate::ReasonSet reasons;
  // In the project frame, at the mark (antenna height subtracted); empty when never transformed.
  std::optional<double> latitude_deg, longitude_deg, ellipsoid_height_m;
  std::optional<double> sigma_east_m, sigma_north_m, sigma_up_m;
};

struct Coordinates {
  double latitude_deg = 0;
  double longitude_deg = 0;
  double ellipsoid_height_m = 0;
  double coordinate_epoch = 0;  ///< decimal year
  std::optional<double> easting_m, northing_m;
  std::optional<double> orthometric_height_m;
  std::string geoid;  ///< empty: none
  double error95_horizontal_m = 0;
  double error95_vertical_m = 0;
  std::array<double, 4> covariance_enu_m2{};  ///< ee, en, nn, uu
  double repeatability_m = 0;                 ///< horizontal 1-sigma scatter of the epochs, not accuracy
  double effective_epochs = 0;

  /// Takes over the forms in which the project wants the position.
  void take(const geodesy::Delivered& delivered);
};

struct Point {
  std::string name;
  int visit = 1;
  std::string code, note;
  PointStatus status = PointStatus::none;
  std::vector<HoldReason> reasons;
  std::vector<std::string> reason_texts;  ///< one plain sentence for each of `reasons`
  std::string frame;                      ///< project frame, e.g. "EPSG:6319"
  std::optional<Coordinates> at;          ///< empty: no epoch was accepted
  std::uint64_t epochs_used = 0;
  std::uint64_t epochs_refused = 0;
  std::array<std::uint64_t, gate::kReasonCount> refused{};  ///< how often each reason occurred
  std::string source;                                       ///< empty: none
  std::optional<int> station;
  std::optional<Quality> quality;
  double antenna_height_m = 0;
  std::optional<UtcTime> started_utc;   ///< the first epoch observed
  std::optional<UtcTime> finished_utc;  ///< the last epoch observed
  std::vector<std::string> flags;       ///< contract words, in alphabetical order
  std::optional<double> error_scale;
  int rules = 1;                    ///< edition of the rules that judged its seconds
  int estimator = 1;                ///< edition of the estimator that averaged them
  std::string crew;                 ///< whose configuration measured it; empty: it names none
  OffsetMeasures measures{};        ///< of an offset point: what it comes from (offset_point.hpp)
  std::optional<int> base_station;  ///< of the base whose corrections it rests on, by the corrections themselves
  std::optional<double> base_x_m, base_y_m, base_z_m;  ///< where that base says it stands, earth-centred earth-fixed
  /// Not stored with a point, whose epochs say it; a check shot keeps it.
  std::optional<estimate::Claimed> claimed;
};

/// What a point is called from now on, and what is said of it.
struct Called {
  std::string name;
  int visit = 1;
  std::optional<std::string> code{}, note{};  ///< empty: as before

  /// `named` is a point or a stay.
  template <class Named>
  void give(Named& named) const {
    named.name = name;
    named.visit = visit;
    named.code = code.value_or(named.code);
    named.note = note.value_or(named.note);
  }
};

/// Accepted by hand, and not taken back since.
bool is_by_hand(const Point& point);

/// Heights of the antenna nearer to each other are the same.
inline constexpr double kSameAntennaM = 0.0005;

/// Whether it is accepted or held, was measured at `since` or later, and had another antenna height subtracted. An
/// offset point has none of its own: it goes with its stays.
bool has_other_antenna(const Point& point, double antenna_height_m, UtcTime since);
/// Holds a point for that, whatever a hand had accepted; a rejected one stays so. False: nothing has changed.
bool hold_for_antenna(Point& point, double antenna_height_m, UtcTime since);

/// A point ready for storage: the point, its epochs if they were kept, and how it identifies itself.
struct StoredPoint {
  std::string uuid;  ///< UUID version 7, of this version
  int version = 1;
  std::string supersedes;                 ///< uuid of the version it replaces; empty for the first
  std::string changed_by, change_reason;  ///< for versions after the first
  UtcTime stored_at;                      ///< the caller's clock, for people; not part of the result
  Point point;
  std::vector<EpochRecord> epochs;
};

}  // namespace stillpoint::occupation
