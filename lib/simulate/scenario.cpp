#include "simulate/scenario.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace stillpoint::simulate {

std::string_view to_word(FaultKind kind) noexcept {
  static constexpr std::array<std::string_view, 21> kWords{
      "outage",   "false-fix",  "frozen",    "multipath",  "base-shift", "own-shift", "silence",
      "cut",      "bit-errors", "drops",     "merges",     "garbage",    "binary",    "no-sentence",
      "decimals", "time-step",  "date-step", "cold-start", "late",       "unused",    "other-base"};
  return kWords[static_cast<std::size_t>(kind)];
}

const Mark* Scenario::find_mark(std::string_view wanted) const noexcept {
  const auto at = std::find_if(marks.begin(), marks.end(), [&](const Mark& m) { return m.name == wanted; });
  return at == marks.end() ? nullptr : &*at;
}

const Fault* find_fault(const std::vector<const Fault*>& faults, FaultKind kind) noexcept {
  const auto at = std::find_if(faults.begin(), faults.end(), [kind](const Fault* f) { return f->kind == kind; });
  return at == faults.end() ? nullptr : *at;
}

UtcTime Scenario::utc_at(double at_s) const noexcept {
  return UtcTime{start.ms + std::llround(at_s * 1000.0)};
}

UtcTime Scenario::start_by_computer() const noexcept {
  return UtcTime{start.ms + std::llround(computer_clock_off_s * 1000.0)};
}

}  // namespace stillpoint::simulate
