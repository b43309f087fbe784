#include "clients/page_connection.hpp"

#include <spdlog/spdlog.h>
#include <unistd.h>

#include <algorithm>
#include <boost/asio/write.hpp>
#include <utility>
#include <vector>

#include "clients/endpoint.hpp"
#include "clients/guard.hpp"
#include "clients/page_answers.hpp"
#include "clients/page_files.hpp"
#include "clients/sentences.hpp"
#include "common/clock.hpp"
#include "common/timers.hpp"
#include "wire/fields.hpp"
#include "wire/json_object.hpp"
#include "wire/rpc.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
namespace http = boost::beast::http;
using asio::ip::tcp;
using boost::system::error_code;
using std::chrono::milliseconds;

namespace {

constexpr milliseconds kRequestTime{5000};  // from the connection to its whole request
constexpr milliseconds kWriteTime{5000};    // for one answer or one frame of a stream
constexpr milliseconds kLingerTime{1000};   // for the other end to close first
constexpr std::size_t kMostUnread = 64;     // frames of a stream
constexpr int kSendBuffer = 32 * 1024;      // small, so that a reader that does not read is noticed
constexpr std::size_t kMostLeftover = 64 * 1024;
constexpr std::size_t kMostHeld = 8 * 1024 * 1024;  // of answers for all browsers together

bool may_be_asked(const std::string& method) {
  constexpr std::array<std::string_view, 12> kActs{"begin", "keep",   "discard", "check", "alerts",    "resolve",
                                                   "amend", "offset", "antenna", "pole",  "close_day", "setup"};
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

PageIntake::PageIntake() {
  parser_.eager(true);
  parser_.header_limit(static_cast<std::uint32_t>(kPageMostHeaderBytes));
  parser_.body_limit(kPageMostBodyBytes);
}

std::optional<std::string> PageIntake::take(std::string_view bytes) {
  in_ += bytes;
  error_code error;
  const std::size_t used = parser_.put(asio::buffer(in_), error);
  in_.erase(0, used);
  if (error == http::error::need_more) error = {};
  if (error == http::error::header_limit || in_.size() > kPageMostHeaderBytes)
    return sentence_answer(431, kSayToClients.head_too_long());
  if (error == http::error::body_limit) return sentence_answer(413, kSayToClients.too_long());
  if (error) return sentence_answer(400, kSayToClients.no_request());
  return std::nullopt;
}

PageRequest PageIntake::request() const {
  return request_of(parser_.get());
}

bool PageIntake::leave_over(std::size_t bytes) noexcept {
  left_over_ += bytes;
  return left_over_ <= kMostLeftover;
}

bool PageQueue::is_full() const noexcept {
  return frames_.size() >= kMostUnread;
}

void PageQueue::push(const PageFrame& frame) {
  frames_.push_back(frame);
  held_bytes_ += frame->size();
}

PageFrame PageQueue::next(bool streaming) {
  PageFrame frame;
  const bool status_first = head_sent_ && status_;
  if (status_first || frames_.empty()) {
    frame = std::exchange(status_, nullptr);
    held_bytes_ += frame ? frame->size() : 0;
  } else {
    frame = frames_.front();
    frames_.pop_front();
  }
  if (frame) head_sent_ = streaming;
  return frame;
}

PageConnection::PageConnection(std::shared_ptr<PageState> state, tcp::socket socket)
    : state_(std::move(state)), socket_(std::move(socket)), timer_(state_->io), number_(state_->taken++) {
  error_code ignored;
  socket_.set_option(tcp::no_delay(true), ignored);
  socket_.set_option(asio::socket_base::send_buffer_size(kSendBuffer), ignored);
  const auto local = socket_.local_endpoint(ignored);
  const auto remote = socket_.remote_endpoint(ignored);
  const auto here = plain_address(local.address()), there = plain_address(remote.address());
  door_.hosts = page_hosts(here.to_string(), here.is_loopback(), local.port());
  door_.from_here = there.is_loopback() || there == here;
  peer_.name = there.to_string();
}

void PageConnection::start() {
  within(kRequestTime, [](PageConnection& self) { self.reply(sentence_answer(408, kSayToClients.too_slow())); });
  read();
}

void PageConnection::within(milliseconds time, void (*late)(PageConnection&)) {
  timer_.expires_after(scaled(time));
  timer_.async_wait([self = shared_from_this(), late](const error_code& error) {
    if (!error && !self->closed_) late(*self);
  });
}

void PageConnection::read() {
  socket_.async_read_some(asio::buffer(buffer_), [self = shared_from_this()](const error_code& error, std::size_t n) {
    if (self->closed_) return;
    if (error) return self->close();
    if (self->asked_ || self->answered_) {
      if (!self->in_.leave_over(n)) return self->close();
      return self->read();
    }
    self->on_bytes({self->buffer_.data(), n});
    self->read();
  });
}

void PageConnection::on_bytes(std::string_view bytes) {
  if (auto refusal = in_.take(bytes)) return reply(std::move(*refusal));
  if (in_.is_whole()) on_request();
}

void PageConnection::on_request() {
  asked_ = true;
  const PageRequest request = in_.request();
  head_only_ = request.method == "HEAD";
  const auto task = admit(request, door_, state_->paths);
  if (task) return perform(*task, request);
  const PageRefusal& refusal = task.error();
  const std::string allow = refusal.allow.empty() ? "" : "Allow: " + std::string(refusal.allow) + "\r\n";
  reply(sentence_answer(refusal.status, refusal.why, allow));
}

void PageConnection::perform(PageTask task, const PageRequest& request) {
  if (state_->is_first_start() && task != PageTask::file && task != PageTask::key && task != PageTask::control)
    return reply(sentence_answer(503, kSayToClients.set_up_first()));
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
    case PageTask::plan:
      return call(R"({"jsonrpc":"2.0","id":1,"method":"plan"})");
    case PageTask::antenna:
      return call(R"({"jsonrpc":"2.0","id":1,"method":"antenna"})");
    case PageTask::key:
      return exchange_key(in_.body());
    case PageTask::control:
      return act(request, in_.body());
  }
}

void PageConnection::give_file(const std::string& path) {
  const std::string wanted = path == "/" && state_->is_first_start() ? kSetUpShell : path;
  for (const PageFile& file : page_files()) {
    if (file.path != wanted) continue;
    const std::string more = file.lasts ? "Cache-Control: max-age=31536000, immutable\r\n" : std::string(kShellRules);
    return reply(answer(200, file.type, file.text, more));
  }
}

void PageConnection::exchange_key(const std::string& body) {
  const wire::Json asked = wire::Json::parse(body, nullptr, false);
  const auto given = state_->keys.exchange(wire::text_of(asked, "key"), machine_now());
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

void PageConnection::act(const PageRequest& request, const std::string& body) {
  if (!state_->keys.may_act(request.cookie, request.proof))
    return reply(sentence_answer(403, kSayToClients.may_only_look(), kKeyNeeded));
  const auto asked = wire::parse_request(body);
  if (!asked) return reply(json_answer(400, asked.error()));
  if (asked->is_notification || !may_be_asked(asked->method))
    return reply(sentence_answer(403, kSayToClients.nothing_else()));
  call(body);
}

void PageConnection::call(std::string line) {
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
PagePeer PageConnection::peer() const {
  if (!door_.from_here) return {peer_.name, state_->owners.contains(peer_.name)};
  const auto user = user_of(socket_);
  std::string name = user ? kSayToClients.user(std::to_string(*user)) : kSayToClients.somebody();
  const bool own = user && (*user == ::geteuid() || *user == 0);
  const bool owner = own || state_->owners.contains(name);
  return {std::move(name), owner};
}

void PageConnection::stream() {
  peer_ = peer();
  if (state_->streams() >= PageState::kMostStreams && !state_->make_room_for_stream(peer_))
    return reply(sentence_answer(503, kSayToClients.many_pages()));
  timer_.cancel();
  state_->refresh_trail();  // before this one streams: its head must be the first that it gets
  streaming_ = true;
  const std::string head = head_of(200, "text/event-stream", "Cache-Control: no-store\r\n") + "\r\nretry: 1000\n\n";
  send(std::make_shared<const std::string>(head + stream_event("stay", state_->trail.whole()) + state_->status_now()));
}

void PageConnection::send_status(const PageFrame& frame) {
  if (!streams()) return;
  out_.set_status(frame);
  write();
}

void PageConnection::send(const PageFrame& frame) {
  if (closed_) return;
  if (out_.is_full()) {
    spdlog::warn("page: a browser does not read; it is dropped");
    return close();
  }
  out_.push(frame);
  write();
}

void PageConnection::reply(std::string text) {
  if (answered_ || closed_) return;
  answered_ = true;
  if (head_only_) text.resize(std::min(text.size(), text.find("\r\n\r\n") + 4));
  send(std::make_shared<const std::string>(std::move(text)));
}

void PageConnection::write() {
  if (writing_ || closed_) return;
  const PageFrame frame = out_.next(streaming_);
  if (!frame) return answered_ ? linger() : void();
  writing_ = true;
  within(kWriteTime, [](PageConnection& self) { self.close(); });
  asio::async_write(socket_, asio::buffer(*frame),
                    [self = shared_from_this(), frame](const error_code& error, std::size_t) {
                      self->writing_ = false;
                      self->out_.written(frame);
                      self->timer_.cancel();
                      if (error) return self->close();
                      self->write();
                    });
}

/// Closing a connection with unread bytes would destroy the answer on its way, so the other end is given time to read
/// it and to close.
void PageConnection::linger() {
  error_code ignored;
  socket_.shutdown(tcp::socket::shutdown_send, ignored);
  within(kLingerTime, [](PageConnection& self) { self.close(); });
}

void PageConnection::close() {
  if (std::exchange(closed_, true)) return;
  error_code ignored;
  timer_.cancel();
  socket_.close(ignored);
  state_->connections.erase(shared_from_this());
}

}  // namespace stillpoint::daemon
