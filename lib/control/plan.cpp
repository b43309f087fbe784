#include "control/plan.hpp"

#include <array>
#include <cmath>
#include <set>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "control/sentences.hpp"
#include "geodesy/transfers.hpp"

namespace stillpoint::control {
namespace {

// Every one costs a look into the database of frames.
constexpr std::size_t kMostFrames = 100;
constexpr std::int64_t kDayMs = 86'400'000;
constexpr std::array<std::string_view, 11> kColumns{"name",       "code",         "note",          "frame",
                                                    "again_from", "latitude_deg", "longitude_deg", "easting_m",
                                                    "northing_m", "fid",          "geom"};

/// A place as its row or its layer gives it: degrees, or metres of a grid.
struct Given {
  std::string frame;
  double x = 0, y = 0;
  bool grid = false;
};

std::optional<UtcTime> time_or_day(const std::string& text) {
  if (const auto date = parse_date(text)) return UtcTime{days_from_civil(*date) * kDayMs};
  return parse_utc(text);
}

class Reader {
 public:
  Reader(const Table& table, const PlanFrame& used, geodesy::Transfers transfers)
      : table_(table), used_(used), transfers_(std::move(transfers)) {}

  /// `layer`: whose rows they are; null: the rows say themselves where they are.
  Plan run(const Layer* layer) {
    plan_.errors = table_.faults;
    plan_.warnings = unknown_columns(table_, kColumns);
    for (std::size_t i = 0; i < table_.rows.size(); ++i) {
      const Table::Row& row = table_.rows[i];
      auto point = read(row, layer == nullptr ? place_in(row) : place_of(*layer, i));
      if (point) {
        plan_.points.push_back(std::move(*point));
      } else {
        const std::string where = table_.where(row) + ": ";
        plan_.errors.push_back((point.error().text.starts_with(where) ? "" : where) + point.error().text);
      }
    }
    return std::move(plan_);
  }

 private:
  Result<Given> place_of(const Layer& layer, std::size_t row) {
    const std::string said = table_.text(table_.rows[row], "frame");
    if (!said.empty() && !transfers_.is_drawn_in(said, layer.system)) {
      return fail(kSay.plan_drawn_in_other(said, layer.system));
    }
    const auto& at = layer.places[row];
    if (!at) return fail(kSay.no_point());
    const bool grid = transfers_.is_projected(layer.system);
    const double unit_m = grid ? transfers_.metres_per_unit(layer.system) : 1.0;
    return Given{said.empty() ? transfers_.frame_of_layer(layer.system) : said, at->x * unit_m, at->y * unit_m, grid};
  }

  Result<Given> place_in(const Table::Row& row) {
    std::array<std::optional<double>, 4> cells;
    constexpr std::array<const char*, 4> kNames{"longitude_deg", "latitude_deg", "easting_m", "northing_m"};
    for (std::size_t i = 0; i < cells.size(); ++i) {
      const auto number = number_in(table_, row, kNames[i]);
      if (!number) return tl::unexpected<Error>(number.error());
      cells[i] = *number;
    }
    const bool degrees = cells[0] && cells[1], grid = cells[2] && cells[3];
    if (degrees == grid) return fail(degrees ? kSay.two_places() : kSay.plan_no_place());
    std::string frame = table_.text(row, "frame");
    if (frame.empty()) frame = used_.frame;
    return grid ? Given{frame, *cells[2], *cells[3], true} : Given{frame, *cells[0], *cells[1], false};
  }

  Result<PlannedPoint> read(const Table::Row& row, const Result<Given>& given) {
    PlannedPoint out{table_.text(row, "name"), table_.text(row, "code"), table_.text(row, "note")};
    if (out.name.empty()) return fail(kSay.name_missing());
    std::string fault = new_label_fault(kSay.the_name(), out.name, kLongestName);
    if (fault.empty() && !out.code.empty()) fault = new_label_fault(kSay.the_code(), out.code, kLongestCode);
    if (fault.empty()) fault = typed_fault(kSay.the_note(), out.note, kLongestNote);
    if (!fault.empty()) return fail(std::move(fault));
    if (!names_.insert(read_aloud(out.name)).second) return fail(kSay.planned_twice(out.name));
    if (const std::string again = table_.text(row, "again_from"); !again.empty()) {
      out.again_from = time_or_day(again);
      if (!out.again_from) return fail(kSay.no_again_from(again));
    }
    if (!given) return tl::unexpected<Error>(given.error());
    const auto place = in_project_frame(*given);
    if (!place) return tl::unexpected<Error>(place.error());
    out.latitude_deg = place->latitude_deg;
    out.longitude_deg = place->longitude_deg;
    return out;
  }

  Result<geodesy::Geographic> in_project_frame(const Given& given) {
    frames_.insert(given.frame);
    if (frames_.size() > kMostFrames) return fail(kSay.too_many_frames(std::to_string(kMostFrames)));
    const auto code = transfers_.base_code(given.frame);
    if (!code) return tl::unexpected<Error>(code.error());
    geodesy::Geographic place{given.y, given.x, 0};
    if (given.grid) {
      if (!transfers_.is_projected(given.frame)) return fail(kSay.no_grid(given.frame));
      const auto read = transfers_.from_grid(given.frame, given.x, given.y, 0);
      if (!read) return read;
      place = *read;
    }
    if (!(std::abs(place.latitude_deg) <= 90) || !(std::abs(place.longitude_deg) <= 360)) {
      return fail(kSay.nowhere(fixed(place.latitude_deg, 3), fixed(place.longitude_deg, 3)));
    }
    const auto own = transfers_.base_code(used_.frame);
    if (own && *own == *code) return place;
    const auto moved = transfers_.move(given.frame, used_.frame, place, used_.year);
    if (moved) return moved;
    if (unmoved_.insert(given.frame).second) {
      plan_.warnings.push_back(kSay.plan_not_moved(table_.path, given.frame, used_.frame, moved.error().text));
    }
    return place;
  }

  const Table& table_;
  const PlanFrame& used_;
  geodesy::Transfers transfers_;
  Plan plan_;
  std::set<std::string> names_, frames_, unmoved_;
};

Plan read(const Table& table, const PlanFrame& used, const Layer* layer) {
  auto transfers = geodesy::Transfers::open();
  if (transfers) return Reader(table, used, std::move(*transfers)).run(layer);
  Plan out;
  out.errors.push_back(transfers.error().text);
  return out;
}

}  // namespace

Plan plan_from(const Table& table, const PlanFrame& used) {
  return read(table, used, nullptr);
}

Plan plan_from(const Layer& layer, const PlanFrame& used) {
  return read(layer.table, used, &layer);
}

std::string_view to_word(PlanState state) noexcept {
  constexpr std::array<std::string_view, 3> kWords{"open", "again", "done"};
  return kWords[static_cast<std::size_t>(state)];
}

PlanState state_of(const PlannedPoint& point, std::optional<UtcTime> visited, UtcTime now) noexcept {
  if (!visited) return PlanState::open;
  const bool due = point.again_from && *point.again_from <= now && *visited < *point.again_from;
  return due ? PlanState::again : PlanState::done;
}

}  // namespace stillpoint::control
