// The appendix for the office: provenance, coordinates, files, events, limits of use, map sheets.

#include "base/number.hpp"
#include "estimate/average.hpp"
#include "occupation/offset_point.hpp"
#include "report/drawings.hpp"
#include "report/html.hpp"
#include "report/page.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

std::string part(const std::string& id, const std::string& number, const std::string& title, const std::string& inner,
                 std::string_view look = "") {
  return "<section class=\"appendix" + std::string(look) + "\" aria-labelledby=\"" + id + "\">\n" +
         heading(id, number, title) + inner + "</section>\n\n";
}

std::string degrees(double value_deg) {
  return printed(value_deg, 8);
}

std::string worth_text(double effective_epochs) {
  return effective_epochs < estimate::kLessThanOne ? "moved" : fixed(effective_epochs, 1);
}

std::vector<std::string> row_of(const Facts& facts, const PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  std::vector<std::string> out{name_of(fact)};
  if (point.at) {
    out.push_back(degrees(point.at->latitude_deg));
    out.push_back(degrees(point.at->longitude_deg));
  } else {
    out.insert(out.end(), 2, kSay.not_known());
  }
  const bool height = point.at && !occupation::has_no_height(point), stood = point.at && point.measures.empty();
  const auto height_m = height ? std::optional(point.at->ellipsoid_height_m) : std::nullopt;
  out.push_back(facts.measures.length(height_m));
  if (!facts.geoid.empty()) out.push_back(facts.measures.length(report::height_m(facts, fact)));
  out.push_back(facts.measures.length(point.antenna_height_m));
  out.push_back(std::to_string(point.epochs_used));
  out.push_back(std::to_string(point.epochs_refused));
  out.push_back(stood ? facts.measures.small(point.at->repeatability_m) : kSay.not_known());
  out.push_back(stood ? worth_text(point.at->effective_epochs) : kSay.not_known());
  out.push_back(point.station ? std::to_string(*point.station) : "");
  return out;
}

std::string coordinates(const Facts& facts) {
  const std::string unit(facts.measures.unit()), small(facts.measures.small_unit());
  std::vector<Table::Column> columns{{"Point", false, true},
                                     {"Latitude, \u00B0", true},
                                     {"Longitude, \u00B0", true},
                                     {kSay.ellipsoid_height_in(unit), true}};
  if (!facts.geoid.empty()) columns.push_back({"Height, " + unit, true});
  for (const std::string& head : {"Antenna, " + unit, std::string("Counted"), std::string("Not"), "Scatter, " + small,
                                  std::string("Worth"), std::string("Station")})
    columns.push_back({head, true});
  Table table("coords", kSay.coordinates_delivered(), columns);
  for (const PointFact& fact : facts.points) table.row(row_of(facts, fact));
  return table.html_or(kSay.no_point()) + paragraph(kSay.coordinates_explained(), "note");
}

/// In groups of eight, so that two people can compare it.
std::string grouped(const std::string& hash) {
  if (hash.size() != 64) return hash;
  std::string out;
  for (std::size_t i = 0; i < hash.size(); i += 8) out += (i == 0 ? "" : " ") + hash.substr(i, 8);
  return out;
}

std::string files_part(const Facts& facts, const std::vector<FileMark>& files) {
  std::string out = "<dl class=\"hash\">\n";
  const auto add = [&](std::string_view name, std::string_view about, const std::string& hash) {
    out += "<dt>" + escaped(name) + "</dt><dd>" + said(about) + "</dd><dd class=\"hex\">" + grouped(hash) + "</dd>\n";
  };
  add(facts.path.substr(facts.path.find_last_of('/') + 1), kSay.the_pointbook(), facts.file_sha256);
  for (const FileMark& file : files)
    add(file.name, file.name == "points.csv" ? kSay.apostrophes() : kSay.for_map_programs(), file.sha256);
  out += "</dl>\n" + paragraph(kSay.hashes_are(facts.path), "note");
  out += paragraph(
      kSay.geojson(facts.geoid.empty() ? std::string(kSay.ellipsoid_height()) : kSay.height_above(facts.geoid),
                   facts.frame),
      "note");
  if (facts.damage.empty()) return out + paragraph(kSay.all_rows_match(), "note");
  out += paragraph(kSay.rows_do_not_match(), "note");
  for (const std::string& row : facts.damage) out += paragraph(row, "note");
  return out;
}

std::string limits() {
  return paragraph(kSay.law_first() + " " + kSay.not_for()) +
         paragraph(kSay.buried_lines() + " " + kSay.overhead_lines() + " " + kSay.thunder());
}

}  // namespace

std::string appendix(const Facts& facts, const std::vector<FileMark>& files) {
  std::string out =
      part("a", "A", kSay.how_made(), provenance(facts), " break") +
      part("b", "B", kSay.coordinates_delivered(), coordinates(facts)) +
      part("c", "C", kSay.files_their_sha(), files_part(facts, files), facts.damage.size() < 20 ? " whole" : "") +
      part("d", "D", kSay.events(), events_table(facts)) + part("e", "E", kSay.limits_of_use(), limits(), " whole");
  if (needs_sheets(facts)) out += part("f", "F", kSay.map_sheets(), map_sheets(facts), " break");
  return out;
}

}  // namespace stillpoint::report
