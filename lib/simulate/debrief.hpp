#pragma once
/// Compares what was brought home from a rehearsal with the scenario's answer key, in metres from the truth.
///
/// Points are earned for every wanted mark brought home right and every hazard met with the right move. They are lost
/// for a wrong point that stands as accepted, and for good seconds thrown away where nothing was wrong.
///
/// Units:   metres, points; UTC as the receiver printed it.
/// Threads: pure functions over plain values. Errors: none; coordinates in another frame are the caller's to refuse.

#include <string>
#include <vector>

#include "simulate/simulation.hpp"

namespace stillpoint::simulate {

/// One stay as it ended: the newest version of a point, or a stay that was discarded.
struct Stay {
  std::string name;
  int visit = 1;
  std::string status;  ///< `accepted` `held` `rejected` `none`; `discarded`; of a check on a mark `passed` or `stopped`
  std::optional<geodesy::Geographic> at;
  double error95_horizontal_m = 0, error95_vertical_m = 0;
  UtcTime from, to;                ///< of its first and last epoch
  std::vector<std::string> words;  ///< its reasons, flags and refusal codes
  bool is_check() const noexcept { return status == "passed" || status == "stopped"; }
};

struct Told {
  std::string key, text;
  UtcTime since;
};

struct DayOut {
  std::vector<Stay> stays;
  std::vector<Told> alerts;
};

/// One line of the account.
struct Item {
  std::string id;    ///< the hazard's, or the mark's name
  std::string kind;  ///< `hazard` `point` `thrown-away`
  UtcTime from, to;
  std::string what, said, did, cost, move;
  std::optional<double> off_m, off_up_m;  ///< of the point that stands, from the truth
  double earned = 0, possible = 0;        ///< points
  bool met = false;
};

struct Debrief {
  std::string scenario;
  std::vector<Item> items;
  int score = 0;  ///< of 100
  int pass_at = 70;
  bool passed() const noexcept { return score >= pass_at; }
};

Debrief debrief_of(const Simulation& simulation, const DayOut& day);

/// For people, at most 100 columns.
std::string debrief_text(const Debrief& debrief);
std::string debrief_json(const Debrief& debrief);

}  // namespace stillpoint::simulate
