#include "inlet.hpp"

#include <chrono>
#include <string>
#include <utility>

#include "clients/guard.hpp"
#include "common/clock.hpp"
#include "common/sentences.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::milliseconds kSenderShown{60'000};  // like other things of the feed that come and pass

}  // namespace

Result<void> Inlet::open(boost::asio::io_context& io, const config::Settings& settings, std::function<bool()> busy) {
  auto feed = open_feeds(io, settings.feeds, std::move(busy));
  if (!feed) return tl::unexpected(feed.error());
  feed_ = std::move(*feed);
  return settings.relay.is_on() ? open_relay(io, settings.relay) : Result<void>{};
}

Result<void> Inlet::open_relay(boost::asio::io_context& io, const config::Relay& settings) {
  relay_silence_s_ = settings.silence_s;
  relay_ = std::make_unique<Relay>(io, settings, [this](std::string_view bytes) { return feed_->write(bytes); });
  return relay_->open();
}

void Inlet::start(Day& day, Bytes bytes) {
  FeedEvents events;
  events.bytes = std::move(bytes);
  events.state = [&day](session::FeedState state, const std::string& what, FeedTime at) {
    guarded("the news of the feed", [&] { day.feed(state, what, at); });
  };
  events.cut = [&day](FeedTime at) { guarded("a cut of the feed", [&] { day.cut(at); }); };
  events.sender_changed = [this, &day](const std::string& text) {
    sender_told_ = machine_now();
    guarded("news of the sender", [&] {
      day.own_alert("sender-changed", session::Severity::warning, {text, kSayBriefly.sender_changed()});
    });
  };
  events.clock = [&day](const record::Clock& clock, FeedTime at) { day.clock(clock, at); };
  feed_->start(std::move(events));
}

void Inlet::share(std::string_view bytes) {
  if (relay_) relay_->bytes(bytes);
}

void Inlet::look(Day& day) {
  if (relay_) look_at_relay(day);
  if (!sender_told_ || ms_between(*sender_told_, machine_now()) <= kSenderShown.count()) return;
  sender_told_.reset();
  day.own_alert_over("sender-changed");
}

void Inlet::look_at_relay(Day& day) const {
  const RelayCounters c = relay_->counters();
  day.count("relay_readers", c.readers);
  day.count("relay_readers_dropped", c.readers_dropped);
  day.count("relay_bytes_to_receiver", c.bytes_to_receiver);
  day.count("relay_bytes_refused", c.bytes_refused);
  if (!c.last_write) return;
  const std::int64_t silent_s = ms_between(*c.last_write, machine_now()) / 1000;
  if (static_cast<double>(silent_s) <= relay_silence_s_) return day.own_alert_over("relay-silent");
  day.own_alert(
      "relay-silent", session::Severity::warning,
      {(c.has_writer ? kSay.relay_silent : kSay.relay_gone)(std::to_string(silent_s)), kSayBriefly.relay_silent()});
}

void Inlet::stop() {
  if (relay_) relay_->stop();
  feed_->stop();
}

}  // namespace stillpoint::daemon
