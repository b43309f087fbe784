#include "report/exports.hpp"

#include <nlohmann/json.hpp>

#include "base/csv.hpp"
#include "base/number.hpp"
#include "base/typed.hpp"
#include "occupation/offset_point.hpp"
#include "report/page.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"
#include "wire/json.hpp"

namespace stillpoint::report {
namespace {

std::string number(const std::optional<double>& value, int decimals) {
  return value ? fixed(*value, decimals) : "";
}

std::string time(const std::optional<UtcTime>& value) {
  return value ? to_text(*value) : "";
}

constexpr std::string_view kColumns =
    "point,visit,version,status,code,note,frame,coordinate_epoch,latitude_deg,longitude_deg,easting_m,northing_m,"
    "ellipsoid_height_m,orthometric_height_m,geoid,error95_horizontal_m,error95_vertical_m,repeatability_m,"
    "effective_epochs,epochs_used,epochs_refused,source,station,quality,antenna_height_m,started_utc,finished_utc,"
    "flags,"
    "reasons,doubt,day,change_reason,offset_measures\r\n";

// Every cell is a field already: texts by `csv_text`, what the program made by itself as it is.
std::vector<std::string> position_cells(const occupation::Point& point) {
  if (!point.at) return std::vector<std::string>(12);
  const occupation::Coordinates& at = *point.at;
  const bool height = !occupation::has_no_height(point), seconds = point.measures.empty();
  return {fixed(at.coordinate_epoch, 4),
          fixed(at.latitude_deg, 11),
          fixed(at.longitude_deg, 11),
          number(at.easting_m, 4),
          number(at.northing_m, 4),
          height ? fixed(at.ellipsoid_height_m, 4) : "",
          number(at.orthometric_height_m, 4),
          csv_text(at.geoid),
          fixed(at.error95_horizontal_m, 4),
          number(occupation::told_vertical95_m(point), 4),
          seconds ? fixed(at.repeatability_m, 4) : "",
          seconds ? fixed(at.effective_epochs, 1) : ""};
}

std::string row_of(const PointFact& fact, const std::string& day) {
  const occupation::Point& p = fact.newest.point;
  std::vector<std::string> cells{csv_text(p.name),
                                 std::to_string(p.visit),
                                 std::to_string(fact.newest.version),
                                 std::string(to_word(p.status)),
                                 csv_text(p.code),
                                 csv_text(p.note),
                                 csv_text(p.frame)};
  for (std::string& cell : position_cells(p)) cells.push_back(std::move(cell));
  for (std::string& cell : std::vector<std::string>{
           std::to_string(p.epochs_used), std::to_string(p.epochs_refused), csv_text(p.source),
           p.station ? std::to_string(*p.station) : "", p.quality ? std::string(to_word(*p.quality)) : "",
           fixed(p.antenna_height_m, 4), time(p.started_utc), time(p.finished_utc), joined(p.flags, " "),
           csv_text(joined(p.reason_texts, "; ")), csv_text(fact.doubt), csv_text(day),
           csv_text(fact.newest.change_reason), csv_text(to_text(p.measures))})
    cells.push_back(std::move(cell));
  std::string out;
  for (std::size_t i = 0; i < cells.size(); ++i) out += (i == 0 ? "" : ",") + cells[i];
  return out + "\r\n";
}

/// Longitude, latitude and what is z in the pointbook; a point without a height above the geoid has two numbers.
std::string place_of(const occupation::Point& point, const std::string& geoid) {
  const occupation::Coordinates& at = *point.at;
  std::string out = fixed(at.longitude_deg, 11) + "," + fixed(at.latitude_deg, 11);
  const auto height_m = occupation::has_no_height(point) ? std::nullopt
                        : geoid.empty()                  ? std::optional(at.ellipsoid_height_m)
                        : at.geoid == geoid              ? at.orthometric_height_m
                                                         : std::nullopt;
  return height_m ? out + "," + fixed(*height_m, 4) : out;
}

std::string which_height(const Facts& facts) {
  return facts.geoid.empty() ? std::string(kSay.ellipsoid_height()) : kSay.height_above(facts.geoid);
}

}  // namespace

std::string points_csv(const Facts& facts) {
  std::string out(kColumns);
  for (const PointFact& fact : facts.points) out += row_of(fact, stamp_of(facts));
  return out;
}

std::string points_geojson(const Facts& facts) {
  const auto text = [](const std::string& value) {
    return escape_unseen(nlohmann::json(value).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace));
  };
  std::string out = R"({"type":"FeatureCollection","name":)" + text(facts.project) + R"(,"frame":)" +
                    text(facts.frame) + R"(,"note":)" + text(kSay.geojson_note(which_height(facts))) + R"(,"day":)" +
                    text(stamp_of(facts)) + R"(,"features":[)";
  bool first = true;
  for (const PointFact& fact : facts.points) {
    if (!fact.newest.point.at) continue;
    out += std::exchange(first, false) ? "\n" : ",\n";
    out += R"({"type":"Feature","geometry":{"type":"Point","coordinates":[)" +
           place_of(fact.newest.point, facts.geoid) + R"(]},"properties":)" + wire::to_json(fact.newest.point);
    out.pop_back();
    out += R"(,"version":)" + std::to_string(fact.newest.version) + R"(,"doubt":)" + text(fact.doubt) + "}}";
  }
  return out + "\n]}\n";
}

}  // namespace stillpoint::report
