// stillpoint-report: reads a pointbook, writes the day's report into a folder.

#include <CLI/CLI.hpp>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <iostream>

#include "base/identity.hpp"
#include "config/load.hpp"
#include "report/exports.hpp"
#include "report/page.hpp"
#include "report/sentences.hpp"
#include "report/standing.hpp"
#include "report/system_zone.hpp"

namespace {

namespace fs = std::filesystem;
using namespace stillpoint;
using report::kSay;

constexpr int kDone = 0, kUsage = 2, kCannotWrite = 3, kUnreadable = 4;

constexpr const char* kFooter =
    "Writes report.html (one file, needs nothing else), points.csv (in it a text that begins with =, +, - or @ has an "
    "apostrophe before it, for no spreadsheet to take it for a formula) and points.geojson. Files of those names in "
    "FOLDER "
    "are "
    "replaced.\n\n"
    "points.geojson holds longitude, latitude and ellipsoid height as delivered, in the geographic base of the "
    "project\n"
    "frame, which its member \"frame\" names. RFC 7946 means WGS 84 when nobody has agreed on another frame; moving "
    "the\n"
    "points there would cost up to two metres of certainty, so tell whoever reads the file which frame it is in.\n\n"
    "The pointbook itself is a GeoPackage; GDAL's ogr2ogr makes other formats of it, in the project frame:\n"
    "  ogr2ogr -f CSV -lco GEOMETRY=AS_XYZ points.csv DAY.gpkg current_points\n"
    "  ogr2ogr -f CSV checks.csv DAY.gpkg check_shots\n"
    "  ogr2ogr -f XLSX day.xlsx DAY.gpkg current_points check_shots events\n"
    "  ogr2ogr -f \"ESRI Shapefile\" points.shp DAY.gpkg current_points      (cuts names of columns to 10 letters)\n"
    "  ogr2ogr -f FlatGeobuf points.fgb DAY.gpkg current_points\n"
    "  ogr2ogr -f DXF points.dxf DAY.gpkg -sql \"SELECT geom FROM current_points\"\n"
    "From degrees to metres on a grid of the same frame (here NAD83(2011) to its UTM zone 16; never another frame):\n"
    "  ogr2ogr -f GPKG grid.gpkg DAY.gpkg -s_srs EPSG:6319 -t_srs EPSG:6345 current_points\n"
    "For map programs, moved to WGS 84 without care for metres:\n"
    "  ogr2ogr -f LIBKML points.kml DAY.gpkg current_points -select name,status\n"
    "  ogr2ogr -f GPX points.gpx DAY.gpkg current_points -select name\n\n"
    "Exit status: 0 done, 2 usage, 3 cannot write, 4 the pointbook cannot be read.";

int say(int status, const std::string& text) {
  std::cerr << "stillpoint-report: " << text << '\n';
  return status;
}

UtcTime now() {
  const auto since = std::chrono::system_clock::now().time_since_epoch();
  return {std::chrono::duration_cast<std::chrono::milliseconds>(since).count()};
}

/// Whole or not at all: written beside its place, then moved there.
bool write_file(const fs::path& path, const std::string& text) {
  const fs::path part = path.string() + ".part";
  std::error_code error;
  {
    std::ofstream out(part, std::ios::binary | std::ios::trunc);
    out << text;
    if (!out.flush()) {
      out.close();
      fs::remove(part, error);
      return false;
    }
  }
  fs::rename(part, path, error);
  return !error;
}

int write_all(const report::Facts& facts, const fs::path& folder) {
  const std::string csv = report::points_csv(facts), geojson = report::points_geojson(facts);
  const std::string html =
      report::page(facts, {{"points.csv", sha256_hex(csv)}, {"points.geojson", sha256_hex(geojson)}});
  const std::pair<const char*, const std::string*> files[] = {
      {"points.csv", &csv}, {"points.geojson", &geojson}, {"report.html", &html}};
  for (const auto& [name, text] : files) {
    if (!write_file(folder / name, *text)) return say(kCannotWrite, kSay.cannot_write((folder / name).string()));
  }
  std::cout << "report: " << (folder / "report.html").string() << '\n';
  std::cout << kSay.left_to_decide(std::to_string(report::decisions_of(facts).size())) << "\n";
  return kDone;
}

int make_report(const std::string& pointbook, const std::string& out, const report::Wishes& wishes) {
  const auto book = pointbook::read_contents(pointbook);
  if (!book) return say(kUnreadable, book.error().text);
  report::Facts facts = report::facts_of(*book, now(), wishes);
  facts.program_version = STILLPOINT_VERSION;
  const auto hash = sha256_file(pointbook);
  facts.file_sha256 = hash ? *hash : kSay.not_readable();
  std::error_code error;
  fs::create_directories(out, error);
  if (!fs::is_directory(out, error)) return say(kCannotWrite, kSay.cannot_make_folder(out));
  return write_all(facts, out);
}

/// What was given on the command line; it goes before the configuration.
struct Options {
  std::string pointbook, out, configuration, local_time, units, paper = "a4";
  std::vector<double> wanted_m;
};

void add_options(CLI::App& app, Options& options) {
  app.add_option("--pointbook", options.pointbook, "The day's GeoPackage")->required();
  app.add_option("--out", options.out, "The folder for the report; made if it is not there")->required();
  app.add_option("--config", options.configuration,
                 "The day's configuration: wanted error, time zone, units, and by which limits seconds were judged");
  app.add_option("--wanted-error95", options.wanted_m,
                 "The error that was wanted, in plan and in height, metres at 95 %: the answer is then for it")
      ->expected(2)
      ->check(CLI::Range(0.0001, 1000.0))
      ->type_name("PLAN HEIGHT");
  app.add_option("--local-time", options.local_time, "The zone that times are told in, such as America/Detroit");
  app.add_option("--units", options.units, "What lengths are told in")->check(CLI::IsMember({"m", "ft", "ft-us"}));
  app.add_option("--paper", options.paper, "What it is printed on; a4 when left out")
      ->check(CLI::IsMember({"a4", "letter"}));
}

/// Empty: somebody was told why not.
std::optional<report::Wishes> wishes_of(const Options& options) {
  report::Wishes wishes;
  if (!options.configuration.empty()) {
    config::Loaded loaded = config::load(options.configuration);
    for (const Error& error : loaded.errors) say(kUsage, error.text);
    if (!loaded.errors.empty()) return std::nullopt;
    wishes.units = loaded.settings.project.units;
    wishes.configuration = std::move(loaded.settings);
  }
  if (!options.wanted_m.empty()) wishes.wanted = config::PerAxis{options.wanted_m[0], options.wanted_m[1]};
  if (!options.units.empty()) {
    using enum config::LengthUnit;
    wishes.units = options.units == "ft" ? foot : options.units == "ft-us" ? us_survey_foot : metre;
  }
  wishes.paper = options.paper == "letter" ? report::Paper::letter : report::Paper::a4;
  std::string zone = options.local_time;
  if (zone.empty() && wishes.configuration) zone = wishes.configuration->project.local_time;
  const auto clock = report::clock_of_zone(zone);
  if (!clock) return say(kUsage, kSay.no_zone(zone)), std::nullopt;
  wishes.clock = *clock;
  return wishes;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app{"Writes the report of a day from its pointbook.", "stillpoint-report"};
  app.set_version_flag("--version", "stillpoint-report " STILLPOINT_VERSION);
  app.footer(kFooter);
  Options options;
  add_options(app, options);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    return say(kUsage, kSay.see_help(error.what()));
  }
  const auto wishes = wishes_of(options);
  return wishes ? make_report(options.pointbook, options.out, *wishes) : kUsage;
}
