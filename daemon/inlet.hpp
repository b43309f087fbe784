#pragma once
/// Where the receiver's bytes come in, and corrections go out to it: the feeds, with the relay that shares their link and
/// the caster that the daemon asks itself. What goes out is recorded and judged whoever brings it.
///
/// Alerts:  `sender-changed` for a minute, `relay-silent` while the program that writes over the relay has fallen silent:
///          that is told apart from a receiver that did. Where frames have come the session tells that itself.
/// Time:    the feed's, see `now`. Threads: the I/O thread. Errors: one sentence for what cannot be had.

#include <functional>
#include <memory>
#include <optional>

#include "clients/relay.hpp"
#include "common/times.hpp"
#include "day/day.hpp"
#include "feeds/caster_link.hpp"
#include "feeds/feed.hpp"
#include "feeds/latest_position.hpp"
#include "feeds/receiver_writer.hpp"

namespace stillpoint::daemon {

class Inlet {
 public:
  using Bytes = std::function<void(std::string_view bytes, FeedTime arrived)>;

  /// `busy`: a stay is open.
  Result<void> open(boost::asio::io_context& io, const config::Settings& settings, std::function<bool()> busy);
  /// Everything but bytes goes to the day, which must outlive the inlet.
  void start(Day& day, Bytes bytes);
  /// Bytes from the receiver, to the programs on the relay.
  void share(std::string_view bytes);
  /// At every tick.
  void look(Day& day);
  void stop();

  FeedTime now() const { return feed_->now(); }
  record::JournalHead anchor() const { return feed_->anchor(); }

 private:
  Result<void> open_caster(boost::asio::io_context& io, const config::Settings& settings);
  void start_caster();
  /// On to the receiver; false: its link does not take them.
  bool to_receiver(std::string_view bytes);
  bool from_program(std::string_view bytes);
  void from_caster(std::string_view bytes);
  Result<void> open_relay(boost::asio::io_context& io, const config::Relay& settings);
  void look_at_relay(Day& day) const;

  std::unique_ptr<Feed> feed_;
  std::unique_ptr<Relay> relay_;
  std::unique_ptr<CasterLink> caster_;
  ReceiverWriter writer_;
  LatestPosition position_;
  Day* day_ = nullptr;  ///< once it has begun
  double relay_silence_s_ = 0;
  std::optional<MachineTime> sender_told_;
};

}  // namespace stillpoint::daemon
