#include "estimate/calibration.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "base/number.hpp"
#include "estimate/sentences.hpp"

namespace stillpoint::estimate {
namespace {

/// Distribution function, by the series of the incomplete gamma function.
double chi_square_below(double value, int degrees) noexcept {
  const double a = 0.5 * degrees, x = 0.5 * value;
  if (!(x > 0)) return 0;
  double term = std::exp(a * std::log(x) - x - std::lgamma(a + 1)), sum = term;
  for (int n = 1; term > 1e-12 * sum; ++n) {
    term *= x / (a + n);
    sum += term;
  }
  return sum;
}

/// Sums of one axis group: what was seen over what was claimed, and the independent draws behind it.
struct Ratio {
  double sum = 0;
  int visits = 0;
  int degrees = 0;

  void add(double seen_m2, double claimed_m2) {
    sum += seen_m2 / claimed_m2;
    ++visits;
  }
  Factor factor(double scale_in_use) const {
    Factor out;
    if (visits == 0 || degrees <= 0) return out;
    out.value = scale_in_use * std::sqrt(std::max(0.0, sum / visits));
    out.low = out.value * std::sqrt(degrees / chi_square_quantile(0.975, degrees));
    out.high = out.value * std::sqrt(degrees / chi_square_quantile(0.025, degrees));
    out.upper80 = out.value * std::sqrt(degrees / chi_square_quantile(0.2, degrees));
    return out;
  }
};

struct Place {
  double east_m = 0, north_m = 0, up_m = 0;
};

class Sums {
 public:
  explicit Sums(const Scale& in_use) : in_use_(in_use) {}
  /// `stretch`: makes up for a truth that is the visits' own mean.
  bool add(const MarkVisit& visit, const Place& truth, double stretch) {
    const Estimate& e = visit.estimate;
    if (e.epochs == 0 || !(e.claim_horizontal_m2 > 0) || !(e.claim_vertical_m2 > 0)) return false;
    const double off_e = e.east_m - truth.east_m, off_n = e.north_m - truth.north_m, off_u = e.up_m - truth.up_m;
    const double distance2_m2 = off_e * off_e + off_n * off_n;
    horizontal.add(stretch * distance2_m2 + e.scatter_horizontal_m * e.scatter_horizontal_m - e.digits_horizontal_m2,
                   e.claim_horizontal_m2);
    if (visit.has_height)
      vertical.add(stretch * off_u * off_u + e.scatter_vertical_m * e.scatter_vertical_m - e.digits_vertical_m2,
                   e.claim_vertical_m2);
    if (std::sqrt(distance2_m2) <= e.error95_horizontal_m) ++within95;
    return true;
  }
  Calibration result() const {
    Calibration out;
    out.visits = horizontal.visits;
    out.horizontal = horizontal.factor(in_use_.error_scale);
    out.vertical = vertical.factor(in_use_.error_scale);
    out.within95 = within95;
    out.error_scale = std::max(out.horizontal.upper80, out.vertical.upper80);
    return out;
  }

  Ratio horizontal, vertical;
  int within95 = 0;

 private:
  Scale in_use_;
};

std::map<int, std::vector<const MarkVisit*>> by_mark(std::span<const MarkVisit> visits) {
  std::map<int, std::vector<const MarkVisit*>> marks;
  for (const MarkVisit& visit : visits) marks[visit.mark].push_back(&visit);
  return marks;
}

}  // namespace

double chi_square_quantile(double probability, int degrees) noexcept {
  // Ten standard deviations about the mean: wide enough for every probability asked, near enough for the series.
  const double reach = 10 * std::sqrt(2.0 * degrees) + 10;
  double low = std::max(0.0, degrees - reach), high = degrees + reach;
  for (int step = 0; step < 60; ++step) {
    const double middle = 0.5 * (low + high);
    (chi_square_below(middle, degrees) < probability ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

Result<Calibration> calibrate_on_marks(std::span<const MarkVisit> visits, const Scale& in_use) {
  if (visits.empty()) return fail(kSay.no_marks());
  Sums sums(in_use);
  for (const MarkVisit& visit : visits)
    if (!sums.add(visit, {visit.truth_east_m, visit.truth_north_m, visit.truth_up_m}, 1.0))
      return fail(kSay.no_claim());
  sums.horizontal.degrees = 2 * sums.horizontal.visits;
  sums.vertical.degrees = sums.vertical.visits;
  Calibration out = sums.result();
  out.marks = static_cast<int>(by_mark(visits).size());
  return out;
}

Result<Calibration> calibrate_on_repeats(std::span<const MarkVisit> visits, const Scale& in_use) {
  Sums sums(in_use);
  int marks = 0;
  for (const auto& [mark, repeats] : by_mark(visits)) {
    if (repeats.size() < 2) continue;
    ++marks;
    const double count = static_cast<double>(repeats.size());
    Place mean;
    for (const MarkVisit* visit : repeats) {
      mean.east_m += visit->estimate.east_m / count;
      mean.north_m += visit->estimate.north_m / count;
      mean.up_m += visit->estimate.up_m / count;
    }
    for (const MarkVisit* visit : repeats)
      if (!sums.add(*visit, mean, count / (count - 1))) return fail(kSay.no_claim());
    const int free = static_cast<int>(repeats.size()) - 1;
    sums.horizontal.degrees += 2 * free;
    sums.vertical.degrees += free;
  }
  if (sums.horizontal.visits < kFewestRepeats) {
    return fail(kSay.few_repeats(std::to_string(sums.horizontal.visits), std::to_string(kFewestRepeats)));
  }
  Calibration out = sums.result();
  out.marks = marks;
  out.against_truth = false;
  return out;
}

std::string toml_lines(const Calibration& calibration, UtcTime until) {
  const bool vertical = calibration.vertical.upper80 > calibration.horizontal.upper80;
  const Factor& factor = vertical ? calibration.vertical : calibration.horizontal;
  const auto& rests_on = calibration.against_truth ? kSay.by_marks : kSay.by_repeats;
  const std::string visits = std::to_string(calibration.visits);
  std::string lines = "error_scale = " + fixed(calibration.error_scale, 2) + "  # " +
                      rests_on(fixed(factor.value, 2), fixed(factor.low, 2), fixed(factor.high, 2), visits);
  if (calibration.visits < kFewestToVerify) return lines;
  return lines + "\nerror_scale_evidence = { visits = " + visits + ", until = " + to_text(until).substr(0, 10) + " }";
}

}  // namespace stillpoint::estimate
