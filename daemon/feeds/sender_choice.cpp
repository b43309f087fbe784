#include "feeds/sender_choice.hpp"

namespace stillpoint::daemon {

SenderChoice::Verdict SenderChoice::hear(const std::string& sender, MachineTime now) {
  news_.clear();
  if (sender_.empty()) sender_ = sender;
  if (sender == sender_) {
    heard_ = now;
    // A sender that was started anew may have another port for a moment; only one that goes on is a second one.
    const bool both = !other_.empty() && now.ms - other_heard_.ms <= silence_ms_;
    if (both)
      news_ =
          "two senders at once: " + sender_ + " is used, " + other_ + " is left out; stop one, or name one with from";
    if (!both) other_.clear();
    return Verdict::taken;
  }
  if (now.ms - heard_.ms <= silence_ms_) {
    other_ = sender;
    other_heard_ = now;
    return Verdict::left_out;
  }
  news_ = "the bytes come from " + sender + " now, before from " + sender_ + ": is it the same receiver?";
  sender_ = sender;
  heard_ = now;
  other_.clear();
  return Verdict::taken_over;
}

}  // namespace stillpoint::daemon
