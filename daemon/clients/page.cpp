#include "clients/page.hpp"

#include <fcntl.h>
#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/steady_timer.hpp>
#include <cerrno>
#include <chrono>
#include <numeric>
#include <utility>

#include "clients/endpoint.hpp"
#include "clients/page_answers.hpp"
#include "clients/page_connection.hpp"
#include "clients/page_files.hpp"
#include "clients/page_state.hpp"
#include "clients/sentences.hpp"
#include "common/clock.hpp"
#include "common/file.hpp"
#include "wire/json.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;
using std::chrono::milliseconds;

namespace {

std::string fresh_secret() {
  std::array<char, 20> bytes{};  // a hundred bits
  fill_random({reinterpret_cast<std::uint8_t*>(bytes.data()), bytes.size()});
  return key_text({bytes.data(), bytes.size()});
}

}  // namespace

PageState::PageState(asio::io_context& given_io, config::Page given, std::string given_key_path,
                     PageSource given_source, std::optional<PageKeys> given_keys)
    : io(given_io),
      settings(std::move(given)),
      key_path(std::move(given_key_path)),
      source(std::move(given_source)),
      acceptor(given_io),
      keys(given_keys ? *std::move(given_keys) : PageKeys(fresh_secret)) {
  for (const PageFile& file : page_files()) {
    if (file.path != kSetUpShell) paths.push_back(file.path);
  }
}

Result<void> PageState::listen() {
  const auto endpoint = endpoint_of(settings.listen);
  if (!endpoint) return fail(kSayToClients.page_no_address(settings.listen));
  error_code error;
  acceptor.open(endpoint->protocol(), error);
  if (!error) acceptor.set_option(tcp::acceptor::reuse_address(true), error);
  if (!error) acceptor.bind(*endpoint, error);
  if (!error) acceptor.listen(asio::socket_base::max_listen_connections, error);
  if (error) {
    return fail(kSayToClients.page_not_listening(settings.listen, error.message()));
  }
  if (auto written = write_key(); !written) return written;
  key_written = true;
  spdlog::info("page: http://{}/ - the key for acting is in {}", settings.listen, key_path);
  return {};
}

/// Written beside and put in place, so that nobody ever sees a part of it. The group may read it, as it may use the
/// control socket: whoever can give commands there gains nothing by the key.
Result<void> PageState::write_key() const {
  const std::string beside = key_path + ".new";
  ::unlink(beside.c_str());
  const Fd file(::open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0640));
  const auto failed = [&] { return fail(kSayToClients.key_not_written(key_path, errno_text(errno))); };
  if (!file) return failed();
  if (auto done = write_all(file.get(), keys.key() + "\n"); !done) return done;
  if (::rename(beside.c_str(), key_path.c_str()) != 0) return failed();
  return {};
}

void PageState::accept() {
  acceptor.async_accept([self = shared_from_this()](const error_code& error, tcp::socket socket) {
    if (error == asio::error::operation_aborted || !self->acceptor.is_open()) return;
    if (!error) {
      self->take(std::move(socket));
      return self->accept();
    }
    const auto pause = std::make_shared<asio::steady_timer>(self->io, milliseconds(100));
    pause->async_wait([self, pause](const error_code& stopped) {
      if (!stopped && self->acceptor.is_open()) self->accept();
    });
  });
}

void PageState::take(tcp::socket socket) {
  const auto connection = std::make_shared<PageConnection>(shared_from_this(), std::move(socket));
  const bool full = connections.size() >= kMostConnections && !make_room();
  if (connections.size() >= 2 * kMostConnections) return;  // closed by going out of scope
  connections.insert(connection);
  connection->start();
  if (full) connection->reply(sentence_answer(503, kSayToClients.many_connections()));
}

/// When all places are taken, a connection that has not asked for anything gives way to a newcomer, the oldest first,
/// then one that only reads. So a thousand silent connections keep nobody out.
bool PageState::make_room() {
  ConnectionPtr oldest;
  for (const auto& each : connections) {
    if (each->has_asked() && !each->is_only_reading()) continue;
    const auto order = [](const PageConnection& one) { return std::pair(one.has_asked(), one.number()); };
    if (!oldest || order(*each) < order(*oldest)) oldest = each;
  }
  if (oldest) oldest->close();
  return oldest != nullptr;
}

bool PageState::make_room_for_stream(const PagePeer& newcomer) {
  std::vector<ConnectionPtr> all(connections.begin(), connections.end());
  std::erase_if(all, [](const auto& each) { return !each->streams(); });
  std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a->number() < b->number(); });
  std::vector<PagePeer> peers;
  for (const auto& each : all) peers.push_back(each->known_peer());
  const auto at = gives_way(peers, newcomer);
  if (at) all[*at]->close();
  return at.has_value();
}

std::size_t PageState::streams() const {
  return static_cast<std::size_t>(
      std::count_if(connections.begin(), connections.end(), [](const auto& each) { return each->streams(); }));
}

std::size_t PageState::held_bytes() const {
  return std::accumulate(connections.begin(), connections.end(), std::size_t{0},
                         [](std::size_t sum, const auto& each) { return sum + each->held_bytes(); });
}

/// At most once a second, since a long stay is worked through anew.
void PageState::refresh_trail() {
  constexpr std::int64_t kEvery_ms = 900;
  const MachineTime now = machine_now();
  if (ms_between(trail_at, now) < kEvery_ms) return;
  trail_at = now;
  const std::string change = trail.update(source.stay());
  if (change.empty()) return;
  const auto frame = std::make_shared<const std::string>(stream_event("stay", change));
  const std::vector<ConnectionPtr> all(connections.begin(), connections.end());
  for (const auto& each : all) {
    if (each->streams()) each->send(frame);
  }
}

std::string PageState::status_now() const {
  const session::Status status = source.status();
  const std::string json = wire::to_json(status);
  return status_event({status, json}, utc_now());
}

Page::Page(asio::io_context& io, const config::Page& settings, std::string key_path, PageSource source,
           std::optional<PageKeys> keys)
    : state_(std::make_shared<PageState>(io, settings, std::move(key_path), std::move(source), std::move(keys))) {}

Page::~Page() {
  stop();
}

Result<void> Page::listen() {
  if (auto done = state_->listen(); !done) return done;
  state_->accept();
  return {};
}

PageKeys Page::keys() const {
  return state_->keys;
}

bool Page::is_heard() const {
  return state_->streams() > 0;
}

void Page::status(const StatusNews& now) {
  const auto frame = std::make_shared<const std::string>(status_event(now, utc_now()));
  const std::vector<PageState::ConnectionPtr> all(state_->connections.begin(), state_->connections.end());
  for (const auto& each : all) each->send_status(frame);
  state_->refresh_trail();
}

void Page::stop() {
  error_code ignored;
  state_->acceptor.close(ignored);
  const std::vector<PageState::ConnectionPtr> all(state_->connections.begin(), state_->connections.end());
  for (const auto& each : all) each->close();
  if (std::exchange(state_->key_written, false)) ::unlink(state_->key_path.c_str());
}

}  // namespace stillpoint::daemon
