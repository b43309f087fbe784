#include "feeds/caster_link.hpp"

#include <spdlog/spdlog.h>

#include <boost/asio/redirect_error.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/use_awaitable.hpp>
#include <optional>
#include <random>
#include <utility>

#include "base/utf8.hpp"
#include "corrections/delivery.hpp"
#include "feeds/caster_stream.hpp"
#include "feeds/live_link.hpp"
#include "feeds/login_file.hpp"
#include "feeds/sentences.hpp"
#include "feeds/spawn.hpp"
#include "ntrip/reply.hpp"
#include "ntrip/request.hpp"
#include "ntrip/retry.hpp"

namespace stillpoint::daemon {
namespace {

using boost::system::error_code;
using corrections::LinkState;
using corrections::Stop;
using ntrip::Version;

constexpr std::chrono::milliseconds kConnectTime{5'000}, kProofTime{10'000}, kReplyTime{10'000}, kSilence{30'000};
constexpr std::chrono::milliseconds kPositionEvery{5'000}, kPositionLook{1'000};

Stop stop_of(ntrip::Outcome outcome) noexcept {
  switch (outcome) {
    case ntrip::Outcome::login_refused:
      return Stop::login_refused;
    case ntrip::Outcome::mount_unknown:
    case ntrip::Outcome::table:
      return Stop::mount_unknown;
    case ntrip::Outcome::caster_error:
      return Stop::caster_error;
    case ntrip::Outcome::no_caster:
      return Stop::no_caster;
    case ntrip::Outcome::damaged:
      return Stop::damaged;
    case ntrip::Outcome::waiting:
    case ntrip::Outcome::corrections:
      break;
  }
  return Stop::closed;
}

}  // namespace

struct CasterLink::State {
  State(asio::io_context& given_io, config::Corrections given)
      : io(given_io),
        settings(std::move(given)),
        stream(std::make_shared<CasterStream>(io, settings)),
        pause(io),
        position(io),
        watchdog(io, [this] { stream->close(); }),
        version(settings.version == config::CasterVersion::first ? Version::v1 : Version::v2) {}

  void tell(LinkState state, const Failed& why);
  void ended(const Failed& why);
  double chance() { return std::uniform_real_distribution<double>(0, 1)(random); }

