#include "clients/page.hpp"

#include <fcntl.h>
#include <spdlog/spdlog.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/asio/write.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <cerrno>
#include <chrono>
#include <deque>
#include <numeric>
#include <set>
#include <vector>

#include "clients/endpoint.hpp"
#include "clients/guard.hpp"
#include "clients/page_files.hpp"
#include "clients/page_rules.hpp"
#include "clients/sentences.hpp"
#include "clients/stay_trail.hpp"
#include "common/clock.hpp"
#include "common/file.hpp"
#include "common/timers.hpp"
#include "wire/json_object.hpp"
#include "wire/rpc.hpp"
#include "wire/situation.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
namespace http = boost::beast::http;
using asio::ip::tcp;
using boost::system::error_code;
using std::chrono::milliseconds;
using Frame = std::shared_ptr<const std::string>;

namespace {

constexpr milliseconds kRequestTime{5000};  // from the connection to its whole request
constexpr milliseconds kWriteTime{5000};    // for one answer or one frame of a stream
constexpr milliseconds kLingerTime{1000};   // for the other end to close first
constexpr std::size_t kMostUnread = 64;     // frames of a stream
constexpr int kSendBuffer = 32 * 1024;      // small, so that a reader that does not read is noticed
constexpr std::size_t kMostLeftover = 64 * 1024;
constexpr std::size_t kMostHeld = 8 * 1024 * 1024;  // of answers for all browsers together

constexpr std::string_view kShellRules =
    "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "img-src 'self' data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "require-trusted-types-for 'script'\r\n";

/// Tells the page's script that its proof is worth nothing any more; other refusals say nothing about it.
constexpr std::string_view kKeyNeeded = "Stillpoint-Key: needed\r\n";

std::string_view phrase_of(int status) {
  switch (status) {
    case 200:
      return "OK";
    case 403:
      return "Forbidden";
    case 404:
      return "Not Found";
    case 405:
      return "Method Not Allowed";
    case 408:
      return "Request Timeout";
    case 413:
      return "Content Too Large";
    case 415:
      return "Unsupported Media Type";
    case 429:
      return "Too Many Requests";
    case 431:
      return "Request Header Fields Too Large";
    case 503:
      return "Service Unavailable";
    default:
      return "Bad Request";
  }
}

std::string head_of(int status, std::string_view type, std::string_view more) {
  return "HTTP/1.1 " + std::to_string(status) + " " + std::string(phrase_of(status)) +
         "\r\nContent-Type: " + std::string(type) +
         "\r\nX-Content-Type-Options: nosniff\r\nReferrer-Policy: no-referrer\r\nX-Frame-Options: DENY\r\n"
         "Cross-Origin-Resource-Policy: same-origin\r\nCross-Origin-Opener-Policy: same-origin\r\n"
         "Connection: close\r\n" +
         std::string(more);
}

std::string answer(int status, std::string_view type, std::string_view text, std::string_view more = "") {
  const bool lasts = more.find("Cache-Control") != std::string_view::npos;
  return head_of(status, type, more) + (lasts ? "" : "Cache-Control: no-store\r\n") +
         "Content-Length: " + std::to_string(text.size()) + "\r\n\r\n" + std::string(text);
}

std::string sentence_answer(int status, std::string_view sentence, std::string_view more = "") {
  return answer(status, "text/plain; charset=utf-8", std::string(sentence) + "\n", more);
}

std::string json_answer(int status, std::string_view body, std::string_view more = "") {
  return answer(status, "application/json", body, more);
}

std::string event(std::string_view name, std::string_view data) {
  return "event: " + std::string(name) + "\ndata: " + std::string(data) + "\n\n";
}

std::string fresh_secret() {
  std::array<char, 20> bytes{};  // a hundred bits
  fill_random({reinterpret_cast<std::uint8_t*>(bytes.data()), bytes.size()});
  return key_text({bytes.data(), bytes.size()});
}

/// What the screen says first, in the words of the house, beside the status as the control socket gives it.
std::string status_event(const std::string& status) {
  const wire::Json values = wire::Json::parse(status, nullptr, false);
  const wire::Situation now = wire::situation_of(values, false, true);
  constexpr std::array<std::string_view, 3> kTones{"counts", "coasting", "refused"};
  const wire::Json& stay = wire::member(values, "occupation");
  const auto percent = stay.is_object() ? std::optional(wire::percent_done(stay)) : std::nullopt;
  return event("status", wire::json_object(
                             [&](wire::JsonObject& out) {
                               out.object("situation", [&](wire::JsonObject& situation) {
                                 situation.text("tone", kTones[static_cast<std::size_t>(now.tone)]);
                                 situation.text("what", now.what);
                                 situation.text("act", now.act);
                                 situation.texts("also", now.also);
                                 situation.integer("percent", percent);
                               });
                               out.count("sent_ms", static_cast<std::uint64_t>(utc_now().ms));
                               out.raw("status", status);
                             },
                             status.size() + 1024));
}

bool may_be_asked(const std::string& method) {
  constexpr std::array<std::string_view, 8> kActs{"occupy", "keep",    "drop",    "check",
                                                  "alerts", "resolve", "antenna", "close_day"};
  return std::find(kActs.begin(), kActs.end(), method) != kActs.end();
}

std::vector<std::string> all_of(const http::request<http::string_body>& message, std::string_view name) {
  std::vector<std::string> out;
  const auto [begin, end] = message.equal_range(boost::beast::string_view(name.data(), name.size()));
  for (auto at = begin; at != end; ++at) out.emplace_back(at->value().data(), at->value().size());
  return out;
}

PageRequest request_of(const http::request<http::string_body>& message) {
  const auto first = [&](std::string_view name) {
    const auto all = all_of(message, name);
    return all.empty() ? std::string() : all.front();
  };
  PageRequest out;
  out.method = std::string(message.method_string().data(), message.method_string().size());
  out.target = std::string(message.target().data(), message.target().size());
  out.hosts = all_of(message, "Host");
  out.origins = all_of(message, "Origin");
  out.sites = all_of(message, "Sec-Fetch-Site");
  out.content_type = first("Content-Type");
  out.cookie = first("Cookie");
  out.proof = first("Stillpoint-Proof");
  out.body_bytes = message.body().size();
  return out;
}

}  // namespace

