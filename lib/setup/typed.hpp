#pragma once
/// What is typed as an answer, read.
///
/// Units:   lengths as typed: metres, millimetres, decimal feet or US survey feet, with their sign.
/// Time:    none.
/// Threads: pure functions.
/// Errors:  one sentence that says what to type instead.

#include <array>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "base/result.hpp"
#include "setup/answers.hpp"

namespace stillpoint::setup {

/// At which receivers send, the commonest first.
inline constexpr std::array<int, 9> kUsualBauds{115200, 38400, 9600, 57600, 230400, 4800, 460800, 19200, 921600};

std::string_view trimmed(std::string_view text) noexcept;
/// Split at blanks.
std::vector<std::string_view> words_of(std::string_view text);

/// `1.8`, `1.8 m`, `71 mm`, `6.2 ft`, `6.2 ft-us`. A comma is refused: 1,800 can be read in two ways.
Result<Length> length_of(std::string_view typed);

/// `host:port`, or the path of a device, with its baud rate behind it where that is known; `?` is an open device.
Result<Link> link_of(std::string_view typed);

/// `host:port`, with ` tls` behind it where the caster offers that.
Result<CasterAsked> caster_of(std::string_view typed);

/// One line of a text that people read.
Result<void> take_text(std::string_view typed, std::string& out);

}  // namespace stillpoint::setup
