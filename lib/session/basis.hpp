#pragma once
/// What a day is measured with, from its beginning to its end. Not for other rooms.
///
/// Threads: the session's. Errors: none.

#include "config/settings.hpp"
#include "geodesy/frames.hpp"
#include "session/alerts.hpp"
#include "session/session.hpp"

namespace stillpoint::session {

struct Basis {
  config::Settings settings;
  geodesy::Frames frames;
  Options options;
};

/// Enters an event among what has come out.
inline void note(Outputs& out, const Moment& moment, std::string kind, std::string text) {
  out.events.push_back({moment.utc, std::move(kind), std::move(text)});
}

}  // namespace stillpoint::session