struct Page::State : std::enable_shared_from_this<Page::State> {
  class Connection;
  using ConnectionPtr = std::shared_ptr<Connection>;

  State(asio::io_context& given_io, config::Page given, std::string given_key_path, PageSource given_source)
      : io(given_io),
        settings(std::move(given)),
        key_path(std::move(given_key_path)),
        source(std::move(given_source)),
        acceptor(given_io),
        keys(fresh_secret) {
    for (const PageFile& file : page_files()) paths.push_back(file.path);
  }

  Result<void> listen();
  Result<void> write_key() const;
  void accept();
  void take(tcp::socket socket);
  bool make_room();
  bool make_room_for_stream(const PagePeer& newcomer);
  std::size_t streams() const;
  std::size_t held_bytes() const;
  void refresh_trail();

  asio::io_context& io;
  config::Page settings;
  std::string key_path;
  PageSource source;
  tcp::acceptor acceptor;
  PageKeys keys;
  std::set<std::string> owners;  ///< names of peers that have given a key
  std::uint64_t taken = 0;
  std::vector<std::string> paths;
  std::set<ConnectionPtr> connections;
  StayTrail trail;
  SteadyTime trail_at{};
  bool key_written = false;
};

class Page::State::Connection : public std::enable_shared_from_this<Connection> {
 public:
  Connection(std::shared_ptr<State> state, tcp::socket socket)
      : state_(std::move(state)), socket_(std::move(socket)), timer_(state_->io) {
    parser_.eager(true);
    parser_.header_limit(static_cast<std::uint32_t>(kPageMostHeaderBytes));
    parser_.body_limit(kPageMostBodyBytes);
    error_code ignored;
    socket_.set_option(tcp::no_delay(true), ignored);
    socket_.set_option(asio::socket_base::send_buffer_size(kSendBuffer), ignored);
    const auto local = socket_.local_endpoint(ignored);
    const auto remote = socket_.remote_endpoint(ignored);
    const auto here = plain_address(local.address()), there = plain_address(remote.address());
    door_.hosts = page_hosts(here.to_string(), here.is_loopback(), local.port());
    door_.from_here = there.is_loopback() || there == here;
    address_ = there.to_string();
    number_ = state_->taken++;
  }

  void start() {
    within(kRequestTime, [](Connection& self) { self.reply(sentence_answer(408, kSayToClients.too_slow())); });
    read();
  }
  void reply(std::string text);
  bool streams() const noexcept { return streaming_ && !closed_; }
  std::uint64_t number() const noexcept { return number_; }
  bool has_asked() const noexcept { return asked_ || answered_; }
  /// True when the answer is already on its way, so that ending the connection loses nothing for the daemon.
  bool is_only_reading() const noexcept { return answered_ && !streaming_; }
  PagePeer peer() const;
  const PagePeer& known_peer() const noexcept { return peer_; }
  std::size_t held_bytes() const noexcept { return held_bytes_; }
  void send_status(const Frame& frame);
  void send(const Frame& frame);
  void close();

