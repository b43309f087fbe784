#pragma once
/// The table of streams of a caster, nearest first: which mounts there are, how far away, and which want a position.
///
/// Trust:   what a caster says of a stream is printed without what cannot be seen; it proves nothing about its frame.
/// Threads: one; waits for the caster for ten seconds at most between two pieces.
/// Errors:  one sentence.

#include <string>

#include "base/result.hpp"
#include "geodesy/local.hpp"
#include "ntrip/source_table.hpp"
#include "stream.hpp"

namespace stillpoint::frames {

/// `caster`: host and port.
Result<std::string> mounts_of(const std::string& caster, const geodesy::Geographic& place,
                              const Encryption& encryption);

/// The page alone, of a table that has come.
std::string mounts_page(const ntrip::SourceTable& table, const std::string& caster, const geodesy::Geographic& place);

}  // namespace stillpoint::frames
