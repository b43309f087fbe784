#include "session/status.hpp"

#include <array>

namespace stillpoint::session {

std::string_view to_word(FeedState state) noexcept {
  static constexpr std::array<std::string_view, 5> kWords{"waiting", "open", "silent", "frozen", "ended"};
  return kWords[static_cast<std::size_t>(state)];
}

std::string_view to_word(Severity severity) noexcept {
  static constexpr std::array<std::string_view, 3> kWords{"notice", "warning", "stop-work"};
  return kWords[static_cast<std::size_t>(severity)];
}

std::string_view to_word(FrameProofState state) noexcept {
  static constexpr std::array<std::string_view, 3> kWords{"open", "proven", "contradicted"};
  return kWords[static_cast<std::size_t>(state)];
}

std::string_view to_word(KeepGives gives) noexcept {
  static constexpr std::array<std::string_view, 3> kWords{"nothing", "held", "accepted"};
  return kWords[static_cast<std::size_t>(gives)];
}

}  // namespace stillpoint::session
