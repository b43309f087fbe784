#pragma once
/// Bytes of a keyboard as single keys: a byte, or the whole sequence that one key sends.
///
/// Threads: pure.

#include <string_view>
#include <vector>

namespace stillpoint::client {

inline constexpr std::string_view kEscapeKey = "\x1b";
inline constexpr char kRepaintKey = '\x0c';  ///< Ctrl-L

/// `bytes`: what one read gave, so that the escape key can be told from the sequences of arrow keys.
std::vector<std::string_view> keys_in(std::string_view bytes);
char small_letter(char key) noexcept;

}  // namespace stillpoint::client
