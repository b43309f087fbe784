#include "client/watch.hpp"

#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <ostream>

#include "client/follow.hpp"
#include "client/hands.hpp"
#include "client/keys.hpp"
#include "client/liveness.hpp"
#include "client/methods.hpp"
#include "client/painter.hpp"
#include "client/panel.hpp"
#include "client/screen_sentences.hpp"
#include "client/sounds.hpp"
#include "client/steady.hpp"
#include "client/wire_names.hpp"

namespace stillpoint::client {
namespace {

constexpr std::int64_t kMessageStays_ms = 12'000;
constexpr int kTick_ms = 250;

/// What was said last, for a while.
class Said {
 public:
  void say(const std::string& text, std::int64_t now_ms) {
    text_ = text;
    until_ms_ = now_ms + kMessageStays_ms;
  }
  std::string at(std::int64_t now_ms) const { return now_ms < until_ms_ ? text_ : std::string(); }

 private:
  std::string text_;
  std::int64_t until_ms_ = 0;
};

class Watch {
 public:
  Watch(const std::string& path, const Surroundings& around, bool mute, std::ostream& out)
      : path_(path),
        around_(around),
        mute_(mute),
        out_(out),
        painter_(out, around),
        alive_(now_ms(), around.quiet_ms),
        key_fd_(around.key_fd) {}

  Outcome<void> run() {
    auto first = start_following(path_, around_);
    if (!first) return tl::unexpected(first.error());
    take_line(*std::move(first));
    if (around_.take_keys) around_.take_keys();
    while (out_ && (link_ ? listen() : reconnect())) {
      hands_.look(now());
      send_requests();
      ring();
      paint();
    }
    return {};
  }

 private:
  void take_line(Link&& link) {
    link_.emplace(std::move(link));
    alive_.heard(now_ms());
    lists_key_.clear();
  }

  /// False: the user wants to leave.
  bool listen() {
    Message message;
    const auto came = link_->next(message, wait_ms(), key_fd_);
    if (!came) return take_failure(came.error());
    if (*came == Link::Came::stop) return false;
    if (*came == Link::Came::key) return take_keys();
    if (*came == Link::Came::message) {
      alive_.heard(now_ms());
      take(message);
    } else if (alive_.ask_once(now_ms())) {
      if (const auto asked = link_->ask("status"); !asked) lose();
    }
    return true;
  }

  /// The daemon's no to an act is shown; any other failure means that the line is gone.
  bool take_failure(const Failure& why) {
    if (why.exit != kExitRefused) {
      lose();
      return true;
    }
    alive_.heard(now_ms());
    if (const auto request = asked_.extract(why.id)) hands_.desk().refused(request.mapped(), why);
    return true;
  }

  void lose() {
    link_.reset();
    asked_.clear();
  }

  bool reconnect() {
    std::array<pollfd, 2> fds{{{around_.stop_fd, POLLIN, 0}, {key_fd_, POLLIN, 0}}};
    ::poll(fds.data(), fds.size(), static_cast<int>(std::min<std::int64_t>(wait_ms(), around_.retry_ms)));
    if (fds[0].revents != 0) return false;
    if (fds[1].revents != 0 && !take_keys()) return false;
    if (now_ms() < retry_at_ms_) return true;
    retry_at_ms_ = now_ms() + around_.retry_ms;
    Surroundings patient = around_;
    patient.answer_ms = 1000;
    if (auto again = start_following(path_, patient)) take_line(*std::move(again));
    return true;
  }

  Now now() const {
    return {now_ms(), !link_ || alive_.lost(now_ms()), alive_.silent_for_s(now_ms()),
            around_.zone_now ? around_.zone_now() : 0};
  }

  int wait_ms() const {
    const std::int64_t stroke_ms = bell_.wait_ms(now_ms());
    return static_cast<int>(stroke_ms < 0 ? kTick_ms : std::min<std::int64_t>(stroke_ms, kTick_ms));
  }

