#pragma once
/// The corrections that an invented base sends: where it stands every ten seconds, and each second observations of
/// which only the head is meant to be read.
///
/// Units:   seconds of the scenario.
/// Time:    that of the epochs; several in one second bring one message.
/// Threads: one stream, one thread. Errors: none.

#include <array>
#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "simulate/path.hpp"
#include "simulate/scenario.hpp"
#include "simulate/sentences.hpp"

namespace stillpoint::simulate {

class BaseStream {
 public:
  /// `marks`: in the frame in which the bases say where they stand. The scenario has a base.
  BaseStream(const Scenario& scenario, const std::vector<FramedMark>& marks);

  /// Appends what the base sends at `at_s`.
  void write(double at_s, const std::vector<const Fault*>& active, Burst& out);

 private:
  using Xyz = std::array<double, 3>;
  std::map<std::string, Xyz> places_;  ///< by the name of the mark
  std::string mark_;
  int station_ = 0;
  UtcTime start_;
  std::optional<std::int64_t> second_;  ///< the last one in which it sent
  std::string told_;                    ///< the mark whose base has said last where it stands
};

}  // namespace stillpoint::simulate
