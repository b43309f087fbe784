#include "client/watch.hpp"

#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <map>
#include <optional>
#include <ostream>

#include "client/follow.hpp"
#include "client/keys.hpp"
#include "client/liveness.hpp"
#include "client/painter.hpp"
#include "client/panel.hpp"
#include "client/sentences.hpp"
#include "client/sounds.hpp"
#include "client/steady.hpp"
#include "client/words.hpp"

namespace stillpoint::client {
namespace {

constexpr std::int64_t kMessageStays_ms = 12'000;
constexpr int kTick_ms = 250;

/// What the daemon made of a point, in one line.
std::string kept_text(const Json& answer) {
  const Json& check = member(answer, "check");
  if (check.is_object()) return ascii(text_of(check, "text"));
  const Json& point = member(answer, "point");
  const std::string name = cut(ascii(text_of(point, "point")), 26), status = text_of(point, "status");
  if (status == "accepted") {
    const Json& flags = list_of(point, "flags");
    const bool refuted = std::find(flags.begin(), flags.end(), "receiver-error-refuted") != flags.end();
    return (refuted ? kSay.kept_in_doubt : kSay.kept)(name);
  }
  const std::string why = reasons_of(point);
  return name + (status == "none" ? kSay.has_none() : kSay.is_status(ascii(status))) + (why.empty() ? "" : ": " + why);
}

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
    link_.emplace(*std::move(first));
    alive_.heard(now_ms());
    if (around_.take_keys) around_.take_keys();
    while (out_ && (link_ ? listen() : reconnect())) {
      ring();
      paint();
    }
    return {};
  }

 private:
  /// False: the user wants to leave.
  bool listen() {
    Message message;
    const auto came = link_->next(message, wait_ms(), key_fd_);
    if (!came) return refused(came.error());
    if (*came == Link::Came::stop) return false;
    if (*came == Link::Came::key) return take_keys();
    if (*came == Link::Came::message) {
      alive_.heard(now_ms());
      take(message);
    } else if (alive_.must_ask(now_ms())) {
      if (const auto asked = link_->ask("status"); !asked) lose();
    }
    return true;
  }

  /// The daemon's no to an act is shown; any other failure means that the line is gone.
  bool refused(const Failure& why) {
    if (why.exit == kExitRefused) {
      alive_.heard(now_ms());
      const auto at = asked_.find(why.id);
      const bool near = at != asked_.end() && at->second == Act::occupy && text_of(why.data, "question") == "name-near";
      if (near) keys_.ask_whether_new(wished_, text_of(why.data, "candidate"));
      if (!near) say(why.text);
      asked_.erase(why.id);
    } else {
      lose();
    }
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
    if (auto again = start_following(path_, patient)) {
      link_.emplace(*std::move(again));
      alive_.heard(now_ms());
    }
    return true;
  }

  bool lost() const { return !link_ || alive_.lost(now_ms()); }

  int wait_ms() const {
    const std::int64_t stroke_ms = bell_.wait_ms(now_ms());
    return static_cast<int>(stroke_ms < 0 ? kTick_ms : std::min<std::int64_t>(stroke_ms, kTick_ms));
  }

  void take(const Message& message) {
    if (message.method == "status" || (message.method.empty() && message.value.contains("verdict"))) {
      status_ = message.value;
      const std::string name = text_of(member(status_, "occupation"), "name");
      if (!name.empty()) last_name_ = name;
      return;
    }
    const auto at = message.method.empty() ? asked_.find(message.id) : asked_.end();
    if (at == asked_.end()) return;
    if (at->second == Act::keep) say(kept_text(message.value));
    if (at->second == Act::occupy || at->second == Act::drop) say(text_of(message.value, "text"));
    asked_.erase(at);
  }