 private:
  void within(milliseconds time, void (*late)(Connection&));
  void read();
  void on_bytes();
  void on_request();
  void perform(PageTask task, const PageRequest& request);
  void give_file(const std::string& path);
  void exchange_key(const std::string& body);
  void act(const PageRequest& request, const std::string& body);
  void call(std::string line);
  void stream();
  void write();
  void linger();

  std::shared_ptr<State> state_;
  tcp::socket socket_;
  asio::steady_timer timer_;
  http::request_parser<http::string_body> parser_;
  PageDoor door_;
  std::string address_;
  PagePeer peer_;  ///< of a stream
  std::uint64_t number_ = 0;
  bool head_only_ = false;
  std::array<char, 4096> buffer_{};
  std::string in_;
  std::deque<Frame> out_;
  Frame status_;
  std::size_t held_bytes_ = 0;  // queued, and being written
  std::size_t left_over_ = 0;
  bool asked_ = false;  // its one request is whole
  bool answered_ = false, streaming_ = false, writing_ = false, closed_ = false;
  bool head_sent_ = false;  // of a stream
};

void Page::State::Connection::within(milliseconds time, void (*late)(Connection&)) {
  timer_.expires_after(scaled(time));
  timer_.async_wait([self = shared_from_this(), late](const error_code& error) {
    if (!error && !self->closed_) late(*self);
  });
}

void Page::State::Connection::read() {
  socket_.async_read_some(asio::buffer(buffer_), [self = shared_from_this()](const error_code& error, std::size_t n) {
    if (self->closed_) return;
    if (error) return self->close();
    if (self->asked_ || self->answered_) {
      self->left_over_ += n;  // nothing more is taken from this connection
      if (self->left_over_ > kMostLeftover) return self->close();
      return self->read();
    }
    self->in_.append(self->buffer_.data(), n);
    self->on_bytes();
    self->read();
  });
}

void Page::State::Connection::on_bytes() {
  error_code error;
  const std::size_t used = parser_.put(asio::buffer(in_), error);
  in_.erase(0, used);
  if (error == http::error::need_more) error = {};
  if (error == http::error::header_limit || in_.size() > kPageMostHeaderBytes)
    return reply(sentence_answer(431, kSayToClients.head_too_long()));
  if (error == http::error::body_limit) return reply(sentence_answer(413, kSayToClients.too_long()));
  if (error) return reply(sentence_answer(400, kSayToClients.no_request()));
  if (parser_.is_done()) on_request();
}

void Page::State::Connection::on_request() {
  asked_ = true;
  const PageRequest request = request_of(parser_.get());
  head_only_ = request.method == "HEAD";
  const auto task = admit(request, door_, state_->paths);
  if (task) return perform(*task, request);
  const PageRefusal& refusal = task.error();
  const std::string allow = refusal.allow.empty() ? "" : "Allow: " + std::string(refusal.allow) + "\r\n";
  reply(sentence_answer(refusal.status, refusal.why, allow));
}

void Page::State::Connection::perform(PageTask task, const PageRequest& request) {
  // A day's points and a stay's seconds are long; who acts gets an answer in any case.
  const bool long_answer = task == PageTask::events || task == PageTask::points;
  if (long_answer && state_->held_bytes() > kMostHeld)
    return reply(sentence_answer(503, kSayToClients.others_do_not_read()));
  switch (task) {
    case PageTask::file:
      return give_file(request.target);
    case PageTask::events:
      return stream();
    case PageTask::points:
      return call(R"({"jsonrpc":"2.0","id":1,"method":"points"})");
    case PageTask::marks:
      return call(R"({"jsonrpc":"2.0","id":1,"method":"marks"})");
    case PageTask::antenna:
      return call(R"({"jsonrpc":"2.0","id":1,"method":"antenna"})");
    case PageTask::key:
      return exchange_key(parser_.get().body());
    case PageTask::control:
      return act(request, parser_.get().body());
  }
}

void Page::State::Connection::give_file(const std::string& path) {
  for (const PageFile& file : page_files()) {
    if (file.path != path) continue;
    const std::string more = file.lasts ? "Cache-Control: max-age=31536000, immutable\r\n" : std::string(kShellRules);
    return reply(answer(200, file.type, file.text, more));
  }
}

