/// Several live feeds as one. All are kept open, so that it is known which of them are well; only the bytes of the one
/// in use go on. A change is a cut: what follows is another receiver's, and an open stay ends as held.

#include <spdlog/spdlog.h>

#include <boost/asio/steady_timer.hpp>
#include <utility>
#include <vector>

#include "feeds/feed_choice.hpp"
#include "feeds/live_link.hpp"
#include "feeds/sentences.hpp"

namespace stillpoint::daemon {
namespace {

using session::FeedState;

constexpr std::chrono::milliseconds kLook{100};

class FeedSet final : public Feed {
 public:
  FeedSet(asio::io_context& io, const std::vector<config::Feed>& settings, std::vector<std::unique_ptr<Feed>> feeds,
          std::function<bool()> busy)
      : timer_(io),
        busy_(std::move(busy)),
        choice_(silences_of(settings), stamped(machine_now()), scaled_ms(FeedChoice::kBackAfterMs)) {
    for (auto& feed : feeds) members_.push_back({std::move(feed), {}, {}, kSayOfFeeds.nothing_came()});
  }
  ~FeedSet() override { stop(); }

  void start(FeedEvents events) override {
    events_ = std::move(events);
    for (std::size_t i = 0; i < members_.size(); ++i) start(i);
    look();
  }

  void stop() override {
    stopped_ = true;
    timer_.cancel();
    for (Member& member : members_) member.feed->stop();
  }

  bool write(std::string_view bytes) override { return in_use().feed->write(bytes); }
  FeedTime now() const override { return stamped(machine_now()); }
  record::JournalHead anchor() const override { return clock_anchor(); }

 private:
  struct Member {
    std::unique_ptr<Feed> feed;
    nmea::Framer framer;
    std::string name;  ///< as it calls itself while it is open
    std::string why;   ///< what was last said against it
  };

  static std::int64_t scaled_ms(std::int64_t ms) { return scaled(std::chrono::milliseconds(ms)).count(); }
  static std::vector<std::int64_t> silences_of(const std::vector<config::Feed>& settings) {
    std::vector<std::int64_t> out;
    for (const config::Feed& feed : settings)
      out.push_back(scaled_ms(static_cast<std::int64_t>(feed.silence_s * 1000)));
    return out;
  }
  Member& in_use() { return members_[choice_.active()]; }

  void start(std::size_t i) {
    FeedEvents events;
    events.bytes = [this, i](std::string_view bytes, FeedTime arrived) { on_bytes(i, bytes, arrived); };
    events.state = [this, i](FeedState state, const std::string& what, FeedTime at) { on_state(i, state, what, at); };
    events.cut = [this, i](FeedTime at) {
      members_[i].framer.finish();
      if (i == choice_.active()) events_.cut(at);
    };
    events.sender_changed = [this, i](const std::string& text) {
      if (i == choice_.active() && events_.sender_changed) events_.sender_changed(text);
    };
    members_[i].feed->start(std::move(events));
  }

  void on_bytes(std::size_t i, std::string_view bytes, FeedTime arrived) {
    bool sentence = false;
    members_[i].framer.push(bytes, [&sentence](const nmea::Sentence&) { sentence = true; });
    if (sentence) choice_.heard(i, arrived);
    if (i == choice_.active()) events_.bytes(bytes, arrived);
  }

  void on_state(std::size_t i, FeedState state, const std::string& what, FeedTime at) {
    Member& member = members_[i];
    if (state == FeedState::open) {
      member.name = what;
      member.why = kSayOfFeeds.is_silent(what);
    } else {
      member.why = what;
      choice_.lost(i);
    }
    if (i == choice_.active()) events_.state(state, what, at);
  }

  void look() {
    timer_.expires_after(scaled(kLook));
    timer_.async_wait([this](const boost::system::error_code& error) {
      if (error || stopped_) return;
      consider();
      look();
    });
  }

  void consider() {
    const FeedTime at = stamped(machine_now());
    const std::size_t before = choice_.active();
    const auto next = choice_.change(at, busy_());
    if (!next) return;
    const std::string why = *next < before ? kSayOfFeeds.well_again() : kSayOfFeeds.in_place_of(members_[before].why);
    const std::string what =
        kSayOfFeeds.changes_to(members_[*next].name, std::to_string(*next + 1), std::to_string(members_.size()), why);
    spdlog::warn("feed changes to {}", what);
    events_.cut(at);
    events_.state(FeedState::open, what, at);
  }

  asio::steady_timer timer_;
  std::function<bool()> busy_;
  FeedChoice choice_;
  std::vector<Member> members_;
  FeedEvents events_;
  bool stopped_ = false;
};

}  // namespace

Result<std::unique_ptr<Feed>> open_feeds(asio::io_context& io, const std::vector<config::Feed>& settings,
                                         std::function<bool()> busy) {
  std::vector<config::Feed> live;
  for (const config::Feed& feed : settings) {
    if (feed.kind != config::FeedKind::replay) live.push_back(feed);
  }
  const bool replays = settings.front().kind == config::FeedKind::replay;
  if (live.size() < settings.size() && settings.size() > 1) {
    spdlog::warn("a replay stands alone: {} left out", replays ? "the other feeds are" : "it is");
  }
  if (replays || live.size() == 1) return open_feed(io, replays ? settings.front() : live.front());
  std::vector<std::unique_ptr<Feed>> feeds;
  for (const config::Feed& one : live) {
    auto feed = open_feed(io, one);
    if (!feed) return feed;
    feeds.push_back(std::move(*feed));
  }
  return std::make_unique<FeedSet>(io, live, std::move(feeds), std::move(busy));
}

}  // namespace stillpoint::daemon
