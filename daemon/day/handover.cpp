#include "day/handover.hpp"

#include <utility>

namespace stillpoint::daemon {

Handover::Handover(Sync sync, std::function<MachineTime()> now) : sync_(std::move(sync)), now_(std::move(now)) {}

void Handover::when_synced(Give give) {
  const std::uint64_t number = ++handed_;
  held_.push_back({number, now_(), std::move(give)});
  sync_([this, number] { give_to(number); });
}

void Handover::in_order(Give give) {
  if (held_.empty()) return give();
  held_.push_back({handed_, now_(), std::move(give)});
}

void Handover::look(std::chrono::milliseconds patience) {
  if (!held_.empty() && ms_between(held_.front().since, now_()) > patience.count()) give_all();
}

void Handover::give_to(std::uint64_t number) {
  while (!held_.empty() && held_.front().number <= number) {
    const Held next = std::move(held_.front());
    held_.pop_front();
    next.give();
  }
}

}  // namespace stillpoint::daemon
