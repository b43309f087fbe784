#include "preflight/hearing.hpp"

#include <algorithm>
#include <utility>

#include "feeds/serial_port.hpp"
#include "setup/typed.hpp"

namespace stillpoint::daemon {
namespace {

constexpr double kOneRate_s = 2.5;  // a receiver prints once a second

config::Feed feed_of(const setup::Link& link) {
  config::Feed out;
  out.kind = link.is_serial() ? config::FeedKind::serial : config::FeedKind::tcp;
  out.device = link.device;
  if (link.baud > 0) out.baud = link.baud;
  out.host = link.host;
  out.port = static_cast<std::uint16_t>(link.port);
  return out;
}

}  // namespace

Hearing::Hearing(asio::io_context& io, setup::Link link, double seconds, Done done)
    : io_(io), link_(std::move(link)), seconds_(seconds), done_(std::move(done)), timer_(io) {
  if (link_.is_serial() && link_.baud == 0) rates_.assign(setup::kUsualBauds.begin(), setup::kUsualBauds.end());
  if (!rates_.empty()) link_.baud = rates_.front();
  listen();
}

Hearing::~Hearing() {
  stop();
}

void Hearing::listen() {
  listening_ = {};
  is_waiting_ = false;
  auto feed = open_feed(io_, feed_of(link_));
  if (!feed) {
    last_word_ = feed.error().text;
    is_waiting_ = true;
    return wait(0, &Hearing::finish);
  }
  feed_ = *std::move(feed);
  FeedEvents events;
  events.bytes = [this](std::string_view bytes, FeedTime arrived) { listening_.push(bytes, arrived); };
  events.state = [this](session::FeedState state, const std::string& what, FeedTime) {
    last_word_ = what;
    is_waiting_ = state == session::FeedState::waiting;
  };
  events.cut = [](FeedTime) {};
  feed_->start(std::move(events));
  wait(std::min(kOneRate_s, seconds_), &Hearing::first_look);
}

void Hearing::wait(double seconds, void (Hearing::*then)()) {
  timer_.expires_after(std::chrono::milliseconds(static_cast<std::int64_t>(seconds * 1000.0)));
  timer_.async_wait([this, then](const boost::system::error_code& error) {
    if (!error) (this->*then)();
  });
}

void Hearing::first_look() {
  const setup::Heard& heard = listening_.heard();
  if (heard.bytes == 0 && is_waiting_) return finish();  // the link is not there: no rate changes that
  const bool is_readable = heard.sentences > 0 || heard.without_checksum > 0;
  if (!is_readable && rates_.size() > 1) return next_rate();
  wait(std::max(0.0, seconds_ - kOneRate_s), &Hearing::finish);
}

void Hearing::next_rate() {
  feed_->stop();
  feed_.reset();
  rates_.erase(rates_.begin());
  link_.baud = rates_.front();
  listen();
}

void Hearing::finish() {
  stop();
  listening_.finish();
  const setup::Heard heard = listening_.heard();
  const bool is_found = heard.sentences > 0 || heard.without_checksum > 0;
  if (!rates_.empty() && !is_found) link_.baud = 0;
  const Done done = std::exchange(done_, nullptr);
  if (heard.bytes == 0 && is_waiting_) return done(fail(last_word_ + '.'), link_);
  done(heard, link_);
}

void Hearing::stop() {
  timer_.cancel();
  if (feed_) feed_->stop();
  feed_.reset();
}

std::vector<std::string> serial_devices() {
  std::vector<std::string> out;
  const auto ports = list_serial_ports();
  if (!ports) return out;
  for (const PortInfo& port : *ports) out.push_back(port.name);
  return out;
}

}  // namespace stillpoint::daemon
