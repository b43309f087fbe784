#pragma once
/// The alerts of the day: each raised once and cleared once per occurrence, with its own delays.
///
/// The third time within a minute that one kind comes, it is taken for coming and going: one row stands for all of
/// them, counts on, and is cleared only when the cause has been gone for a minute.
///
/// Time:    conditions are reported with the caller's steady time; delays count in it.
/// Threads: one board, one thread. Errors: none.

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "session/status.hpp"

namespace stillpoint::session {

/// How one kind of alert behaves.
struct AlertRule {
  std::string_view key;
  Severity severity = Severity::notice;
  std::int64_t on_ms = 0;   ///< the condition must hold this long
  std::int64_t off_ms = 0;  ///< and be gone this long
  bool latched = false;     ///< stays until somebody has seen it
};

class AlertBoard {
 public:
  /// Makes the sentence of an alert; a reference to something that lives as long as the call.
  class Text {
   public:
    template <class Make>
    Text(const Make& make)  // NOLINT(google-explicit-constructor): a lambda is passed as it stands
        : make_(&make), call_([](const void* made) { return (*static_cast<const Make*>(made))(); }) {}
    std::string operator()() const { return call_(make_); }

   private:
    const void* make_;
    std::string (*call_)(const void*);
  };

  /// Reports whether the condition of `rule` holds now; `text` is asked for only when the alert is raised.
  void report(const AlertRule& rule, bool holds, SteadyTime now, std::optional<UtcTime> utc, const Text& text) {
    Condition& c = condition(rule.key);
    if (holds || c.held || c.active) note(c, rule, holds, now, utc, text);
  }
  /// Nothing can be said about `rule` now: what was told stands, and nothing new is told or counted.
  void stand(const AlertRule& rule);
  /// Marks as seen; an empty key means every alert, an `id` only that occurrence. Returns how many were not seen
  /// before.
  int seen(std::string_view key, std::optional<std::uint64_t> id = {});

  /// The condition holds for another reason now: the text of the active alert, raised once, is replaced.
  void reword(std::string_view key, const std::string& text);

  /// Whether any condition was reported since `forget_reports` that holds, held before, or is still told of.
  bool had_reports() const noexcept { return had_reports_; }
  void forget_reports() noexcept { had_reports_ = false; }

  bool is_active(std::string_view key) const noexcept;
  const std::vector<Alert>& all() const noexcept { return alerts_; }
  /// Active ones and those gone but not seen; most severe first, then newest first.
  std::vector<Alert> showing() const;

  /// The unseen stop-work alerts that are due to be told again: 15 s apart four times, then once a minute.
  std::vector<Alert> take_repeats(SteadyTime now);

  /// Something was raised or cleared since it was last taken.
  bool has_news() const noexcept { return !raised_.empty() || !cleared_.empty(); }
  /// What was raised or cleared since the last call.
  std::vector<Alert> take_raised();
  std::vector<Alert> take_cleared();

 private:
  struct Condition {
    std::string_view key;
    std::optional<SteadyTime> holds_since, gone_since;
    std::size_t alert = 0;  ///< index in `alerts_`, while active
    bool active = false;
    bool held = false;                  ///< at the last report
    bool comes_and_goes = false;        ///< one row stands for many times
    std::vector<SteadyTime> raised_at;  ///< within the last minute
    std::optional<SteadyTime> told;     ///< raised or repeated last
  };
  void raise(Condition& condition, const AlertRule& rule, SteadyTime now, std::optional<UtcTime> utc, const Text& text);
  void note(Condition& condition, const AlertRule& rule, bool holds, SteadyTime now, std::optional<UtcTime> utc,
            const Text& text);
  /// The conditions are reported in the same order at every tick, so the one behind the last is looked at first; and
  /// keys are constants, so the same one nearly always has the same address.
  Condition& condition(std::string_view key) {
    last_ = last_ + 1 < conditions_.size() ? last_ + 1 : 0;
    if (last_ < conditions_.size()) {
      Condition& next = conditions_[last_];
      if (next.key.data() == key.data() && next.key.size() == key.size()) return next;
    }
    return find(key);
  }
  Condition& find(std::string_view key);
  std::vector<Condition> conditions_;
  std::size_t last_ = 0;  ///< the condition asked for last
  bool had_reports_ = false;
  std::vector<Alert> alerts_, raised_, cleared_;
};

}  // namespace stillpoint::session
