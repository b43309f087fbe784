// The errors have the statistics that were asked for. Every bound is about four standard errors of the estimate wide,
// so a wrong constant fails.

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "simulate/errors.hpp"

using namespace stillpoint::simulate;

namespace {

constexpr int kSteps = 400'000;

struct Series {
  std::vector<double> east, north, up;  // metres
};

Series series_of(const ErrorModel& model, double interval_s, int steps = kSteps) {
  Random random(20260603, "test");
  ErrorProcess process(model, interval_s);
  process.restart(random);
  Series out;
  for (int i = 0; i < steps; ++i) {
    const Axes e_m = process.step(random);
    out.east.push_back(e_m.east);
    out.north.push_back(e_m.north);
    out.up.push_back(e_m.up);
  }
  return out;
}

double mean(const std::vector<double>& x) {
  double sum = 0;
  for (const double v : x) sum += v;
  return sum / static_cast<double>(x.size());
}

/// Covariance of the series with itself `lag` steps later.
double covariance(const std::vector<double>& x, std::size_t lag) {
  const double m = mean(x);
  double sum = 0;
  for (std::size_t i = lag; i < x.size(); ++i) sum += (x[i] - m) * (x[i - lag] - m);
  return sum / static_cast<double>(x.size() - lag);
}

double share_beyond(const std::vector<double>& x, double sigmas) {
  const double sigma = std::sqrt(covariance(x, 0));
  double count = 0;
  for (const double v : x) count += std::abs(v) > sigmas * sigma ? 1 : 0;
  return count / static_cast<double>(x.size());
}

}  // namespace

TEST_CASE("the logarithm agrees with the C library's") {
  for (const double x : {1e-300, 1e-9, 0.1, 0.5, 0.999999, 1.0, 1.0000001, 1.5, 2.0, 3.14159, 1e9, 1e300}) {
    CAPTURE(x);
    CHECK(std::abs(own_log(x) - std::log(x)) <= 4e-16 * std::max(1.0, std::abs(std::log(x))));
  }
}

TEST_CASE("the generator gives the published numbers of xoshiro256++") {
  // Seeded by splitmix64(0), whose first outputs are E220A8397B1DCDAF 6E789E6AA1B965F4 06C45D188009454F
  // F88BB8A8724C81EC (Vigna's splitmix64.c, from memory); rotl(s0 + s3, 23) + s0 worked out by hand from them.
  Random random(0, "");
  CHECK(random.next() == 0x53175D61490B23DFULL);
}

TEST_CASE("normals are normal, and tailed ones have Student's tails") {
  Random random(7, "normals");
  std::vector<double> normal, tailed;
  for (int i = 0; i < kSteps; ++i) normal.push_back(random.normal()), tailed.push_back(random.tailed(5));
  CHECK(mean(normal) == doctest::Approx(0).epsilon(0.007));
  CHECK(covariance(normal, 0) == doctest::Approx(1).epsilon(0.010));
  CHECK(covariance(tailed, 0) == doctest::Approx(1).epsilon(0.020));
  // Beyond 3 sigma: erfc(3/sqrt 2) = 0.0027 for the normal; 0.01172 for Student's t with 5 degrees scaled to variance 1
  // and 0.00133 beyond 5 sigma, by numerical integration of its density.
  CHECK(std::abs(share_beyond(normal, 3) - 0.0027) < 0.0004);
  CHECK(std::abs(share_beyond(tailed, 3) - 0.01172) < 0.0008);
  CHECK(std::abs(share_beyond(tailed, 5) - 0.00133) < 0.0003);
}

TEST_CASE("each axis has its own correlation time and variance") {
  ErrorModel model;
  model.markov_m = {0.5, 0.3, 1.0};
  model.tau_s = {30, 60, 90};
  const Series s = series_of(model, 1.0);
  struct Row {
    const char* name;
    const std::vector<double>& x;
    double sigma_m;
    std::size_t tau_steps;
  };
  for (const Row& row : {Row{"east", s.east, 0.5, 30}, Row{"north", s.north, 0.3, 60}, Row{"up", s.up, 1.0, 90}}) {
    CAPTURE(row.name);
    const double variance_m2 = covariance(row.x, 0);
    // Relative standard error of the variance: sqrt(2 tau / n) = 1.2, 1.7, 2.1 %.
    CHECK(variance_m2 == doctest::Approx(row.sigma_m * row.sigma_m).epsilon(0.07));
    CHECK(std::abs(covariance(row.x, row.tau_steps) / variance_m2 - std::exp(-1.0)) < 0.05);
    CHECK(std::abs(covariance(row.x, 2 * row.tau_steps) / variance_m2 - std::exp(-2.0)) < 0.06);
  }
}

TEST_CASE("the correlation time is in seconds, not in epochs") {
  ErrorModel model;
  model.markov_m = {1, 1, 1};
  model.tau_s = {10, 10, 10};
  const Series s = series_of(model, 0.1, 1'000'000);
  CHECK(std::abs(covariance(s.east, 100) / covariance(s.east, 0) - std::exp(-1.0)) < 0.06);
}

TEST_CASE("white noise drops the autocorrelation at once, by its share") {
  ErrorModel model;
  model.white_m = {0.4, 0.4, 0.4};
  model.markov_m = {0.3, 0.3, 0.3};
  model.tau_s = {50, 50, 50};
  const Series s = series_of(model, 1.0);
  CHECK(covariance(s.east, 0) == doctest::Approx(0.25).epsilon(0.04));
  CHECK(std::abs(covariance(s.east, 1) / covariance(s.east, 0) - 0.36 * std::exp(-0.02)) < 0.02);
  CHECK(std::abs(covariance(s.east, 50) / covariance(s.east, 0) - 0.36 * std::exp(-1.0)) < 0.03);
  Random random(1, "claim");
  CHECK(ErrorProcess(model, 1).sigma_m().east == doctest::Approx(0.5));
}

TEST_CASE("a bias moves the mean and nothing else") {
  ErrorModel model;
  model.white_m = {0.1, 0.1, 0.1};
  model.bias_m = {0, 0.6, -0.2};
  const Series s = series_of(model, 1.0, 100'000);
  CHECK(std::abs(mean(s.east)) < 0.002);
  CHECK(std::abs(mean(s.north) - 0.6) < 0.002);
  CHECK(std::abs(mean(s.up) + 0.2) < 0.002);
  CHECK(covariance(s.north, 0) == doctest::Approx(0.01).epsilon(0.02));
}

TEST_CASE("a process begins anew within its own distribution") {
  ErrorModel model;
  model.markov_m = {1, 1, 1};
  Random random(3, "restart");
  ErrorProcess process(model, 1.0);
  std::vector<double> firsts;
  for (int i = 0; i < 40'000; ++i) {
    process.restart(random);
    firsts.push_back(process.step(random).east);
  }
  CHECK(covariance(firsts, 0) == doctest::Approx(1).epsilon(0.03));
  CHECK(std::abs(covariance(firsts, 1)) < 0.02);
}
