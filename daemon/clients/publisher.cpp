#include "clients/publisher.hpp"

#include <algorithm>
#include <boost/asio/post.hpp>
#include <chrono>
#include <utility>

#include "wire/json.hpp"

namespace stillpoint::daemon {
namespace {

using Clock = std::chrono::steady_clock;

constexpr std::chrono::milliseconds kEvery{20};
constexpr std::chrono::milliseconds kHeartbeat{1000};

}  // namespace

Publisher::Publisher(boost::asio::io_context& io, std::function<session::Status()> status)
    : io_(io), status_(std::move(status)), pace_(kEvery), timer_(io) {}

void Publisher::alert(const session::Alert& alert) const {
  for (Outlet* outlet : outlets_) outlet->alert(alert);
}

void Publisher::point(const occupation::StoredPoint& point) const {
  for (Outlet* outlet : outlets_) outlet->point(point);
}

void Publisher::status_changed() {
  if (pace_.waits() || stopped_) return;
  pace_.changed();
  if (!in_bytes_) publish_soon();
}

void Publisher::begin_bytes() noexcept {
  awaited_ = pace_.waits();
  in_bytes_ = true;
}

void Publisher::end_bytes() {
  in_bytes_ = false;
  if (pace_.is_due(Clock::now())) {
    publish_waiting();
  } else if (pace_.waits() && !awaited_) {
    publish_soon();
  }
}

void Publisher::look() {
  if (pace_.since_last(Clock::now()) >= kHeartbeat) publish();
}

void Publisher::publish_soon() {
  if (pace_.is_due(Clock::now())) {  // the usual case, and a timer costs more than the rest
    boost::asio::post(io_, [this] { publish_waiting(); });
    return;
  }
  timer_.expires_at(pace_.next());
  timer_.async_wait([this](const boost::system::error_code& error) {
    if (!error) publish_waiting();
  });
}

/// An expired timer or a posted call may run late: bytes may have published meanwhile, and the change that waits may be
/// newer.
void Publisher::publish_waiting() {
  if (!pace_.waits() || stopped_) return;
  if (!pace_.is_due(Clock::now())) return publish_soon();
  publish();
}

void Publisher::publish() {
  pace_.published(Clock::now());
  if (std::none_of(outlets_.begin(), outlets_.end(), [](const Outlet* outlet) { return outlet->is_heard(); })) return;
  const session::Status status = status_();
  const std::string json = wire::to_json(status);
  for (Outlet* outlet : outlets_) {
    if (outlet->is_heard()) outlet->status({status, json});
  }
}

void Publisher::stop() {
  stopped_ = true;
  timer_.cancel();
}

}  // namespace stillpoint::daemon
