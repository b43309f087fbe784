#include "gate/verdict.hpp"

#include <algorithm>

namespace stillpoint::gate {
namespace {

consteval bool rows_stand_in_order() {
  for (std::size_t i = 0; i < kReasons.size(); ++i) {
    if (kReasons[i].reason != static_cast<Reason>(i)) return false;
  }
  return true;
}
static_assert(rows_stand_in_order());

}  // namespace

std::optional<Reason> reason_from_word(std::string_view word) noexcept {
  const auto* row =
      std::find_if(kReasons.begin(), kReasons.end(), [word](const ReasonWords& each) { return each.word == word; });
  return row == kReasons.end() ? std::nullopt : std::optional(row->reason);
}

}  // namespace stillpoint::gate
