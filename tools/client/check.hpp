#pragma once
/// Checks on control marks in words. Units: metres. Threads: pure. Errors: a check that failed is one sentence.

#include <string>
#include <vector>

#include "client/link.hpp"
#include "client/tables.hpp"

namespace stillpoint::client {

std::vector<std::string> mark_lines(const Json& answer);
/// The verdict with its numbers; of a failed check the first suspect and how to make sure.
std::vector<std::string> check_lines(const Json& check);
std::vector<std::string> close_lines(const Json& answer);
Outcome<void> judge_check(const Json& check);

}  // namespace stillpoint::client
