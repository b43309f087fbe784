#include "estimate/coverage_wrong.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <string>
#include <vector>

#include "estimate/noise.hpp"
#include "estimate/stay.hpp"

namespace coverage {
namespace {

using namespace stillpoint::estimate;

constexpr Scale kProven{1, 0, 0, {true, 1.5}}, kUnproven{1, 0, 0, {false, 1.5}};
constexpr double kNoBound = 0;

/// Bounds: the least share of stays whose 95 % holds the truth, in plan and in height; the most that may drift with the
/// scale verified, and the least that must. No bound where a scale that was verified has become wrong: no stay sees it.
struct Row {
  noise::Model model;
  double least_verified, least_unproven;
  double most_drifting = 1, least_drifting = 0;
};

noise::Model wrong(const char* name, const noise::Wrong& how, double tau_s = 60) {
  return {.name = name, .markov = 1, .tau_s = tau_s, .wrong = how};
}
noise::Model late(const char* name, double late_s) {
  return {.name = name, .white = 1, .wrong = {.late_s = late_s}};
}
noise::Model digits(const char* name, double tick_m, double tick_up_m) {
  return {.name = name,
          .white = 0.35,
          .markov = 0.5,
          .tau_s = 30,
          .bias = 0.15,
          .wrong = {.tick_m = tick_m, .tick_up_m = tick_up_m}};
}

/// The claims are 0.60 m in plan and 0.90 m in height; digits are given by how many of those they are worth.
std::vector<Row> rows() {
  return {
      {wrong("right, lasting 60 s", {}), 0.95, 0.98, 0.02},
      {wrong("right, lasting 300 s", {}, 300), 0.94, 0.98, 0.02},
      {wrong("drift by 3 sigma", {.drift_sigmas = 3}), 0.91, 0.97},
      {wrong("drift by 5 sigma", {.drift_sigmas = 5}), 0.94, 0.97, 1, 0.3},
      {wrong("drift by 8 sigma", {.drift_sigmas = 8}), 0.95, 0.98, 1, 0.95},
      {wrong("drift by 20 sigma", {.drift_sigmas = 20}), 0.95, 0.98, 1, 0.99},
      {wrong("claim 1.5 times too small", {.size = 1.5}), kNoBound, 0.95},
      {wrong("claim 2 times too small", {.size = 2}), kNoBound, 0.83},
      {wrong("slow reflections, twice the claim", {.size = 2}, 180), kNoBound, 0.80},
      {wrong("claim twice too large", {.size = 0.5}), 0.98, 0.99, 0.01},
      {late("claim late by 30 s", 30), 0.92, 0.97},
      {late("claim late by 100 s", 100), 0.92, 0.97},
      {digits("plan in steps of 9 sigma", 5.4, 0), 0.94, 0.97, 0.02},
      {digits("plan in steps of 3 sigma", 1.8, 0), 0.94, 0.97, 0.02},
      {digits("height in steps of 8 sigma", 0, 7.2), 0.94, 0.97, 0.02},
      {digits("height in steps of 2 sigma", 0, 1.8), 0.93, 0.97, 0.02},
      {wrong("false for a tenth, 3 sigma", {.false_share = 0.1, .false_sigmas = 3}, 5), 0.93, 0.97},
      {wrong("false for a tenth, 5 sigma", {.false_share = 0.1, .false_sigmas = 5}, 5), 0.93, 0.97},
      {wrong("false for 30 %, 3 sigma", {.false_share = 0.3, .false_sigmas = 3}, 5), 0.90, 0.97},
      {wrong("false for 30 %, 5 sigma", {.false_share = 0.3, .false_sigmas = 5}, 5), 0.93, 0.97},
  };
}

struct Held {
  std::vector<double> radii_m;
  std::vector<bool> plan;
  int height = 0, drifting = 0, unresolved = 0;

