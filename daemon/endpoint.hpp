#pragma once
/// The address a server of ours listens on.
///
/// Threads: plain function. Errors: empty for what is no address in figures with a port.

#include <boost/asio/ip/tcp.hpp>
#include <optional>
#include <string>

namespace stillpoint::daemon {

/// `127.0.0.1:28100` or `[::1]:28100`.
std::optional<boost::asio::ip::tcp::endpoint> endpoint_of(const std::string& listen);

}  // namespace stillpoint::daemon
