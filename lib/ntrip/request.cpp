#include "ntrip/request.hpp"

#include <algorithm>

#include "ntrip/sentences.hpp"

namespace stillpoint::ntrip {
namespace {

constexpr std::string_view kAgent = "NTRIP Stillpoint";
constexpr std::size_t kLongest = 128;

bool is_visible(char c) noexcept {
  return c > ' ' && c <= '~';
}

bool is_one_word(std::string_view text) noexcept {
  return text.size() <= kLongest && std::all_of(text.begin(), text.end(), is_visible);
}

/// RFC 7617 forbids control characters in both, and a colon in the name.
bool can_be_sent(const Login& login) noexcept {
  const auto is_control = [](char c) { return static_cast<unsigned char>(c) < 0x20 || c == 0x7F; };
  const auto is_clean = [&](std::string_view text) {
    return text.size() <= kLongest && std::none_of(text.begin(), text.end(), is_control);
  };
  return is_clean(login.user) && is_clean(login.password) && login.user.find(':') == std::string::npos;
}

void add(std::string& text, std::string_view name, std::string_view value) {
  text.append(name).append(": ").append(value).append("\r\n");
}

}  // namespace

std::string base64(std::string_view bytes) {
  constexpr std::string_view kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  for (; !bytes.empty(); bytes.remove_prefix(std::min<std::size_t>(3, bytes.size()))) {
    std::uint32_t three = 0;
    for (std::size_t i = 0; i < 3; ++i)
      three = three << 8U | (i < bytes.size() ? static_cast<unsigned char>(bytes[i]) : 0U);
    for (std::size_t i = 0; i < 4; ++i) text += i <= bytes.size() ? kLetters[three >> (18 - 6 * i) & 63U] : '=';
  }
  return text;
}

std::string request_fault(const Request& request) {
  if (request.host.empty() || !is_one_word(request.host)) return std::string(kSay.bad_host.words());
  if (request.port < 1 || request.port > 65535) return kSay.bad_port(std::to_string(request.port));
  if (!is_one_word(request.mount) || request.mount.find('/') != std::string::npos) {
    return std::string(kSay.bad_mount.words());
  }
  if (request.login && !can_be_sent(*request.login)) return std::string(kSay.bad_login.words());
  const bool one_line = std::all_of(request.gga.begin(), request.gga.end(), is_visible);
  return one_line ? "" : std::string(kSay.bad_gga.words());
}

std::string text_of(const Request& request) {
  const bool is_v2 = request.version == Version::v2;
  std::string text = "GET /" + request.mount + (is_v2 ? " HTTP/1.1\r\n" : " HTTP/1.0\r\n");
  if (is_v2) {
    const bool is_v6 = request.host.find(':') != std::string::npos;
    add(text, "Host", (is_v6 ? "[" + request.host + "]" : request.host) + ":" + std::to_string(request.port));
    add(text, "Ntrip-Version", "Ntrip/2.0");
  }
  add(text, "User-Agent", kAgent);
  if (request.login) add(text, "Authorization", "Basic " + base64(request.login->user + ":" + request.login->password));
  if (is_v2 && !request.gga.empty()) add(text, "Ntrip-GGA", request.gga);
  if (is_v2) add(text, "Connection", "close");
  return text + "\r\n";
}

}  // namespace stillpoint::ntrip