  void add(const Conclusion& c) {
    const Estimate& e = c.estimate;
    radii_m.push_back(e.error95_horizontal_m);
    plan.push_back(std::hypot(e.east_m, e.north_m) <= e.error95_horizontal_m);
    height += std::abs(e.up_m) <= e.error95_vertical_m ? 1 : 0;
    drifting += e.motion.drifting || e.motion_up.drifting ? 1 : 0;
    unresolved += c.unresolved ? 1 : 0;
  }
  double all() const { return static_cast<double>(plan.size()); }
  double share_of(int count) const { return all() > 0 ? count / all() : 0; }
  double plan_share() const { return share_of(static_cast<int>(std::count(plan.begin(), plan.end(), true))); }
  double height_share() const { return share_of(height); }
  double least() const { return std::min(plan_share(), height_share()); }
  /// In plan, of the tenth with the smallest radii.
  double tenth() const {
    std::vector<double> sorted = radii_m;
    const auto at = sorted.begin() + static_cast<std::ptrdiff_t>(sorted.size() / 10);
    std::nth_element(sorted.begin(), at, sorted.end());
    int within = 0, count = 0;
    for (std::size_t i = 0; i < plan.size(); ++i) {
      if (radii_m[i] > *at) continue;
      ++count;
      within += plan[i] ? 1 : 0;
    }
    return static_cast<double>(within) / count;
  }
  void print() const {
    std::printf("  %.3f %.3f %.2f %.3f %.3f", plan_share(), height_share(), tenth(), share_of(drifting),
                share_of(unresolved));
  }
};

Conclusion stay_of(const std::vector<Sample>& samples, const Scale& scale) {
  Stay stay;
  std::int64_t ms = 0;
  for (const Sample& sample : samples) stay.observe({1, 1, scale}, sample, 1000 * ms++);
  return stay.conclude({});
}

/// Under a bound by more than three standard deviations of so few stays.
bool below(double value, double bound, double stays) {
  return value < bound - 3 * std::sqrt(std::max(bound * (1 - bound), 1 / stays) / stays);
}

bool out(bool left, const char* what, const std::string& name) {
  if (left) std::printf("OUT OF BOUNDS: %s, %s\n", name.c_str(), what);
  return left;
}

bool look(const Row& row, int seconds, std::uint64_t number, int occupations) {
  Held verified, unproven;
  noise::Occupation occupation;
  for (int i = 0; i < occupations; ++i) {
    noise::occupy(row.model, seconds, 1, noise::seed_of(21, number, static_cast<std::uint64_t>(i)), occupation);
    verified.add(stay_of(occupation.samples, kProven));
    unproven.add(stay_of(occupation.samples, kUnproven));
  }
  const double stays = verified.all();
  std::printf("%-34s %4d", row.model.name, seconds);
  verified.print();
  unproven.print();
  std::printf("\n");
  std::fflush(stdout);
  const std::string name = std::string(row.model.name) + ", " + std::to_string(seconds) + " s";
  bool bad = out(below(verified.least(), row.least_verified, stays), "verified", name);
  bad |= out(below(unproven.least(), row.least_unproven, stays), "not verified", name);
  const double drifting = verified.share_of(verified.drifting);
  bad |= out(below(1 - drifting, 1 - row.most_drifting, stays), "too many drift", name);
  return out(below(drifting, row.least_drifting, stays), "too few drift", name) || bad;
}

/// Ends a stay at the first epoch from the fifth at which both errors are no larger than wanted and nothing holds it.
struct Stopped {
  Conclusion conclusion;
  bool early = false;
};
Stopped stopped(const std::vector<Sample>& samples, const Scale& scale, double plan_m, double height_m) {
  Stay stay;
  std::int64_t epoch = 0;
  for (const Sample& sample : samples) {
    stay.observe({1, 1, scale}, sample, 1000 * epoch++);
    if (epoch < 5) continue;
    const Conclusion c = stay.conclude({});
    const bool reached = c.estimate.error95_horizontal_m <= plan_m && c.estimate.error95_vertical_m <= height_m;
    if (reached && !c.is_held()) return {c, true};
  }
  return {stay.conclude({}), false};
}

bool look(const noise::Model& model, double wanted, std::uint64_t number, int occupations) {
  // 1.05 · k95 · 0.60 m and 1.05 · 1.96 · 0.90 m: what one epoch has, with the scale verified.
  const double plan_m = wanted * 1.05 * 2.4477 * 0.60, height_m = wanted * 1.05 * 1.95996 * 0.90;
  Held held;
  int early_unproven = 0;
  noise::Occupation occupation;
  for (int i = 0; i < occupations; ++i) {
    noise::occupy(model, 300, 1, noise::seed_of(22, number, static_cast<std::uint64_t>(i)), occupation);
    const Stopped end = stopped(occupation.samples, kProven, plan_m, height_m);
    if (end.early) held.add(end.conclusion);
    early_unproven += stopped(occupation.samples, kUnproven, plan_m, height_m).early ? 1 : 0;
  }
  std::printf("%-22s %6.2f  %9.3f %7.3f %7.3f  %d\n", model.name, wanted, held.all() / occupations, held.plan_share(),
              held.height_share(), early_unproven);
  std::fflush(stdout);
  const std::string name = std::string("ends by itself, ") + model.name;
  // Errors that outlast the stay are not seen to average out, and such a stay need not end.
  bool bad = out(model.white == 1 && held.all() < 0.9 * occupations, "too few ended", name);
  if (held.all() > 0) bad |= out(below(held.least(), 0.93, held.all()), "coverage", name);
  return out(early_unproven > 0, "ended at an error that is not proven", name) || bad;
}

}  // namespace

bool study_wrong(int occupations, std::string_view model) {
  std::printf("\nThe claim or the stay is wrong: plan, height, tenth with the smallest radii, drifting, two levels;\n");
  std::printf("%-34s %4s  %-29s  %s\n", "error", "s", "scale verified", "not verified");
  bool bad = false;
  std::uint64_t number = 0;
  for (const Row& row : rows()) {
    for (const int seconds : {60, 300}) {
      ++number;
      if (std::string_view(row.model.name).find(model) != std::string_view::npos)
        bad |= look(row, seconds, number, occupations);
    }
  }
  return bad;
}

bool study_stopping(int occupations, std::string_view model) {
  const noise::Model models[] = {{"white", 1},
                                 {"lasting 5 s", 0, 1, 5},
                                 {"lasting 60 s", 0, 1, 60},
                                 {"lasting 300 s", 0, 1, 300},
                                 {"35 white 50 30s 15 b", 0.35, 0.50, 30, 0.15},
                                 {.name = "flicker", .others = {.flicker = 1}}};
  std::printf(
      "\nStays of up to 300 s that end when both errors are as small as wanted, in shares of an epoch's own:\n");
  std::printf("%-22s %6s  %9s %7s %7s  %s\n", "error", "wanted", "ended", "plan", "height", "ended, not verified");
  bool bad = false;
  std::uint64_t number = 0;
  for (const noise::Model& each : models) {
    for (const double wanted : {0.9, 0.75, 0.6}) {
      ++number;
      if (std::string_view(each.name).find(model) != std::string_view::npos)
        bad |= look(each, wanted, number, occupations);
    }
  }
  return bad;
}

}  // namespace coverage
