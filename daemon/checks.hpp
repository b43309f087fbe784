#pragma once
/// Marks and checks between configuration, session and clients.
///
/// Units:   in the names. Threads: plain functions. Errors: one sentence.

#include <string>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

/// Reads the marks that the configuration names, if it names any, and gives them to the session.
Result<void> load_marks(session::Session& session, const config::Settings& settings);

/// For clients: `{"mark", "outcome", "text", …}`.
std::string check_json(const session::FinishedCheck& check);
std::string marks_json(const control::Marks& marks);

}  // namespace stillpoint::daemon
