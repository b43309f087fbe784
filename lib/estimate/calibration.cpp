#include "estimate/calibration.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <vector>

#include "base/number.hpp"
#include "estimate/sentences.hpp"

namespace stillpoint::estimate {
namespace {

/// Of what was seen, as long as the marks are somebody's word.
constexpr double kMostOfMarks = 0.5;

/// Distribution function, by the series of the incomplete gamma function.
double chi_square_below(double value, double degrees) noexcept {
  const double a = 0.5 * degrees, x = 0.5 * value;
  if (!(x > 0)) return 0;
  int sign = 0;  // glibc's lgamma writes it to a global; the reentrant one does not
  double term = std::exp(a * std::log(x) - x - ::lgamma_r(a + 1, &sign)), sum = term;
  for (int n = 1; term > 1e-12 * sum; ++n) {
    term *= x / (a + n);
    sum += term;
  }
  return sum;
}

/// One axis group of one place: what was seen over what was claimed, and the truth's own share of it.
struct PlaceSums {
  bool against_truth = true;
  int visits = 0;
  double seen = 0, truth = 0;
};

/// All places of one axis group.
class Ratio {
 public:
  explicit Ratio(int axes) : axes_(axes) {}

  void add(int place, bool against_truth, double seen_m2, double truth_m2, double claimed_m2) {
    PlaceSums& sums = places_[place];
    sums.against_truth = against_truth;
    ++sums.visits;
    sums.seen += seen_m2 / claimed_m2;
    sums.truth += truth_m2 / claimed_m2;
  }

  /// Visits that are independent draws: of each place without truth one is used up for its mean.
  int counted() const {
    int sum = 0;
    for (const auto& [place, s] : places_) sum += s.against_truth ? s.visits : s.visits - 1;
    return sum;
  }

  bool weak() const { return truth() > kMostOfMarks * seen(); }

  Factor factor() const {
    Factor out;
    const double degrees = freedom();
    if (!(degrees > 0)) return out;
    const double seen_share = seen(), truth_share = truth();
    const auto scale = [&](double stretch, double least) {
      const double all = stretch * seen_share;
      return std::sqrt(std::max({0.0, all - truth_share, least * all}));
    };
    const auto at = [&](double probability) { return degrees / chi_square_quantile(probability, degrees); };
    out.value = scale(1, kMostOfMarks);
    out.low = std::min(out.value, scale(at(0.975), 0));
    out.high = scale(at(0.025), kMostOfMarks);
    out.upper80 = scale(at(0.2), kMostOfMarks);
    return out;
  }

 private:
  int visits() const {
    int sum = 0;
    for (const auto& [place, s] : places_) sum += s.visits;
    return sum;
  }
  double mean_of(double PlaceSums::*what) const {
    double sum = 0;
    for (const auto& [place, s] : places_) sum += s.*what;
    return places_.empty() ? 0 : sum / visits();
  }
  double seen() const { return mean_of(&PlaceSums::seen); }
  double truth() const { return mean_of(&PlaceSums::truth); }

  /// 2 E²/Var of the mean that was seen. Errors of visits to one mark have the mark's in common; a place without truth
  /// has one draw less than visits.
  double freedom() const {
    const double own = std::max(seen() - truth(), kMostOfMarks * seen());
    double variance = 0;
    for (const auto& [place, s] : places_) {
      const double count = s.visits;
      if (s.against_truth) {
        variance += count * own * own + 2.0 * own * s.truth + s.truth * s.truth;
      } else {
        variance += count * count / (count - 1.0) * own * own;
      }
    }
    const double all = visits() * (own + truth());
    return variance > 0 ? axes_ * all * all / variance : 0;
  }

