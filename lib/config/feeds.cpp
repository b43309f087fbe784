#include <algorithm>
#include <array>

#include "config/parts.hpp"
#include "config/sentences.hpp"

namespace stillpoint::config {
namespace {

constexpr std::array<std::string_view, 4> kKinds{"replay", "serial", "tcp", "udp"};
constexpr Range kPort{1, 65535, false, {}};

struct Ownership {
  std::string_view key;
  bool replay, serial, tcp, udp;
};
constexpr std::array<Ownership, 8> kOwners{{{"file", true, false, false, false},
                                            {"pace", true, false, false, false},
                                            {"device", false, true, false, false},
                                            {"baud", false, true, false, false},
                                            {"host", false, false, true, false},
                                            {"address", false, false, false, true},
                                            {"port", false, false, true, true},
                                            {"from", false, false, false, true}}};

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
    feed.complain(owner.key, kSay.foreign_key(kKinds[static_cast<std::size_t>(kind)]));
  }
}

void read_baud(Section& feed, Feed& out) {
  std::optional<double> baud;
  if (!feed.read_or_word("baud", baud, {300, 4000000, false, "baud"}, "auto")) return;
  if (baud && *baud != static_cast<double>(static_cast<int>(*baud))) {
    feed.complain("baud", kSay.baud_not_whole());
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
      feed.read_or_word("pace", out.pace, {0, 100000, true, kSay.times_real_time.words()}, "max");
      break;
    case FeedKind::serial:
      if (feed.read("device", out.device, {kSay.device.words(), 4096}, Need::required) && out.device.front() != '/') {
        feed.complain("device", kSay.wrong(in_quotes(out.device), kSay.whole_device()));
      }
      read_baud(feed, out);
      break;
    case FeedKind::tcp:
      if (feed.read("host", out.host, {kSay.host.words(), 253}, Need::required) &&
          out.host.find_first_of(" /") != std::string::npos) {
        feed.complain("host", kSay.wrong(in_quotes(out.host), kSay.host_alone()));
      }
      read_port(feed, out);
      break;
    case FeedKind::udp:
      if (feed.read("address", out.address, {kSay.udp_address.words()}, Need::required) && !is_address(out.address)) {
        feed.complain("address", kSay.wrong(in_quotes(out.address), kSay.address_in_figures()));
      }
      read_port(feed, out);
      if (feed.read("from", out.from, {kSay.udp_from.words()}) && !is_address(out.from)) {
        feed.complain("from", kSay.wrong(in_quotes(out.from), kSay.sender_in_figures()));
      }
      break;
  }
}

Feed read_feed(const Entry& where, const Value& item, std::size_t number, Context& context) {
  Feed out;
  const std::string title = "feed " + std::to_string(number) + ": ";
  if (item.kind != Value::Kind::table) {
    context.report.add(where.line, title + kSay.wrong(describe(item), kSay.table_that_starts("feed")));
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
  const std::string what = kSay.one_table_at_least("feed");
  const Value* list = top.array("feed", what, Need::required);
  if (list == nullptr) return;
  if (list->items.empty()) top.complain("feed", kSay.empty_array(what));
  const Entry where{"feed", top.line_of("feed"), {}};
  for (const Value& item : list->items) out.push_back(read_feed(where, item, out.size() + 1, context));
}

}  // namespace stillpoint::config
