#include "clients/endpoint.hpp"

#include <array>
#include <cstdio>
#include <cstring>
#include <vector>

#include "base/number.hpp"
#include "common/file.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

namespace {

/// `0100007F:6DC5`: the address in the machine's words, the port in plain order, as /proc/net/tcp writes them.
std::string in_table(const tcp::endpoint& endpoint) {
  std::string out;
  const auto add = [&out](const std::uint8_t* bytes, std::size_t size) {
    for (std::size_t word = 0; word < size; word += 4) {
      std::uint32_t value = 0;
      std::memcpy(&value, bytes + word, 4);
      std::array<char, 16> text{};
      std::snprintf(text.data(), text.size(), "%08X", value);
      out += text.data();
    }
  };
  if (endpoint.address().is_v4()) {
    const auto bytes = endpoint.address().to_v4().to_bytes();
    add(bytes.data(), bytes.size());
  } else {
    const auto bytes = endpoint.address().to_v6().to_bytes();
    add(bytes.data(), bytes.size());
  }
  std::array<char, 16> port{};
  std::snprintf(port.data(), port.size(), ":%04X", static_cast<unsigned>(endpoint.port()));
  return out + port.data();
}

tcp::endpoint plain(const tcp::endpoint& endpoint) {
  return {plain_address(endpoint.address()), endpoint.port()};
}

}  // namespace

/// An IPv4 client of a socket that listens for both shows as a mapped address.
asio::ip::address plain_address(const asio::ip::address& address) {
  if (!address.is_v6() || !address.to_v6().is_v4_mapped()) return address;
  return asio::ip::make_address_v4(asio::ip::v4_mapped, address.to_v6());
}

std::optional<tcp::endpoint> endpoint_of(const std::string& listen) {
  const auto colon = listen.rfind(':');
  if (colon == std::string::npos) return std::nullopt;
  std::string host = listen.substr(0, colon);
  if (host.starts_with('[') && host.ends_with(']')) host = host.substr(1, host.size() - 2);
  error_code error;
  const auto address = asio::ip::make_address(host, error);
  const auto port = parse_integer(std::string_view(listen).substr(colon + 1));
  if (error || !port) return std::nullopt;
  return tcp::endpoint(address, static_cast<std::uint16_t>(*port));
}

std::optional<std::uint32_t> owner_in_table(std::string_view table, std::string_view local, std::string_view remote) {
  while (!table.empty()) {
    const std::string_view line = table.substr(0, table.find('\n'));
    table.remove_prefix(std::min(line.size() + 1, table.size()));
    std::vector<std::string_view> words;
    for (std::size_t at = 0; at < line.size() && words.size() < 8;) {
      const std::size_t begin = line.find_first_not_of(' ', at);
      if (begin == std::string_view::npos) break;
      at = std::min(line.find(' ', begin), line.size());
      words.push_back(line.substr(begin, at - begin));
    }
    if (words.size() < 8 || words[1] != local || words[2] != remote) continue;
    const auto uid = parse_integer(words[7]);
    if (uid) return static_cast<std::uint32_t>(*uid);
  }
  return std::nullopt;
}

std::optional<std::uint32_t> user_of(const tcp::socket& socket) {
  error_code error;
  const auto remote = socket.remote_endpoint(error);
  if (error) return std::nullopt;
  const auto local = socket.local_endpoint(error);
  if (error) return std::nullopt;
  const tcp::endpoint there = plain(remote), here = plain(local);
  const auto table = read_file(there.address().is_v4() ? "/proc/net/tcp" : "/proc/net/tcp6");
  if (!table) return std::nullopt;
  return owner_in_table(*table, in_table(there), in_table(here));
}

}  // namespace stillpoint::daemon
