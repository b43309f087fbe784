#pragma once
/// Why no corrections reach the receiver: one reason at a time, told apart, with its sentence.
///
/// Threads: plain values. Errors: none.

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace stillpoint::corrections {

enum class Stop : std::uint8_t {
  none,
  no_name,     ///< of the caster's host
  refused,     ///< by its host
  timed_out,   ///< nothing answers there
  reset,       ///< the connection broke off
  closed,      ///< by the caster
  tls,         ///< the caster did not prove its name
  login_file,  ///< of ours, which cannot be used
  login_refused,
  mount_unknown,
  caster_error,      ///< it says that it cannot serve
  no_caster,         ///< what answers speaks another protocol
  caster_silent,     ///< it takes the connection and says nothing
  mount_silent,      ///< it answers, and nothing comes
  damaged,           ///< bytes come, and no frame has a right checksum
  receiver_stalled,  ///< its link is up and takes nothing
  receiver_gone,     ///< its link is down
  program_silent,    ///< another program brings them, and brings none
};
/// `none` `no-name` … `program-silent`
std::string_view to_word(Stop stop) noexcept;
std::optional<Stop> stop_from_word(std::string_view word) noexcept;

/// Waiting longer does not help: the caster has answered and will not serve as asked, or we cannot ask.
bool is_refusal(Stop stop) noexcept;

/// More of what a caster or a system says is cut off.
inline constexpr std::size_t kLongestDetail = 48;

/// A sentence without capital and full stop. `detail`: what the caster or the system says; empty: nothing.
std::string why_text(Stop stop, const std::string& detail);
/// In 48 characters at most.
std::string why_briefly(Stop stop);

/// How the connection to a caster stands.
enum class LinkState : std::uint8_t { none, connecting, running, stopped };
/// `none` `connecting` `running` `stopped`
std::string_view to_word(LinkState state) noexcept;
std::optional<LinkState> link_state_from_word(std::string_view word) noexcept;

}  // namespace stillpoint::corrections
