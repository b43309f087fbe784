#pragma once
/// Asks a caster for the table of its streams.
///
/// Threads: one; waits for the caster for ten seconds at most between two pieces.
/// Errors:  one sentence.

#include <string>

#include "base/result.hpp"
#include "ntrip/request.hpp"
#include "ntrip/source_table.hpp"
#include "stream.hpp"

namespace stillpoint::frames {

Result<ntrip::SourceTable> table_of(const std::string& host, int port, const Encryption& encryption = {});

}  // namespace stillpoint::frames
