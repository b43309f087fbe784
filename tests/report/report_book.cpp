// Writes an invented day of as many points as wanted, to print and to measure the report with:
//     report_book POINTS SECONDS FILE.gpkg

#include <cstdio>
#include <cstdlib>

#include "report/invented_day.hpp"

int main(int argc, char** argv) {
  if (argc != 4) return std::fputs("report_book POINTS SECONDS FILE.gpkg\n", stderr), 2;
  const stillpoint::samples::DayRules rules{std::atoi(argv[1]), std::strtoul(argv[2], nullptr, 10)};
  if (rules.points < 1 || rules.seconds < 8) return std::fputs("at least 1 point of 8 seconds\n", stderr), 2;
  const std::string wrong = stillpoint::samples::write_day(rules, argv[3]);
  if (!wrong.empty()) return std::fprintf(stderr, "%s\n", wrong.c_str()), 1;
  return 0;
}
