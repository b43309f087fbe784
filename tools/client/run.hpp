#pragma once
/// The whole program but for its process: command line in, text and exit status out.
///
/// Threads: one.
/// Errors:  exit status 0 done, 1 refused or failed, 2 usage, 4 no daemon; the sentence goes to `err`.

#include <iosfwd>
#include <string>
#include <vector>

#include "client/where.hpp"

namespace stillpoint::client {

/// `arguments` without the program's name.
int run(const std::vector<std::string>& arguments, const Surroundings& around, std::ostream& out, std::ostream& err);

}  // namespace stillpoint::client
