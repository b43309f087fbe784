#include "preflight/mounts_asked.hpp"

#include <boost/asio/connect.hpp>
#include <boost/asio/write.hpp>
#include <utility>

namespace stillpoint::daemon {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

MountsAsked::MountsAsked(asio::io_context& io, std::string host, int port, Done done)
    : request_{ntrip::Version::v2, std::move(host), port, ""},
      done_(std::move(done)),
      resolver_(io),
      socket_(io),
      timer_(io) {}

void MountsAsked::start() {
  ask();
}

void MountsAsked::stop() {
  done_ = nullptr;
  error_code ignored;
  resolver_.cancel();
  socket_.close(ignored);
  timer_.cancel();
}

void MountsAsked::ask() {
  constexpr std::chrono::seconds kPatience{10};
  timer_.expires_after(kPatience);
  timer_.async_wait([self = shared_from_this()](const error_code& error) {
    if (error) return;
    error_code ignored;
    self->resolver_.cancel();
    self->socket_.close(ignored);
  });
  resolver_.async_resolve(
      request_.host, std::to_string(request_.port),
      [self = shared_from_this()](const error_code& error, const tcp::resolver::results_type& found) {
        if (error) return self->finish();
        asio::async_connect(self->socket_, found, [self](const error_code& failed, const tcp::endpoint&) {
          if (failed) return self->finish();
          self->send();
        });
      });
}

void MountsAsked::send() {
  text_ = ntrip::text_of(request_);
  asio::async_write(socket_, asio::buffer(text_), [self = shared_from_this()](const error_code& error, std::size_t) {
    if (error) return self->finish();
    self->read();
  });
}

void MountsAsked::read() {
  socket_.async_read_some(asio::buffer(buffer_), [self = shared_from_this()](const error_code& error, std::size_t n) {
    std::string corrections;
    self->reply_.push({self->buffer_.data(), n}, corrections);
    const bool is_over = self->reply_.has_ended() || self->reply_.outcome() == ntrip::Outcome::corrections;
    if (error || is_over) return self->finish();
    self->read();
  });
}

/// A caster of the first version may not understand the second.
void MountsAsked::finish() {
  error_code ignored;
  socket_.close(ignored);
  timer_.cancel();
  if (!done_) return;
  const bool is_table = reply_.outcome() == ntrip::Outcome::table;
  if (!is_table && request_.version == ntrip::Version::v2) {
    request_.version = ntrip::Version::v1;
    reply_ = {};
    return ask();
  }
  const Done done = std::exchange(done_, nullptr);
  done(is_table ? std::optional(ntrip::source_table_of(reply_.table())) : std::nullopt);
}

}  // namespace stillpoint::daemon
