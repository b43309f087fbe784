#include "simulate/errors.hpp"

#include <cmath>

namespace stillpoint::simulate {
namespace {

double keep_of(double tau_s, double interval_s) noexcept {
  return tau_s > 0 ? std::exp(-interval_s / tau_s) : 0.0;
}

}  // namespace

ErrorProcess::ErrorProcess(const ErrorModel& model, double interval_s) noexcept : model_(model) {
  keep_ = {keep_of(model.tau_s.east, interval_s), keep_of(model.tau_s.north, interval_s),
           keep_of(model.tau_s.up, interval_s)};
  const auto drive = [](double sigma_m, double keep) { return sigma_m * std::sqrt(1.0 - keep * keep); };
  drive_m_ = {drive(model.markov_m.east, keep_.east), drive(model.markov_m.north, keep_.north),
              drive(model.markov_m.up, keep_.up)};
  const auto both = [](double a_m, double b_m) { return std::sqrt(a_m * a_m + b_m * b_m); };
  sigma_m_ = {both(model.white_m.east, model.markov_m.east), both(model.white_m.north, model.markov_m.north),
              both(model.white_m.up, model.markov_m.up)};
}

void ErrorProcess::restart(Random& random) noexcept {
  state_m_.east = model_.markov_m.east * random.normal();
  state_m_.north = model_.markov_m.north * random.normal();
  state_m_.up = model_.markov_m.up * random.normal();
}

Axes ErrorProcess::step(Random& random) noexcept {
  const auto white = [&] { return model_.tail_freedom >= 3 ? random.tailed(model_.tail_freedom) : random.normal(); };
  state_m_.east = keep_.east * state_m_.east + drive_m_.east * random.normal();
  state_m_.north = keep_.north * state_m_.north + drive_m_.north * random.normal();
  state_m_.up = keep_.up * state_m_.up + drive_m_.up * random.normal();
  Axes out = state_m_ + model_.bias_m;
  out.east += model_.white_m.east * white();
  out.north += model_.white_m.north * white();
  out.up += model_.white_m.up * white();
  return out;
}

}  // namespace stillpoint::simulate
