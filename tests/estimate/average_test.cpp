#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "estimate/average.hpp"
#include "estimate/noise.hpp"
#include "estimate/vectors.hpp"

using namespace stillpoint::estimate;

namespace {

const char* const kSeries[] = {"v01_white_n60",  "v02_gm30_n120", "v03_mix_n180",      "v04_short_n10", "v05_gm5_n600",
                               "v06_hetero_n90", "v07_5hz_n300",  "v08_outliers_n100", "v09_step_n60"};

bool same(double value, double expected, double relative) {
  return std::abs(value - expected) <= relative * std::abs(expected);
}

/// Nothing widens the error but what was seen: the claim is proven.
constexpr Scale kProven{1, 0, 0, {true, 1.5}};

/// One epoch a second.
Average averaged(const std::vector<Sample>& samples, const Scale& scale = kProven) {
  Average average(scale);
  double time_s = 0;
  for (const Sample& sample : samples) average.add(sample, time_s++);
  return average;
}

std::vector<Sample> moved(std::vector<Sample> samples, double east_m, double north_m, double up_m) {
  for (Sample& sample : samples) {
    sample.east_m += east_m;
    sample.north_m += north_m;
    sample.up_m += up_m;
  }
  return samples;
}

/// An invented receiver of mixed errors, 100 m from the origin.
std::vector<Sample> drawn(int seconds, std::uint64_t seed) {
  noise::Occupation occupation;
  noise::occupy({"mixed", 0.35, 0.5, 30, 0.15}, seconds, 1, seed, occupation);
  return moved(occupation.samples, 100, 200, 300);
}

}  // namespace

TEST_CASE("what a run shows about itself equals the reference computation to 1e-9") {
  // data/expected_unseen_variance.json: own computation of the formulas, apart from this code.
  for (const char* series : kSeries) {
    CAPTURE(series);
    const Average average = averaged(vectors::series(series));
    const Estimate estimate = average.result();
    CHECK(static_cast<double>(estimate.epochs) == vectors::expected(series, "n"));
    CHECK(same(estimate.east_m, vectors::expected(series, "E"), 1e-12));
    CHECK(same(estimate.north_m, vectors::expected(series, "N"), 1e-12));
    const Evidence evidence = average.horizontal_evidence();
    CHECK(same(evidence.scatter, vectors::expected(series, "S"), 1e-9));
    CHECK(same(evidence.seen, vectors::expected(series, "vts"), 1e-9));
    CHECK(same(evidence.doubt, vectors::expected(series, "sdS"), 1e-9));
  }
}

TEST_CASE("weighted means, covariances and the statistic equal those of R to the printed digits") {
  // data/expected_R.csv: R 4.2, ten significant digits.
  for (const char* series : kSeries) {
    CAPTURE(series);
    const Average average = averaged(vectors::series(series));
    const Estimate estimate = average.result();
    CHECK(same(estimate.east_m, vectors::expected_r(series, "wmeanE"), 1e-9));
    CHECK(same(estimate.north_m, vectors::expected_r(series, "wmeanN"), 1e-9));
    CHECK(same(average.horizontal_evidence().scatter, vectors::expected_r(series, "unseen_S"), 1e-9));
    const auto [ee_m2, en_m2, nn_m2] = average.scatter();
    CHECK(same(ee_m2, vectors::expected_r(series, "wcovEE"), 1e-9));
    CHECK(same(en_m2, vectors::expected_r(series, "wcovEN"), 1e-9));
    CHECK(same(nn_m2, vectors::expected_r(series, "wcovNN"), 1e-9));
    const double scatter_m2 = vectors::expected_r(series, "wcovEE") + vectors::expected_r(series, "wcovNN");
    CHECK(same(estimate.scatter_horizontal_m, std::sqrt(scatter_m2), 1e-9));
  }
}

