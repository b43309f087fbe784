#include "estimate/vectors.hpp"

#include <charconv>
#include <fstream>
#include <limits>
#include <sstream>
#include <stdexcept>

namespace vectors {
namespace {

std::string whole(std::string_view file) {
  std::ifstream in(std::string(STILLPOINT_TEST_DATA "/estimate/data/").append(file));
  if (!in) throw std::runtime_error("missing test data " + std::string(file));
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

double number(std::string_view text) {
  double value = std::numeric_limits<double>::quiet_NaN();
  std::from_chars(text.data(), text.data() + text.size(), value);
  return value;
}

std::vector<std::vector<std::string>> cells(std::string_view file) {
  std::istringstream in(whole(file));
  std::vector<std::vector<std::string>> rows;
  for (std::string line; std::getline(in, line);) {
    std::istringstream fields(line);
    auto& row = rows.emplace_back();
    for (std::string cell; std::getline(fields, cell, ',');) {
      std::erase(cell, '"');
      std::erase(cell, '\r');
      row.push_back(cell);
    }
  }
  return rows;
}

}  // namespace

std::vector<std::vector<double>> table(std::string_view file) {
  std::vector<std::vector<double>> numbers;
  const auto rows = cells(file);
  for (std::size_t i = 1; i < rows.size(); ++i) {
    auto& row = numbers.emplace_back();
    for (const auto& cell : rows[i]) row.push_back(number(cell));
  }
  return numbers;
}

double expected(std::string_view series, std::string_view name, int element) {
  // A flat search is enough for a file of our own: "series": { … "name": number or [numbers] … }.
  const std::string text = whole("expected_unseen_variance.json");
  std::size_t at = text.find("\"" + std::string(series) + "\": {");
  if (at == std::string::npos) return std::numeric_limits<double>::quiet_NaN();
  const std::string key = "\"" + std::string(name) + "\":";
  at = text.find(key, at);
  if (at == std::string::npos) return std::numeric_limits<double>::quiet_NaN();
  at += key.size();
  for (int skip = 0; skip < element; ++skip) at = text.find(',', at) + 1;
  at = text.find_first_not_of(" [\n", at);
  if (text.compare(at, 4, "true") == 0) return 1;
  if (text.compare(at, 5, "false") == 0) return 0;
  return number(std::string_view(text).substr(at));
}

double expected_second(std::initializer_list<std::string_view> path, int element) {
  // Each name is looked for after the one before: the file keeps one order everywhere.
  const std::string text = whole("second/expected.json");
  std::size_t at = 0;
  for (const std::string_view name : path) {
    const std::string key = "\"" + std::string(name) + "\":";
    at = text.find(key, at);
    if (at == std::string::npos) return std::numeric_limits<double>::quiet_NaN();
    at += key.size();
  }
  for (int skip = 0; skip < element; ++skip) at = text.find(',', at) + 1;
  at = text.find_first_not_of(" [\n", at);
  if (text.compare(at, 4, "true") == 0) return 1;
  if (text.compare(at, 5, "false") == 0) return 0;
  return number(std::string_view(text).substr(at));
}

double expected_r(std::string_view series, std::string_view column) {
  const auto rows = cells("expected_R.csv");
  for (std::size_t c = 0; c < rows[0].size(); ++c)
    for (const auto& row : rows)
      if (rows[0][c] == column && row[0] == series) return number(row[c]);
  return std::numeric_limits<double>::quiet_NaN();
}

std::vector<stillpoint::estimate::Sample> series(std::string_view name) {
  std::vector<stillpoint::estimate::Sample> samples;
  for (const auto& row : table(std::string(name) + ".csv"))
    samples.push_back({row[1], row[2], row[1], row[3], row[4], row[5], row[3]});
  return samples;
}

}  // namespace vectors
