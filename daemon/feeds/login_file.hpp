#pragma once
/// The user name and the password for a caster, from a file of their own.
///
/// File:    the user on the first line, the password on the second; nobody but its owner may read it.
/// Trust:   what stands in it goes into the request to the caster and nowhere else.
/// Threads: plain functions. Errors: one sentence, which names the file and never what is in it.

#include <string>

#include "base/result.hpp"
#include "ntrip/request.hpp"

namespace stillpoint::daemon {

Result<ntrip::Login> read_login(const std::string& path);

}  // namespace stillpoint::daemon
