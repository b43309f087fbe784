#pragma once
/// One connection of a browser: one request, and its answer or a stream of what changes.
///
/// Threads: the I/O thread. Time: five seconds for the request, and for each write. Units: none.
/// Errors:  a request that is none, or may not be, is answered with its HTTP status and one sentence.

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/steady_timer.hpp>
#include <boost/beast/http/parser.hpp>
#include <boost/beast/http/string_body.hpp>
#include <chrono>
#include <deque>
#include <memory>
#include <optional>
#include <string>

#include "clients/page_rules.hpp"
#include "clients/page_state.hpp"

namespace stillpoint::daemon {

using PageFrame = std::shared_ptr<const std::string>;

/// The bytes of one request as they come.
class PageIntake {
 public:
  PageIntake();
  /// What to answer when they are no request; the request is whole when `is_whole` says so.
  std::optional<std::string> take(std::string_view bytes);
  bool is_whole() const { return parser_.is_done(); }
  PageRequest request() const;
  const std::string& body() const { return parser_.get().body(); }
  /// Bytes behind the request, of which nothing is taken. False: too many.
  bool leave_over(std::size_t bytes) noexcept;

 private:
  boost::beast::http::request_parser<boost::beast::http::string_body> parser_;
  std::string in_;
  std::size_t left_over_ = 0;
};

/// What waits to be written, in order; of the status only the latest.
class PageQueue {
 public:
  bool is_full() const noexcept;
  void push(const PageFrame& frame);
  void set_status(const PageFrame& frame) { status_ = frame; }
  /// The next to write; null: nothing waits. The verdict does not wait for a drawing, once the head of the stream went.
  PageFrame next(bool streaming);
  void written(const PageFrame& frame) noexcept { held_bytes_ -= frame->size(); }
  std::size_t held_bytes() const noexcept { return held_bytes_; }

 private:
  std::deque<PageFrame> frames_;
  PageFrame status_;
  std::size_t held_bytes_ = 0;  ///< queued, and being written
  bool head_sent_ = false;      ///< of a stream
};

class PageConnection : public std::enable_shared_from_this<PageConnection> {
 public:
  PageConnection(std::shared_ptr<PageState> state, boost::asio::ip::tcp::socket socket);

  void start();
  void reply(std::string text);
  bool streams() const noexcept { return streaming_ && !closed_; }
  std::uint64_t number() const noexcept { return number_; }
  bool has_asked() const noexcept { return asked_ || answered_; }
  /// True when the answer is already on its way, so that ending the connection loses nothing for the daemon.
  bool is_only_reading() const noexcept { return answered_ && !streaming_; }
  PagePeer peer() const;
  const PagePeer& known_peer() const noexcept { return peer_; }
  std::size_t held_bytes() const noexcept { return out_.held_bytes(); }
  void send_status(const PageFrame& frame);
  void send(const PageFrame& frame);
  void close();

 private:
  void within(std::chrono::milliseconds time, void (*late)(PageConnection&));
  void read();
  void on_bytes(std::string_view bytes);
  void on_request();
  void perform(PageTask task, const PageRequest& request);
  void give_file(const std::string& path);
  void exchange_key(const std::string& body);
  void act(const PageRequest& request, const std::string& body);
  void call(std::string line);
  void stream();
  void write();
  void linger();

  std::shared_ptr<PageState> state_;
  boost::asio::ip::tcp::socket socket_;
  boost::asio::steady_timer timer_;
  PageIntake in_;
  PageDoor door_;
  PagePeer peer_;  ///< its address; of a stream, who it is
  std::uint64_t number_ = 0;
  bool head_only_ = false;
  std::array<char, 4096> buffer_{};
  PageQueue out_;
  bool asked_ = false;  ///< its one request is whole
  bool answered_ = false, streaming_ = false, writing_ = false, closed_ = false;
};

}  // namespace stillpoint::daemon
