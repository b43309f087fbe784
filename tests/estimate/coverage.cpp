/// Monte Carlo: does the 95 % radius of a stay hold the truth in 95 of 100, and is a false fix seen?
///
/// `coverage --occupations 10000` prints the whole table (minutes of computing); ctest runs `--quick --bounds`, with
/// bounds that fail. Seeds are fixed: the same call prints the same figures.

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <string>
#include <string_view>
#include <vector>

#include "estimate/coverage_wrong.hpp"
#include "estimate/noise.hpp"
#include "estimate/stay.hpp"
#include "estimate/visits.hpp"

namespace {

using namespace stillpoint::estimate;

constexpr std::uint64_t kSets = 3;
/// The claim is right, and proven.
constexpr Scale kProven{1, 0, 0, {true, 1.5}};

const noise::Model kModels[] = {
    {"white", 1},
    {"lasting 5 s", 0, 1, 5},
    {"lasting 30 s", 0, 1, 30},
    {"lasting 100 s", 0, 1, 100},
    {"lasting 300 s", 0, 1, 300},
    {"white, bias 10 %", 0.90, 0, 0, 0.10},
    {"white, bias 20 %", 0.80, 0, 0, 0.20},
    {"5 s, bias 20 %", 0, 0.80, 5, 0.20},
    {"30 s, bias 10 %", 0, 0.90, 30, 0.10},
    {"100 s, bias 20 %", 0, 0.80, 100, 0.20},
    {"35 white 50 30s 15 b", 0.35, 0.50, 30, 0.15},
    {"60 white 20 100s 20 b", 0.60, 0.20, 100, 0.20},
    {"t4 tails", 1, 0, 0, 0, 4},
    {"t4 tails and 30 s", 0.50, 0.50, 30, 0, 4},
    {"30 s, ellipse 3:1", 0, 1, 30, 0, 0, 0, 3},
    {"mixed, ellipse 10:1", 0.35, 0.50, 30, 0.15, 0, 0, 10},
    {"white, 2 % outliers", 1, 0, 0, 0, 0, 0.02},
    {"30 s, 2 % outliers", 0, 1, 30, 0, 0, 0.02},
    {"mixed, 2 % outliers", 0.35, 0.50, 30, 0.15, 0, 0.02},
    {"30 s, swinging claim", 0, 1, 30, 0, 0, 0, 1, 2},
    {.name = "flicker", .others = {.flicker = 1}},
    {.name = "flicker and white", .white = 0.5, .others = {.flicker = 0.5}},
    {.name = "random walk", .bias = 0.5, .others = {.walk = 0.5}},
    {.name = "sine, white, bias", .white = 0.2, .bias = 0.1, .others = {.sine = 0.7}},
};

struct Options {
  int occupations = 10000;  // a cell, over the three seed sets
  bool quick = false;
  bool bounds = false;
  std::string_view study = "all";
  std::string_view model;             // part of a model's name; empty: all
  std::uint64_t part = 0, parts = 1;  // every so many-th cell, to spread the whole table over processes
};

struct Cell {
  const noise::Model* model;
  int rate_hz, seconds;
  std::uint64_t number;  // of its seeds
};

std::vector<Cell> cells(const Options& options) {
  std::vector<Cell> all;
  std::uint64_t number = 0;
  for (const noise::Model& model : kModels) {
    for (const int rate_hz : {1, 5}) {
      for (const int seconds : {10, 60, 180, 600}) {
        ++number;
        const bool in_quick = rate_hz == 1 ? seconds <= 180 : seconds <= 60;
        if ((options.quick && !in_quick) || number % options.parts != options.part) continue;
        if (std::string_view(model.name).find(options.model) == std::string_view::npos) continue;
        all.push_back({&model, rate_hz, seconds, number});
      }
    }
  }
  return all;
}

double quantile(std::vector<double> values, double share) {
  const auto at = values.begin() + static_cast<std::ptrdiff_t>(share * static_cast<double>(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

Conclusion stay_of(const std::vector<Sample>& samples, int rate_hz, std::uint64_t* refused = nullptr) {
  Stay stay;
  std::int64_t epoch = 0;
  for (const Sample& sample : samples) {
    const Placed placed = stay.observe({1, 1, kProven}, sample, 1000 * epoch++ / rate_hz);
    if (refused && placed.placement == Placement::outlier) ++*refused;
  }
  return stay.conclude({});
}

double share(std::size_t part, std::size_t whole) {
  return static_cast<double>(part) / static_cast<double>(whole);
}

/// How often a radius held, by seed set, and how large it was.
struct Axis {
  std::size_t held[kSets] = {}, count[kSets] = {};
  std::vector<double> errors_m, radii_m;

  void add(std::uint64_t set, double error_m, double radius_m) {
    held[set] += error_m <= radius_m;
    ++count[set];
    errors_m.push_back(error_m);
    radii_m.push_back(radius_m);
  }
  double coverage(std::uint64_t set) const { return share(held[set], count[set]); }
  double coverage() const { return share(held[0] + held[1] + held[2], errors_m.size()); }
  /// Of the tenth with the smallest radii.
  double tightest() const {
    const double most_m = quantile(radii_m, 0.1);
    std::size_t within = 0, all = 0;
    for (std::size_t i = 0; i < radii_m.size(); ++i) {
      if (radii_m[i] > most_m) continue;
      ++all;
      within += errors_m[i] <= radii_m[i];
    }
    return share(within, all);
  }
  /// Median radius over the true 95 % error.
  double caution() const { return quantile(radii_m, 0.5) / quantile(errors_m, 0.95); }
  void print() const {
    std::printf("  %.4f %.4f %.4f  %.4f %.3f %6.2f ", coverage(0), coverage(1), coverage(2), coverage(), tightest(),
                caution());
  }
};

/// The worst of many, with its place.
struct Worst {
  double value;
  std::string where;
  void least(double candidate, const std::string& place) {
    if (candidate < value) value = candidate, where = place;
  }
  void most(double candidate, const std::string& place) {
    if (candidate > value) value = candidate, where = place;
  }
};

std::string name_of(const Cell& cell) {
  return std::string(cell.model->name) + ", " + std::to_string(cell.rate_hz) + " Hz, " + std::to_string(cell.seconds) +
         " s";
}

bool failed(bool bad, const char* what, const Worst& worst) {
  if (bad) std::printf("OUT OF BOUNDS: %s %.4f (%s)\n", what, worst.value, worst.where.c_str());
  return bad;
}

bool correlated(const noise::Model& model) {
  return model.markov == 1 && model.outliers == 0 && model.claim_swing == 1;
}

struct CellResult {
  Axis plan, height;
  std::size_t held = 0;
  std::uint64_t refused = 0;
};

CellResult run_cell(const Cell& cell, int occupations) {
  CellResult result;
  noise::Occupation occupation;
  for (int i = 0; i < occupations; ++i) {
    const std::uint64_t set = static_cast<std::uint64_t>(i) % kSets;
    noise::occupy(*cell.model, cell.seconds, cell.rate_hz,
                  noise::seed_of(set + 1, cell.number, static_cast<std::uint64_t>(i)), occupation);
    const Conclusion c = stay_of(occupation.samples, cell.rate_hz, &result.refused);
    result.held += c.unresolved;
    result.plan.add(set, std::hypot(c.estimate.east_m, c.estimate.north_m), c.estimate.error95_horizontal_m);
    result.height.add(set, std::abs(c.estimate.up_m), c.estimate.error95_vertical_m);
  }
  return result;
}

void print_cell(const Cell& cell, const CellResult& result) {
  const std::size_t count = result.plan.errors_m.size();
  std::printf("%-22s %2d %4d", cell.model->name, cell.rate_hz, cell.seconds);
  result.plan.print();
  result.height.print();
  std::printf("%6.2f %6.2f\n", 100 * share(result.held, count),
              100 * share(result.refused, count * static_cast<std::size_t>(cell.seconds * cell.rate_hz)));
  std::fflush(stdout);
}

/// Returns the median over the cells.
double print_cautions(const char* axis, const std::vector<double>& values) {
  if (values.empty()) return 0;
  double mean = 0;
  for (const double value : values) mean += value / static_cast<double>(values.size());
  const auto within = std::count_if(values.begin(), values.end(), [](double value) { return value <= 1.3; });
  const double median = quantile(values, 0.5);
  std::printf("Caution on correlated errors, %s: median %.2f, mean %.2f, largest %.2f; %d of %d cells within 1.3.\n",
              axis, median, mean, quantile(values, 1), static_cast<int>(within), static_cast<int>(values.size()));
  return median;
}

/// True when a bound was left.
bool study_coverage(const Options& options) {
  std::printf(
      "Coverage of the 95 %% error: three seed sets, all, the tenth with the smallest radii; caution: median radius "
      "over the "
      "true 95 %% error.\n");
  std::printf("%-22s %2s %4s  %-36s  %-36s %6s %6s\n", "error", "Hz", "s", "horizontal: sets, all, tenth, caution",
              "vertical: sets, all, tenth, caution", "held%", "out%");
  Worst horizontal{1, ""}, vertical{1, ""}, held{0, ""}, tightest{1, ""};
  std::vector<double> plan_cautions, height_cautions;
  for (const Cell& cell : cells(options)) {
    const CellResult result = run_cell(cell, options.occupations);
    print_cell(cell, result);
    horizontal.least(result.plan.coverage(), name_of(cell));
    vertical.least(result.height.coverage(), name_of(cell));
    tightest.least(std::min(result.plan.tightest(), result.height.tightest()), name_of(cell));
    held.most(share(result.held, result.plan.errors_m.size()), name_of(cell));
    if (!correlated(*cell.model)) continue;
    plan_cautions.push_back(result.plan.caution());
    height_cautions.push_back(result.height.caution());
  }
  std::printf("Least coverage: horizontal %.4f (%s), vertical %.4f (%s).\n", horizontal.value, horizontal.where.c_str(),
              vertical.value, vertical.where.c_str());
  std::printf("Least of a tightest tenth: %.3f (%s).\n", tightest.value, tightest.where.c_str());
  std::printf("Most held although clean: %.4f (%s).\n", held.value, held.where.c_str());
  const double plan_median = print_cautions("horizontal", plan_cautions);
  const double height_median = print_cautions("vertical", height_cautions);
  if (!options.bounds) return false;
  // The target is 0.93 in every cell. Few occupations scatter; the seeds are fixed, so the allowance is narrow.
  const double scatter = std::sqrt(0.942 * 0.058 / options.occupations);
  const double bound = std::min(0.93, 0.942 - 1.7 * scatter);
  bool bad = failed(horizontal.value < bound, "horizontal coverage", horizontal);
  bad |= failed(vertical.value < bound, "vertical coverage", vertical);
  const double tenth = options.occupations / 10.0;
  bad |= failed(tightest.value < 0.90 - 4 * std::sqrt(0.90 * 0.10 / tenth), "coverage of a tightest tenth", tightest);
  bad |= failed(plan_median > 1.3, "horizontal caution", {plan_median, "median of correlated errors"});
  bad |= failed(height_median > 1.3, "vertical caution", {height_median, "median of correlated errors"});
  return failed(held.value > 0.02, "held although clean", held) || bad;
}

/// 30 % of the epochs, at a random place, thrown off by `sigma` in a random horizontal direction.
std::size_t throw_off(double sigma, std::uint64_t seed, std::vector<Sample>& samples) {
  noise::Normals draw(seed ^ 0x5eed);
  const std::size_t length = std::max<std::size_t>(1, (samples.size() * 3 + 5) / 10);
  const auto room = static_cast<double>(samples.size() - length + 1);
  const auto from = static_cast<std::size_t>(draw.uniform() * room);
  const double angle_rad = 2 * std::numbers::pi * draw.uniform();
  const Sample& claim = samples[from];
  // Along the ellipse: the point of its edge in that whitened direction.
  const double l11 = std::sqrt(claim.ee_m2), l21 = claim.en_m2 / l11;
  const double l22 = std::sqrt(std::max(0.0, claim.nn_m2 - l21 * l21));
  const double east_m = sigma * l11 * std::cos(angle_rad);
  const double north_m = sigma * (l21 * std::cos(angle_rad) + l22 * std::sin(angle_rad));
  for (std::size_t i = from; i < from + length; ++i) {
    samples[i].east_m += east_m;
    samples[i].north_m += north_m;
  }
  return length;
}

struct StepResult {
  std::size_t runs = 0, detected = 0, covered = 0, held_clean = 0;
  std::vector<double> growth_clean, growth_held;

  double reach98() const { return growth_held.empty() ? 0 : quantile(growth_held, 0.98); }
};

/// A run and its clean twin. Detected: the stay is held, or nine in ten of the false epochs are refused, or the claim
/// is called refuted.
void run_step(const Cell& cell, double sigma, std::uint64_t seed, StepResult& result) {
  noise::Occupation occupation;
  noise::occupy(*cell.model, cell.seconds, cell.rate_hz, seed, occupation);
  auto& samples = occupation.samples;
  Average plain(kProven);
  for (std::size_t i = 0; i < samples.size(); ++i) plain.add(samples[i], static_cast<double>(i) / cell.rate_hz);
  const double plain_m = plain.result().error95_horizontal_m;
  const Conclusion clean = stay_of(samples, cell.rate_hz);
  const std::size_t thrown = throw_off(sigma, seed, samples);
  const Conclusion c = stay_of(samples, cell.rate_hz);
  const auto refused = static_cast<double>(samples.size()) - static_cast<double>(c.estimate.epochs);
  ++result.runs;
  result.detected +=
      c.unresolved || c.estimate.claim_refuted_horizontal || refused >= 0.9 * static_cast<double>(thrown);
  result.covered += std::hypot(c.estimate.east_m, c.estimate.north_m) <= c.estimate.error95_horizontal_m;
  result.held_clean += clean.unresolved;
  result.growth_clean.push_back(clean.estimate.error95_horizontal_m / plain_m);
  // What it must at least reach: the other level with a clean stay's radius about it.
  if (c.unresolved) result.growth_held.push_back(c.estimate.error95_horizontal_m / (c.separation_m + plain_m));
}

struct StepWorst {
  Worst detected{1, ""}, covered{1, ""}, held{0, ""}, growth{0, ""}, reach{0, ""};

  void note(const StepResult& result, const std::string& place) {
    detected.least(share(result.detected, result.runs), place);
    covered.least(share(result.covered, result.runs), place);
    held.most(share(result.held_clean, result.runs), place);
    growth.most(quantile(result.growth_clean, 0.5), place);
    reach.most(result.reach98(), place);
  }
  void print() const {
    std::printf("Of visits of 50 epochs and more: detected %.4f at least (%s), covered %.4f (%s),\n", detected.value,
                detected.where.c_str(), covered.value, covered.where.c_str());
    std::printf("clean held %.4f at most (%s), clean radius %.2f (%s), held radius/reach %.2f (%s).\n", held.value,
                held.where.c_str(), growth.value, growth.where.c_str(), reach.value, reach.where.c_str());
  }
  /// Targets 0.95 and 0.97; few runs scatter: three standard deviations of a share at 0.96 and 0.975 below.
  bool leaves_bounds(int runs) const {
    const auto bound = [runs](double target, double real) {
      return std::min(target, real - 3 * std::sqrt(real * (1 - real) / runs));
    };
    bool bad = failed(detected.value < bound(0.95, 0.96), "detected", detected);
    bad |= failed(covered.value < bound(0.97, 0.975), "covered", covered);
    bad |= failed(held.value > 0.02, "clean held", held);
    // What of the false fix passes the gate is a place visited, and its distance is added.
    bad |= failed(reach.value > 3, "held radius", reach);
    return failed(growth.value > 2, "clean radius", growth) || bad;
  }
};

void print_step(const Cell& cell, double sigma, const StepResult& result) {
  std::printf("%-22s %2d %4d %5.0f %9.4f %9.4f %11.4f %8.2f %5.2f %13.2f\n", cell.model->name, cell.rate_hz,
              cell.seconds, sigma, share(result.detected, result.runs), share(result.covered, result.runs),
              share(result.held_clean, result.runs), quantile(result.growth_clean, 0.5),
              quantile(result.growth_clean, 0.98), result.reach98());
  std::fflush(stdout);
}

bool study_steps(const Options& options) {
  const int runs = std::max(1, options.occupations / (options.quick ? 2 : 10));
  std::printf("\nA false fix over 30 %% of the visit, and the clean twins of the same runs (%d runs a row).\n", runs);
  std::printf("radius/plain: of the clean twin over that of the bare average, median and 98 %% quantile;\n");
  std::printf("radius/reach: of a held visit over the distance of its levels and a clean radius, 98 %% quantile.\n");
  std::printf("%-22s %2s %4s %5s %9s %9s %11s %14s %13s\n", "error", "Hz", "s", "sigma", "detected", "covered",
              "clean held", "radius/plain", "radius/reach");
  StepWorst worst;
  for (const Cell& cell : cells(options)) {
    if (cell.model->outliers > 0 || cell.model->claim_swing != 1) continue;
    for (const double sigma : {5.0, 6.0, 10.0, 50.0}) {
      if (options.quick && sigma > 5) continue;
      StepResult result;
      for (int i = 0; i < runs; ++i)
        run_step(cell, sigma, noise::seed_of(7, cell.number, static_cast<std::uint64_t>(i)), result);
      print_step(cell, sigma, result);
      // Three false epochs in ten cannot make a level of five.
      if (cell.seconds * cell.rate_hz < 50) continue;
      worst.note(result, name_of(cell) + ", " + std::to_string(static_cast<int>(sigma)) + " sigma");
    }
  }
  worst.print();
  return options.bounds && worst.leaves_bounds(runs);
}

Visit visit_of(const noise::Model& model, std::uint64_t number, std::uint64_t i, int visit) {
  noise::Occupation occupation;
  noise::occupy(model, 60, 1, noise::seed_of(9 + static_cast<std::uint64_t>(visit), number, i), occupation);
  const std::int64_t from_ms = std::int64_t{visit} * 2 * kIndependentAfter_ms;
  return {stay_of(occupation.samples, 1).estimate, {from_ms}, {from_ms + 60000}, visit};
}

bool study_visits(const Options& options) {
  std::printf("\nRepeat visits of 60 s at 1 Hz, combined: coverage and caution.\n");
  std::printf("%-22s %6s  %-41s  %-41s\n", "error", "visits", "horizontal: sets, all, caution",
              "vertical: sets, all, caution");
  Worst least{1, ""};
  std::uint64_t number = 0;
  for (const noise::Model& model : kModels) {
    ++number;
    if (std::string_view(model.name).find(options.model) == std::string_view::npos) continue;
    for (const int count : {2, 3, 5}) {
      Axis plan, height;
      for (int i = 0; i < options.occupations; ++i) {
        std::vector<Visit> visits;
        for (int k = 0; k < count; ++k) visits.push_back(visit_of(model, number, static_cast<std::uint64_t>(i), k));
        const auto c = combine(visits, {});
        const std::uint64_t set = static_cast<std::uint64_t>(i) % kSets;
        plan.add(set, std::hypot(c->east_m, c->north_m), c->error95_horizontal_m);
        height.add(set, std::abs(c->up_m), c->error95_vertical_m);
      }
      std::printf("%-22s %6d", model.name, count);
      plan.print();
      height.print();
      std::printf("\n");
      least.least(std::min(plan.coverage(), height.coverage()), std::string(model.name) + ", " + std::to_string(count));
    }
  }
  std::printf("Least coverage of combined visits: %.4f (%s).\n", least.value, least.where.c_str());
  return options.bounds && failed(least.value < 0.93, "coverage of visits", least);
}

constexpr const char* kUsage =
    "usage: coverage [--occupations N] [--quick] [--bounds] [--study coverage|steps|visits|clean|wrong|stopping|all] "
    "[--model NAME] [--part K/N]\n";

/// `3/16`
bool read_part(std::string_view text, Options& options) {
  const std::size_t slash = text.find('/');
  if (slash == std::string_view::npos) return false;
  std::from_chars(text.data(), text.data() + slash, options.part);
  std::from_chars(text.data() + slash + 1, text.data() + text.size(), options.parts);
  return options.parts > 0 && options.part < options.parts;
}

/// False: the words make no sense.
bool read(int argc, char** argv, Options& options) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word = argv[i];
    if (word == "--quick" || word == "--bounds") {
      (word == "--quick" ? options.quick : options.bounds) = true;
      continue;
    }
    if (i + 1 == argc) return false;
    const std::string_view value = argv[++i];
    if (word == "--study") {
      options.study = value;
    } else if (word == "--model") {
      options.model = value;
    } else if (word == "--part") {
      if (!read_part(value, options)) return false;
    } else if (word == "--occupations") {
      std::from_chars(value.data(), value.data() + value.size(), options.occupations);
      if (options.occupations < 3) return false;
    } else {
      return false;
    }
  }
  return true;
}

}  // namespace

int main(int argc, char** argv) {
  Options options;
  if (!read(argc, argv, options)) return std::fputs(kUsage, stderr), 2;
  const auto wanted = [&](std::string_view study) { return options.study == "all" || options.study == study; };
  const bool clean = options.study == "clean";  // the claim is right: the first three
  bool bad = false;
  if (clean || wanted("coverage")) bad |= study_coverage(options);
  if (clean || wanted("steps")) bad |= study_steps(options);
  if (clean || wanted("visits")) bad |= study_visits(options);
  if (wanted("wrong")) bad |= coverage::study_wrong(options.occupations, options.model) && options.bounds;
  if (wanted("stopping")) bad |= coverage::study_stopping(options.occupations, options.model) && options.bounds;
  return bad ? 1 : 0;
}
