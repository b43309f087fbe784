#pragma once
/// What the daemon shows of the trainee's day: stays that opened and closed, points, alerts.
///
/// Time:    stream time; one look waits at most the link's own limit.
/// Threads: one. Errors: the client's sentences.

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "client/link.hpp"
#include "simulate/debrief.hpp"

namespace stillpoint::rehearse {

class Observer {
 public:
  static Result<Observer> open(const std::string& control);

  /// Looks once: notes an occupation that is open.
  Result<void> look();
  /// Looks until the daemon has taken `bytes` and closed their last epoch, or says that it did not.
  Result<void> wait_for(std::uint64_t bytes, UtcTime last_epoch);
  /// Looks until the daemon knows that a base says it stands there.
  Result<void> wait_for_base(const std::array<double, 3>& ecef_m);
  /// True when the daemon says that this is training.
  bool is_training() const noexcept { return training_; }
  /// Everything, at the end.
  Result<simulate::DayOut> day();

 private:
  struct Seen {
    std::string name;
    int visit = 1;
    UtcTime since, last;
  };
  explicit Observer(client::Link link) : link_(std::move(link)) {}
  void note(const client::Json& status);
  void note_check(const client::Json& check);
  simulate::Stay stay_of(const client::Json& point) const;

  client::Link link_;
  std::vector<Seen> seen_;
  std::vector<simulate::Stay> checks_;
  bool training_ = false;
  std::uint64_t bytes_ = 0;
  std::optional<UtcTime> epoch_;
  std::optional<double> base_x_m_;
};

}  // namespace stillpoint::rehearse
