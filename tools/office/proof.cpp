// The two evaluations that need no recorded bytes: an accuracy statement over check points, and the field test of a
// receiver.
//
// Errors: one sentence on stderr; exit 0 done (a test: passed), 1 not passed or not enough measured, 2 usage, 4
// unreadable input.

#include <CLI/CLI.hpp>
#include <iostream>
#include <memory>

#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "control/receiver_test.hpp"
#include "control/statement.hpp"
#include "office.hpp"
#include "reduce/say.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

struct Asked {
  std::string accuracy, receiver_test, before;
  bool full = false;
  control::SurveyError survey;
  std::optional<double> distance_m, height_difference_m;
  double sigma_horizontal_m = 0, sigma_vertical_m = 0;
};

Result<control::Table> table_of(const std::string& path) {
  const auto text = read_named_file(kSay.the_table(), path, kMostTableBytes);
  if (!text) return tl::unexpected(text.error());
  auto table = control::parse_table(*text, path);
  if (table && !table->faults.empty()) return fail(table->faults.front());
  return table;
}

Result<std::vector<control::SetShot>> sets_of(const std::string& path) {
  const auto table = table_of(path);
  if (!table) return tl::unexpected(table.error());
  return control::set_shots(*table);
}

int state_accuracy(const Asked& asked) {
  const auto table = table_of(asked.accuracy);
  if (!table) return complain(table.error().text, kCannotRead);
  const auto points = control::check_points(*table);
  if (!points) return complain(points.error().text, kCannotRead);
  const auto statement = control::accuracy(*points, asked.survey);
  if (!statement) return complain(kSay.no_check_points(asked.accuracy), kCannotRead);
  for (const auto& line : control::statement_lines(*statement, asked.survey)) std::cout << line << "\n";
  if (const auto few = control::too_few_points(*statement); !few.empty()) std::cout << few << "\n";
  return statement->nssda_enough_horizontal ? kAllAccepted : kSomeHeld;
}

std::string answer(const std::string& what, const control::Question& q) {
  std::string out = what + " " + fixed(q.value, 4) + ", limits " + fixed(q.lower, 4) + " to " + fixed(q.upper, 4) +
                    " at 95 %: " + (q.holds ? "holds" : "DOES NOT HOLD");
  if (q.value < q.lower) out += kSay.under_limit();
  if (q.value > q.upper) out += kSay.over_limit();
  return out;
}

int simplified(const Asked& asked, const std::vector<control::SetShot>& shots) {
  if (!asked.distance_m || !asked.height_difference_m) {
    return complain(kSay.nominal_missing(), kUsage);
  }
  const auto test = control::simplified_test(shots, {*asked.distance_m, *asked.height_difference_m},
                                             {asked.sigma_horizontal_m, asked.sigma_vertical_m});
  if (!test) return complain(test.error().text, kSomeHeld);
  for (const auto& d : test->deviations) {
    std::cout << "series " << d.series << ", set " << d.set << ": distance " << fixed(d.distance_m, 4) << " m (limit "
              << fixed(test->limit_distance_m, 4) << " m), height " << fixed(d.height_m, 4) << " m (limit "
              << fixed(test->limit_height_m, 4) << " m): " << (d.within ? "within" : "OUTSIDE") << "\n";
  }
  std::cout << kSay.simplified_test(test->passed ? "passed" : kSay.not_passed()) << "\n";
  return test->passed ? kAllAccepted : kSomeHeld;
}

int full(const Asked& asked, const std::vector<control::SetShot>& shots) {
  const control::Claimed claimed{asked.sigma_horizontal_m, asked.sigma_vertical_m};
  const auto test = control::full_test(shots, claimed);
  if (!test) return complain(test.error().text, kSomeHeld);
  bool passed = test->horizontal.holds && test->height.holds;
  std::cout << kSay.one_set(fixed(test->s_x_m, 4), fixed(test->s_y_m, 4), fixed(test->s_horizontal_m, 4),
                            fixed(test->s_height_m, 4), std::to_string(test->freedom_horizontal),
                            std::to_string(test->freedom_height))
            << "\n"
            << answer(kSay.chi_square_plan(), test->horizontal) << "\n"
            << answer(kSay.chi_square_height(), test->height) << "\n";
  if (!asked.before.empty()) {
    const auto earlier = sets_of(asked.before);
    if (!earlier) return complain(earlier.error().text, kCannotRead);
    const auto before = control::full_test(*earlier, claimed);
    if (!before) return complain(asked.before + ": " + before.error().text, kSomeHeld);
    const auto compared = control::compare_tests(*test, *before);
    std::cout << answer("F, horizontal: ratio", compared.horizontal) << "\n"
              << answer("F, height: ratio", compared.height) << "\n";
    passed = passed && compared.horizontal.holds && compared.height.holds;
  }
  std::cout << kSay.full_test(passed ? "passed" : kSay.not_passed()) << "\n";
  return passed ? kAllAccepted : kSomeHeld;
}

int test_receiver(const Asked& asked) {
  if (!(asked.sigma_horizontal_m > 0 && asked.sigma_vertical_m > 0)) {
    return complain(kSay.sigma_missing(), kUsage);
  }
  const auto shots = sets_of(asked.receiver_test);
  if (!shots) return complain(shots.error().text, kCannotRead);
  return asked.full ? full(asked, *shots) : simplified(asked, *shots);
}

}  // namespace

void add_accuracy(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand("accuracy", "The accuracy over check points, as NSSDA and ASPRS state it");
  const auto asked = std::make_shared<Asked>();
  verb->add_option("check-points", asked->accuracy, "Check points (CSV: name,off_east_m,off_north_m,off_up_m)")
      ->required()
      ->type_name("FILE.csv");
  verb->add_option("--survey-horizontal", asked->survey.horizontal_m, "RMSE of the check points' own survey, m");
  verb->add_option("--survey-vertical", asked->survey.vertical_m, "The same in height, m");
  verb->footer("Exit status: 0 stated, 1 too few check points for a standard's statement, 2 usage, 4 unreadable.");
  verb->callback([asked, &status] { status = state_accuracy(*asked); });
}

void add_receiver_test(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "receiver-test",
      "The field test of a receiver after ISO 17123-8; names the set that comes next while some are missing");
  const auto asked = std::make_shared<Asked>();
  verb->add_option("sets", asked->receiver_test, "Sets (CSV: series,set,point,easting_m,northing_m,height_m)")
      ->required()
      ->type_name("FILE.csv");
  verb->add_flag("--full", asked->full, "Three series of five sets; without it one series, the simplified test");
  verb->add_option("--before", asked->before, "An earlier full test to compare with (F test)");
  verb->add_option("--nominal-distance", asked->distance_m, "Simplified: known distance between the two points, m");
  verb->add_option("--nominal-height", asked->height_difference_m, "Simplified: known height difference, m");
  verb->add_option("--sigma-horizontal", asked->sigma_horizontal_m, "Claimed 1-sigma precision, m");
  verb->add_option("--sigma-vertical", asked->sigma_vertical_m, "The same in height, m");
  verb->footer("Exit status: 0 passed, 1 not passed or not complete, 2 usage, 4 unreadable.");
  verb->callback([asked, &status] { status = test_receiver(*asked); });
}

}  // namespace stillpoint::office
