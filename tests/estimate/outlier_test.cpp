#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "estimate/noise.hpp"
#include "estimate/outlier.hpp"

using namespace stillpoint::estimate;

namespace {

double median(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  const std::size_t n = values.size();
  return n % 2 == 1 ? values[n / 2] : 0.5 * (values[n / 2 - 1] + values[n / 2]);
}

/// The rule written out: claims are circles of 1 m, so that whitening changes nothing.
double plain_distance(const std::vector<Sample>& accepted, const Sample& judged) {
  if (accepted.empty()) return 0;
  const std::size_t first = accepted.size() > 15 ? accepted.size() - 15 : 0;
  double scaled[3];
  for (int axis = 0; axis < 3; ++axis) {
    const auto of = [axis](const Sample& s) { return axis == 0 ? s.east_m : axis == 1 ? s.north_m : s.up_m; };
    std::vector<double> values, deviations;
    for (std::size_t i = first; i < accepted.size(); ++i) values.push_back(of(accepted[i]));
    const double middle = median(values);
    for (const double value : values) deviations.push_back(std::abs(value - middle));
    const double scale = values.size() < 5 ? 1.0 : std::clamp(1.4826 * median(deviations), 0.6, 1.0);
    scaled[axis] = std::abs(of(judged) - middle) / scale;
  }
  return std::max(std::hypot(scaled[0], scaled[1]), scaled[2]);
}

}  // namespace

TEST_CASE("the gate's distance is the rule written out with plain sorting") {
  noise::Normals normals(21);
  OutlierGate gate;
  std::vector<Sample> accepted;
  int refused = 0;
  for (int i = 0; i < 3000; ++i) {
    const double thrown = i % 50 == 49 ? 6 : 0;
    const Sample sample{normals.normal() + thrown, normals.normal(), normals.normal(), 1, 0, 1, 1};
    const double distance = gate.distance(sample).scaled;
    CHECK(std::abs(distance - plain_distance(accepted, sample)) < 1e-9);
    if (distance > OutlierGate::kLimit) {
      ++refused;
      continue;
    }
    gate.accept(sample);
    accepted.push_back(sample);
  }
  CHECK(refused >= 55);
  CHECK(refused < 120);
}

TEST_CASE("whitened distances do not depend on how a claim is turned") {
  // The same draws in an ellipse of 3 m by 0.3 m, whitened by its own claim.
  noise::Normals normals(22);
  const double cosine = std::cos(0.7), sine = std::sin(0.7), a = 3.0, b = 0.3;
  const auto whiten = Whitening::of(a * a * cosine * cosine + b * b * sine * sine, (a * a - b * b) * sine * cosine,
                                    a * a * sine * sine + b * b * cosine * cosine, 4.0, 1.5);
  for (int i = 0; i < 100; ++i) {
    const double along = normals.normal(), across = normals.normal(), up = normals.normal();
    const auto at = whiten(cosine * a * along - sine * b * across, sine * a * along + cosine * b * across, 2 * up);
    CHECK(std::hypot(at[0], at[1]) == doctest::Approx(std::hypot(along, across) / 1.5).epsilon(1e-9));
    CHECK(at[2] == doctest::Approx(up / 1.5).epsilon(1e-12));
  }
}

TEST_CASE("the recent mean leaves out the newest epochs and roughness tells white from smooth") {
  OutlierGate gate;
  noise::Normals normals(23);
  for (int i = 0; i < 40; ++i) gate.accept({i < 38 ? 0.0 : 100.0, 0, 0, 1, 0, 1, 1});
  CHECK(gate.recent(2).mean.east_m == 0);
  CHECK(gate.recent(2).epochs == 13);
  CHECK(gate.recent(0).mean.east_m == doctest::Approx(200.0 / 15));
  double white = 0, smooth = 0, level = 0;
  OutlierGate noisy, lazy;
  for (int i = 0; i < 3000; ++i) {
    noisy.accept({normals.normal(), normals.normal(), normals.normal(), 1, 0, 1, 1});
    level = 0.95 * level + std::sqrt(1 - 0.95 * 0.95) * normals.normal();
    lazy.accept({level, level, level, 1, 0, 1, 1});
    white += noisy.recent(0).roughness / 3000;
    smooth += lazy.recent(0).roughness / 3000;
  }
  CHECK(white == doctest::Approx(1.0).epsilon(0.05));
  CHECK(smooth == doctest::Approx(0.05).epsilon(0.1));  // 1 − correlation from epoch to epoch
}
