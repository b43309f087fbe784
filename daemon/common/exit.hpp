#pragma once
/// The exit statuses of the daemon.

namespace stillpoint::daemon {

inline constexpr int kExitClean = 0;
inline constexpr int kExitNothingCounts = 1;  // --check-feed: nothing came, or nothing that can count
inline constexpr int kExitConfiguration = 2;
inline constexpr int kExitCannotStart = 3;
inline constexpr int kExitLost = 3;  ///< stopped, and something that was measured could be written nowhere

}  // namespace stillpoint::daemon
