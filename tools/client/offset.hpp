#pragma once
/// An offset point: what was typed for it, and what is told of it.
///
/// Units:   metres and degrees, typed with a point or a comma. Threads: pure.
/// Errors:  one sentence about the first figure that is none; whether a figure can be right says the daemon.

#include <optional>
#include <string>
#include <vector>

#include "base/result.hpp"
#include "client/wire_names.hpp"

namespace stillpoint::client {

/// 4.20 or 4,20; nothing for what is no number.
std::optional<double> typed_number(std::string text);

/// As it was typed; what is empty is not sent.
struct OffsetTyped {
  struct Stay {
    std::string name;
    std::optional<int> visit{};
    std::string distance{}, error{};
  };
  std::string name{}, code{}, note{};
  bool is_new = false;
  std::vector<Stay> stays{};
  std::string bearing{}, bearing_error{}, north{}, declination{}, side{}, up{}, up_error{};
};

/// The parameters of the method `offset`.
Result<nlohmann::json> offset_params(const OffsetTyped& typed);

/// From what it was measured and how high; empty: it is no offset point.
std::string offset_text(const Json& point);

}  // namespace stillpoint::client
