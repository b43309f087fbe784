#pragma once
/// The running daemon: takes what only one can have (control socket, pointbook), joins the parts, and stops in order.
///
/// Order of stopping: no new clients and no more bytes; the open occupation is kept as held; points go to the store;
/// clients get their last answers; then `run` returns.
///
/// Time:    stopped within two seconds of the first signal.
/// Threads: `run` is the I/O thread.
/// Errors:  one sentence with the exit status it means.

#include <optional>
#include <string>

#include "clients/page_rules.hpp"
#include "config/settings.hpp"
#include "geodesy/frames.hpp"

namespace stillpoint::daemon {

/// Live work, or training: then every point carries the mark, and the pointbook takes nothing but training points.
enum class Purpose : bool { live, training };

/// Runs until a signal; returns the exit status. Sentences about failures go to stderr.
/// `keys`: who may act on the page already.
int run_daemon(const config::Settings& settings, geodesy::Frames frames, const std::string& version, Purpose purpose,
               std::optional<PageKeys> keys = {});

}  // namespace stillpoint::daemon
