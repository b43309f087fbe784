#pragma once
/// The corrections on their way to the receiver: whether they reach it, why they do not, and whether it uses them. Not
/// for other rooms.
///
/// Rule:    they are expected once a caster is asked or a frame has passed; what else a program sends to the receiver is
///          no matter of ours. Nothing for ten seconds is a stop, told with
///          the time of the last frame that reached the receiver. Frames that reach it for fifteen seconds while its own
///          age goes on growing are not used.
/// Units:   seconds, milliseconds in the names. Time: the session's. Threads: the session's.
/// Errors:  none.

#include <optional>
#include <string>

#include "corrections/freshness.hpp"
#include "corrections/stream_watch.hpp"
#include "session/alerts.hpp"
#include "session/session.hpp"

namespace stillpoint::session {

class Delivery {
 public:
  static constexpr std::int64_t kStoppedMs = 10'000;
  static constexpr std::int64_t kQuietMs = 5'000;
  static constexpr std::int64_t kFlowingMs = 15'000;
  static constexpr double kUnusedS = 10.0;

  /// How the connection to the caster stands. False: as it did.
  bool tell(const DeliveryNews& news, SteadyTime now);
  /// Bytes on their way; `lost`: the receiver's link did not take them. True: they had stopped before.
  /// `arrived.utc`: what the receiver's clock said last.
  bool take(std::string_view bytes, bool lost, const Moment& arrived);
  corrections::StreamWatch& watch() noexcept { return watch_; }
  const corrections::StreamWatch& watch() const noexcept { return watch_; }

  /// The last frame that the receiver's link took.
  std::optional<SteadyTime> last_reached() const noexcept { return last_reached_; }
  bool is_expected() const noexcept { return begun_.has_value(); }
  Condition stopped(SteadyTime now) const noexcept;
  /// None has come for long enough to be the cause of what the receiver says.
  bool is_quiet(SteadyTime now) const noexcept { return begun_ && now.ms - reached().ms >= kQuietMs; }
  /// `fresh`: what the receiver says of the corrections it uses.
  Condition unused(const corrections::Freshness& fresh, SteadyTime now) const noexcept;
  /// Of an alert: what stopped, since when and why. `is_too_old`: no second counts for it any more.
  AlertText stopped_text(const Moment& moment, bool is_too_old) const;
  void fill(std::optional<DeliveryStatus>& told, const Moment& moment) const;

 private:
  corrections::Stop why(SteadyTime now) const noexcept;
  /// When the last frame reached the receiver, or when the first was expected.
  SteadyTime reached() const noexcept { return last_reached_.value_or(*begun_); }
  std::string cause(SteadyTime now) const;
  /// `10:41:03` of the receiver's clock, when the last frame came; empty: none came, or the receiver gives no time.
  std::string clock() const;

  corrections::StreamWatch watch_;
  DeliveryNews news_;
  std::optional<SteadyTime> begun_;          ///< since when they are expected
  std::optional<SteadyTime> last_reached_;   ///< the last frame that the receiver's link took
  std::optional<UtcTime> last_reached_utc_;  ///< what is told of it: one stop has one time
  bool is_lost_ = false;                     ///< it did not take the last bytes
};

}  // namespace stillpoint::session
