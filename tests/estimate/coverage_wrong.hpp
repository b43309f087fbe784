#pragma once
/// The parts of the study of coverage in which the claim or the stay is wrong, or the stay ends when its figure is
/// small.

#include <string_view>

namespace coverage {

/// Prints how often the 95 % holds, with the scale verified and not. True: a bound was left. `model`: part of a name.
bool study_wrong(int occupations, std::string_view model);
/// Prints the same of stays that end at the first epoch at which both wanted errors are reached.
bool study_stopping(int occupations, std::string_view model);

}  // namespace coverage
