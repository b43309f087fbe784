#include "options.hpp"

#include <CLI/CLI.hpp>
#include <cmath>
#include <iostream>
#include <vector>

#include "base/number.hpp"

namespace stillpoint::frames {
namespace {

constexpr std::int64_t kNoonMs = 12 * 3600 * 1000;

std::optional<std::string> place_fault(const std::vector<std::string>& at, geodesy::Geographic& place) {
  const auto latitude = parse_decimal(at[0]);
  const auto longitude = parse_decimal(at[1]);
  if (!latitude || !longitude) {
    return "--at takes decimal degrees, latitude then longitude, such as --at 47.6 -87.4; got \"" + at[0] + ' ' +
           at[1] + '"';
  }
  if (std::abs(*latitude) > 90.0) return "the latitude " + at[0] + " is not between -90 and 90";
  if (std::abs(*longitude) > 180.0) return "the longitude " + at[1] + " is not between -180 and 180";
  place = {*latitude, *longitude, 0.0};
  return std::nullopt;
}

std::optional<std::string> date_fault(const std::string& text, UtcTime& utc) {
  const auto date = parse_date(text);
  if (!date) return "--date takes a day such as 2026-06-03; got \"" + text + '"';
  if (date->year <= 1980 || date->year >= 2100) return "the date " + text + " is not between 1980 and 2100";
  utc = UtcTime{days_from_civil(*date) * 86'400'000 + kNoonMs};
  return std::nullopt;
}

int say(const std::string& fault) {
  std::cerr << "stillpoint-frames: " << fault << "\n";
  return kUsage;
}

}  // namespace

Parsed parse(int argc, char** argv) {
  Parsed out;
  std::vector<std::string> at;
  CLI::App app{"Which reference frames serve a place, and how far they lie apart there on a day."};
  app.set_version_flag("--version", "stillpoint-frames " STILLPOINT_VERSION);
  app.add_option("--at", at, "The place in decimal degrees, south and west negative")
      ->required()
      ->expected(2)
      ->type_name("LAT LON");
  app.add_option("--date", out.options.date, "The day, YYYY-MM-DD; frames move some centimetres a year")
      ->required()
      ->type_name("DAY");
  app.add_option("--config", out.options.config,
                 "A configuration: its correction sources against its project frame. Without it: ITRF2020 against the "
                 "usual frames whose area holds the place")
      ->type_name("FILE");
  app.footer("Exit status: 0 answered, 2 usage or configuration.");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    const bool asked = error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success);
    out.exit = asked ? app.exit(error) : say(std::string(error.what()) + "; see --help");
    return out;
  }
  if (const auto fault = place_fault(at, out.options.place)) out.exit = say(*fault);
  if (out.exit) return out;
  if (const auto fault = date_fault(out.options.date, out.options.utc)) out.exit = say(*fault);
  return out;
}

}  // namespace stillpoint::frames
