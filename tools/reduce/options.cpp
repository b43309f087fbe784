#include "options.hpp"

#include <CLI/CLI.hpp>
#include <iostream>

#include "base/utf8.hpp"

namespace stillpoint::reduce {
namespace {

constexpr const char* kFooter =
    "Without --config and --log: --accuracy FILE.csv states the accuracy over check points (NSSDA, ASPRS), and\n"
    "--receiver-test FILE.csv evaluates a receiver's field test (ISO 17123-8); without --config, --outage-study "
    "tells\n"
    "from a log how a receiver shows that its corrections are gone; each with --help for its options.\n"
    "The file of --redo says who corrects and why, and what: the antenna for a time range (between stays), keys of "
    "a\n"
    "source, or a mark. The record must give the field's points first; nothing is overwritten; a redo stays in "
    "force\n"
    "for later ones; no daemon may hold the pointbook. Exit 1: the record does not give the field's points.\n"
    "  by     = \"A. Brandvold\"\n"
    "  reason = \"the pole stood at 2.000, 1.800 was entered\"\n"
    "  [[antenna]]                            # both times may be left out\n"
    "  from_utc  = \"2026-06-03T14:05:00Z\"\n"
    "  until_utc = \"2026-06-03T15:30:00Z\"\n"
    "  vertical_parts_m = { pole = 2.000, adapter_to_phase_centre = 0.071 }\n"
    "  [[source]]                             # its name, and the keys that change\n"
    "  name  = \"county network\"\n"
    "  frame = \"EPSG:6319\"\n"
    "  gate  = { max_hdop = 1.5 }\n"
    "  [[mark]]                               # the columns of MARKS; corrects checks on it and what they held\n"
    "  name  = \"VM-11\"\n"
    "Prints one JSON object a line: the points in the order of the visits; for each point visited again what its\n"
    "visits come to together; with --calibrate what each source comes to; then a summary. What is for people, the\n"
    "configuration line of a calibration among it, goes to standard error.\n"
    "MARKS: name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,\n"
    "sigma_vertical_m; easting_m and northing_m in place of latitude and longitude. Or a GeoPackage whose layer marks, "
    "or\n"
    "only layer of points, has these columns; it must be drawn in the frame that its rows declare.\n"
    "Exit status: 0 every visit gave an accepted point (--calibrate: every source visited was calibrated), 1 not "
    "so,\n"
    "2 usage, configuration or marks file,\n"
    "3 cannot write the output, 4 unreadable input. With --verify: 0 all unchanged and all the same, 1\n"
    "not so or without checksum file, 4 unreadable. With --merge: 0 merged, 1 merged with conflicts, 2 the books do\n"
    "not belong together, 3 cannot write, 4 unreadable or damaged.";

void add_recomputation(CLI::App& app, Options& out) {
  app.add_option("--config", out.config, "Configuration (TOML)")->type_name("FILE");
  app.add_option("--log", out.logs, "Recorded log; several are read in the order given, as one stream")
      ->type_name("FILE");
  app.add_option(
         "--visits", out.visits,
         "Visits (CSV: name,start_utc,end_utc,code). Without it: the commands of the record's journal, else the "
         "whole stream as one visit")
      ->type_name("FILE.csv");
  app.add_flag("--epochs", out.epochs, "Print every epoch of a visit with its final verdict before the point");
  app.add_option("--pointbook", out.pointbook,
                 "Also write the points to this new GeoPackage; with --verify and --redo the day's own pointbook")
      ->type_name("OUT.gpkg");
}

/// The option that names the marks.
const CLI::Option* add_calibration(CLI::App& app, Options& out) {
  auto* marks =
      app.add_option("--calibrate", out.marks,
                     "What each source's error_scale should be: visits named as the marks of this file (CSV, or "
                     "a GeoPackage's layer of points) are compared with them, and ten or more visits to other names "
                     "with each other")
          ->type_name("MARKS");
  auto* repeats = app.add_flag("--calibrate-repeats", out.calibrate,
                               "The same without known marks: from ten or more repeat visits, 45 min or more apart");
  marks->excludes(repeats);
  return marks;
}

/// What is done with a pointbook that is there already.
void add_second_look(CLI::App& app, Options& out) {
  app.add_flag(
      "--verify", out.verify,
      "Compare each log with the checksum file (.sha256) that was written when it was closed; with --config and "
      "--pointbook DAY.gpkg also recompute the day and compare it with what the field stored, every field of every "
      "point, second and check shot, to the last bit. Without --log the whole record of the configuration is read");
  app.add_option("--redo", out.redo,
                 "Recompute the day after a human mistake and store what comes out otherwise as new versions in "
                 "--pointbook; see below")
      ->type_name("FILE.toml");
  app.add_option(
         "--merge", out.merge,
         "Two or more pointbooks as one new file, --pointbook OUT.gpkg; needs nothing else. Equal names are both "
         "kept, the later one as another visit, and listed")
      ->type_name("A.gpkg B.gpkg");
}

/// The names of files go into points, events and sentences.
void check_names(const Options& o) {
  std::vector<std::string> all{o.config, o.visits, o.pointbook, o.marks, o.redo};
  for (const auto* more : {&o.logs, &o.merge}) all.insert(all.end(), more->begin(), more->end());
  for (const std::string& name : all) {
    if (!is_utf8(name)) throw CLI::ValidationError("the name " + shown(name) + " is no UTF-8 text; rename it");
  }
}

/// What the command line lacks; throws as the parser itself does.
void check(const Options& o) {
  check_names(o);
  const bool names_book = !o.pointbook.empty();
  if (!o.merge.empty()) {
    if (o.merge.size() < 2) throw CLI::ValidationError("--merge needs two pointbooks or more");
    if (!names_book) throw CLI::RequiredError("--pointbook");
    return;
  }
  if (!o.redo.empty() && !names_book) throw CLI::RequiredError("--pointbook");
  const bool looks_again = (o.verify || !o.redo.empty()) && names_book;
  if (o.config.empty() && (!o.verify || looks_again)) throw CLI::RequiredError("--config");
  if (o.logs.empty() && !looks_again) throw CLI::RequiredError("--log");
}

}  // namespace

Parsed parse(int argc, char** argv) {
  Parsed out;
  CLI::App app{"Recompute points from recorded bytes, offline, through the same code as the daemon."};
  app.set_version_flag("--version", "stillpoint-reduce " STILLPOINT_VERSION);
  add_recomputation(app, out.options);
  const auto* marks = add_calibration(app, out.options);
  add_second_look(app, out.options);
  app.footer(kFooter);
  try {
    app.parse(argc, argv);
    check(out.options);
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
