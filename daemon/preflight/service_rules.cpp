#include "preflight/service_rules.hpp"

#include <algorithm>
#include <boost/asio/ip/address.hpp>
#include <boost/asio/ip/network_v4.hpp>
#include <boost/asio/ip/network_v6.hpp>
#include <filesystem>
#include <sstream>

#include "base/plain_file.hpp"

namespace stillpoint::daemon {
namespace {

namespace fs = std::filesystem;
namespace ip = boost::asio::ip;

constexpr std::uint64_t kMostUnitBytes = 65'536;
constexpr const char* kUnit = "stillpointd.service";

struct Rules {
  std::vector<std::string> allow, deny;
};

void take(std::vector<std::string>& list, const std::string& value) {
  std::istringstream words(value);
  bool is_empty = true;
  for (std::string word; words >> word; is_empty = false) list.push_back(word);
  if (is_empty) list.clear();
}

Rules rules_of(const std::string& text) {
  Rules out;
  std::istringstream lines(text);
  for (std::string line; std::getline(lines, line);) {
    if (line.starts_with("IPAddressAllow=")) take(out.allow, line.substr(15));
    if (line.starts_with("IPAddressDeny=")) take(out.deny, line.substr(14));
  }
  return out;
}

/// The words that systemd has for networks.
std::vector<std::string> networks_of(const std::string& word) {
  if (word == "any") return {"0.0.0.0/0", "::/0"};
  if (word == "localhost") return {"127.0.0.0/8", "::1/128"};
  if (word == "link-local") return {"169.254.0.0/16", "fe80::/64"};
  if (word == "multicast") return {"224.0.0.0/4", "ff00::/8"};
  return {word};
}

bool is_within(const ip::address& address, const std::string& network) {
  boost::system::error_code wrong;
  if (network.find('/') == std::string::npos) return ip::make_address(network, wrong) == address && !wrong;
  if (address.is_v4()) {
    const auto net = ip::make_network_v4(network, wrong);
    return !wrong && ip::make_network_v4(address.to_v4(), net.prefix_length()).canonical() == net.canonical();
  }
  const auto net = ip::make_network_v6(network, wrong);
  return !wrong && ip::make_network_v6(address.to_v6(), net.prefix_length()).canonical() == net.canonical();
}

bool holds(const std::vector<std::string>& words, const ip::address& address) {
  return std::any_of(words.begin(), words.end(), [&](const std::string& word) {
    const auto networks = networks_of(word);
    return std::any_of(networks.begin(), networks.end(), [&](const auto& net) { return is_within(address, net); });
  });
}

/// An address of the Internet, or a network of such: no private one, no word.
bool is_public(const std::string& word) {
  static const std::vector<std::string> kPrivate{"localhost",     "link-local",     "multicast", "10.0.0.0/8",
                                                 "172.16.0.0/12", "192.168.0.0/16", "fc00::/7"};
  boost::system::error_code wrong;
  const ip::address address = ip::make_address(word.substr(0, word.find('/')), wrong);
  return !wrong && !holds(kPrivate, address);
}

}  // namespace

LetsOut lets_out(const std::string& text, const std::string& host) {
  const Rules rules = rules_of(text);
  if (rules.deny.empty()) return LetsOut::yes;
  boost::system::error_code is_name;
  const ip::address address = ip::make_address(host == "localhost" ? "127.0.0.1" : host, is_name);
  if (!is_name) return holds(rules.allow, address) || !holds(rules.deny, address) ? LetsOut::yes : LetsOut::no;
  const auto is_any = [](const std::string& word) { return word == "any"; };
  if (std::any_of(rules.allow.begin(), rules.allow.end(), is_any)) return LetsOut::yes;
  if (std::none_of(rules.deny.begin(), rules.deny.end(), is_any)) return LetsOut::unknown;
  return std::any_of(rules.allow.begin(), rules.allow.end(), is_public) ? LetsOut::unknown : LetsOut::no;
}

std::vector<std::string> unit_folders() {
  return {"/etc/systemd/system", "/run/systemd/system", "/usr/local/lib/systemd/system", "/usr/lib/systemd/system",
          "/lib/systemd/system"};
}

std::string installed_unit(const std::vector<std::string>& folders) {
  std::string unit;
  std::vector<fs::path> drop_ins;
  for (const std::string& folder : folders) {
    if (unit.empty()) unit = read_plain_file(folder + "/" + kUnit, kMostUnitBytes).value_or("");
    std::error_code none;
    for (const auto& entry : fs::directory_iterator(fs::path(folder) / (std::string(kUnit) + ".d"), none)) {
      const auto same = [&](const fs::path& known) { return known.filename() == entry.path().filename(); };
      const bool is_new = std::none_of(drop_ins.begin(), drop_ins.end(), same);
      if (entry.path().extension() == ".conf" && is_new) drop_ins.push_back(entry.path());
    }
  }
  if (unit.empty()) return {};
  std::sort(drop_ins.begin(), drop_ins.end(), [](const auto& a, const auto& b) { return a.filename() < b.filename(); });
  for (const fs::path& path : drop_ins) unit += "\n" + read_plain_file(path.string(), kMostUnitBytes).value_or("");
  return unit;
}

}  // namespace stillpoint::daemon
