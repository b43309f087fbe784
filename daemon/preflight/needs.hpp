#pragma once
/// Which sentences a configuration needs, why, and what it means when one never comes.
///
/// Threads: pure. Errors: none.

#include <string>
#include <string_view>
#include <vector>

#include "config/settings.hpp"

namespace stillpoint::daemon {

struct Need {
  std::vector<std::string_view> any_of;  ///< formatters: one of them will do
  std::string why;                       ///< "GST, for max_error95_horizontal_m of "county network""
  std::string missing;                   ///< what it means when none comes; one sentence
};

std::vector<Need> needs_of(const config::Settings& settings);

/// `RMC or ZDA`
std::string joined(const std::vector<std::string_view>& words, std::string_view glue);

}  // namespace stillpoint::daemon
