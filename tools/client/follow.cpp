#include "client/follow.hpp"

#include <optional>
#include <ostream>
#include <vector>

#include "client/liveness.hpp"
#include "client/painter.hpp"
#include "client/panel.hpp"
#include "client/steady.hpp"
#include "client/tables.hpp"

namespace stillpoint::client {
namespace {

Surroundings without_terminal(Surroundings around) {
  around.terminal = false;
  return around;
}

/// The status that is shown, where from, and whether it still holds.
class StatusFollower {
 public:
  StatusFollower(const std::string& path, const Surroundings& around, bool json, std::ostream& out)
      : path_(path),
        around_(around),
        json_(json),
        out_(out),
        painter_(out, without_terminal(around)),
        alive_(now_ms(), around.quiet_ms) {}

  Outcome<void> run() {
    auto first = start_following(path_, around_);
    if (!first) return tl::unexpected(first.error());
    link_.emplace(*std::move(first));
    alive_.heard(now_ms());
    while (out_) {
      const auto going = listen();
      if (!going) return tl::unexpected(going.error());
      if (!*going) return {};
    }
    return {};
  }

 private:
  /// False: the user wants to stop.
  Outcome<bool> listen() {
    Message message;
    const auto came = link_->next(message, 250);
    if (!came) return lose(came.error());
    if (*came == Link::Came::stop) return false;
    if (*came == Link::Came::message) {
      alive_.heard(now_ms());
      if (is_status(message)) take(message);
      return true;
    }
    if (alive_.ask_once(now_ms())) {
      if (const auto asked = link_->ask("status"); !asked) return lose(asked.error());
    }
    if (alive_.lost(now_ms())) paint();
    return true;
  }

  Outcome<bool> lose(const Failure& why) {
    show(true);
    return tl::unexpected(why);
  }

  /// A notification, or the answer to our own question whether the daemon is there.
  bool is_status(const Message& message) const {
    return message.method == "status" || (!json_ && message.method.empty() && message.value.contains("verdict"));
  }

  void take(const Message& message) {
    if (json_) {
      out_ << message.text << std::endl;
      return;
    }
    take_status(day_, message.value, now_ms());
    paint();
  }

  void paint() { show(alive_.lost(now_ms())); }
  void show(bool lost) {
    if (json_) return;
    Panel panel;
    panel.now = {now_ms(), lost, alive_.silent_for_s(now_ms()), around_.zone_now ? around_.zone_now() : 0};
    Screen screen;
    screen.lines = plain_lines(day_, panel, false);
    painter_.show(screen);
  }

  std::string path_;
  Surroundings around_;
  bool json_;
  std::ostream& out_;
  Painter painter_;
  Liveness alive_;
  std::optional<Link> link_;
  Day day_;
};

}  // namespace

Outcome<Link> start_following(const std::string& path, const Surroundings& around) {
  auto link = Link::open(path, {around.answer_ms, around.stop_fd});
  if (!link) return link;
  if (const auto following = link->call("follow"); !following) return tl::unexpected(following.error());
  return link;
}

Outcome<void> follow_status(const std::string& path, const Surroundings& around, bool json, std::ostream& out) {
  return StatusFollower(path, around, json, out).run();
}

Outcome<void> follow_alerts(const std::string& path, const Surroundings& around, const nlohmann::json& params,
                            bool json, std::ostream& out) {
  auto link = start_following(path, around);
  if (!link) return tl::unexpected(link.error());
  // Asked on the same line and after `follow`, so that no alert falls between the list and what comes later.
  const auto list = link->call("alerts", params);
  if (!list) return tl::unexpected(list.error());
  if (json) out << list->text << '\n';
  for (const std::string& line : json ? std::vector<std::string>() : alert_lines(list->value)) out << line << '\n';
  while (out.flush()) {
    Message message;
    const auto came = link->next(message, 1000);
    if (!came) return tl::unexpected(came.error());
    if (*came == Link::Came::stop) return {};
    if (*came == Link::Came::message && message.method == "alert")
      out << (json ? message.text : alert_line(message.value)) << '\n';
  }
  return {};
}

}  // namespace stillpoint::client
