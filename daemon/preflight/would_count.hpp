#pragma once
/// Judges the epochs of a stream as the daemon would, and counts how many would count.
///
/// What a pole on its way or corrections that have just come do to a second is not held against the stream: it is about
/// what the receiver gives. The frame is not asked, for that needs no stream (`stillpointd --check`).
///
/// Time:    epochs in the order received. Threads: one. Errors: none.

#include <cstdint>
#include <map>
#include <ostream>
#include <string>

#include "config/settings.hpp"
#include "corrections/monitor.hpp"
#include "epoch/repetition.hpp"
#include "gate/judge.hpp"

namespace stillpoint::daemon {

class WouldCount {
 public:
  /// `settings` must outlive it.
  explicit WouldCount(const config::Settings& settings);

  /// Every sentence's body, before the epoch that it completes.
  void hear(std::string_view body) noexcept { repetition_.hear(body); }
  void take(const epoch::Epoch& epoch, const gate::Match& match);

  std::uint64_t good() const noexcept { return good_; }
  /// How many, and for every reason that spoke against the others how often and in which words last.
  void tell(std::ostream& out) const;

 private:
  struct Against {
    std::uint64_t epochs = 0;
    std::string text;
  };
  const config::Settings& settings_;
  corrections::Monitor monitor_;
  epoch::Repetition repetition_;
  gate::Judge judge_;
  std::uint64_t epochs_ = 0, good_ = 0;
  std::map<gate::Reason, Against> against_;
};

}  // namespace stillpoint::daemon
