#pragma once
/// The exit statuses of the programs that recompute.

namespace stillpoint::reduce {

enum Exit : int { kAllAccepted = 0, kSomeHeld = 1, kUsage = 2, kCannotWrite = 3, kCannotRead = 4 };

}  // namespace stillpoint::reduce
