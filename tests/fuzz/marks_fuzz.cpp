// Any bytes as a list of control marks: what is told a terminal can show, and what is a mark keeps its promises.

#include <cmath>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "control/marks.hpp"
#include "fuzz/check.hpp"

using namespace stillpoint;

namespace {

void check_shown(const std::string& text) {
  for (const char c : text) {
    fuzz::check(static_cast<unsigned char>(c) >= 0x20 || c == '\t', "a control character");
    fuzz::check(c != 0x7F, "a control character");
  }
}

void check_within(const std::optional<double>& value, double lowest, double highest) {
  if (value) fuzz::check(std::isfinite(*value) && *value >= lowest && *value <= highest, "a number in its range");
}

void check_mark(const control::Mark& mark) {
  fuzz::check(!mark.name.empty() && !mark.frame.empty(), "a mark has a name and a frame");
  for (const std::string* text : {&mark.name, &mark.frame, &mark.geoid, &mark.remarks}) check_shown(*text);
  check_within(mark.coordinate_epoch, 1980, 2100);
  const bool geographic = mark.latitude_deg && mark.longitude_deg;
  const bool grid = mark.easting_m && mark.northing_m;
  fuzz::check(geographic != grid, "one place");
  check_within(mark.latitude_deg, -90, 90);
  check_within(mark.longitude_deg, -180, 360);
  check_within(mark.sigma_horizontal_m, 0, 100);
  fuzz::check(mark.height_m.has_value() == (mark.height_kind != control::HeightOf::none), "a height has its kind");
  fuzz::check(!mark.height_m || mark.sigma_vertical_m, "a height has its uncertainty");
  for (const std::string& caution : control::cautions(mark, UtcTime{1'780'000'000'000})) check_shown(caution);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view csv(reinterpret_cast<const char*>(data), size);
  const control::Marks marks = control::parse_marks(csv, "marks.csv");
  for (const auto* sentences : {&marks.errors, &marks.warnings}) {
    for (const std::string& sentence : *sentences) {
      fuzz::check(sentence.starts_with("marks.csv"), "a sentence names the file");
      check_shown(sentence);
    }
  }
  std::set<std::string> names;
  for (const control::Mark& mark : marks.marks) {
    check_mark(mark);
    fuzz::check(names.insert(mark.name).second, "a name is there once");
    fuzz::check(marks.find(mark.name) == &mark, "a mark is found by its name");
  }
  return 0;
}