TEST_CASE("one axis alone is the same computation written out") {
  // Height: two-pass sums over the stored series, level by level.
  const auto samples = drawn(100, 5);
  const Estimate estimate = averaged(samples).result();
  double mean = 0, claim_m2 = 0;
  for (const Sample& s : samples) mean += s.up_m / 100, claim_m2 += s.uu_m2 / 100;
  double scatter = 0, seen = 0, doubt2 = 0;
  for (const Sample& s : samples) scatter += (s.up_m - mean) * (s.up_m - mean) / claim_m2 / 100;
  std::vector<double> up, part;
  for (const Sample& s : samples) up.push_back(s.up_m), part.push_back((s.up_m - mean) * (s.up_m - mean) / claim_m2);
  const auto variance_of_mean = [](const std::vector<double>& values) {
    const double n = static_cast<double>(values.size());
    double middle = 0, squares = 0;
    for (const double v : values) middle += v / n;
    for (const double v : values) squares += (v - middle) * (v - middle);
    return squares / (n * (n - 1));
  };
  const auto halve = [](std::vector<double>& values) {
    for (std::size_t i = 0; i + 1 < values.size(); i += 2) values[i / 2] = 0.5 * (values[i] + values[i + 1]);
    values.resize(values.size() / 2);
  };
  for (; up.size() >= 4; halve(up), halve(part)) {
    seen = std::max(seen, variance_of_mean(up) / claim_m2);
    doubt2 = std::max(doubt2, variance_of_mean(part));
  }
  double slope = 0, times = 0, farthest = 0;
  for (int i = 0; i < 100; ++i) {
    slope += (i - 49.5) * (samples[static_cast<std::size_t>(i)].up_m - mean);
    times += (i - 49.5) * (i - 49.5);
  }
  for (std::size_t i = 0; i < 96; i += 8) {  // 24 blocks of four were joined to twelve of eight
    double place = 0;
    for (std::size_t k = i; k < i + 8; ++k) place += samples[k].up_m / 8;
    farthest = std::max(farthest, (place - mean) * (place - mean) / claim_m2);
  }
  const double last_four =
      (samples[96].up_m + samples[97].up_m + samples[98].up_m + samples[99].up_m) / 4 - mean;  // half a block
  farthest = std::max(farthest, last_four * last_four / claim_m2);
  const double about_line = scatter - slope * slope / times / claim_m2 / 100;
  const double drift2 = 100.0 * 100 * slope * slope / times / times / claim_m2;
  const double averaged_out = std::max({std::min(1.0, 1 - about_line + std::sqrt(doubt2)), seen, 1 / (1 + 100 / 60.0)});
  const double unseen = averaged_out + std::max({0.0, (drift2 - 2) / 5, farthest - 2});
  CHECK(same(estimate.up_m, mean, 1e-12));
  CHECK(same(estimate.unseen_vertical, unseen, 1e-9));
  CHECK(same(estimate.scatter_vertical_m, std::sqrt(scatter * claim_m2), 1e-9));
  CHECK(same(estimate.error95_vertical_m, 1.05 * 1.959963984540054 * std::sqrt(unseen * claim_m2), 1e-9));
}

TEST_CASE("one epoch is worth one epoch") {
  const Estimate estimate = averaged({{10, 20, 30, 0.36, 0.072, 0.16, 0.81}}).result();
  CHECK(estimate.epochs == 1);
  CHECK(estimate.east_m == 10);
  CHECK(estimate.up_m == 30);
  CHECK(estimate.unseen_horizontal == 1);
  CHECK(same(estimate.ee_m2, 0.36, 1e-12));
  CHECK(same(estimate.en_m2, 0.072, 1e-12));
  CHECK(same(estimate.error95_vertical_m, 1.05 * 1.959963984540054 * 0.9, 1e-12));
  CHECK(estimate.scatter_horizontal_m == 0);
}

TEST_CASE("the error scale multiplies the claim and the floor is added to the variance") {
  const Sample one{0, 0, 0, 0.04, 0, 0.04, 0.09};
  const Estimate estimate = averaged({one}, {2.0, 0.3, 0.5, {true, 1.5}}).result();
  CHECK(same(estimate.ee_m2, 4 * 0.04 + 0.09, 1e-12));
  CHECK(same(estimate.nn_m2, 4 * 0.04 + 0.09, 1e-12));
  CHECK(same(estimate.uu_m2, 4 * 0.09 + 0.25, 1e-12));
}

TEST_CASE("a claim of zero does not weigh infinitely") {
  const Sample rows[] = {{0, 0, 0, 0, 0, 0, 0}, {0.004, 0, 0.004, 4e-6, 4e-6, 4e-6, 1e-6}};
  const Estimate estimate = averaged({rows[0], rows[1]}).result();
  CHECK(std::isfinite(estimate.error95_horizontal_m));
  CHECK(std::isfinite(estimate.error95_vertical_m));
  CHECK(estimate.east_m > 0);
  CHECK(estimate.error95_horizontal_m > 0.001);
}

