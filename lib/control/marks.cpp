#include "control/marks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "geodesy/frame_names.hpp"
#include "geodesy/transfers.hpp"

namespace stillpoint::control {
namespace {

constexpr double kRecoveredYears = 10.0;
constexpr std::array<std::string_view, 20> kColumns{"name",
                                                    "frame",
                                                    "coordinate_epoch",
                                                    "latitude_deg",
                                                    "longitude_deg",
                                                    "easting_m",
                                                    "northing_m",
                                                    "height_m",
                                                    "height_kind",
                                                    "geoid",
                                                    "sigma_horizontal_m",
                                                    "sigma_vertical_m",
                                                    "velocity_east_mm_per_year",
                                                    "velocity_north_mm_per_year",
                                                    "velocity_up_mm_per_year",
                                                    "recovered",
                                                    "status",
                                                    "remarks",
                                                    "fid",
                                                    "geom"};

/// Reads one row; the first fault is kept.
class Reader {
 public:
  Reader(const Table& table, const Table::Row& row) : table_(table), row_(row) {}

  std::string text(std::string_view column) const { return table_.text(row_, column); }
  std::optional<double> number(std::string_view column, double lowest, double highest) {
    const auto value = number_in(table_, row_, column);
    if (!value) {
      complain(value.error().text);
      return std::nullopt;
    }
    if (*value && !(**value >= lowest && **value <= highest)) {
      complain(table_.where(row_) + ": " + std::string(column) + " " + text(column) + " is outside " +
               fixed(lowest, 0) + " to " + fixed(highest, 0));
      return std::nullopt;
    }
    return *value;
  }
  std::string where() const { return table_.where(row_); }
  void want(bool there, const std::string& what) {
    if (!there) complain(table_.where(row_) + ": " + what);
  }
  void want_readable(std::string_view what, const std::string& text, std::size_t longest) {
    if (const std::string unfit = typed_fault(what, text, longest); !unfit.empty()) want(false, unfit);
  }
  void complain(const std::string& sentence) {
    if (fault.empty()) fault = sentence;
  }
  std::string fault;

