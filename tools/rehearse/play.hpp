#pragma once
/// Plays the scenario's bytes at its pace and lets a scripted crew act at its seconds.
///
/// Time:    the wall clock paces; with a scripted crew the stream waits for each command, so that a crew does the same
///          at every pace.
/// Threads: one. Errors: a sentence.

#include "caster.hpp"
#include "observer.hpp"
#include "options.hpp"
#include "outlet.hpp"
#include "simulate/simulation.hpp"

namespace stillpoint::rehearse {

/// The crew named: of the scenario, or "nothing" (does nothing) or "distrust" (measures like the first crew of the
/// scenario and throws everything away).
Result<simulate::Crew> crew_of(const simulate::Scenario& scenario, const std::string& name);

/// Where the scenario's bytes go.
struct Outlets {
  Outlet& receiver;
  Caster* caster = nullptr;  ///< null: nobody takes what the base sends
};

/// Until the scenario's end or a stop signal. `observer` may be null: then only the bytes are played.
Result<void> play(simulate::Simulation& simulation, Outlets outlets, Observer* observer, const simulate::Crew& crew,
                  const Options& options, const std::string& control);

}  // namespace stillpoint::rehearse
