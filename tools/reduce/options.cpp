#include "options.hpp"

#include <CLI/CLI.hpp>
#include <iostream>

namespace stillpoint::reduce {

Parsed parse(int argc, char** argv) {
  Parsed out;
  CLI::App app{"Recompute points from recorded bytes, offline, through the same code as the daemon."};
  app.set_version_flag("--version", "stillpoint-reduce " STILLPOINT_VERSION);
  app.add_option("--config", out.options.config, "Configuration (TOML)")->type_name("FILE");
  app.add_option("--log", out.options.logs, "Recorded log; several are read in the order given, as one stream")
      ->required()
      ->type_name("FILE");
  app.add_option(
         "--visits", out.options.visits,
         "Visits (CSV: name,start_utc,end_utc,code). Without it: the commands of the record's journal, else the "
         "whole stream as one visit")
      ->type_name("FILE.csv");
  app.add_flag("--epochs", out.options.epochs, "Print every epoch of a visit with its final verdict before the point");
  app.add_option("--pointbook", out.options.pointbook, "Also write the points to this GeoPackage")
      ->type_name("OUT.gpkg");
  auto* marks = app.add_option("--calibrate", out.options.marks,
                               "What each source's error_scale should be: visits named as the marks of this file are "
                               "compared with them, and ten or more visits to other names with each other")
                    ->type_name("MARKS.csv");
  auto* repeats = app.add_flag("--calibrate-repeats", out.options.calibrate,
                               "The same without known marks: from ten or more repeat visits, 45 min or more apart");
  marks->excludes(repeats);
  app.add_flag(
      "--verify", out.options.verify,
      "Compute nothing; compare each log with the checksum file (.sha256) that was written when it was closed");
  app.footer(
      "Without --config and --log: --accuracy FILE.csv states the accuracy over check points (NSSDA, ASPRS), and\n"
      "--receiver-test FILE.csv evaluates a receiver's field test (ISO 17123-8); without --config, --outage-study "
      "tells\n"
      "from a log how a receiver shows that its corrections are gone; each with --help for its options.\n"
      "Prints one JSON object a line: the points in the order of the visits; for each point visited again what its\n"
      "visits come to together; with --calibrate what each source comes to; then a summary. What is for people, the\n"
      "configuration line of a calibration among it, goes to standard error.\n"
      "MARKS.csv: name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,\n"
      "sigma_vertical_m; easting_m and northing_m in place of latitude and longitude.\n"
      "Exit status: 0 every visit gave an accepted point (--calibrate: every source visited was calibrated), 1 not "
      "so,\n"
      "2 usage, configuration or marks file,\n"
      "3 cannot write the output, 4 unreadable input. With --verify: 0 all unchanged, 1 some changed or without\n"
      "checksum file, 4 unreadable.");
  try {
    app.parse(argc, argv);
    if (out.options.config.empty() && !out.options.verify) throw CLI::RequiredError("--config");
    out.options.calibrate |= marks->count() > 0;
  } catch (const CLI::ParseError& error) {
    const bool asked = error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success);
    if (asked) {
      out.exit = app.exit(error);
    } else {
      std::cerr << "stillpoint-reduce: " << error.what() << "; see --help\n";
      out.exit = kUsage;
    }
  }
  return out;
}

}  // namespace stillpoint::reduce
