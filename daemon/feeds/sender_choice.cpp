#include "feeds/sender_choice.hpp"

#include "feeds/sentences.hpp"

namespace stillpoint::daemon {

SenderChoice::Verdict SenderChoice::hear(const std::string& sender, MachineTime now) {
  news_.clear();
  if (sender_.empty()) sender_ = sender;
  if (sender == sender_) {
    heard_ = now;
    // A sender that was started anew may have another port for a moment; only one that goes on is a second one.
    const bool both = !other_.empty() && now.ms - other_heard_.ms <= silence_ms_;
    if (both) news_ = kSayOfFeeds.two_senders(sender_, other_);
    if (!both) other_.clear();
    return Verdict::taken;
  }
  if (now.ms - heard_.ms <= silence_ms_) {
    other_ = sender;
    other_heard_ = now;
    return Verdict::left_out;
  }
  news_ = kSayOfFeeds.other_sender(sender, sender_);
  sender_ = sender;
  heard_ = now;
  other_.clear();
  return Verdict::taken_over;
}

}  // namespace stillpoint::daemon
