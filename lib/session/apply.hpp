#pragma once
/// What a journal's entry does to a session: the daemon and every recomputation call this, so that they do the same.
///
/// Time:    an event of the feed says when it was; a command acts on the session as it stands, so advance it first.
/// Threads: the session's.
/// Errors:  a refused command says why in one sentence. What means nothing to a session (`Started`, `CloseDay`,
///          `Unknown`, a state of the feed without a meaning) is done and changes nothing.

#include <optional>

#include "record/command.hpp"
#include "session/session.hpp"

namespace stillpoint::session {

/// `computed_anew`: how the stay that begins here differs from the day's.
CommandResult apply(Session& session, const record::Command& command, SteadyTime at,
                    const std::optional<Again>& computed_anew = {});

}  // namespace stillpoint::session
