#include <algorithm>
#include <array>

#include "config/parts.hpp"

namespace stillpoint::config {
namespace {

constexpr std::array<std::string_view, 4> kKinds{"replay", "serial", "tcp", "udp"};
constexpr Range kPort{1, 65535, false, {}};

struct Ownership {
  std::string_view key;
  bool replay, serial, tcp, udp;
};
constexpr std::array<Ownership, 7> kOwners{{{"file", true, false, false, false},
                                            {"pace", true, false, false, false},
                                            {"device", false, true, false, false},
                                            {"baud", false, true, false, false},
                                            {"host", false, false, true, false},
                                            {"address", false, false, false, true},
                                            {"port", false, false, true, true}}};

bool owns(const Ownership& owner, FeedKind kind) {
  switch (kind) {
    case FeedKind::replay:
      return owner.replay;
    case FeedKind::serial:
      return owner.serial;
    case FeedKind::tcp:
      return owner.tcp;
    case FeedKind::udp:
      return owner.udp;
  }
  return false;
}

/// A key of another kind of feed is a mistake that would otherwise pass in silence.
void refuse_foreign_keys(Section& feed, FeedKind kind) {
  for (const Ownership& owner : kOwners) {
    if (!feed.has(owner.key) || owns(owner, kind)) continue;
    feed.complain(owner.key, "does not belong to a feed of the kind \"" +
                                 std::string(kKinds[static_cast<std::size_t>(kind)]) + "\", take it out");
  }
}

void read_baud(Section& feed, Feed& out) {
  std::optional<double> baud;
  if (!feed.read_or_word("baud", baud, {300, 4000000, false, "baud"}, "auto")) return;
  if (baud && *baud != static_cast<double>(static_cast<int>(*baud))) {
    feed.complain("baud", "is not a whole number, give a whole number from 300 to 4000000 baud, or \"auto\"");
  } else if (baud) {
    out.baud = static_cast<int>(*baud);
  }
}

void read_port(Section& feed, Feed& out) {
  int port = 0;
  if (feed.read("port", port, kPort, Need::required)) out.port = static_cast<std::uint16_t>(port);
}

void read_by_kind(Section& feed, Feed& out, const Context& context) {
  switch (out.kind) {
    case FeedKind::replay:
      read_path(feed, "file", out.file, context, Need::required);
      feed.read_or_word("pace", out.pace, {0, 100000, true, "times real time"}, "max");
      break;
    case FeedKind::serial:
      if (feed.read("device", out.device, {"the device, such as \"/dev/rfcomm0\"", 4096}, Need::required) &&
          out.device.front() != '/') {
        feed.complain("device", "is " + in_quotes(out.device) + ", give the whole path, such as \"/dev/rfcomm0\"");
      }
      read_baud(feed, out);
      break;
    case FeedKind::tcp:
      if (feed.read("host", out.host, {"a host name or an address", 253}, Need::required) &&
          out.host.find_first_of(" /") != std::string::npos) {
        feed.complain("host", "is " + in_quotes(out.host) + ", give a host name or an address alone");
      }
      read_port(feed, out);
      break;
    case FeedKind::udp:
      if (feed.read("address", out.address, {"the address to listen on, such as \"127.0.0.1\""}, Need::required) &&
          !is_address(out.address)) {
        feed.complain("address",
                      "is " + in_quotes(out.address) + ", give an address in figures, such as \"127.0.0.1\"");
      }
      read_port(feed, out);
      break;
  }
}

Feed read_feed(const Entry& where, const Value& item, std::size_t number, Context& context) {
  Feed out;
  const std::string title = "feed " + std::to_string(number) + ": ";
  if (item.kind != Value::Kind::table) {
    context.report.add(where.line, title + "is " + describe(item) + ", give a table that starts with [[feed]]");
    return out;
  }
  Section feed(context.report, &item, title, TableId::feed, item.line);
  feed.read("silence_s", out.silence_s, {0.5, 3600, false, "s"});
  const auto kind = feed.choose("kind", {kKinds.begin(), kKinds.end()}, Need::required);
  if (!kind) return out;
  out.kind = static_cast<FeedKind>(*kind);
  refuse_foreign_keys(feed, out.kind);
  read_by_kind(feed, out, context);
  return out;
}

}  // namespace

void read_feeds(Section& top, std::vector<Feed>& out, Context& context) {
  constexpr std::string_view kWhat = "at least one table that starts with [[feed]]";
  const Value* list = top.array("feed", kWhat, Need::required);
  if (list == nullptr) return;
  if (list->items.empty()) top.complain("feed", "is an empty array, give " + std::string(kWhat));
  const Entry where{"feed", top.line_of("feed"), {}};
  for (const Value& item : list->items) out.push_back(read_feed(where, item, out.size() + 1, context));
}

}  // namespace stillpoint::config
