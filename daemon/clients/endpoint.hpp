#pragma once
/// The address a server of ours listens on, and who is at the other end of a connection.
///
/// Threads: plain function. Errors: empty for what is no address in figures with a port.

#include <boost/asio/ip/tcp.hpp>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::daemon {

/// `127.0.0.1:28100` or `[::1]:28100`.
std::optional<boost::asio::ip::tcp::endpoint> endpoint_of(const std::string& listen);

/// The plain IPv4 address of one that is written as an IPv6 address, as sockets for both families do.
boost::asio::ip::address plain_address(const boost::asio::ip::address& address);

/// The user that holds the other end of a TCP connection on this machine, from the text of /proc/net/tcp or tcp6:
/// `local` and `remote` as that table writes them, seen from the other end.
std::optional<std::uint32_t> owner_in_table(std::string_view table, std::string_view local, std::string_view remote);

/// The user at the other end of a socket of ours; nothing when the other end is not on this machine or already gone.
std::optional<std::uint32_t> user_of(const boost::asio::ip::tcp::socket& socket);

}  // namespace stillpoint::daemon
