#pragma once
/// The folder a training daemon works in, with a configuration made from the scenario's own.

#include <string>

#include "base/result.hpp"
#include "caster.hpp"
#include "outlet.hpp"
#include "simulate/scenario.hpp"

namespace stillpoint::rehearse {

struct Workplace {
  std::string folder, config, control, log;
};

/// Creates the folder (a new one under the temporary folder when `folder` is empty) and writes the configuration: the
/// scenario's, with feed, pointbook, record, alerts, page, relay, corrections and socket replaced. `caster`: null
/// where the scenario has no base.
Result<Workplace> make_workplace(const simulate::Scenario& scenario, const std::string& folder, const Outlet& outlet,
                                 const Caster* caster);

Result<std::string> read_text(const std::string& path, const std::string& what);

}  // namespace stillpoint::rehearse
