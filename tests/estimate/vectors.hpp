#pragma once
/// Reads the published and computed values among `data/`.

#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

#include "estimate/average.hpp"

namespace vectors {

/// Numbers of a CSV file with a header; a quoted first column is left out.
std::vector<std::vector<double>> table(std::string_view file);
/// A number of `expected_unseen_variance.json`; NaN when it is not there, so that no comparison passes.
double expected(std::string_view series, std::string_view name, int element = 0);
/// A number of `second/expected.json`, by the names that lead to it, of a list its `element`; NaN when it is not there.
double expected_second(std::initializer_list<std::string_view> path, int element = 0);
/// A number of `expected_R.csv`.
double expected_r(std::string_view series, std::string_view column);
/// The epochs of a series; height is made the same as east with its variance.
std::vector<stillpoint::estimate::Sample> series(std::string_view name);

}  // namespace vectors
