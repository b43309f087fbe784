#include <arpa/inet.h>
#include <netinet/in.h>

#include <string>
#include <utility>

#include "base/number.hpp"
#include "config/parts.hpp"

namespace stillpoint::config {

bool is_address(const std::string& text) noexcept {
  in_addr v4{};
  in6_addr v6{};
  return inet_pton(AF_INET, text.c_str(), &v4) == 1 || inet_pton(AF_INET6, text.c_str(), &v6) == 1;
}

std::optional<std::pair<std::string, std::uint16_t>> host_and_port(const std::string& text) {
  const auto colon = text.rfind(':');
  if (colon == std::string::npos || colon == 0) return std::nullopt;
  const auto port = parse_integer(std::string_view(text).substr(colon + 1));
  if (!port || *port < 1 || *port > 65535) return std::nullopt;
  std::string host = text.substr(0, colon);
  const bool bracketed = host.size() > 2 && host.front() == '[' && host.back() == ']';
  if (bracketed) host = host.substr(1, host.size() - 2);
  const bool has_colon = host.find(':') != std::string::npos;
  if (has_colon != bracketed || (bracketed && !is_address(host))) return std::nullopt;
  return std::pair(std::move(host), static_cast<std::uint16_t>(*port));
}

bool is_listen(const std::string& text) noexcept {
  const auto parts = host_and_port(text);
  return parts && is_address(parts->first);
}

bool is_loopback_listen(const std::string& text) noexcept {
  return is_listen(text) && (text.rfind("[::1]:", 0) == 0 || text.rfind("127.", 0) == 0);
}

}  // namespace stillpoint::config
