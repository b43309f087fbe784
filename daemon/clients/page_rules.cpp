#include "clients/page_rules.hpp"

#include <algorithm>
#include <array>

#include "clients/sentences.hpp"

namespace stillpoint::daemon {
namespace {

using Refused = tl::unexpected<PageRefusal>;

Refused refuse(int status, std::string_view why, std::string_view allow = {}) {
  return Refused(PageRefusal{status, why, allow});
}

std::string small(std::string_view text) {
  std::string out(text);
  for (char& c : out) c = static_cast<char>(c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c);
  return out;
}

/// `application/json`, with nothing beside it but the one character set that JSON has.
bool is_json(std::string_view type) {
  std::string plain = small(type);
  plain.erase(std::remove(plain.begin(), plain.end(), ' '), plain.end());
  return plain == "application/json" || plain == "application/json;charset=utf-8";
}

/// Where the request comes from, by the words that no foreign page can choose.
std::optional<PageRefusal> foreign(const PageRequest& request, const PageDoor& door) {
  if (request.hosts.size() != 1) return PageRefusal{400, kSayToClients.one_host.words()};
  const std::string host = small(request.hosts.front());
  if (std::find(door.hosts.begin(), door.hosts.end(), host) == door.hosts.end())
    return PageRefusal{403, kSayToClients.own_address.words()};
  for (const std::string& origin : request.origins) {
    if (small(origin) != "http://" + host) return PageRefusal{403, kSayToClients.other_site.words()};
  }
  const bool opened = request.method == "GET" && request.target == "/";
  for (const std::string& site : request.sites) {
    if (site == "same-origin" || (site == "none" && opened)) continue;
    return PageRefusal{403, kSayToClients.type_address.words()};
  }
  return std::nullopt;
}

struct Place {
  std::string_view path;
  PageTask task;
};
constexpr std::array<Place, 7> kPlaces{{{"/events", PageTask::events},
                                        {"/points", PageTask::points},
                                        {"/marks", PageTask::marks},
                                        {"/plan", PageTask::plan},
                                        {"/antenna", PageTask::antenna},
                                        {"/key", PageTask::key},
                                        {"/control", PageTask::control}}};

}  // namespace

std::vector<std::string> page_hosts(const std::string& address, bool is_loopback, std::uint16_t port) {
  std::vector<std::string> names{address.find(':') == std::string::npos ? address : "[" + address + "]"};
  if (is_loopback) names.emplace_back("localhost");
  std::vector<std::string> out;
  for (const std::string& name : names) {
    out.push_back(name + ":" + std::to_string(port));
    if (port == 80) out.push_back(name);
  }
  return out;
}

tl::expected<PageTask, PageRefusal> admit(const PageRequest& request, const PageDoor& door,
                                          const std::vector<std::string>& files) {
  if (const auto stranger = foreign(request, door)) return Refused(*stranger);
  const auto* place =
      std::find_if(kPlaces.begin(), kPlaces.end(), [&](const Place& each) { return each.path == request.target; });
  const bool is_file = std::find(files.begin(), files.end(), request.target) != files.end();
  if (!is_file && place == kPlaces.end()) return refuse(404, kSayToClients.nothing_here.words());
  const PageTask task = is_file ? PageTask::file : place->task;
  const bool acts = task == PageTask::key || task == PageTask::control;
  const std::string_view method = acts ? "POST" : "GET";
  if (request.method == "HEAD" && is_file) return task;
  if (request.method != method) return refuse(405, kSayToClients.other_way.words(), method);
  if (!acts)
    return request.body_bytes == 0 ? tl::expected<PageTask, PageRefusal>(task)
                                   : refuse(400, kSayToClients.no_text.words());
  if (!door.from_here) return refuse(403, kSayToClients.other_machine.words());
  if (request.origins.size() != 1) return refuse(403, kSayToClients.page_itself.words());
  if (!is_json(request.content_type)) return refuse(415, kSayToClients.only_json.words());
  if (request.body_bytes > kPageMostBodyBytes) return refuse(413, kSayToClients.too_long.words());
  return task;
}

bool same_secret(std::string_view a, std::string_view b) noexcept {
  unsigned difference = a.size() == b.size() ? 0U : 1U;
  for (std::size_t i = 0; i < a.size() && i < b.size(); ++i) {
    difference |= static_cast<unsigned>(static_cast<unsigned char>(a[i])) ^ static_cast<unsigned char>(b[i]);
  }
  return difference == 0;
}

std::string plain_key(std::string_view typed) {
  std::string out;
  for (const char c : typed) {
    if (c == '-' || c == ' ' || c == '\n' || c == '\r') continue;
    out += static_cast<char>(c >= 'a' && c <= 'z' ? c - 'a' + 'A' : c);
  }
  return out;
}

std::optional<std::size_t> gives_way(const std::vector<PagePeer>& streams, const PagePeer& newcomer) {
  const auto of = [&streams](const std::string& name) {
    return std::count_if(streams.begin(), streams.end(), [&name](const PagePeer& each) { return each.name == name; });
  };
  std::optional<std::size_t> out;
  std::ptrdiff_t most = 0;
  const std::ptrdiff_t own = of(newcomer.name);
  for (std::size_t i = 0; i < streams.size(); ++i) {
    const std::ptrdiff_t count = of(streams[i].name);
    const bool below = newcomer.owner && !streams[i].owner;
    const bool even = newcomer.owner == streams[i].owner && count >= own + 2;
    if (!(below || even) || count <= most) continue;
    most = count;
    out = i;
  }
  return out;
}

PageKeys::Answer PageKeys::exchange(std::string_view typed, MachineTime now) {
  if (!same_secret(plain_key(typed), plain_key(key_))) {
    const bool too_soon = tried_ && now.ms - tried_->ms < kBetweenTries_ms;
    if (!too_soon) tried_ = now;
    return too_soon ? Answer::too_soon : Answer::wrong;
  }
  if (holders_.size() >= kMostHolders) holders_.pop_front();
  Holder holder{fresh_(), fresh_()};
  holders_.push_back(std::move(holder));
  key_ = fresh_();
  tried_.reset();
  return Answer::given;
}

bool PageKeys::may_act(std::string_view cookies, std::string_view proof) const {
  bool out = false;
  while (!cookies.empty()) {
    std::string_view one = cookies.substr(0, cookies.find(';'));
    cookies.remove_prefix(std::min(one.size() + 1, cookies.size()));
    one.remove_prefix(std::min(one.find_first_not_of(' '), one.size()));
    if (!one.starts_with(kPageCookie) || one.substr(kPageCookie.size(), 1) != "=") continue;
    one.remove_prefix(kPageCookie.size() + 1);
    for (const Holder& holder : holders_) {
      const bool cookie = same_secret(one, holder.cookie);
      const bool proven = same_secret(proof, holder.proof);  // asked whatever the cookie is
      out = out || (cookie && proven);
    }
  }
  return out;
}

std::string key_text(std::string_view random_bytes) {
  constexpr std::string_view kLetters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789";
  static_assert(kLetters.size() == 32);
  std::string out;
  for (std::size_t i = 0; i < random_bytes.size(); ++i) {
    if (i > 0 && i % 5 == 0) out += '-';
    out += kLetters[static_cast<unsigned char>(random_bytes[i]) & 31U];
  }
  return out;
}

}  // namespace stillpoint::daemon
