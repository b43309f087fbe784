#pragma once
/// Invented receivers for the Monte Carlo studies: errors of known nature whose claim is right by construction, unless
/// the model says how it is wrong.
///
/// Every occupation has its own seed, so one can be repeated alone. Normals are made here from the standard's engine,
/// since its distributions differ from library to library.

#include <array>
#include <cstdint>
#include <random>
#include <vector>

#include "estimate/average.hpp"

namespace noise {

class Normals {
 public:
  explicit Normals(std::uint64_t seed);
  double uniform();  ///< in (0, 1)
  double normal();
  /// Student's t with `freedom` > 2 degrees, scaled to variance 1.
  double tailed(int freedom);

 private:
  std::mt19937_64 engine_;
  double spare_ = 0;
  bool has_spare_ = false;
};

/// Errors of other natures than white and Gauss-Markov, in shares of the claimed variance.
struct Others {
  double flicker = 0;  ///< equal parts that last 1, 4, 16 … 4096 s
  double walk = 0;     ///< a random walk from the beginning of the occupation, of this mean square
  double sine = 0;     ///< of 60 to 600 s
};

/// What is wrong with the occupation.
struct Wrong {
  double size = 1;          ///< true sigma over the claimed one
  double drift_sigmas = 0;  ///< in plan, over the occupation, in a random direction
  double late_s = 0;        ///< from three tenths on the error is three times as large, and the claim follows so slowly
  double tick_m = 0, tick_up_m = 0;          ///< what the last digits are worth
  double false_share = 0, false_sigmas = 0;  ///< another level for a while, in a random direction in plan
};

/// Shares of the claimed variance; with those of `others` they add up to 1.
struct Model {
  const char* name;
  double white = 0;   ///< new at every epoch
  double markov = 0;  ///< Gauss-Markov, exp(−t/τ)
  double tau_s = 0;
  double bias = 0;         ///< constant through the occupation
  int freedom = 0;         ///< white part with Student's t tails; 0: normal
  double outliers = 0;     ///< share of epochs thrown 6 to 20 sigma off
  double elongation = 1;   ///< major over minor axis of the claim
  double claim_swing = 1;  ///< the claim rises and falls by this factor every 40 s
  Others others{};
  Wrong wrong{};
};

struct Occupation {
  std::vector<stillpoint::estimate::Sample> samples;  ///< truth is 0, 0, 0
};

/// Refills `into` with `seconds`·`rate_hz` epochs.
void occupy(const Model& model, int seconds, int rate_hz, std::uint64_t seed, Occupation& into);

/// A seed that differs for every combination.
std::uint64_t seed_of(std::uint64_t set, std::uint64_t cell, std::uint64_t occupation);

}  // namespace noise
