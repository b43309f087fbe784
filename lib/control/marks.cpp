#include "control/marks.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <set>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "control/sentences.hpp"
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
      complain(kSay.outside(table_.where(row_), column, text(column), fixed(lowest, 0), fixed(highest, 0)));
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
  in.want(geographic || grid, kSay.no_place());
  in.want(!(geographic && grid), kSay.two_places());
}

void read_height(Reader& in, Mark& mark) {
  mark.height_m = in.number("height_m", -12000, 12000);
  const std::string kind = in.text("height_kind");
  if (kind == "ellipsoid") mark.height_kind = HeightOf::ellipsoid;
  if (kind == "orthometric") mark.height_kind = HeightOf::orthometric;
  const bool known = kind.empty() || kind == "none" || mark.height_kind != HeightOf::none;
  in.want(known, kSay.unknown_height_kind(kind));
  in.want(!mark.height_m || mark.height_kind != HeightOf::none, kSay.height_kind_wanted());
  in.want(mark.height_m || mark.height_kind == HeightOf::none, kSay.height_missing());
  mark.geoid = in.text("geoid");
  in.want_readable(kSay.the_geoid(), mark.geoid, kLongestNote);
  mark.sigma_vertical_m = in.number("sigma_vertical_m", 0, 100);
  in.want(!mark.height_m || mark.sigma_vertical_m, kSay.height_error_missing());
}

void read_velocity(Reader& in, Mark& mark) {
  const auto east = in.number("velocity_east_mm_per_year", -1000, 1000);
  const auto north = in.number("velocity_north_mm_per_year", -1000, 1000);
  const auto up = in.number("velocity_up_mm_per_year", -1000, 1000);
  if (!east && !north && !up) return;
  in.want(east && north && up, kSay.velocity_incomplete());
  if (east && north && up) mark.velocity = config::SiteVelocity{*east, *north, *up};
}

void read_history(Reader& in, Mark& mark) {
  const std::string recovered = in.text("recovered");
  if (!recovered.empty()) {
    mark.recovered = parse_date(recovered);
    in.want(mark.recovered.has_value(), kSay.no_date(recovered));
  }
  const std::string status = in.text("status");
  bool known = status.empty();
  for (const auto one : {MarkStatus::good, MarkStatus::disturbed, MarkStatus::superseded, MarkStatus::base}) {
    if (status != to_word(one)) continue;
    mark.status = one;
    known = true;
  }
  in.want(known, kSay.unknown_status(status));
  mark.remarks = in.text("remarks");
  in.want_readable(kSay.the_remarks(), mark.remarks, kLongestNote);
}

Mark mark_from(Reader& in) {
  Mark mark;
  mark.where = in.where();
  mark.name = in.text("name");
  in.want(!mark.name.empty(), kSay.name_missing());
  in.want_readable(kSay.the_name(), mark.name, kLongestName);
  mark.frame = in.text("frame");
  in.want_readable(kSay.the_frame(), mark.frame, kLongestNote);
  in.want(!mark.frame.empty(), kSay.frame_missing());
  const auto epoch = in.number("coordinate_epoch", 1980, 2100);
  in.want(epoch.has_value(), kSay.epoch_missing());
  mark.coordinate_epoch = epoch.value_or(0);
  read_place(in, mark);
  read_height(in, mark);
  const auto sigma = in.number("sigma_horizontal_m", 0, 100);
  in.want(sigma.has_value(), kSay.error_missing());
  mark.sigma_horizontal_m = sigma.value_or(0);
  read_velocity(in, mark);
  read_history(in, mark);
  return mark;
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
  out.warnings = unknown_columns(table, kColumns);
  std::set<std::string> names;
  for (const Table::Row& row : table.rows) {
    Reader in(table, row);
    Mark mark = mark_from(in);
    if (in.fault.empty() && names.contains(mark.name)) {
      in.complain(kSay.mark_twice(table.where(row), mark.name));
    }
    if (!in.fault.empty()) {
      out.errors.push_back(in.fault);
      continue;
    }
    if (mark.status == MarkStatus::disturbed || mark.status == MarkStatus::superseded) {
      out.warnings.push_back(kSay.proves_nothing(table.where(row), mark.name, to_word(mark.status)));
    }
    if (const auto alias = geodesy::itrf_of_igs(mark.frame)) {
      out.warnings.push_back(kSay.frame_taken_as(table.where(row), mark.name, alias->igs_name, alias->itrf_name));
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
  return grid && !transfers.is_projected(mark.frame) ? kSay.no_grid(*known) : std::string();
}

}  // namespace

Marks in_known_frames(Marks marks) {
  auto transfers = geodesy::Transfers::open();
  std::vector<Mark> known;
  std::set<std::string> frames;
  for (Mark& mark : marks.marks) {
    frames.insert(mark.frame);
    std::string fault = transfers ? "" : transfers.error().text;
    if (frames.size() > kMostFrames) fault = kSay.too_many_frames(std::to_string(kMostFrames));
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
  if (mark.status == MarkStatus::disturbed) out.push_back(kSay.disturbed(mark.name, because));
  if (mark.status == MarkStatus::superseded) {
    out.push_back(kSay.superseded(mark.name, because));
  }
  if (!mark.recovered) {
    out.push_back(kSay.never_found(mark.name));
  } else {
    const double years = static_cast<double>(days_from_civil(date_of(now)) - days_from_civil(*mark.recovered)) / 365.25;
    if (years > kRecoveredYears) out.push_back(kSay.long_ago(mark.name, fixed(years, 0)));
  }
  if (!mark.height_m) out.push_back(kSay.no_height(mark.name));
  return out;
}

}  // namespace stillpoint::control
