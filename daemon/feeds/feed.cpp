#include "feeds/feed.hpp"

#include "feeds/sentences.hpp"

namespace stillpoint::daemon {

Result<std::unique_ptr<Feed>> open_feed(asio::io_context& io, const config::Feed& settings,
                                        const FeedOptions& options) {
  switch (settings.kind) {
    case config::FeedKind::replay:
      return open_replay_feed(io, settings, options);
    case config::FeedKind::tcp:
      return make_tcp_feed(io, settings);
    case config::FeedKind::udp:
      return make_udp_feed(io, settings);
    case config::FeedKind::serial:
      return make_serial_feed(io, settings);
  }
  return fail(kSayOfFeeds.unknown_kind());
}

}  // namespace stillpoint::daemon
