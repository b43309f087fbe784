#pragma once
/// What is known of corrections during a day: of those the receiver uses, of those that are on their way to it, and of
/// the base they come from. Not for other rooms.
///
/// Threads: the session's. Errors: none.

#include "session/base_watch.hpp"
#include "session/corrections_watch.hpp"
#include "session/delivery.hpp"

namespace stillpoint::session {

struct CorrectionsOfDay {
  explicit CorrectionsOfDay(const Basis& basis) : used(basis.settings.sources), base(basis) {}

  CorrectionsWatch used;
  Delivery sent;
  BaseWatch base;
};

}  // namespace stillpoint::session