 private:
  const Table& table_;
  const Table::Row& row_;
};

void read_place(Reader& in, Mark& mark) {
  mark.latitude_deg = in.number("latitude_deg", -90, 90);
  mark.longitude_deg = in.number("longitude_deg", -180, 360);
  mark.easting_m = in.number("easting_m", -1e8, 1e8);
  mark.northing_m = in.number("northing_m", -1e8, 1e8);
  const bool geographic = mark.latitude_deg && mark.longitude_deg;
  const bool grid = mark.easting_m && mark.northing_m;
  in.want(geographic || grid, "a mark needs latitude_deg and longitude_deg, or easting_m and northing_m");
  in.want(!(geographic && grid), "give latitude and longitude or easting and northing, not both");
}

void read_height(Reader& in, Mark& mark) {
  mark.height_m = in.number("height_m", -12000, 12000);
  const std::string kind = in.text("height_kind");
  if (kind == "ellipsoid") mark.height_kind = HeightOf::ellipsoid;
  if (kind == "orthometric") mark.height_kind = HeightOf::orthometric;
  const bool known = kind.empty() || kind == "none" || mark.height_kind != HeightOf::none;
  in.want(known, "height_kind \"" + kind + "\" is not ellipsoid, orthometric or none");
  in.want(!mark.height_m || mark.height_kind != HeightOf::none, "height_m needs height_kind ellipsoid or orthometric");
  in.want(mark.height_m || mark.height_kind == HeightOf::none, "height_kind is given, but height_m is missing");
  mark.geoid = in.text("geoid");
  in.want_readable("the geoid", mark.geoid, kLongestNote);
  mark.sigma_vertical_m = in.number("sigma_vertical_m", 0, 100);
  in.want(!mark.height_m || mark.sigma_vertical_m, "a mark with a height needs sigma_vertical_m (1 sigma)");
}

void read_velocity(Reader& in, Mark& mark) {
  const auto east = in.number("velocity_east_mm_per_year", -1000, 1000);
  const auto north = in.number("velocity_north_mm_per_year", -1000, 1000);
  const auto up = in.number("velocity_up_mm_per_year", -1000, 1000);
  if (!east && !north && !up) return;
  in.want(east && north && up, "a velocity needs east, north and up");
  if (east && north && up) mark.velocity = config::SiteVelocity{*east, *north, *up};
}

void read_history(Reader& in, Mark& mark) {
  const std::string recovered = in.text("recovered");
  if (!recovered.empty()) {
    mark.recovered = parse_date(recovered);
    in.want(mark.recovered.has_value(), "recovered \"" + recovered + "\" is not a date like 2025-09-14");
  }
  const std::string status = in.text("status");
  bool known = status.empty();
  for (const auto one : {MarkStatus::good, MarkStatus::disturbed, MarkStatus::superseded, MarkStatus::base}) {
    if (status != to_word(one)) continue;
    mark.status = one;
    known = true;
  }
  in.want(known, "status \"" + status + "\" is not good, disturbed, superseded or base");
  mark.remarks = in.text("remarks");
  in.want_readable("the text of remarks", mark.remarks, kLongestNote);
}

Mark mark_from(Reader& in) {
  Mark mark;
  mark.where = in.where();
  mark.name = in.text("name");
  in.want(!mark.name.empty(), "the name is missing");
  in.want_readable("the name", mark.name, kLongestName);
  mark.frame = in.text("frame");
  in.want_readable("the frame", mark.frame, kLongestNote);
  in.want(!mark.frame.empty(), "the frame is missing; without it a mark proves nothing");
  const auto epoch = in.number("coordinate_epoch", 1980, 2100);
  in.want(epoch.has_value(), "the coordinate_epoch is missing (a decimal year such as 2010.0)");
  mark.coordinate_epoch = epoch.value_or(0);
  read_place(in, mark);
  read_height(in, mark);
  const auto sigma = in.number("sigma_horizontal_m", 0, 100);
  in.want(sigma.has_value(), "sigma_horizontal_m (1 sigma) is missing; a mark of unknown quality proves nothing");
  mark.sigma_horizontal_m = sigma.value_or(0);
  read_velocity(in, mark);
  read_history(in, mark);
  return mark;
}

void complain_of_columns(const Table& table, Marks& out) {
  for (const std::string& column : table.columns) {
    if (std::find(kColumns.begin(), kColumns.end(), column) != kColumns.end()) continue;
    out.warnings.push_back(table.path + ": the column " + column + " means nothing here and is not read");
  }
}

}  // namespace

std::string_view to_word(HeightOf kind) noexcept {
  constexpr std::array<std::string_view, 3> kWords{"none", "ellipsoid", "orthometric"};
  return kWords[static_cast<std::size_t>(kind)];
}

std::string_view to_word(MarkStatus status) noexcept {
  constexpr std::array<std::string_view, 4> kWords{"good", "disturbed", "superseded", "base"};
  return kWords[static_cast<std::size_t>(status)];
}

const Mark* Marks::find(std::string_view name) const noexcept {
  const auto at = std::find_if(marks.begin(), marks.end(), [&](const Mark& mark) { return mark.name == name; });
  return at == marks.end() ? nullptr : &*at;
}

Marks marks_from(const Table& table) {
  Marks out;
  out.errors = table.faults;
  complain_of_columns(table, out);
  std::set<std::string> names;
  for (const Table::Row& row : table.rows) {
    Reader in(table, row);
    Mark mark = mark_from(in);
    if (in.fault.empty() && names.contains(mark.name)) {
      in.complain(table.where(row) + ": the mark " + mark.name + " is there twice");
    }
    if (!in.fault.empty()) {
      out.errors.push_back(in.fault);
      continue;
    }
    if (mark.status == MarkStatus::disturbed || mark.status == MarkStatus::superseded) {
      out.warnings.push_back(table.where(row) + ": " + mark.name + " is marked " + std::string(to_word(mark.status)) +
                             "; a check on it proves nothing");
    }
    if (const auto alias = geodesy::itrf_of_igs(mark.frame)) {
      out.warnings.push_back(table.where(row) + ": the frame of " + mark.name + ", " + std::string(alias->igs_name) +
                             ", is taken as " + std::string(alias->itrf_name));
    }
    names.insert(mark.name);
    out.marks.push_back(std::move(mark));
  }
  return out;
}

Marks parse_marks(std::string_view csv, const std::string& path) {
  const auto table = parse_table(csv, path);
  if (table) return marks_from(*table);
  Marks out;
  out.errors.push_back(table.error().text);
  return out;
}

namespace {

// Every one costs a look into the database of frames, and a list of marks has one or two.
constexpr std::size_t kMostFrames = 100;

/// Empty, or why nothing can be compared with the mark.
std::string frame_fault(const Mark& mark, geodesy::Transfers& transfers) {
  const auto known = transfers.label(mark.frame);
  if (!known) return known.error().text;
  const bool grid = mark.easting_m && mark.northing_m;
  return grid && !transfers.is_projected(mark.frame) ? *known + " has no easting and northing" : std::string();
}

}  // namespace

Marks in_known_frames(Marks marks) {
  auto transfers = geodesy::Transfers::open();
  std::vector<Mark> known;
  std::set<std::string> frames;
  for (Mark& mark : marks.marks) {
    frames.insert(mark.frame);
    std::string fault = transfers ? "" : transfers.error().text;
    if (frames.size() > kMostFrames) fault = "the list has more than " + std::to_string(kMostFrames) + " frames";
    if (fault.empty()) fault = frame_fault(mark, *transfers);
    if (fault.empty()) {
      known.push_back(std::move(mark));
    } else {
      marks.errors.push_back((mark.where.empty() ? mark.name : mark.where) + ": " + fault);
    }
  }
  marks.marks = std::move(known);
  return marks;
}

std::vector<std::string> cautions(const Mark& mark, UtcTime now) {
  std::vector<std::string> out;
  const std::string because = mark.remarks.empty() ? "" : " (" + mark.remarks + ")";
  if (mark.status == MarkStatus::disturbed) out.push_back(mark.name + " is listed as disturbed" + because);
  if (mark.status == MarkStatus::superseded) {
    out.push_back("the coordinates of " + mark.name + " are superseded" + because);
  }
  if (!mark.recovered) {
    out.push_back("nobody wrote down when " + mark.name + " was last found in good order");
  } else {
    const double years = static_cast<double>(days_from_civil(date_of(now)) - days_from_civil(*mark.recovered)) / 365.25;
    if (years > kRecoveredYears) out.push_back(mark.name + " was last found " + fixed(years, 0) + " years ago");
  }
  if (!mark.height_m) out.push_back(mark.name + " has no height, so heights are not checked");
  return out;
}

}  // namespace stillpoint::control
