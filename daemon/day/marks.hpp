#pragma once
/// Marks and checks between configuration, session and clients.
///
/// Units:   in the names. Threads: plain functions. Errors: one sentence.

#include <string>

#include "base/result.hpp"
#include "config/settings.hpp"
#include "session/session.hpp"

namespace stillpoint::daemon {

/// The marks of the file that the configuration names; none when it names none.
Result<control::Marks> marks_of(const config::Settings& settings);
/// Gives them to the session, and says which rows are none.
Result<void> load_marks(session::Session& session, const config::Settings& settings);

/// For clients: `{"mark", "outcome", "text", …}`.
std::string check_json(const session::FinishedCheck& check);
std::string marks_json(const control::Marks& marks);

}  // namespace stillpoint::daemon
