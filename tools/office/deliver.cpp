// `deliver`: the points of a pointbook as files that an agency, a GIS or a drawing office takes as they are.
//
// Rule:   nothing held leaves unless it is asked for, and then it is marked wherever it stands. Files that are there
//         are never replaced; a delivery is whole or not there. Beside each lies a sheet that says what it is.
// Errors: one sentence on stderr; exit status 0 every point but rejected ones is delivered as accepted, 1 some are held
//         back, delivered as held or in doubt, or none is there to deliver, 2 usage or what the book or the frame cannot
//         give, 3 cannot write, 4 unreadable or damaged.

#include <CLI/CLI.hpp>
#include <filesystem>
#include <iostream>

#include "base/identity.hpp"
#include "base/number.hpp"
#include "delivery.hpp"
#include "delivery_files.hpp"
#include "delivery_sentences.hpp"
#include "delivery_sheet.hpp"
#include "new_files.hpp"
#include "office.hpp"
#include "pointbook/reader.hpp"
#include "report/facts.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

/// What files are called while they are made: no word that somebody typed may reach another program.
const std::string kMade = "delivery";

/// A book and the fingerprint of the very bytes it was read from: a daemon may be writing to it.
struct Fingerprinted {
  pointbook::Contents book;
  std::string sha256;
};

Result<Fingerprinted> read_book(const std::string& path) {
  constexpr int kTries = 5;
  for (int i = 0; i < kTries; ++i) {
    const auto before = sha256_file(path);
    auto book = pointbook::read_contents(path);
    if (!book) return tl::unexpected(book.error());
    const auto after = sha256_file(path);
    if (!before || !after) return tl::unexpected(before ? after.error() : before.error());
    if (*before == *after) return Fingerprinted{*std::move(book), *after};
  }
  return fail(kSayOfDelivery.book_changes(path));
}

std::string none_to_deliver(const Delivery& delivery, const std::string& path) {
  const std::size_t held = delivery.tally.held_back;
  return kSayOfDelivery.nothing_to_deliver(path, held == 0 ? "" : kSayOfDelivery.held_only(std::to_string(held)));
}

/// What the files are called after: the pointbook, so that those of two days can lie beside each other.
std::string stem_of(const DeliveryWishes& wishes, bool training) {
  return (training ? "TRAINING-" : "") + fs::path(wishes.pointbook).stem().string() + "-points";
}

int tell(const Delivery& delivery, const DeliveryWishes& wishes, const std::string& first, const std::string& sheet) {
  const Tally& tally = delivery.tally;
  const std::size_t back = tally.held_back + tally.without_place;
  std::cout << kSayOfDelivery.delivered((fs::path(wishes.out) / first).string(),
                                        counted(delivery.points.size(), "point"))
            << '\n'
            << kSayOfDelivery.sheet_is((fs::path(wishes.out) / sheet).string()) << '\n';
  if (back > 0) std::cout << kSayOfDelivery.were_held_back(std::to_string(back)) << '\n';
  if (tally.doubted > 0) std::cout << kSayOfDelivery.in_doubt(std::to_string(tally.doubted)) << '\n';
  if (!std::cout.flush()) return complain(kSay.output_lost(), kCannotWrite);
  return back + tally.held_given + tally.doubted == 0 ? kAllAccepted : kSomeHeld;
}

Result<SheetFacts> facts_for_sheet(const Delivery& delivery, const DeliveryWishes& wishes, const NewFiles& files,
                                   const std::vector<std::string>& names) {
  SheetFacts out;
  out.made_at = utc_now();
  out.book_name = fs::path(wishes.pointbook).filename().string();
  for (const std::string& name : names) {
    const auto sum = sha256_file(files.path(name));
    if (!sum) return tl::unexpected(sum.error());
    out.files.emplace_back(name, *sum);
  }
  if (wishes.format() != Format::csv) return out;
  auto columns = csv_columns(delivery, wishes);
  if (!columns) return tl::unexpected(columns.error());
  out.csv_columns = *std::move(columns);
  return out;
}

int write(const Delivery& delivery, const DeliveryWishes& wishes, const std::string& book_sha256) {
  auto files = NewFiles::open(wishes.out);
  if (!files) return complain(files.error().text, kCannotWrite);
  const std::string stem = stem_of(wishes, delivery.training);
  const std::string sheet = stem + '-' + wishes.as + ".txt";
  std::vector<std::string> names = file_names(wishes.format(), stem);
  if (delivery.reference.system(wishes.format()).empty()) std::erase(names, stem + ".prj");
  auto all = names;
  all.push_back(sheet);
  if (const auto taken = files->taken(all); !taken.empty())
    return complain(kSayOfDelivery.exists_already((fs::path(wishes.out) / taken).string(), taken), kCannotWrite);
  const auto written = write_delivery(delivery, wishes, *files, kMade);
  if (!written) return complain(written.error().text, kCannotWrite);
  for (const std::string& name : names) {
    std::error_code error;
    fs::rename(files->path(kMade + fs::path(name).extension().string()), files->path(name), error);
    if (error) return complain(kSayOfDelivery.cannot_write(name, error.message()), kCannotWrite);
  }
  auto facts = facts_for_sheet(delivery, wishes, *files, names);
  if (!facts) return complain(facts.error().text, kCannotWrite);
  facts->book_sha256 = book_sha256;
  facts->written = *written;
  if (auto done = files->write(sheet, delivery_sheet(delivery, wishes, *facts)); !done)
    return complain(done.error().text, kCannotWrite);
  if (auto done = files->publish(all); !done) return complain(done.error().text, kCannotWrite);
  return tell(delivery, wishes, names.front(), sheet);
}

