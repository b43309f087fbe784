#include "preflight/mounts_asked.hpp"

#include <utility>

#include "feeds/spawn.hpp"
#include "ntrip/reply.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::chrono::seconds kPatience{10};

bool is_up(const Failed& failed) noexcept {
  return failed.stop == corrections::Stop::none;
}

/// The answer until it has ended, or the caster has.
asio::awaitable<ntrip::Reply> reply_on(CasterStream& stream) {
  ntrip::Reply reply;
  std::string bytes, corrections;
  for (bool up = true; up && !reply.has_ended() && reply.outcome() != ntrip::Outcome::corrections;) {
    bytes.clear();
    const Failed failed = co_await stream.read(bytes);
    up = is_up(failed);
    reply.push(bytes, corrections);
  }
  co_return reply;
}

}  // namespace

MountsAsked::MountsAsked(asio::io_context& io, std::string host, int port, Done done)
    : io_(io), done_(std::move(done)), watchdog_(io, [this] {
        if (stream_) stream_->close();
      }) {
  settings_.host = std::move(host);
  settings_.port = static_cast<std::uint16_t>(port);
  settings_.tls = false;
}

void MountsAsked::start() {
  spawn(io_, "mounts", ask(shared_from_this()));
}

void MountsAsked::stop() {
  done_ = nullptr;
  watchdog_.stop();
  if (stream_) stream_->close();
}

/// A caster of the first version may not understand the second.
asio::awaitable<void> MountsAsked::ask(std::shared_ptr<MountsAsked> self) {
  auto table = co_await self->table_in(ntrip::Version::v2);
  if (!table && self->done_) table = co_await self->table_in(ntrip::Version::v1);
  const Done done = std::exchange(self->done_, nullptr);
  if (done) done(std::move(table));
}

asio::awaitable<std::optional<ntrip::SourceTable>> MountsAsked::table_in(ntrip::Version version) {
  stream_ = std::make_unique<CasterStream>(io_, settings_);
  watchdog_.expect_within(kPatience, shared_from_this());
  const ntrip::Request request{version, settings_.host, settings_.port, ""};
  std::string text = ntrip::text_of(request);
  Failed failed = co_await stream_->connect();
  if (is_up(failed)) failed = co_await stream_->write(std::move(text));
  std::optional<ntrip::SourceTable> out;
  if (is_up(failed)) {
    const ntrip::Reply reply = co_await reply_on(*stream_);
    if (reply.outcome() == ntrip::Outcome::table) out = ntrip::source_table_of(reply.table());
  }
  watchdog_.stop();
  stream_->close();
  co_return out;
}

}  // namespace stillpoint::daemon
