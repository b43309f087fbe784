#pragma once
/// What the program that writes invented logs refuses.

#include "base/sentence.hpp"

namespace stillpoint::simulate_log {

struct Sentences {
  Sentence<0> options_missing{"--scenario FILE.toml and --out LOG are needed; see --help"};
  Sentence<2> cannot_write{"cannot write {path}: {error}"};
  Sentence<1> disk_full{"cannot write {path} to its end; is the disk full?"};
  Sentence<1> look_at_path{"{error}; check the path given with --scenario"};
  Sentence<0> the_scenario{"the scenario"};
};
inline constexpr Sentences kSay;

}  // namespace stillpoint::simulate_log