TEST_CASE("a claim under a millimetre counts as one, and an ellipse is half a millimetre wide at least") {
  struct Row {
    const char* name;
    Sample claimed;
    double ee_m2, en_m2, nn_m2, uu_m2;
  };
  const Row rows[] = {
      {"nothing claimed", {0, 0, 0, 0, 0, 0, 0}, 1e-6, 0, 1e-6, 1e-6},
      {"just under", {0, 0, 0, 0.99e-6, 0, 0.99e-6, 0.99e-6}, 1e-6, 0, 1e-6, 1e-6},
      {"just over", {0, 0, 0, 1.01e-6, 0, 1.02e-6, 1.03e-6}, 1.01e-6, 0, 1.02e-6, 1.03e-6},
      {"a needle", {0, 0, 0, 4e-6, 4e-6, 4e-6, 1e-6}, 4e-6, 3.75e-6, 4e-6, 1e-6},
      {"a needle that leans the other way", {0, 0, 0, 4e-6, -4e-6, 4e-6, 1e-6}, 4e-6, -3.75e-6, 4e-6, 1e-6},
      {"thin enough to stay", {0, 0, 0, 4e-6, 3.74e-6, 4e-6, 1e-6}, 4e-6, 3.74e-6, 4e-6, 1e-6},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Estimate estimate = averaged({row.claimed}).result();
    CHECK(same(estimate.ee_m2, row.ee_m2, 1e-12));
    CHECK(same(estimate.en_m2, row.en_m2, 1e-12));
    CHECK(same(estimate.nn_m2, row.nn_m2, 1e-12));
    CHECK(same(estimate.uu_m2, row.uu_m2, 1e-12));
  }
}

TEST_CASE("a million epochs 6,000 km from the origin lose nothing") {
  // The same series near the origin, which has all its digits; 2^-20 m steps so that both series hold the same numbers.
  noise::Normals normals(11);
  Average near, far;
  for (int i = 0; i < 1'000'000; ++i) {
    const auto draw = [&] { return std::round(normals.normal() * 0.01 * 0x1p20) * 0x1p-20; };
    Sample sample{draw(), draw(), draw(), 1e-4, 2e-5, 1e-4, 1e-4};
    near.add(sample, i);
    sample.east_m += 6'000'000, sample.north_m -= 6'000'000, sample.up_m += 6'000'000;
    far.add(sample, i);
  }
  const Estimate a = near.result(), b = far.result();
  CHECK(std::abs(b.east_m - 6'000'000 - a.east_m) < 1.1e-9);  // half a last digit of the far coordinate
  CHECK(std::abs(b.north_m + 6'000'000 - a.north_m) < 1.1e-9);
  CHECK(std::abs(b.up_m - 6'000'000 - a.up_m) < 1.1e-9);
  CHECK(b.ee_m2 == a.ee_m2);
  CHECK(b.en_m2 == a.en_m2);
  CHECK(b.uu_m2 == a.uu_m2);
  CHECK(b.unseen_horizontal == a.unseen_horizontal);
  CHECK(b.scatter_vertical_m == a.scatter_vertical_m);
}

TEST_CASE("the answer does not depend on where the origin is") {
  for (const char* series : kSeries) {
    CAPTURE(series);
    const Estimate here = averaged(vectors::series(series)).result();
    const Estimate there = averaged(moved(vectors::series(series), 4096, -8192, 16384)).result();
    CHECK(std::abs(there.east_m - 4096 - here.east_m) < 1e-9);
    CHECK(same(there.unseen_horizontal, here.unseen_horizontal, 1e-9));
    CHECK(same(there.unseen_vertical, here.unseen_vertical, 1e-9));
  }
}

TEST_CASE("the mean does not depend on the order of the epochs") {
  // The error figure may: it asks how long errors last.
  auto samples = vectors::series("v06_hetero_n90");
  const Estimate before = averaged(samples).result();
  noise::Normals normals(3);
  for (int shuffle = 0; shuffle < 50; ++shuffle) {
    for (std::size_t i = samples.size() - 1; i > 0; --i)
      std::swap(samples[i], samples[static_cast<std::size_t>(normals.uniform() * static_cast<double>(i + 1))]);
    const Estimate after = averaged(samples).result();
    CHECK(std::abs(after.east_m - before.east_m) < 1e-9);
    CHECK(std::abs(after.north_m - before.north_m) < 1e-9);
    CHECK(std::abs(after.up_m - before.up_m) < 1e-9);
    CHECK(std::abs(after.scatter_horizontal_m - before.scatter_horizontal_m) < 1e-9);
  }
}

