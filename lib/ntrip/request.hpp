#pragma once
/// What a client of a caster sends: the request for a stream of corrections or for the table of streams, and the
/// receiver's position.
///
/// Trust:   a request may hold a password in a form that anybody can read; who sends it may neither log nor keep it.
/// Threads: pure functions.
/// Errors:  a text that would end its line early, or that is not ASCII, makes no request: `request_fault` says why.
/// Source:  RTCM 10410.0 (version 1) and 10410.1 (version 2), from memory; RFC 7617 (basic authorization); RFC 4648
///          (base 64).

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::ntrip {

/// Of the protocol: the first is spoken by old casters, and by many still.
enum class Version : std::uint8_t { v1, v2 };

struct Login {
  std::string user, password;
};

struct Request {
  Version version = Version::v2;
  std::string host;   ///< as the caster calls itself; with the port in version 2
  int port = 2101;    ///< 1 to 65535
  std::string mount;  ///< empty: the table of streams
  std::optional<Login> login{};
  std::string gga{};  ///< a GGA sentence without its line end, which version 2 can send along; empty: none
};

/// Empty: it can be sent. Never names the password.
std::string request_fault(const Request& request);
/// All lines and the blank one that ends them. `request` has no fault.
std::string text_of(const Request& request);

std::string base64(std::string_view bytes);

}  // namespace stillpoint::ntrip
