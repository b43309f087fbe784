#pragma once
/// The way of the receiver's bytes to judged epochs: framed, decoded, joined, matched, aged, judged. Not for other
/// rooms.
///
/// Time:    arrival times and ticks are handed in and never go backwards.
/// Threads: the session's.
/// Errors:  bad bytes are counted; an epoch that does not count carries every reason.

#include <array>
#include <string>
#include <string_view>

#include "corrections/monitor.hpp"
#include "epoch/assembler.hpp"
#include "epoch/fingerprint.hpp"
#include "epoch/repetition.hpp"
#include "epoch/time_watch.hpp"
#include "gate/judge.hpp"
#include "nmea/framer.hpp"
#include "session/basis.hpp"

namespace stillpoint::session {

class Stream {
 public:
  /// `basis` must outlive the stream.
  explicit Stream(const Basis& basis);
  Stream(const Stream&) = delete;
  Stream& operator=(const Stream&) = delete;

  /// Hands every sentence among the bytes to `take(sentence, decoded)`.
  template <class Take>
  void push(std::string_view bytes, const Take& take) {
    framer_.push(bytes,
                 [this, &take](const nmea::Sentence& sentence) { take(sentence, decoder_.decode(sentence.body)); });
  }
  /// Reads a sentence; the epoch that it closes, or null.
  const gate::Judged* read(std::string_view body, const nmea::Decoded& decoded, SteadyTime arrived);
  /// Time passed; the epoch of a burst that has gone idle, or null.
  const gate::Judged* tick(SteadyTime now) {
    const epoch::Epoch* closed = assembler_.tick(now);
    return closed != nullptr ? &judge(*closed) : nullptr;
  }
  /// Ends the stretch, because nothing more comes or what comes is not joined to it. Returns the epoch that was open,
  /// or null. Call `drop_sentence` afterwards.
  const gate::Judged* end();
  /// Drops a sentence that has come only in part.
  void drop_sentence() { framer_.finish(); }
  /// What comes next is a new stretch; of the same link, where only nobody listened meanwhile.
  void cut(bool same_link) noexcept;

  /// What `read`, `tick` or `end` returned is the newest epoch from now on.
  void make_newest(const gate::Judged& judged) noexcept { last_ = &judged; }
  /// The newest epoch; null: none has come.
  const gate::Judged* last() const noexcept { return last_; }
  /// The epoch judged last lies behind a gap, or is the first.
  bool is_after_gap() const noexcept { return monitor_.after_gap(); }
  /// The state of the corrections at `now`, when no epoch has come since the newest one.
  corrections::Freshness freshness(SteadyTime now) const noexcept { return monitor_.at(now); }
  std::optional<UtcTime> utc() const noexcept { return last_ != nullptr ? last_->epoch.utc : std::nullopt; }
  /// A frame with corrections reached the receiver.
  void hear_frame(SteadyTime arrived) noexcept { monitor_.hear_frame(arrived); }
  /// What the receiver says otherwise than it used to, with the newest epoch; empty: nothing.
  std::string changed_settings() { return habits_.epoch(last_->epoch); }
  /// Arrival times are those of a clock; `said`: what it says of UTC, if that is to judge dates.
  void set_clock(SteadyTime at, std::optional<UtcTime> said) noexcept;
  /// How dates are taken since the newest epoch, if otherwise than before.
  std::optional<epoch::TimeWatch::Dating> dating_news() noexcept { return times_.take_news(); }
  Summary summary() const;

 private:
  const gate::Judged& judge(const epoch::Epoch& epoch);
  /// Why the source's frame is not right where the epoch is; empty: it is.
  std::string frame_fault(std::optional<std::size_t> source, const epoch::Epoch& epoch) const;

  const Basis* basis_;
  nmea::Framer framer_;
  nmea::Decoder decoder_;
  epoch::Fingerprint habits_;
  epoch::Repetition repetition_;
  epoch::TimeWatch times_;
  epoch::Assembler assembler_;
  gate::Matcher matcher_;
  corrections::Monitor monitor_;
  gate::Judge judge_;
  std::array<gate::Judged, 2> judged_;  ///< the newest epoch and the one before, in turn
  const gate::Judged* last_ = nullptr;
  std::uint64_t epochs_ = 0, accepted_ = 0, refused_ = 0;
};

}  // namespace stillpoint::session
