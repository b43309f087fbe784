#pragma once
/// The alerts of the day: each raised once and cleared once per occurrence, with its own delays.
///
/// The third time within a minute that one kind comes, it is taken for coming and going: one row stands for all of
/// them, counts on, and is cleared only when the cause has been gone for a minute.
///
/// Time:    conditions are reported with the caller's steady time; delays count in it. `next_look_ms` tells when a
///          condition or a delay can next change anything by time alone.
/// Threads: one board, one thread. Errors: none.

#include <algorithm>
#include <cstdint>
#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "session/alerts.hpp"
#include "session/status.hpp"

namespace stillpoint::session {

/// Active ones first, for what is over never stands above what is so; then the most severe, then the newest.
void sort_to_show(std::vector<Alert>& alerts);

class AlertBoard {
 public:
  /// Makes the words of an alert; a reference to something that lives as long as the call.
  class Text {
   public:
    template <class Make>
    Text(const Make& make)  // NOLINT(google-explicit-constructor): a lambda is passed as it stands
        : make_(&make), call_([](const void* made) { return (*static_cast<const Make*>(made))(); }) {}
    AlertText operator()() const { return call_(make_); }

   private:
    const void* make_;
    AlertText (*call_)(const void*);
  };

  /// `rules`, by kind, must outlive the board.
  explicit AlertBoard(std::span<const AlertRule> rules = kAlertRules) : rules_(rules), kept_(rules.size()) {}

  /// Begins a look at every condition. The reports that follow also tell when the next look is due. `stream_ms`: the
  /// receiver's time of day, which is told of alerts that have no date.
  void begin_look(std::optional<std::int64_t> stream_ms = {}) noexcept {
    next_look_ms_ = kNotByTime;
    stream_ms_ = stream_ms;
  }
  /// Reports whether the condition of `kind` holds now; `text` is asked for only when the alert is raised.
  void report(AlertKind kind, Condition condition, const Moment& moment, const Text& text) {
    expect(condition.may_change_ms);
    const Kept& kept = kept_[static_cast<std::size_t>(kind)];
    if (condition.holds || kept.held || kept.active) note(kind, condition.holds, moment, text);
  }
  /// The state of `kind` cannot be known now: an alert that was raised stays, and none is raised or counted.
  void stand(AlertKind kind) noexcept;
  /// The next look is due at this time or earlier.
  void expect(std::int64_t at_ms) noexcept { next_look_ms_ = std::min(next_look_ms_, at_ms); }
  /// Before this time another look can change nothing, unless something is heard or a command comes.
  std::int64_t next_look_ms() const noexcept { return next_look_ms_; }

  /// Marks as seen; an empty key means every alert, an `id` only that occurrence. Returns how many were not seen
  /// before.
  int seen(std::string_view key, std::optional<std::uint64_t> id = {});

  /// The condition holds for another reason now: the text of the active alert, raised once, is replaced.
  void reword(AlertKind kind, const std::string& text);

  bool is_active(AlertKind kind) const noexcept { return kept_[static_cast<std::size_t>(kind)].active; }
  const std::vector<Alert>& all() const noexcept { return alerts_; }
  /// Active ones and those gone but not seen, in the order of `sort_to_show`.
  std::vector<Alert> showing() const;

  /// The unseen stop-work alerts that are due to be told again: 15 s apart four times, then once a minute.
  std::vector<Alert> take_repeats(SteadyTime now);

  /// Something was raised or cleared since it was last taken.
  bool has_news() const noexcept { return !raised_.empty() || !cleared_.empty(); }
  /// What was raised or cleared since the last call.
  std::vector<Alert> take_raised();
  std::vector<Alert> take_cleared();

 private:
  /// What is known of one kind.
  struct Kept {
    std::optional<SteadyTime> holds_since, gone_since;
    std::size_t alert = 0;  ///< index in `alerts_`, while active
    bool active = false;
    bool held = false;                  ///< at the last report
    bool comes_and_goes = false;        ///< one row stands for many times
    std::vector<SteadyTime> raised_at;  ///< within the last minute
    std::optional<SteadyTime> told;     ///< raised or repeated last
  };
  void note(AlertKind kind, bool holds, const Moment& moment, const Text& text);
  void note_held(AlertKind kind, bool came, const Moment& moment, const Text& text);
  void raise(AlertKind kind, const Moment& moment, const Text& text);
  void clear(Kept& kept, std::optional<UtcTime> utc);
  const AlertRule& rule(AlertKind kind) const noexcept { return rules_[static_cast<std::size_t>(kind)]; }

  std::span<const AlertRule> rules_;
  std::vector<Kept> kept_;  ///< by kind
  int active_ = 0;          ///< how many kinds are
  std::int64_t next_look_ms_ = std::numeric_limits<std::int64_t>::min();
  std::optional<std::int64_t> stream_ms_;
  std::vector<Alert> alerts_, raised_, cleared_;
};

}  // namespace stillpoint::session