int deliver(const DeliveryWishes& wishes) {
  const auto read = read_book(wishes.pointbook);
  if (!read) return complain(read.error().text, kCannotRead);
  if (!read->book.damage.empty()) {
    return complain(kSayOfDelivery.damaged(wishes.pointbook, read->book.damage.front()), kCannotRead);
  }
  const report::Facts facts = report::facts_of(read->book, utc_now());
  const auto delivery = delivery_of(read->book, facts, wishes);
  if (!delivery) return complain(delivery.error().text, kUsage);
  if (delivery->points.empty()) return complain(none_to_deliver(*delivery, wishes.pointbook), kSomeHeld);
  if (wishes.format() == Format::csv) {
    if (const auto columns = csv_columns(*delivery, wishes); !columns) return complain(columns.error().text, kUsage);
  }
  return write(*delivery, wishes, read->sha256);
}

constexpr const char* kFooter =
    "FOLDER gets NAME-points.FORMAT, called after the pointbook, and beside it NAME-points-FORMAT.txt, which says in "
    "plain\n"
    "words what it is: frame, epoch, operation and its accuracy, heights, units, errors, what was held back, SHA-256.\n"
    "gpkg, geojson, shp and dxf are written by GDAL's ogr2ogr (package gdal-bin), csv by this program itself.\n"
    "--columns takes names of columns and the words P (point), N (northing), E (easting), Z (height), D (code).\n"
    "Exit status: 0 every point that is not rejected is delivered as accepted, 1 some are held or in doubt, or none\n"
    "is there, 2 usage, or what this book or frame cannot give, 3 cannot write, 4 unreadable or damaged.";

void add_options(CLI::App& verb, DeliveryWishes& wishes) {
  verb.add_option("--pointbook", wishes.pointbook, "The day's pointbook; its daemon may be running")
      ->required()
      ->type_name("DAY.gpkg");
  verb.add_option("--as", wishes.as, "The format")
      ->required()
      ->check(CLI::IsMember({"gpkg", "csv", "geojson", "shp", "dxf"}));
  verb.add_option("--out", wishes.out, "The folder for the files; made if it is not there. Nothing in it is replaced")
      ->required()
      ->type_name("FOLDER");
  verb.add_option("--frame", wishes.frame, "Another frame than the project's, as a code or a name")->type_name("FRAME");
  verb.add_option("--units", wishes.units, "What lengths are in; when left out what the frame counts in, or metres")
      ->check(CLI::IsMember({"m", "ft", "ft-us"}));
  verb.add_option("--height", wishes.height, "Which heights; when left out those that the pointbook has as z")
      ->check(CLI::IsMember({"ellipsoid", "orthometric"}));
  verb.add_option("--combined-factor", wishes.combined_factor,
                  "Lengths on the ground: easting and northing are divided by this factor, and no longer of the frame")
      ->type_name("NUMBER");
  verb.add_option("--local", wishes.local, "Lengths east and north of this point, instead of a frame's")
      ->type_name("POINT");
  verb.add_option("--columns", wishes.columns, "Columns of a CSV, in this order")
      ->delimiter(',')
      ->type_name("P,N,E,Z,D");
  verb.add_flag("--no-header", wishes.no_header, "A CSV without the line of names");
  verb.add_flag("--with-held", wishes.with_held, "Held points too, marked as held");
}

}  // namespace

void add_deliver(CLI::App& office, int& status) {
  auto* verb = office.add_subcommand(
      "deliver",
      "The accepted points as files for an agency, a GIS or a drawing office, with a sheet that explains them");
  const auto wishes = std::make_shared<DeliveryWishes>();
  add_options(*verb, *wishes);
  verb->footer(kFooter);
  verb->callback([wishes, &status] {
    check_names({wishes->pointbook, wishes->out, wishes->frame, wishes->local});
    const bool csv_only = !wishes->columns.empty() || wishes->no_header;
    if (csv_only && wishes->as != "csv") throw CLI::ValidationError(kSayOfDelivery.columns_are_for_csv());
    status = deliver(*wishes);
  });
}

}  // namespace stillpoint::office