TEST_CASE("two runs merged are one run for mean and scatter, and level by level where their lengths are even") {
  const auto samples = drawn(96, 8);
  for (const std::size_t cut : {std::size_t{1}, std::size_t{7}, std::size_t{32}, std::size_t{64}, std::size_t{95}}) {
    CAPTURE(cut);
    Average whole(kProven, samples[0]), first(kProven, samples[0]), second(kProven, samples[0]);
    for (std::size_t i = 0; i < samples.size(); ++i) {
      whole.add(samples[i], static_cast<double>(i));
      (i < cut ? first : second).add(samples[i], static_cast<double>(i));
    }
    first.merge(second);
    const Estimate a = whole.result(), b = first.result();
    CHECK(b.epochs == 96);
    CHECK(std::abs(a.east_m - b.east_m) < 1e-12);
    CHECK(std::abs(a.up_m - b.up_m) < 1e-12);
    CHECK(same(b.scatter_horizontal_m, a.scatter_horizontal_m, 1e-12));
    CHECK(same(first.horizontal_evidence().scatter, whole.horizontal_evidence().scatter, 1e-12));
    CHECK(std::abs(b.unseen_horizontal - a.unseen_horizontal) < 0.2);
    if (cut % 32 != 0) continue;
    CHECK(same(b.unseen_horizontal, a.unseen_horizontal, 1e-12));
    CHECK(same(b.unseen_vertical, a.unseen_vertical, 1e-12));
  }
}

TEST_CASE("errors that lean between east and north keep their lean when two runs are merged") {
  auto samples = drawn(64, 10);
  for (Sample& sample : samples) sample.en_m2 = 0.6 * std::sqrt(sample.ee_m2 * sample.nn_m2);
  Average whole(kProven, samples[0]), first(kProven, samples[0]), second(kProven, samples[0]);
  for (std::size_t i = 0; i < samples.size(); ++i) {
    whole.add(samples[i], static_cast<double>(i));
    (i < 32 ? first : second).add(samples[i], static_cast<double>(i));
  }
  first.merge(second);
  const Estimate a = whole.result(), b = first.result();
  CHECK(a.en_m2 > 0);
  CHECK(same(b.ee_m2, a.ee_m2, 1e-12));
  CHECK(same(b.en_m2, a.en_m2, 1e-12));
  CHECK(same(b.nn_m2, a.nn_m2, 1e-12));
  CHECK(same(b.error95_horizontal_m, a.error95_horizontal_m, 1e-12));
}

TEST_CASE("merging a run epoch by epoch is adding it") {
  const auto samples = drawn(61, 9);
  Average added(kProven, samples[0]), merged(kProven, samples[0]);
  double time_s = 0;
  for (const Sample& sample : samples) {
    added.add(sample, time_s);
    Average one(kProven, samples[0]);
    one.add(sample, time_s++);
    merged.merge(one);
  }
  CHECK(same(merged.result().unseen_horizontal, added.result().unseen_horizontal, 1e-12));
  CHECK(same(merged.vertical_evidence().doubt, added.vertical_evidence().doubt, 1e-12));
}

TEST_CASE("a claim that is three times too small is refuted and one that is right is not") {
  struct Row {
    const char* name;
    double claim_factor;
    bool refuted;
  };
  const Row rows[] = {
      {"right", 1, false}, {"three times too small", 3, true}, {"three times too large", 1 / 3.0, false}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    noise::Occupation occupation;
    noise::occupy({"white", 1}, 120, 1, 77, occupation);
    for (Sample& s : occupation.samples) {
      for (double* variance_m2 : {&s.ee_m2, &s.en_m2, &s.nn_m2, &s.uu_m2})
        *variance_m2 /= row.claim_factor * row.claim_factor;
    }
    const Estimate estimate = averaged(occupation.samples).result();
    CHECK(estimate.claim_refuted_horizontal == row.refuted);
    CHECK(estimate.claim_refuted_vertical == row.refuted);
  }
}
