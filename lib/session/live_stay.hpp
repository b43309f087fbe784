#pragma once
/// The stay that is open now: what it did with the newest second, when it ends by itself, and what people are told of
/// it. Not for other rooms.
///
/// Units:   metres, seconds. Time: the session's and the receiver's. Threads: the session's.
/// Errors:  none; a second that does not count carries its reason.

#include <optional>
#include <string>
#include <vector>

#include "estimate/guidance.hpp"
#include "occupation/occupation.hpp"
#include "session/alert_board.hpp"
#include "session/base_watch.hpp"
#include "session/basis.hpp"
#include "session/checks.hpp"
#include "session/geoid_watch.hpp"

namespace stillpoint::session {

class LiveStay {
 public:
  /// Why it ends by itself.
  struct Ended {
    occupation::CutOff cut_off = occupation::CutOff::no;
    std::string why;
  };

  /// `basis` must outlive the stay.
  explicit LiveStay(const Basis& basis) noexcept : basis_(&basis), geoid_(basis) {}

  /// `computed_anew`: how it differs from the day's stay; its antenna height counts then.
  void begin(occupation::Stand stand, std::optional<Again> computed_anew);
  /// The same stay with another antenna height, before it has observed anything.
  void begin_anew(double antenna_height_m);
  /// The same stay under another name.
  void call(const occupation::Called& called) { stay_->call(called); }
  bool is_open() const noexcept { return stay_.has_value(); }
  const occupation::Occupation& stay() const noexcept { return *stay_; }
  const std::string& name() const noexcept;  ///< empty: none is open
  bool is_computed_anew() const noexcept { return computed_anew_.has_value(); }
  /// Since when the receiver works as it did when its first second counted.
  std::optional<UtcTime> initialized() const noexcept { return initialized_; }

  /// Takes an epoch, when one is open. `initialized`: since when the receiver works as it does.
  void observe(const gate::Judged& judged, std::optional<UtcTime> initialized, SteadyTime now);
  /// The longest stay, or an error that is small enough. A stay computed anew ends where it ended on the day.
  std::optional<Ended> ends_by_itself() const;
  /// It ends here, and is none any more.
  FinishedPoint finish(occupation::CutOff cut_off);
  /// As it would be cut off here; nothing before an epoch has counted.
  std::optional<FinishedPoint> cut_off() const;
  void drop() noexcept;

  /// Why the stay did not take the newest second, beyond the gate.
  const std::optional<gate::ReasonText>& fault() const noexcept { return fault_; }
  /// Reports the alert about a jump of the newest second.
  void look(const Moment& moment, AlertBoard& board) const;
  /// `newest`: arrival of the newest epoch.
  void fill(OccupationStatus& told, const Checks& checks, const BaseWatch& base, const Moment& moment,
            SteadyTime newest) const;

 private:
  /// The sentences about the stay, and what they were made for.
  struct Words {
    std::string advice;
    std::vector<std::string> facts{};
    std::vector<std::string> unproven{};
    std::vector<occupation::HoldReason> keep_why{};
    std::vector<std::string> keep_texts{};
    SteadyTime newest{};  ///< arrival of the newest epoch then
    bool begun = false, enough = false, unresolved = false;
  };
  /// How many earlier seconds changed sides with the newest one, and the sentence about the last that did.
  struct Recount {
    std::uint64_t fell_away = 0, came_back = 0;
    std::optional<SteadyTime> at;
    std::string text;
  };
  void note_elsewhere(const occupation::Observed& observed, const gate::Judged& judged, SteadyTime now);
  void note_apart(const occupation::Observed& observed);
  std::string recount_text(const occupation::Observed& observed, std::int64_t interval_ms) const;
  const Words& words_on(const occupation::Progress& progress, const Checks& checks, const BaseWatch& base,
                        const Moment& moment, SteadyTime newest) const;
  std::string advice(const occupation::Progress& progress, const Moment& moment, std::vector<std::string>& facts) const;
  estimate::StaySoFar stay_so_far(const occupation::Progress& progress, const Moment& moment) const;
  void fill_progress(OccupationStatus& told, const occupation::Progress& progress) const;
  void fill_keep(OccupationStatus& told, const Words& said, SteadyTime now) const;

  const Basis* basis_;
  GeoidWatch geoid_;  ///< of every second, with or without a stay
  std::optional<occupation::Occupation> stay_;
  std::optional<Again> computed_anew_;
  std::optional<UtcTime> initialized_;
  std::optional<gate::ReasonText> fault_;
  Recount recount_;
  bool jumped_ = false;  ///< the newest second was set apart as a jump of more than the claim allows
  AlertText jump_;       ///< the last one
  double left_m_ = 0;    ///< how far somebody walked away from it; 0: they did not
  mutable std::optional<Words> words_;
};

}  // namespace stillpoint::session
