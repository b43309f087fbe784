#include "delivery.hpp"

#include <algorithm>
#include <set>

#include "base/number.hpp"
#include "base/utf8.hpp"
#include "delivery_sentences.hpp"
#include "geodesy/local.hpp"
#include "occupation/geoid.hpp"
#include "occupation/offset_point.hpp"
#include "occupation/place.hpp"
#include "pointbook/closings.hpp"
#include "pointbook/geometry.hpp"
#include "report/measures.hpp"
#include "report/printed.hpp"
#include "report/standing.hpp"

namespace stillpoint::office {
namespace {

using config::LengthUnit;
using occupation::PointStatus;

constexpr int kDegreeDecimals = 11, kGridDecimals = 6, kLengthDecimals = 4;
constexpr double kOneEpochYears = 0.01;

LengthUnit unit_of(const std::string& word, double frames_own_m) {
  if (word == "ft") return LengthUnit::foot;
  if (word == "ft-us") return LengthUnit::us_survey_foot;
  if (word == "m") return LengthUnit::metre;
  for (const LengthUnit unit : {LengthUnit::foot, LengthUnit::us_survey_foot}) {
    if (std::abs(report::metres_in(unit) - frames_own_m) < 1e-9) return unit;
  }
  return LengthUnit::metre;
}

/// What the columns of lengths are called after.
std::string suffix_of(LengthUnit unit) {
  return unit == LengthUnit::metre ? "m" : unit == LengthUnit::foot ? "ft" : "ftus";
}

std::vector<Column> columns_of(const Reference& reference) {
  const std::string u = suffix_of(reference.unit);
  const std::string height = reference.orthometric ? "orthometric_height_" : "ellipsoid_height_";
  return {{"point", "point"},
          {"visit", "visit", CellKind::whole},
          {"code", "code"},
          {"easting_" + u, "east_" + u, CellKind::real, kLengthDecimals},
          {"northing_" + u, "north_" + u, CellKind::real, kLengthDecimals},
          {height + u, (reference.orthometric ? "orth_" : "ell_") + u, CellKind::real, kLengthDecimals},
          {"latitude_deg", "lat_deg", CellKind::real, kDegreeDecimals},
          {"longitude_deg", "lon_deg", CellKind::real, kDegreeDecimals},
          {"error95_horizontal_" + u, "e95h_" + u, CellKind::real, kLengthDecimals},
          {"error95_vertical_" + u, "e95v_" + u, CellKind::real, kLengthDecimals},
          {"status", "status"},
          {"why_held", "why_held"},
          {"doubt", "doubt"},
          {"note", "note"},
          {"started_utc", "began_utc", CellKind::time},
          {"finished_utc", "ended_utc", CellKind::time},
          {"quality", "quality"},
          {"source", "source"},
          {"epochs_used", "seconds", CellKind::whole},
          {"antenna_height_" + u, "ant_" + u, CellKind::real, kLengthDecimals},
          {"flags", "flags"},
          {"crew", "crew"},
          {"frame", "frame"},
          {"coordinate_epoch", "coord_ep", CellKind::real, kLengthDecimals},
          {"version", "version", CellKind::whole},
          {"uuid", "uuid"}};
}

/// Texts of earlier books may hold bytes that are none.
std::string readable_text(const std::string& text) {
  return is_utf8(text) && text.find('\0') == std::string::npos ? text : shown(text);
}

/// A point's numbers in the delivery's frame and unit; empty: it has none.
struct Numbers {
  std::optional<double> x, y, z;  ///< as drawn
  std::optional<double> easting, northing;
  geodesy::Geographic place;
};

class Maker {
 public:
  Maker(const pointbook::Contents& book, const report::Facts& facts, const DeliveryWishes& wishes,
        geodesy::Transfers transfers)
      : book_(book), facts_(facts), wishes_(wishes), transfers_(std::move(transfers)) {}

  Result<Delivery> make();

 private:
  Result<void> choose_frame();
  Result<void> choose_height();
  Result<void> choose_origin();
  Result<void> fit_format() const;
  bool is_wanted(const report::PointFact& fact) const;
  void count_out(const report::PointFact& fact);
  Result<Numbers> numbers_of(const occupation::Point& point);
  Result<geodesy::Geographic> place_of(const occupation::Point& point);
  std::optional<double> height_m(const occupation::Point& point, const geodesy::Geographic& place) const;
  Result<void> add(const report::PointFact& fact);
  std::vector<std::string> cells_of(const report::PointFact& fact, const Numbers& numbers) const;
  std::string length(std::optional<double> metres) const;
  std::string frame_cell() const;
  void finish();

