#include "control/receiver_test.hpp"

#include <array>
#include <cmath>
#include <map>
#include <tuple>

#include "control/sentences.hpp"
#include "control/statistics.hpp"

namespace stillpoint::control {
namespace {

constexpr double kConfidence = 0.95;
constexpr double kSimplifiedFactor = 2.5;

using Key = std::tuple<int, int, int>;  // series, set, point
std::map<Key, SetShot> by_key(std::span<const SetShot> shots) {
  std::map<Key, SetShot> out;
  for (const SetShot& shot : shots) out[{shot.series, shot.set, shot.point}] = shot;
  return out;
}

std::string name_of(const SetShot& shot) {
  return "series " + std::to_string(shot.series) + ", set " + std::to_string(shot.set) + ", point " +
         std::to_string(shot.point);
}

Result<void> complete(std::span<const SetShot> shots, bool full) {
  if (const auto missing = next_set(shots, full)) return fail(kSay.to_be_measured(name_of(*missing)));
  return {};
}

std::string word(const Table& table, const Table::Row& row, std::string_view column) {
  return table.where(row) + ": " + std::string(column);
}

/// Residuals of one coordinate against the mean of each point, squared and summed.
double squares(const std::map<Key, SetShot>& shots, double SetShot::*coordinate) {
  std::array<double, 2> sum{}, count{};
  for (const auto& [key, shot] : shots) {
    sum[static_cast<std::size_t>(shot.point - 1)] += shot.*coordinate;
    count[static_cast<std::size_t>(shot.point - 1)] += 1;
  }
  double out = 0;
  for (const auto& [key, shot] : shots) {
    const auto k = static_cast<std::size_t>(shot.point - 1);
    const double r = shot.*coordinate - sum[k] / count[k];
    out += r * r;
  }
  return out;
}

Question below(double value, double limit) {
  return {value, 0, limit, value <= limit};
}

Question ratio(double now, double before, int freedom_now, int freedom_before) noexcept {
  Question out;
  out.value = now * now / (before * before);
  out.upper = f_quantile(1 - (1 - kConfidence) / 2, freedom_now, freedom_before);
  out.lower = 1 / f_quantile(1 - (1 - kConfidence) / 2, freedom_before, freedom_now);
  out.holds = out.value >= out.lower && out.value <= out.upper;
  return out;
}

}  // namespace

Result<std::vector<SetShot>> set_shots(const Table& table) {
  std::vector<SetShot> out;
  for (const Table::Row& row : table.rows) {
    std::array<double, 6> values{};
    constexpr std::array<std::string_view, 6> kColumns{"series", "set", "point", "easting_m", "northing_m", "height_m"};
    for (std::size_t i = 0; i < kColumns.size(); ++i) {
      const auto value = number_in(table, row, kColumns[i]);
      if (!value) return tl::unexpected(value.error());
      if (!*value) return fail(kSay.value_missing(word(table, row, kColumns[i])));
      values[i] = **value;
    }
    constexpr std::array<int, 3> kMost{kSeriesInFullTest, kSetsInSeries, 2};
    for (std::size_t i = 0; i < kMost.size(); ++i) {
      if (values[i] != std::floor(values[i]) || values[i] < 1 || values[i] > kMost[i]) {
        return fail(kSay.no_whole_number(word(table, row, kColumns[i]), std::to_string(kMost[i])));
      }
    }
    const SetShot shot{static_cast<int>(values[0]),
                       static_cast<int>(values[1]),
                       static_cast<int>(values[2]),
                       values[3],
                       values[4],
                       values[5]};
    for (const SetShot& known : out) {
      if (known.series == shot.series && known.set == shot.set && known.point == shot.point) {
        return fail(kSay.set_twice(table.where(row), name_of(shot)));
      }
    }
    out.push_back(shot);
  }
  return out;
}

std::optional<SetShot> next_set(std::span<const SetShot> shots, bool full) {
  const auto known = by_key(shots);
  for (int series = 1; series <= (full ? kSeriesInFullTest : 1); ++series) {
    for (int set = 1; set <= kSetsInSeries; ++set) {
      for (int point = 1; point <= 2; ++point) {
        if (!known.contains({series, set, point})) return SetShot{series, set, point, 0, 0, 0};
      }
    }
  }
  return std::nullopt;
}

Result<Simplified> simplified_test(std::span<const SetShot> shots, const Nominal& nominal, const Claimed& claimed) {
  if (auto all = complete(shots, false); !all) return tl::unexpected(all.error());
  const auto known = by_key(shots);
  Simplified out;
  out.limit_distance_m = kSimplifiedFactor * std::sqrt(2.0) * claimed.horizontal_m;
  out.limit_height_m = kSimplifiedFactor * std::sqrt(2.0) * claimed.vertical_m;
  out.passed = true;
  for (const auto& [key, first] : known) {
    const auto second = known.find({first.series, first.set, 2});
    if (first.point != 1 || second == known.end()) continue;
    const SetShot& other = second->second;
    Deviation d{first.series, first.set, 0, 0, false};
    d.distance_m =
        std::hypot(other.easting_m - first.easting_m, other.northing_m - first.northing_m) - nominal.distance_m;
    d.height_m = other.height_m - first.height_m - nominal.height_difference_m;
    d.within = std::abs(d.distance_m) <= out.limit_distance_m && std::abs(d.height_m) <= out.limit_height_m;
    out.passed = out.passed && d.within;
    out.deviations.push_back(d);
  }
  return out;
}

Result<Full> full_test(std::span<const SetShot> shots, const Claimed& claimed) {
  if (auto all = complete(shots, true); !all) return tl::unexpected(all.error());
  const auto known = by_key(shots);
  Full out;
  const int freedom = (kSeriesInFullTest * kSetsInSeries - 1) * 2;
  out.freedom_horizontal = 2 * freedom;
  out.freedom_height = freedom;
  out.s_x_m = std::sqrt(squares(known, &SetShot::easting_m) / freedom);
  out.s_y_m = std::sqrt(squares(known, &SetShot::northing_m) / freedom);
  out.s_horizontal_m = std::hypot(out.s_x_m, out.s_y_m);
  out.s_height_m = std::sqrt(squares(known, &SetShot::height_m) / freedom);
  const auto factor = [](int f) { return std::sqrt(chi_square_quantile(kConfidence, f) / f); };
  out.horizontal = below(out.s_horizontal_m, claimed.horizontal_m * factor(out.freedom_horizontal));
  out.height = below(out.s_height_m, claimed.vertical_m * factor(out.freedom_height));
  return out;
}

Compared compare_tests(const Full& now, const Full& before) noexcept {
  return {ratio(now.s_horizontal_m, before.s_horizontal_m, now.freedom_horizontal, before.freedom_horizontal),
          ratio(now.s_height_m, before.s_height_m, now.freedom_height, before.freedom_height)};
}

}  // namespace stillpoint::control
