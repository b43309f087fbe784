#pragma once
/// The first start: there is no configuration that a day can begin with, and the page asks for what it needs.
///
/// Nothing is read from a receiver but when the set-up listens, nothing is measured and nothing recorded. What an
/// existing file would lose is said before it is written over.
///
/// Threads: the calling one runs the loop.
/// Errors:  a sentence on stderr, and the exit status.

#include <optional>
#include <string>
#include <vector>

#include "clients/page_rules.hpp"

namespace stillpoint::daemon {

struct FirstStart {
  std::string config;
  std::string page;        ///< where the page listens
  double listen_s = 20.0;  ///< to the receiver
  std::string why;         ///< what is wrong with the configuration that is there; empty: there is none
};

struct FirstStartEnd {
  std::optional<PageKeys> keys;  ///< who may act goes on to do so; none: no day begins
  int exit = 0;
};

FirstStartEnd run_first_start(const FirstStart& asked);

/// `--check-feed SECONDS --write FILE`: the configuration from what is heard and what was given; the exit status.
struct Unasked {
  std::string config, receiver, answers_file;
  std::vector<std::string> answers;  ///< `ID=TEXT`
  double listen_s = 20.0;
};
int write_unasked(const Unasked& asked);

}  // namespace stillpoint::daemon
