#include "say.hpp"

#include <chrono>
#include <iostream>

namespace stillpoint::reduce {

int complain(const std::string& sentence, int status) {
  std::cerr << STILLPOINT_PROGRAM ": " << sentence << "\n";
  return status;
}

std::string title(const occupation::Point& point) {
  return point.name + " visit " + std::to_string(point.visit);
}

UtcTime utc_now() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  return UtcTime{std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

}  // namespace stillpoint::reduce
