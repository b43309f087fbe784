#pragma once
/// What the verbs of stillpoint-office share: the day they work on, and what recomputing it needs.

#include <optional>
#include <string>
#include <vector>

#include "config/settings.hpp"
#include "reduce/exit.hpp"
#include "reduce/recompute.hpp"
#include "reduce/say.hpp"
#include "reduce/stream.hpp"

namespace CLI {
class App;
}

namespace stillpoint::office {

using reduce::Ask;
using reduce::CheckRow;
using reduce::complain;
using reduce::kAllAccepted;
using reduce::kCannotRead;
using reduce::kCannotWrite;
using reduce::kSomeHeld;
using reduce::kUsage;
using reduce::Recomputation;
using reduce::Row;
using reduce::Sink;
using reduce::StayName;
using reduce::Stream;
using reduce::title;
using reduce::utc_now;

/// A day as it lies in the office.
struct DayFiles {
  std::string config, pointbook;
  std::vector<std::string> logs;  ///< empty: the whole record of the configuration
  bool brief = false;             ///< what is as it should be is counted, not listed
};

/// Throws what the parser throws when the name of a file is no UTF-8.
void check_names(const std::vector<std::string>& names);
/// The settings of a configuration; empty: its errors were told.
std::optional<config::Settings> settings_of(const std::string& path);

/// Each adds its verb; when the command line asks for it, it is carried out and `status` is its exit status.
void add_verify(CLI::App& office, int& status);
void add_redo(CLI::App& office, int& status);
void add_merge(CLI::App& office, int& status);
void add_error_scale(CLI::App& office, int& status);
void add_accuracy(CLI::App& office, int& status);
void add_receiver_test(CLI::App& office, int& status);
void add_outage_study(CLI::App& office, int& status);
void add_deliver(CLI::App& office, int& status);
void add_hand_over(CLI::App& office, int& status);
void add_receive(CLI::App& office, int& status);

}  // namespace stillpoint::office
