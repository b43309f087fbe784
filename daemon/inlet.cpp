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
  if (auto done = open_caster(io, settings); !done) return done;
  return settings.relay.is_on() ? open_relay(io, settings.relay) : Result<void>{};
}

/// A replay has the corrections of its own day, if any.
Result<void> Inlet::open_caster(boost::asio::io_context& io, const config::Settings& settings) {
  const config::Corrections& corrections = settings.corrections;
  if (!corrections.is_on() || !settings.takes_corrections()) return {};
  caster_ = std::make_unique<CasterLink>(io, corrections);
  return {};
}

bool Inlet::to_receiver(std::string_view bytes) {
  const bool taken = feed_->write(bytes);
  if (day_ != nullptr) guarded("corrections", [&] { hear_corrections(*day_, bytes, !taken, feed_->now()); });
  return taken;
}

bool Inlet::from_program(std::string_view bytes) {
  return writer_.may_program_write(machine_now()) && to_receiver(bytes);
}

void Inlet::from_caster(std::string_view bytes) {
  writer_.caster_writes(machine_now());
  to_receiver(bytes);
}

void Inlet::start_caster() {
  CasterEvents events;
  events.bytes = [this](std::string_view bytes) { from_caster(bytes); };
  events.state = [this](const record::Delivery& delivery) {
    guarded("news of the caster", [&] { hear_delivery(*day_, delivery, feed_->now()); });
  };
  events.position = [this] { return position_.fresh(machine_now()); };
  caster_->start(std::move(events));
}

Result<void> Inlet::open_relay(boost::asio::io_context& io, const config::Relay& settings) {
  relay_silence_s_ = settings.silence_s;
  relay_ = std::make_unique<Relay>(io, settings, [this](std::string_view bytes) { return from_program(bytes); });
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
  events.corrections = [&day](std::string_view passed, bool lost, FeedTime at) {
    hear_corrections(day, passed, lost, at);
  };
  events.delivery = [&day](const record::Delivery& delivery, FeedTime at) { hear_delivery(day, delivery, at); };
  day_ = &day;
  feed_->start(std::move(events));
  if (caster_) start_caster();
}

void Inlet::share(std::string_view bytes) {
  if (relay_) relay_->bytes(bytes);
  if (caster_) position_.hear(bytes, machine_now());
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
  if (!c.last_write || session::has_corrections(day.session())) return;
  const std::int64_t silent_s = ms_between(*c.last_write, machine_now()) / 1000;
  if (static_cast<double>(silent_s) <= relay_silence_s_) return day.own_alert_over("relay-silent");
  day.own_alert(
      "relay-silent", session::Severity::warning,
      {(c.has_writer ? kSay.relay_silent : kSay.relay_gone)(std::to_string(silent_s)), kSayBriefly.relay_silent()});
}

void Inlet::stop() {
  if (caster_) caster_->stop();
  if (relay_) relay_->stop();
  feed_->stop();
}

}  // namespace stillpoint::daemon
