#include "feeds/live_feed.hpp"

#include <boost/asio/redirect_error.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <utility>

#include "feeds/spawn.hpp"

namespace stillpoint::daemon {
namespace {

asio::awaitable<void> serve(LiveLinkPtr link) {
  while (!link->events.stopped()) {
    std::string why = co_await link->port->open(link);
    if (why.empty()) why = co_await link->port->read(link);
    link->watchdog.stop();
    link->port->close();
    if (link->events.stopped()) co_return;
    link->events.lost(why);
    co_await rest(link, scaled(link->events.backoff().next()));
  }
}

class LiveFeed final : public Feed {
 public:
  LiveFeed(asio::io_context& io, std::string kind, LiveLinkPtr link)
      : io_(io), kind_(std::move(kind)), link_(std::move(link)) {}
  ~LiveFeed() override { LiveFeed::stop(); }

  void start(FeedEvents events) override {
    link_->events.start(std::move(events));
    spawn(io_, kind_ + " feed", serve(link_));
  }
  void stop() override {
    link_->events.stop();
    link_->watchdog.stop();
    link_->pause.cancel();
    link_->port->close();
  }
  bool write(std::string_view bytes) override { return link_->port->write(bytes, link_); }
  FeedTime now() const override { return stamped(machine_now()); }
  record::JournalHead anchor() const override { return clock_anchor(); }

 private:
  asio::io_context& io_;
  std::string kind_;
  LiveLinkPtr link_;
};

}  // namespace

asio::awaitable<void> rest(LiveLinkPtr link, std::chrono::milliseconds time) {
  boost::system::error_code ignored;
  link->pause.expires_after(time);
  co_await link->pause.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
}

std::unique_ptr<Feed> make_live_feed(asio::io_context& io, std::string kind, LiveLinkPtr link) {
  return std::make_unique<LiveFeed>(io, std::move(kind), std::move(link));
}

}  // namespace stillpoint::daemon
