// One live link serves any port: a port of the test's own is opened, read, lost and opened again.

#include <doctest/doctest.h>

#include <deque>
#include <memory>
#include <string>
#include <utility>
#include <vector>

#include "feeds/live_feed.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::daemon;
using Words = std::vector<std::string>;

constexpr const char* kSentence = "$GPGSA,A,3,,,,,,,,,,,,,1.9,1.0,1.6*3C\r\n";

/// What the port did, and what it does next.
struct Script {
  std::deque<std::string> why_not_open;  ///< empty: it opens
  std::deque<std::string> why_lost;
  Words done;
};

class ScriptedPort final : public Port {
 public:
  explicit ScriptedPort(Script& script) : script_(script) {}
  asio::awaitable<std::string> open(LiveLinkPtr) override {
    script_.done.emplace_back("open");
    co_return next(script_.why_not_open);
  }
  asio::awaitable<std::string> read(LiveLinkPtr link) override {
    script_.done.emplace_back("read");
    link->events.connected();
    link->events.bytes(kSentence);
    co_return next(script_.why_lost);
  }
  void close() override { script_.done.emplace_back("close"); }
  bool write(std::string_view bytes, const LiveLinkPtr&) override {
    script_.done.push_back("write " + std::string(bytes));
    return true;
  }

 private:
  static std::string next(std::deque<std::string>& from) {
    if (from.empty()) return {};
    std::string out = from.front();
    from.pop_front();
    return out;
  }
  Script& script_;
};

}  // namespace

TEST_CASE("a live link opens its port, reads, says why it was lost, and tries again until it is stopped") {
  const double before = std::exchange(timer_speed, 1000.0);
  asio::io_context io;
  Script script{{"not there", "", ""}, {"pulled out", "pulled out again"}, {}};
  auto link = std::make_shared<LiveLink>(io, "test port", config::Feed(), std::make_unique<ScriptedPort>(script));
  const auto feed = make_live_feed(io, "test", link);
  Words told;
  FeedEvents events;
  events.bytes = [&](std::string_view bytes, FeedTime) { told.push_back("bytes " + std::to_string(bytes.size())); };
  events.cut = [&](FeedTime) { told.emplace_back("cut"); };
  events.state = [&](session::FeedState state, const std::string& what, FeedTime) {
    told.push_back(std::string(session::to_word(state)) + " " + what);
    if (what.find("again") != std::string::npos) feed->stop();
  };
  feed->start(std::move(events));
  io.run();
  const std::string size = "bytes " + std::to_string(std::string(kSentence).size());
  CHECK(told == Words{"waiting test port: not there",
                      "waiting test port: the link is up, and nothing has come over it yet", "open test port", size,
                      "cut", "waiting test port: pulled out",
                      "waiting test port: the link is up, and nothing has come over it yet", "open test port", size,
                      "cut", "waiting test port: pulled out again"});
  const Words done(script.done.begin(), script.done.begin() + 8);
  CHECK(done == Words{"open", "close", "open", "read", "close", "open", "read", "close"});
  CHECK(feed->write("$PING"));
  CHECK(script.done.back() == "write $PING");
  timer_speed = before;
}