  const pointbook::Contents& book_;
  const report::Facts& facts_;
  const DeliveryWishes& wishes_;
  geodesy::Transfers transfers_;
  std::string frame_;
  Delivery out_;
};

Result<void> Maker::choose_frame() {
  Reference& to = out_.reference;
  frame_ = wishes_.frame.empty() ? book_.frame : wishes_.frame;
  const auto project = transfers_.label(book_.frame);
  if (!project) return tl::unexpected(project.error());
  to.project_label = *project;
  to.unit = unit_of(wishes_.units, transfers_.metres_per_unit(frame_));
  to.unit_m = report::metres_in(to.unit);
  auto frame = transfers_.definition(frame_, to.unit_m);
  if (!frame) return tl::unexpected(frame.error());
  to.frame = *std::move(frame);
  if (to.frame.has_code && to.frame.label == to.project_label) return {};
  const auto own = transfers_.label(frame_);
  if (own && *own == to.project_label) return {};  // the same, counted in another unit
  auto way = transfers_.way(book_.frame, frame_);
  if (!way) return tl::unexpected(way.error());
  to.way = *std::move(way);
  return {};
}

Result<void> Maker::choose_height() {
  const std::string geoid = pointbook::geoid_in_wkt(book_.frame_wkt);
  Reference& to = out_.reference;
  to.orthometric = wishes_.height.empty() ? !geoid.empty() : wishes_.height == "orthometric";
  if (!to.orthometric) return {};
  std::set<std::string> geoids;
  for (const report::PointFact& fact : facts_.points) {
    const auto& at = fact.newest.point.at;
    if (is_wanted(fact) && at && at->orthometric_height_m) geoids.insert(at->geoid);
  }
  if (geoids.empty() && !facts_.points.empty()) return fail(kSayOfDelivery.no_orthometric(book_.path));
  to.geoid = report::joined({geoids.begin(), geoids.end()}, ", ");
  return {};
}

Result<void> Maker::choose_origin() {
  if (wishes_.local.empty()) return {};
  for (const report::PointFact& fact : facts_.points) {
    if (!is_wanted(fact) || fact.newest.point.name != wishes_.local) continue;
    auto place = place_of(fact.newest.point);
    if (!place) return tl::unexpected(place.error());
    out_.reference.local_origin = *place;
    return {};
  }
  return fail(kSayOfDelivery.no_such_origin(wishes_.local));
}

Result<void> Maker::fit_format() const {
  const Reference& to = out_.reference;
  if (to.combined_factor && to.local_origin) return fail(kSayOfDelivery.local_and_factor());
  if (to.combined_factor && !to.frame.projected) return fail(kSayOfDelivery.factor_needs_grid(to.frame.label));
  if (to.combined_factor && !(*to.combined_factor >= 0.99 && *to.combined_factor <= 1.01)) {
    return fail(kSayOfDelivery.factor_wrong(readable(*to.combined_factor, 6)));
  }
  if (wishes_.format() == Format::dxf && to.in_degrees())
    return fail(kSayOfDelivery.drawing_in_degrees(to.frame.label));
  if (wishes_.format() != Format::geojson) return {};
  if (to.frameless()) return fail(kSayOfDelivery.geojson_needs_frame());
  if (!to.frame.has_code) return fail(kSayOfDelivery.geojson_needs_code(to.frame.label, unit_words(to.unit)));
  return {};
}

bool Maker::is_wanted(const report::PointFact& fact) const {
  const occupation::Point& point = fact.newest.point;
  const bool held = point.status == PointStatus::held && wishes_.with_held;
  return point.at && (point.status == PointStatus::accepted || held);
}

void Maker::count_out(const report::PointFact& fact) {
  Tally& tally = out_.tally;
  const occupation::Point& point = fact.newest.point;
  const bool rejected = point.status == PointStatus::rejected;
  std::size_t& one = rejected                            ? tally.rejected
                     : !point.at                         ? tally.without_place
                     : point.status == PointStatus::held ? (wishes_.with_held ? tally.held_given : tally.held_back)
                                                         : tally.accepted;
  ++one;
}

Result<geodesy::Geographic> Maker::place_of(const occupation::Point& point) {
  const geodesy::Geographic place = occupation::place_of(*point.at);
  if (!out_.reference.way) return place;
  auto moved = transfers_.move(book_.frame, frame_, place, point.at->coordinate_epoch);
  if (!moved)
    return fail(kSayOfDelivery.point_not_moved(report::point_name(point.name, point.visit), moved.error().text));
  return moved;
}

std::optional<double> Maker::height_m(const occupation::Point& point, const geodesy::Geographic& place) const {
  if (occupation::has_no_height(point)) return std::nullopt;
  if (out_.reference.orthometric) return point.at->orthometric_height_m;
  return place.ellipsoid_height_m;
}

Result<Numbers> Maker::numbers_of(const occupation::Point& point) {
  const Reference& to = out_.reference;
  auto place = place_of(point);
  if (!place) return tl::unexpected(place.error());
  Numbers out;
  out.place = *place;
  if (const auto h = height_m(point, *place)) out.z = *h / to.unit_m;
  if (to.local_origin) {
    const geodesy::Enu enu = geodesy::LocalFrame(*to.local_origin).to_enu(*place);
    out.easting = enu.east_m / to.unit_m;
    out.northing = enu.north_m / to.unit_m;
  } else if (to.frame.projected) {
    geodesy::GridPlace grid;
    if (!to.way && point.at->easting_m && point.at->northing_m) {
      grid = {*point.at->easting_m, *point.at->northing_m};
    } else {
      const auto found = transfers_.to_grid(frame_, *place);
      if (!found)
        return fail(kSayOfDelivery.point_not_moved(report::point_name(point.name, point.visit), found.error().text));
      grid = *found;
    }
    const double scale = to.unit_m * to.combined_factor.value_or(1.0);
    out.easting = grid.easting_m / scale;
    out.northing = grid.northing_m / scale;
  }
  out.x = out.easting ? *out.easting : place->longitude_deg;
  out.y = out.northing ? *out.northing : place->latitude_deg;
  return out;
}

std::string Maker::length(std::optional<double> metres) const {
  return metres ? fixed(*metres / out_.reference.unit_m, kLengthDecimals) : std::string();
}

std::string Maker::frame_cell() const {
  if (out_.reference.local_origin) return "local";
  return out_.reference.combined_factor ? "ground" : out_.reference.frame.label;
}

std::vector<std::string> Maker::cells_of(const report::PointFact& fact, const Numbers& numbers) const {
  const occupation::Point point = pointbook::Closings(book_.events).delivered(fact.newest.point);
  const auto known = [](const std::optional<double>& value) { return value ? fixed(*value, kLengthDecimals) : ""; };
  const auto time = [](const std::optional<UtcTime>& utc) { return utc ? to_text(*utc) : ""; };
  const bool is_held = point.status != PointStatus::accepted;
  const auto vertical_m = !numbers.z                   ? std::nullopt
                          : out_.reference.orthometric ? std::optional(point.at->error95_vertical_m)
                                                       : std::optional(occupation::ellipsoid_error95_m(*point.at));
  const std::string status = (book_.training ? "training-" : "") + std::string(to_word(point.status));
  return {readable_text(point.name),
          std::to_string(point.visit),
          readable_text(point.code),
          known(numbers.easting),
          known(numbers.northing),
          known(numbers.z),
          fixed(numbers.place.latitude_deg, kDegreeDecimals),
          fixed(numbers.place.longitude_deg, kDegreeDecimals),
          length(point.at->error95_horizontal_m),
          length(vertical_m),
          status,
          is_held ? readable_text(report::joined(point.reason_texts, "; ")) : std::string(),
          readable_text(fact.doubt),
          readable_text(point.note),
          time(point.started_utc),
          time(point.finished_utc),
          point.quality ? std::string(to_word(*point.quality)) : "",
          readable_text(point.source),
          std::to_string(point.epochs_used),
          length(point.antenna_height_m),
          report::joined(point.flags, " "),
          readable_text(point.crew),
          frame_cell(),
          fixed(point.at->coordinate_epoch, kLengthDecimals),
          std::to_string(fact.newest.version),
          fact.newest.uuid};
}

Result<void> Maker::add(const report::PointFact& fact) {
  const occupation::Point& point = fact.newest.point;
  const auto numbers = numbers_of(point);
  if (!numbers) return tl::unexpected(numbers.error());
  HandedPoint handed;
  handed.label =
      point.visit == 1 ? readable_text(point.name) : readable_text(report::point_name(point.name, point.visit));
  handed.code = readable_text(point.code);
  handed.x = fixed(*numbers->x, out_.reference.in_degrees() ? kDegreeDecimals : kGridDecimals);
  handed.y = fixed(*numbers->y, out_.reference.in_degrees() ? kDegreeDecimals : kGridDecimals);
  if (numbers->z) handed.z = fixed(*numbers->z, kGridDecimals);
  handed.held = point.status != PointStatus::accepted;
  handed.doubted = !fact.doubt.empty();
  handed.cells = cells_of(fact, *numbers);
  out_.tally.without_height += numbers->z ? 0U : 1U;
  out_.tally.doubted += fact.doubt.empty() ? 0U : 1U;
  const double epoch = point.at->coordinate_epoch;
  out_.first_epoch = out_.points.empty() ? epoch : std::min(out_.first_epoch, epoch);
  out_.last_epoch = out_.points.empty() ? epoch : std::max(out_.last_epoch, epoch);
  if (std::ranges::find(out_.rules, point.rules) == out_.rules.end()) out_.rules.push_back(point.rules);
  out_.points.push_back(std::move(handed));
  return {};
}

/// What can be said only when all of them are there.
void Maker::finish() {
  out_.tally.older = book_.versions.size() - facts_.points.size();
  std::map<std::string, int> often;
  for (const HandedPoint& point : out_.points) {
    if (++often[point.cells.front()] == 2) out_.tally.names_twice.push_back(point.cells.front());
  }
  std::ranges::sort(out_.rules);
  out_.withheld = report::answer_of(facts_).withheld;
}

Result<Delivery> Maker::make() {
  out_.project = book_.project;
  out_.training = book_.training;
  out_.spool_waits = book_.spool_waits;
  out_.reference.combined_factor = wishes_.combined_factor;
  if (auto done = choose_frame(); !done) return tl::unexpected(done.error());
  if (auto done = choose_height(); !done) return tl::unexpected(done.error());
  if (auto done = choose_origin(); !done) return tl::unexpected(done.error());
  if (auto done = fit_format(); !done) return tl::unexpected(done.error());
  out_.columns = columns_of(out_.reference);
  for (const report::PointFact& fact : facts_.points) {
    count_out(fact);
    if (!is_wanted(fact)) continue;
    if (auto done = add(fact); !done) return tl::unexpected(done.error());
  }
  finish();
  return std::move(out_);
}

}  // namespace

Format DeliveryWishes::format() const {
  const auto at = std::ranges::find(kFormatWords, as);
  return static_cast<Format>(at - std::begin(kFormatWords));
}

std::string unit_words(config::LengthUnit unit) {
  return unit == LengthUnit::metre  ? kSayOfDelivery.metre()
         : unit == LengthUnit::foot ? kSayOfDelivery.foot()
                                    : kSayOfDelivery.survey_foot();
}

/// WKT 2 of lengths that lie nowhere on Earth: without it a GeoPackage takes them for degrees.
static std::string lengths_alone(const Reference& reference) {
  const std::string name =
      reference.local_origin ? kSayOfDelivery.local_system() : kSayOfDelivery.ground_system(reference.frame.label);
  const std::string unit = reference.unit == LengthUnit::metre  ? "metre"
                           : reference.unit == LengthUnit::foot ? "foot"
                                                                : kSayOfDelivery.survey_foot_of_system();
  return "ENGCRS[\"" + name + "\",EDATUM[\"" + name + "\"],CS[Cartesian,2],AXIS[\"easting (E)\",east]," +
         "AXIS[\"northing (N)\",north],LENGTHUNIT[\"" + unit + "\"," + fixed(reference.unit_m, 15) + "]]";
}

/// A frame with a height counts it in metres above its own ellipsoid; any other height is told apart from the frame.
std::string Reference::system(Format format) const {
  if (format == Format::dxf || (frameless() && format != Format::gpkg)) return {};
  if (frameless()) return lengths_alone(*this);
  if (format == Format::geojson && is_rfc7946()) return "EPSG:4326";  // the standard knows no realizations
  const bool own_height = !orthometric && unit == LengthUnit::metre && format != Format::shp;
  return own_height ? frame.system : frame.flat_system;
}

std::optional<double> Delivery::layer_epoch() const {
  if (points.empty() || last_epoch - first_epoch > kOneEpochYears) return std::nullopt;
  return (first_epoch + last_epoch) / 2;
}

Result<Delivery> delivery_of(const pointbook::Contents& book, const report::Facts& facts,
                             const DeliveryWishes& wishes) {
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  return Maker(book, facts, wishes, *std::move(transfers)).make();
}

}  // namespace stillpoint::office
