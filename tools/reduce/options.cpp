#include "options.hpp"

#include <CLI/CLI.hpp>
#include <iostream>

namespace stillpoint::reduce {

Parsed parse(int argc, char** argv) {
  Parsed out;
  CLI::App app{"Recompute points from recorded bytes, offline, through the same code as the daemon."};
  app.set_version_flag("--version", "stillpoint-reduce " STILLPOINT_VERSION);
  app.add_option("--config", out.options.config, "Configuration (TOML)")->required()->type_name("FILE");
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
  app.footer(
      "Prints one JSON object a line: the points in the order of the visits, then a summary.\n"
      "Exit status: 0 every visit gave an accepted point, 1 some held or none, 2 usage or configuration,\n"
      "3 cannot write the output, 4 unreadable input.");
  try {
    app.parse(argc, argv);
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
