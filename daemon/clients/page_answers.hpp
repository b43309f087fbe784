#pragma once
/// What the page's browsers are answered, as the bytes of HTTP/1.1, and what their stream tells.
///
/// Threads: pure. Time: `sent` is the machine's UTC. Units: none. Errors: none.

#include <string>
#include <string_view>

#include "base/time.hpp"
#include "clients/outlet.hpp"

namespace stillpoint::daemon {

/// Heads that go with the page's own files.
inline constexpr std::string_view kShellRules =
    "Content-Security-Policy: default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; "
    "img-src 'self' data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'; "
    "require-trusted-types-for 'script'\r\n";

/// Tells the page's script that its proof is worth nothing any more; other refusals say nothing about it.
inline constexpr std::string_view kKeyNeeded = "Stillpoint-Key: needed\r\n";

/// Up to the length of what follows; `more`: further heads.
std::string head_of(int status, std::string_view type, std::string_view more);
std::string answer(int status, std::string_view type, std::string_view text, std::string_view more = "");
std::string sentence_answer(int status, std::string_view sentence, std::string_view more = "");
std::string json_answer(int status, std::string_view body, std::string_view more = "");

/// One event of the stream.
std::string stream_event(std::string_view name, std::string_view data);
/// What the screen says first, in the words of the house, beside the status as the control socket gives it.
std::string status_event(const StatusNews& now, UtcTime sent);

}  // namespace stillpoint::daemon
