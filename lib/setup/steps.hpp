#pragma once
/// One question of the set-up: when it is asked, with which words, and what an answer does. For this room alone.
///
/// Units, Time, Threads, Errors: as in questions.hpp.

#include <string>
#include <string_view>
#include <vector>

#include "setup/questions.hpp"

namespace stillpoint::setup {

struct Step {
  bool (*asked)(const Known&, const Answers&);
  Question (*question)(const Known&, const Answers&);
  Result<void> (*take)(std::string_view, const Known&, Answers&);
};

inline constexpr const char *kNoneWord = "none", *kMountId = "mount";

/// Which corrections there are, and who brings them.
std::vector<Step> about_corrections();

}  // namespace stillpoint::setup
