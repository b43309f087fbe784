#pragma once
/// What came of an act, in one sentence: its status first, beside what was wanted.
///
/// Threads: pure.

#include <string>

#include "client/wire_names.hpp"

namespace stillpoint::client {

/// Empty: there is nothing to say.
std::string reply_text(const std::string& method, const Json& result);
/// "6 mm off VM-11"; empty: nothing was compared.
std::string off_text(const Json& check);

}  // namespace stillpoint::client
