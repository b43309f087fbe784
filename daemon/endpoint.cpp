#include "endpoint.hpp"

#include "base/number.hpp"

namespace stillpoint::daemon {

namespace asio = boost::asio;
using asio::ip::tcp;
using boost::system::error_code;

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

}  // namespace stillpoint::daemon
