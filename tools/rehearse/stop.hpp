#pragma once
/// Ctrl-C ends the day early: whoever waits looks here.
///
/// Threads: safe from all; the signals set one flag. Errors: none.

namespace stillpoint::rehearse {

/// True once SIGINT, SIGTERM or SIGHUP came.
bool stop_asked() noexcept;
void catch_stop_signals() noexcept;

}  // namespace stillpoint::rehearse
