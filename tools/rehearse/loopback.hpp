#pragma once
/// Listening on this machine alone, and waiting in slices that a stop signal ends.
///
/// Threads: one. Errors: a sentence.

#include <string>

#include "base/result.hpp"

namespace stillpoint::rehearse {

struct Listener {
  int fd = -1;
  int port = 0;
};
/// `port` 0: any free one.
Result<Listener> listen_here(int port);

/// `what` is poll's; false also when a stop was asked for.
bool is_ready(int fd, short what, int ms);

/// The sentence, and what the system says of its last call.
tl::unexpected<Error> failed_here(const std::string& what);

}  // namespace stillpoint::rehearse