void Page::State::Connection::exchange_key(const std::string& body) {
  const wire::Json asked = wire::Json::parse(body, nullptr, false);
  const auto given = state_->keys.exchange(wire::text_of(asked, "key"), steady_now());
  if (given == PageKeys::Answer::too_soon) return reply(sentence_answer(429, kSayToClients.one_try_a_second()));
  if (given == PageKeys::Answer::wrong) return reply(sentence_answer(403, kSayToClients.not_the_key()));
  if (const auto written = state_->write_key(); !written) spdlog::warn("{}", written.error().text);
  spdlog::info("page: a browser may act from now on");
  state_->owners.insert(peer().name);
  const PageKeys::Holder& holder = state_->keys.newest();
  reply(json_answer(
      200, wire::json_object([&holder](wire::JsonObject& out) { out.text("proof", holder.proof); }),
      "Set-Cookie: " + std::string(kPageCookie) + "=" + holder.cookie + "; Path=/; HttpOnly; SameSite=Strict\r\n"));
}

void Page::State::Connection::act(const PageRequest& request, const std::string& body) {
  if (!state_->keys.may_act(request.cookie, request.proof))
    return reply(sentence_answer(403, kSayToClients.may_only_look(), kKeyNeeded));
  const auto asked = wire::parse_request(body);
  if (!asked) return reply(json_answer(400, asked.error()));
  if (asked->is_notification || !may_be_asked(asked->method))
    return reply(sentence_answer(403, kSayToClients.nothing_else()));
  call(body);
}

void Page::State::Connection::call(std::string line) {
  line.erase(std::remove(line.begin(), line.end(), '\n'), line.end());
  Call call;
  call.line = std::move(line);
  call.peer = {::geteuid(), "page", true};
  call.reply = [weak = weak_from_this()](const std::string& text) {
    if (const auto self = weak.lock()) self->reply(json_answer(200, text));
  };
  call.follow = [](const std::string&) {};
  timer_.cancel();  // a kept point may wait for the disk
  handle_guarded(state_->source.handle, call);
}

/// Looked up in the kernel's table, so only for those who stay or act.
PagePeer Page::State::Connection::peer() const {
  if (!door_.from_here) return {address_, state_->owners.contains(address_)};
  const auto user = user_of(socket_);
  std::string name = user ? kSayToClients.user(std::to_string(*user)) : kSayToClients.somebody();
  const bool own = user && (*user == ::geteuid() || *user == 0);
  const bool owner = own || state_->owners.contains(name);
  return {std::move(name), owner};
}

void Page::State::Connection::stream() {
  peer_ = peer();
  if (state_->streams() >= kMostStreams && !state_->make_room_for_stream(peer_))
    return reply(sentence_answer(503, kSayToClients.many_pages()));
  timer_.cancel();
  state_->refresh_trail();  // before this one streams: its head must be the first that it gets
  streaming_ = true;
  const std::string head = head_of(200, "text/event-stream", "Cache-Control: no-store\r\n") + "\r\nretry: 1000\n\n";
  send(std::make_shared<const std::string>(head + event("stay", state_->trail.whole()) +
                                           status_event(state_->source.status())));
}

void Page::State::Connection::send_status(const Frame& frame) {
  if (!streams()) return;
  status_ = frame;
  write();
}

void Page::State::Connection::send(const Frame& frame) {
  if (closed_) return;
  if (out_.size() >= kMostUnread) {
    spdlog::warn("page: a browser does not read; it is dropped");
    return close();
  }
  out_.push_back(frame);
  held_bytes_ += frame->size();
  write();
}

void Page::State::Connection::reply(std::string text) {
  if (answered_ || closed_) return;
  answered_ = true;
  if (head_only_) text.resize(std::min(text.size(), text.find("\r\n\r\n") + 4));
  send(std::make_shared<const std::string>(std::move(text)));
}

void Page::State::Connection::write() {
  if (writing_ || closed_) return;
  Frame frame;
  const bool status_first = head_sent_ && status_;  // the verdict does not wait for a drawing
  if (status_first || out_.empty()) {
    frame = std::exchange(status_, nullptr);
    held_bytes_ += frame ? frame->size() : 0;
  } else {
    frame = out_.front();
    out_.pop_front();
  }
  if (!frame) return answered_ ? linger() : void();
  writing_ = true;
  head_sent_ = streaming_;
  within(kWriteTime, [](Connection& self) { self.close(); });
  asio::async_write(socket_, asio::buffer(*frame),
                    [self = shared_from_this(), frame](const error_code& error, std::size_t) {
                      self->writing_ = false;
                      self->held_bytes_ -= frame->size();
                      self->timer_.cancel();
                      if (error) return self->close();
                      self->write();
                    });
}