  bool take_keys() {
    std::array<char, 256> bytes{};
    const auto count = ::read(key_fd_, bytes.data(), bytes.size());
    if (count == 0) key_fd_ = -1;  // the keyboard is gone; the screen goes on
    if (count <= 0) return true;
    const Json& stay = member(status_, "occupation");
    const Standing standing{text_of(stay, "name"), text_of(stay, "keep_gives") == "accepted", next_name(last_name_)};
    const auto wishes = keys_.press({bytes.data(), static_cast<std::size_t>(count)}, standing);
    if (const std::string remark = keys_.take_remark(); !remark.empty()) say(remark);
    return std::all_of(wishes.begin(), wishes.end(), [this](const Wish& wish) { return carry_out(wish); });
  }

  /// False: leave.
  bool carry_out(const Wish& wish) {
    switch (wish.act) {
      case Act::leave:
        return false;
      case Act::repaint:
        painter_.resize(size_.columns, size_.rows);
        break;
      case Act::quiet:
        ears_.be_quiet(now_ms());
        break;
      case Act::occupy:
        wished_ = wish;
        send(wish.act, "occupy", occupy_params(wish));
        break;
      case Act::keep:
        send(wish.act, "keep", meant());
        break;
      case Act::drop:
        send(wish.act, "drop", meant());
        break;
      case Act::seen:
        mark_seen();
        break;
    }
    return true;
  }

  static nlohmann::json occupy_params(const Wish& wish) {
    nlohmann::json out{{"name", wish.name}, {"again", wish.again}};
    if (wish.is_new) out["new"] = true;
    return out;
  }

  /// The stay that is on the screen: another may be open by now.
  nlohmann::json meant() const {
    const Json& stay = member(status_, "occupation");
    if (!stay.is_object()) return nullptr;
    return {{"name", text_of(stay, "name")}, {"visit", stay.value("visit", 1)}};
  }

  void mark_seen() {
    const auto shown = shown_alerts(status_, panel());
    if (shown.empty()) say(kSay.no_alert());
    for (const auto& [key, id] : shown) send(Act::seen, "alerts", {{"seen", true}, {"key", key}, {"id", id}});
  }

  void send(Act act, const std::string& method, const nlohmann::json& params) {
    if (lost()) return say(kSay.no_daemon_no_change());
    const auto id = link_->ask(method, params);
    if (!id) return lose();
    asked_[*id] = act;
  }

  void say(const std::string& text) {
    message_ = sentence(text);
    message_until_ms_ = now_ms() + kMessageStays_ms;
  }

  void ring() {
    const bool counts = situation_of(status_, lost()).counts();
    const Sound sound = ears_.hear(status_, counts, lost(), now_ms());
    if (!mute_) bell_.ring(sound, now_ms());
    if (bell_.stroke(now_ms())) out_ << '\a' << std::flush;
  }

  std::string sound_text() const {
    if (mute_) return kSay.sound_off();
    if (flag_of(status_, "training")) return kSay.sound_off_training();
    const std::int64_t left_ms = ears_.quiet_left_ms(now_ms());
    return left_ms > 0 ? kSay.quiet_for(std::to_string((left_ms + 999) / 1000)) : kSay.sound_on();
  }

  Panel panel() const {
    Panel out;
    out.columns = size_.columns;
    out.rows = size_.rows;
    out.lost = lost();
    out.heard_s = alive_.silent_for_s(now_ms());
    out.help = keys_.help();
    out.sound = sound_text();
    if (now_ms() < message_until_ms_) out.message = message_;
    out.prompt = keys_.prompt();
    return out;
  }

  void paint() {
    const TerminalSize now =
        around_.terminal_now ? around_.terminal_now() : TerminalSize{around_.columns, around_.rows, false};
    if (now.spoilt || now.columns != size_.columns || now.rows != size_.rows) painter_.resize(now.columns, now.rows);
    size_ = now;
    painter_.show(draw(status_, panel()));
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
  Json status_;
  Keys keys_;
  Ears ears_;
  Bell bell_;
  std::map<long long, Act> asked_;
  Wish wished_;  ///< the last stay that was to begin
  std::string last_name_, message_;
  std::int64_t message_until_ms_ = 0, retry_at_ms_ = 0;
};

}  // namespace

Outcome<void> watch(const std::string& path, const Surroundings& around, bool mute, std::ostream& out) {
  return Watch(path, around, mute, out).run();
}

}  // namespace stillpoint::client
