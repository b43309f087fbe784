#include "corrections/freshness.hpp"

namespace stillpoint::corrections {

std::string_view to_word(State state) noexcept {
  switch (state) {
    case State::fresh:
      return "fresh";
    case State::coasting:
      return "coasting";
    case State::stale:
      return "stale";
    case State::unknown:
      return "unknown";
    case State::none:
      break;
  }
  return "none";
}

std::string_view to_word(AgeFrom from) noexcept {
  switch (from) {
    case AgeFrom::receiver:
      return "receiver";
    case AgeFrom::quality:
      return "quality";
    case AgeFrom::corrections:
      return "corrections";
    case AgeFrom::own_clock:
      break;
  }
  return "own-clock";
}

}  // namespace stillpoint::corrections