/// Closing a connection with unread bytes would destroy the answer on its way, so the other end is given time to read
/// it and to close.
void Page::State::Connection::linger() {
  error_code ignored;
  socket_.shutdown(tcp::socket::shutdown_send, ignored);
  within(kLingerTime, [](Connection& self) { self.close(); });
}

void Page::State::Connection::close() {
  if (std::exchange(closed_, true)) return;
  error_code ignored;
  timer_.cancel();
  socket_.close(ignored);
  state_->connections.erase(shared_from_this());
}

Result<void> Page::State::listen() {
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

/// Written beside and put in place, so that nobody ever sees a part of it or more rights than its owner's.
Result<void> Page::State::write_key() const {
  const std::string beside = key_path + ".new";
  ::unlink(beside.c_str());
  const Fd file(::open(beside.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC | O_NOFOLLOW, 0600));
  const auto failed = [&] { return fail(kSayToClients.key_not_written(key_path, errno_text(errno))); };
  if (!file) return failed();
  if (auto done = write_all(file.get(), keys.key() + "\n"); !done) return done;
  if (::rename(beside.c_str(), key_path.c_str()) != 0) return failed();
  return {};
}

void Page::State::accept() {
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

void Page::State::take(tcp::socket socket) {
  const auto connection = std::make_shared<Connection>(shared_from_this(), std::move(socket));
  const bool full = connections.size() >= kMostConnections && !make_room();
  if (connections.size() >= 2 * kMostConnections) return;  // closed by going out of scope
  connections.insert(connection);
  connection->start();
  if (full) connection->reply(sentence_answer(503, kSayToClients.many_connections()));
}

/// When all places are taken, a connection that has not asked for anything gives way to a newcomer, the oldest first,
/// then one that only reads. So a thousand silent connections keep nobody out.
bool Page::State::make_room() {
  ConnectionPtr oldest;
  for (const auto& each : connections) {
    if (each->has_asked() && !each->is_only_reading()) continue;
    const auto order = [](const Connection& one) { return std::pair(one.has_asked(), one.number()); };
    if (!oldest || order(*each) < order(*oldest)) oldest = each;
  }
  if (oldest) oldest->close();
  return oldest != nullptr;
}

bool Page::State::make_room_for_stream(const PagePeer& newcomer) {
  std::vector<ConnectionPtr> all(connections.begin(), connections.end());
  std::erase_if(all, [](const auto& each) { return !each->streams(); });
  std::sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a->number() < b->number(); });
  std::vector<PagePeer> peers;
  for (const auto& each : all) peers.push_back(each->known_peer());
  const auto at = gives_way(peers, newcomer);
  if (at) all[*at]->close();
  return at.has_value();
}

std::size_t Page::State::streams() const {
  return static_cast<std::size_t>(
      std::count_if(connections.begin(), connections.end(), [](const auto& each) { return each->streams(); }));
}

std::size_t Page::State::held_bytes() const {
  return std::accumulate(connections.begin(), connections.end(), std::size_t{0},
                         [](std::size_t sum, const auto& each) { return sum + each->held_bytes(); });
}

/// At most once a second, since a long stay is worked through anew.
void Page::State::refresh_trail() {
  constexpr std::int64_t kEvery_ms = 900;
  const SteadyTime now = steady_now();
  if (now.ms - trail_at.ms < kEvery_ms) return;
  trail_at = now;
  const std::string change = trail.update(source.stay());
  if (change.empty()) return;
  const auto frame = std::make_shared<const std::string>(event("stay", change));
  const std::vector<ConnectionPtr> all(connections.begin(), connections.end());
  for (const auto& each : all) {
    if (each->streams()) each->send(frame);
  }
}

Page::Page(asio::io_context& io, const config::Page& settings, std::string key_path, PageSource source)
    : state_(std::make_shared<State>(io, settings, std::move(key_path), std::move(source))) {}

Page::~Page() {
  stop();
}

Result<void> Page::listen() {
  if (auto done = state_->listen(); !done) return done;
  state_->accept();
  return {};
}

bool Page::has_viewers() const {
  return state_->streams() > 0;
}

void Page::publish(const std::string& status) {
  const auto frame = std::make_shared<const std::string>(status_event(status));
  const std::vector<State::ConnectionPtr> all(state_->connections.begin(), state_->connections.end());
  for (const auto& each : all) each->send_status(frame);
  state_->refresh_trail();
}

void Page::stop() {
  error_code ignored;
  state_->acceptor.close(ignored);
  const std::vector<State::ConnectionPtr> all(state_->connections.begin(), state_->connections.end());
  for (const auto& each : all) each->close();
  if (std::exchange(state_->key_written, false)) ::unlink(state_->key_path.c_str());
}

}  // namespace stillpoint::daemon
