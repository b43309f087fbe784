#pragma once
/// The streams of a caster's table by their distance from a place.
///
/// Units:   kilometres.
/// Threads: pure functions. Errors: none; a stream whose place is not told comes last.

#include <optional>
#include <vector>

#include "geodesy/local.hpp"
#include "ntrip/source_table.hpp"

namespace stillpoint::setup {

struct MountHere {
  const ntrip::Mount* mount;  ///< of the table, which must outlive it
  std::optional<double> far_km;
};

/// Nearest first. No place: as the table has them.
std::vector<MountHere> by_distance(const ntrip::SourceTable& table, const std::optional<geodesy::Geographic>& place);

}  // namespace stillpoint::setup