  asio::io_context& io;
  const config::Corrections settings;
  CasterEvents events;
  std::shared_ptr<CasterStream> stream;  ///< of this connection
  asio::steady_timer pause, position;
  Watchdog watchdog;  ///< closes the stream when what is waited for takes too long
  Version version;
  ntrip::Retry retry;
  std::mt19937 random{std::random_device{}()};
  std::optional<record::Delivery> told;
  bool has_answered = false;  ///< on this connection, with corrections
  bool sends = false;         ///< a position is on its way
  bool stopped = false;
};

using StatePtr = std::shared_ptr<CasterLink::State>;

void CasterLink::State::tell(LinkState state, const Failed& why) {
  record::Delivery now{std::string(to_word(state)), std::string(to_word(why.stop)),
                       shown(why.detail, corrections::kLongestDetail)};
  if (stopped || told == now) return;
  told = now;
  if (why.stop == Stop::none) spdlog::info("caster {}: {}", settings.host, now.state);
  if (why.stop != Stop::none) spdlog::warn("caster {}: {}", settings.host, corrections::why_text(why.stop, why.detail));
  events.state(now);
}

/// Where either version will do, an answer that leaves open which one was understood is followed by the other.
void CasterLink::State::ended(const Failed& why) {
  tell(LinkState::stopped, why);
  const bool unclear = why.stop == Stop::no_caster || why.stop == Stop::caster_error || why.stop == Stop::closed ||
                       why.stop == Stop::reset || why.stop == Stop::caster_silent;
  if (settings.version != config::CasterVersion::either || has_answered || !unclear) return;
  version = version == Version::v2 ? Version::v1 : Version::v2;
}

namespace {

/// The request, or why there can be none.
Result<std::string> request_of(const CasterLink::State& s) {
  ntrip::Request request{s.version, s.settings.host, s.settings.port, s.settings.mount};
  if (!s.settings.credentials.empty()) {
    auto login = read_login(s.settings.credentials);
    if (!login) return tl::unexpected(login.error());
    request.login = std::move(*login);
  }
  if (s.settings.send_position) request.gga = s.events.position();
  if (std::string fault = ntrip::request_fault(request); !fault.empty()) return fail(std::move(fault));
  return ntrip::text_of(request);
}

/// A write that fails shows in the read as well, which then says why.
asio::awaitable<void> send_position(StatePtr s, std::string sentence) {
  const auto stream = s->stream;
  s->sends = true;
  co_await stream->write(sentence + "\r\n");
  if (s->stream == stream) s->sends = false;
}

/// At once as soon as there is one, then every five seconds.
void keep_position_sent(const StatePtr& s, std::chrono::milliseconds wait) {
  if (!s->settings.send_position) return;
  s->position.expires_after(scaled(wait));
  s->position.async_wait([s](const error_code& error) {
    if (error || s->stopped || !s->has_answered) return;
    std::string sentence = s->events.position();
    const bool sent = !sentence.empty() && !s->sends;
    if (sent) spawn(s->io, "position", send_position(s, std::move(sentence)));
    keep_position_sent(s, sent ? kPositionEvery : kPositionLook);
  });
}

asio::awaitable<Failed> reach(StatePtr s) {
  s->watchdog.expect_within(scaled(kConnectTime), s);
  Failed failed = co_await s->stream->connect();
  if (s->watchdog.has_expired()) co_return Failed{Stop::timed_out};
  if (failed.stop != Stop::none) co_return failed;
  s->watchdog.expect_within(scaled(kProofTime), s);
  failed = co_await s->stream->shake_hands();
  if (s->watchdog.has_expired()) co_return Failed{Stop::caster_silent};
  co_return failed;
}

/// The first bytes of an answer that brings corrections have come. A network that works out a base near the rover may
/// take a while until its first frame.
void on_answer(const StatePtr& s) {
  s->has_answered = true;
  s->watchdog.expect_within(scaled(kSilence), s);
  s->tell(LinkState::running, {});
  keep_position_sent(s, std::chrono::milliseconds(1));
}

asio::awaitable<Failed> read_on(StatePtr s) {
  ntrip::Reply reply;
  std::string bytes, corrections;
  s->watchdog.expect_within(scaled(kReplyTime), s);
  for (;;) {
    bytes.clear();
    corrections.clear();
    const Failed failed = co_await s->stream->read(bytes);
    if (s->stopped) co_return Failed{};
    reply.push(bytes, corrections);
    const bool answered = reply.outcome() == ntrip::Outcome::corrections;
    if (answered && !s->has_answered) on_answer(s);
    if (!corrections.empty()) {
      s->retry.came();
      s->events.bytes(corrections);
      s->watchdog.expect_within(scaled(kSilence), s);
    }
    if (s->watchdog.has_expired()) co_return Failed{answered ? Stop::mount_silent : Stop::caster_silent};
    if (reply.outcome() != ntrip::Outcome::waiting && !answered)
      co_return Failed{stop_of(reply.outcome()), reply.outcome() == ntrip::Outcome::caster_error ? reply.status() : ""};
    if (failed.stop != Stop::none) co_return failed;
    if (reply.has_ended()) co_return Failed{Stop::closed};
  }
}

asio::awaitable<Failed> one_connection(StatePtr s) {
  s->has_answered = false;
  s->sends = false;
  s->stream = std::make_shared<CasterStream>(s->io, s->settings);
  Failed failed = co_await reach(s);
  if (failed.stop != Stop::none || s->stopped) co_return failed;
  const auto request = request_of(*s);
  if (!request) {
    spdlog::warn("{}", request.error().text);
    co_return Failed{Stop::login_file};
  }
  failed = co_await s->stream->write(*request);
  if (failed.stop != Stop::none) co_return failed;
  co_return co_await read_on(s);
}

asio::awaitable<void> serve(StatePtr s) {
  s->tell(LinkState::connecting, {});
  while (!s->stopped) {
    const Failed why = co_await one_connection(s);
    s->watchdog.stop();
    s->position.cancel();
    s->stream->close();
    if (s->stopped) co_return;
    s->ended(why);
    const std::chrono::milliseconds wait(s->retry.wait_ms(corrections::is_refusal(why.stop), s->chance()));
    error_code ignored;
    s->pause.expires_after(scaled(wait));
    co_await s->pause.async_wait(asio::redirect_error(asio::use_awaitable, ignored));
  }
}

}  // namespace

Result<void> check_caster_files(const config::Corrections& settings) {
  if (auto done = check_authority(settings.authority); !done) return done;
  if (settings.credentials.empty()) return {};
  const auto login = read_login(settings.credentials);
  return login ? Result<void>{} : tl::unexpected(login.error());
}

CasterLink::CasterLink(boost::asio::io_context& io, config::Corrections settings)
    : state_(std::make_shared<State>(io, std::move(settings))) {}

CasterLink::~CasterLink() {
  stop();
}

void CasterLink::start(CasterEvents events) {
  state_->events = std::move(events);
  spawn(state_->io, "corrections", serve(state_));
}

void CasterLink::stop() {
  if (std::exchange(state_->stopped, true)) return;
  state_->watchdog.stop();
  state_->pause.cancel();
  state_->position.cancel();
  state_->stream->close();
}

}  // namespace stillpoint::daemon
