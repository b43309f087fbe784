#include "control/layer.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "control/sentences.hpp"
#include "geodesy/transfers.hpp"

namespace stillpoint::control {
namespace {

// A column may have been rounded when it was written, by about a millimetre; it still agrees with the geometry.
constexpr double kSameDegrees = 1e-8;
constexpr double kSameMetres = 0.001;

/// The number with all its digits, as a cell of a marks file holds it.
std::string cell(double value) {
  std::array<char, 400> text{};
  const auto end = std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed).ptr;
  return {text.data(), end};
}

std::size_t column(Table& table, const std::string& name) {
  const auto at = std::find(table.columns.begin(), table.columns.end(), name);
  if (at != table.columns.end()) return static_cast<std::size_t>(at - table.columns.begin());
  table.columns.push_back(name);
  for (Table::Row& row : table.rows) row.cells.emplace_back();
  return table.columns.size() - 1;
}

class Reader {
 public:
  Reader(const Layer& layer, geodesy::Transfers transfers)
      : layer_(layer), transfers_(std::move(transfers)), table_(layer.table) {
    projected_ = transfers_.is_projected(layer.system);
    unit_m_ = projected_ ? transfers_.metres_per_unit(layer.system) : 1.0;
    x_ = column(table_, projected_ ? "easting_m" : "longitude_deg");
    y_ = column(table_, projected_ ? "northing_m" : "latitude_deg");
    height_ = column(table_, "height_m");
  }

  Marks run() {
    std::vector<std::string> faults;
    std::vector<Table::Row> sound;
    for (std::size_t i = 0; i < table_.rows.size(); ++i) {
      std::string fault = place(table_.rows[i], layer_.places[i]);
      if (fault.empty()) {
        sound.push_back(std::move(table_.rows[i]));
      } else {
        faults.push_back(table_.where(layer_.table.rows[i]) + ": " + fault);
      }
    }
    table_.rows = std::move(sound);
    Marks out = marks_from(table_);
    out.errors.insert(out.errors.begin(), faults.begin(), faults.end());
    return out;
  }

 private:
  /// Empty, or what is wrong.
  std::string place(Table::Row& row, const std::optional<Layer::Place>& at) {
    const std::string frame = table_.text(row, "frame");
    if (frame.empty()) return {};  // told as every other missing column is
    if (!transfers_.is_drawn_in(frame, layer_.system)) {
      return kSay.drawn_in_other(frame, layer_.system);
    }
    if (!at) return kSay.no_point();
    for (const auto& [number, value] : {std::pair{x_, at->x * unit_m_}, std::pair{y_, at->y * unit_m_}}) {
      if (auto fault = put(row, number, value); !fault.empty()) return fault;
    }
    const std::string kind = table_.text(row, "height_kind");
    const bool wants_height = !kind.empty() && kind != "none" && table_.text(row, "height_m").empty();
    if (wants_height && at->z) row.cells[height_] = cell(*at->z);
    return {};
  }

  std::string put(Table::Row& row, std::size_t number, double value) {
    const std::string& name = table_.columns[number];
    const auto written = number_in(table_, row, name);
    if (!written) return {};  // told as every other number that is none is
    const double apart = *written ? std::abs(**written - value) : 0.0;
    if (apart > (projected_ ? kSameMetres : kSameDegrees)) {
      return kSay.not_at_geometry(name, table_.text(row, name), cell(value));
    }
    if (!*written) row.cells[number] = cell(value);
    return {};
  }

  const Layer& layer_;
  geodesy::Transfers transfers_;
  Table table_;
  bool projected_ = false;
  double unit_m_ = 1;
  std::size_t x_ = 0, y_ = 0, height_ = 0;
};

}  // namespace

Marks marks_from(const Layer& layer) {
  auto transfers = geodesy::Transfers::open();
  if (transfers) return Reader(layer, std::move(*transfers)).run();
  Marks out;
  out.errors.push_back(transfers.error().text);
  return out;
}

}  // namespace stillpoint::control