  int axes_;
  std::map<int, PlaceSums> places_;
};

class Sums {
 public:
  /// `mean`: stands for the truth. `stretch`: makes up for a truth that is the visits' own mean.
  bool add(const PlaceVisit& visit, const PlaceVisit& mean, double stretch) {
    if (!(visit.claimed.plan_m2 > 0) || !(visit.claimed.up_m2 > 0)) return false;
    const double off_e = visit.east_m - mean.east_m, off_n = visit.north_m - mean.north_m;
    const double off_u = visit.up_m - mean.up_m, distance2_m2 = off_e * off_e + off_n * off_n;
    plan_.add(visit.place, visit.against_truth, stretch * distance2_m2 + visit.claimed.scatter_plan_m2,
              visit.truth_plan_m2, visit.claimed.plan_m2);
    if (visit.has_height) {
      up_.add(visit.place, visit.against_truth, stretch * off_u * off_u + visit.claimed.scatter_up_m2,
              visit.truth_up_m2, visit.claimed.up_m2);
    }
    ++out_.visits;
    out_.to_marks += visit.against_truth ? 1 : 0;
    out_.without_height += visit.has_height ? 0 : 1;
    if (visit.error95_plan_m) {
      ++out_.with_error95;
      out_.within95 += std::sqrt(distance2_m2) <= *visit.error95_plan_m ? 1 : 0;
    }
    return true;
  }
  Calibration result() {
    out_.horizontal = plan_.factor();
    out_.vertical = up_.factor();
    out_.counted = std::min(plan_.counted(), up_.counted());
    out_.weak_marks = plan_.weak() || up_.weak();
    out_.error_scale = out_.larger().upper80;
    return out_;
  }

 private:
  Ratio plan_{2}, up_{1};
  Calibration out_;
};

PlaceVisit mean_of(const std::vector<const PlaceVisit*>& visits) {
  PlaceVisit mean;
  const double count = static_cast<double>(visits.size());
  for (const PlaceVisit* visit : visits) {
    mean.east_m += visit->east_m / count;
    mean.north_m += visit->north_m / count;
    mean.up_m += visit->up_m / count;
  }
  return mean;
}

std::string rests_on(const Calibration& c) {
  const std::string marks = std::to_string(c.to_marks), repeats = std::to_string(c.visits - c.to_marks);
  if (c.to_marks == c.visits) return kSay.visits_to_marks(marks);
  return c.to_marks == 0 ? kSay.repeat_visits(repeats) : kSay.visits_of_both(marks, repeats);
}

}  // namespace

double chi_square_quantile(double probability, double degrees) noexcept {
  // Ten standard deviations about the mean: wide enough for every probability asked, near enough for the series.
  const double reach = 10 * std::sqrt(2.0 * degrees) + 10;
  double low = std::max(0.0, degrees - reach), high = degrees + reach;
  for (int step = 0; step < 60; ++step) {
    const double middle = 0.5 * (low + high);
    (chi_square_below(middle, degrees) < probability ? low : high) = middle;
  }
  return 0.5 * (low + high);
}

Claimed claimed_of(const Estimate& stay, double error_scale) noexcept {
  const double scale2 = error_scale * error_scale;
  return {stay.claim_horizontal_m2 / scale2, stay.claim_vertical_m2 / scale2,
          stay.scatter_horizontal_m * stay.scatter_horizontal_m - stay.digits_horizontal_m2,
          stay.scatter_vertical_m * stay.scatter_vertical_m - stay.digits_vertical_m2};
}

Result<Calibration> calibrate(std::span<const PlaceVisit> visits) {
  std::map<int, std::vector<const PlaceVisit*>> places;
  for (const PlaceVisit& visit : visits) places[visit.place].push_back(&visit);
  Sums sums;
  int used = 0;
  for (const auto& [place, all] : places) {
    const bool against_truth = all.front()->against_truth;
    if (!against_truth && all.size() < 2) continue;
    ++used;
    const auto count = static_cast<double>(all.size());
    const PlaceVisit mean = against_truth ? PlaceVisit{} : mean_of(all);
    for (const PlaceVisit* visit : all)
      if (!sums.add(*visit, mean, against_truth ? 1.0 : count / (count - 1))) return fail(kSay.no_claim());
  }
  if (used == 0) return fail(kSay.no_visits());
  Calibration out = sums.result();
  out.places = used;
  return out;
}

std::string standing(const Calibration& c) {
  const Factor& factor = c.larger();
  return kSay.scale_so_far(std::to_string(c.counted), std::to_string(kFewestToVerify), fixed(factor.value, 2),
                           fixed(factor.low, 2), fixed(factor.high, 2));
}

std::string toml_lines(const Calibration& c, UtcTime until) {
  const Factor& factor = c.larger();
  std::string lines =
      "error_scale = " + fixed(c.error_scale, 2) + "  # " +
      kSay.scale_rests_on(fixed(factor.value, 2), fixed(factor.low, 2), fixed(factor.high, 2), rests_on(c));
  if (c.counted < kFewestToVerify) return lines;
  return lines + "\nerror_scale_evidence = { visits = " + std::to_string(c.counted) +
         ", until = " + to_text(until).substr(0, 10) + " }";
}

}  // namespace stillpoint::estimate