  void take(const Message& message) {
    if (message.method == "status" || (message.method.empty() && message.value.contains("verdict"))) {
      take_status(hands_.day(), message.value, now_ms());
      hands_.desk().refresh();
      return ask_for_lists();
    }
    if (!message.method.empty()) return;
    auto request = asked_.extract(message.id);
    if (!request) return;
    take_result(hands_.day(), request.mapped().method, message.value);
    hands_.desk().answered(request.mapped(), message.value);
    // What was done may have changed the lists, and the status need not show it.
    if (request.mapped().sheet != 0) lists_key_.clear();
  }

  /// Points, marks and the antenna are asked for when they may have changed.
  void ask_for_lists() {
    std::string key = lists_key(hands_.day().status);
    if (key == lists_key_) return;
    lists_key_ = std::move(key);
    for (const char* method : {kPoints, kMarks, kPlan, kAntenna}) send({method, nullptr, unheard, unrefused, 0});
  }
  static void unheard(Desk&, const Json&) {}
  static void unrefused(Desk&, const Failure&) {}

  bool take_keys() {
    std::array<char, 256> bytes{};
    const auto count = ::read(key_fd_, bytes.data(), bytes.size());
    if (count == 0) key_fd_ = -1;  // the keyboard is gone; the screen goes on
    if (count <= 0) return true;
    for (const std::string_view key : keys_in({bytes.data(), static_cast<std::size_t>(count)})) {
      if (key.front() == kRepaintKey)
        painter_.resize(size_.columns, size_.rows);
      else if (!hands_.press(key, panel()))
        return false;
    }
    if (hands_.take_quiet()) ears_.be_quiet(now_ms());
    return true;
  }

  void send_requests() {
    for (const Request& request : hands_.desk().take_requests()) {
      if (now().lost)
        hands_.desk().not_asked(request, kSayOnScreen.nothing_changed());
      else
        send(request);
    }
    if (const std::string told = hands_.desk().take_told(); !told.empty()) message_.say(told, now_ms());
  }

  void send(const Request& request) {
    if (!link_) return;
    const auto id = link_->ask(request.method, request.params);
    if (!id) return lose();
    asked_[*id] = request;
  }

  void ring() {
    const bool counts = situation_of(hands_.day().status, now().lost).counts();
    const Sound sound = ears_.hear(hands_.day().status, counts, now().lost, now_ms());
    if (!mute_) bell_.ring(sound, now_ms());
    if (bell_.stroke(now_ms())) out_ << '\a' << std::flush;
  }

  Panel panel() {
    Panel out;
    out.columns = size_.columns;
    out.rows = size_.rows;
    out.now = now();
    out.mute = mute_;
    out.quiet_left_ms = ears_.quiet_left_ms(now_ms());
    out.message = message_.at(now_ms());
    out.hold = hands_.hold();
    out.sheet = hands_.desk().sheet();
    return out;
  }

  void paint() {
    const TerminalSize now =
        around_.terminal_now ? around_.terminal_now() : TerminalSize{around_.columns, around_.rows, false};
    if (now.spoilt || now.columns != size_.columns || now.rows != size_.rows) painter_.resize(now.columns, now.rows);
    size_ = now;
    painter_.show(draw(hands_.day(), panel()));
  }

  std::string path_;
  Surroundings around_;
  bool mute_;
  std::ostream& out_;
  Painter painter_;
  Liveness alive_;
  int key_fd_;
  std::optional<Link> link_;
  TerminalSize size_{};
  Hands hands_;
  Ears ears_;
  Bell bell_;
  std::map<long long, Request> asked_;
  Said message_;
  std::string lists_key_;
  std::int64_t retry_at_ms_ = 0;
};

}  // namespace

Outcome<void> watch(const std::string& path, const Surroundings& around, bool mute, std::ostream& out) {
  return Watch(path, around, mute, out).run();
}

}  // namespace stillpoint::client
