#include "control/table.hpp"

#include <algorithm>

#include "base/csv.hpp"
#include "base/number.hpp"
#include "base/utf8.hpp"
#include "control/sentences.hpp"

namespace stillpoint::control {
namespace {

std::string trimmed(std::string_view text) {
  const auto first = text.find_first_not_of(" \t");
  if (first == std::string_view::npos) return {};
  return std::string(text.substr(first, text.find_last_not_of(" \t") - first + 1));
}

/// Cells are shown on terminals; a tabulator is a blank, the others would steer one.
bool steers(unsigned char c) noexcept {
  return (c < 0x20 && c != '\t') || c == 0x7F;
}

Result<void> add_row(Table& table, std::vector<std::string> fields, int number) {
  if (table.columns.empty()) {
    for (std::string& field : fields) table.columns.push_back(trimmed(field));
    for (std::size_t i = 0; i < table.columns.size(); ++i) {
      const auto again =
          std::find(table.columns.begin(), table.columns.begin() + static_cast<std::ptrdiff_t>(i), table.columns[i]);
      if (again != table.columns.begin() + static_cast<std::ptrdiff_t>(i)) {
        return fail(kSay.column_twice(table.path, std::to_string(number), table.columns[i]));
      }
    }
    return {};
  }
  if (table.rows.size() == Table::kMostRows) {
    return fail(kSay.too_many_rows(table.path, std::to_string(number), std::to_string(Table::kMostRows)));
  }
  if (fields.size() != table.columns.size()) {
    return fail(kSay.fields_against_header(table.path, std::to_string(number), std::to_string(fields.size()),
                                           std::to_string(table.columns.size())));
  }
  table.rows.push_back({number, std::move(fields)});
  return {};
}

}  // namespace

bool Table::has(std::string_view column) const noexcept {
  return std::find(columns.begin(), columns.end(), column) != columns.end();
}

std::string Table::text(const Row& row, std::string_view column) const {
  const auto at = std::find(columns.begin(), columns.end(), column);
  if (at == columns.end()) return {};
  return trimmed(row.cells[static_cast<std::size_t>(at - columns.begin())]);
}

std::string Table::where(const Row& row) const {
  return path + ", " + counted + " " + std::to_string(row.line);
}

std::string not_utf8(std::string_view text, const std::string& where) {
  constexpr std::size_t kLongest = 40;
  const std::size_t at = first_not_utf8(text).value_or(0);
  const std::size_t from = at > kLongest / 2 ? at - kLongest / 2 : 0;
  return kSay.no_utf8(where, shown(text.substr(from, kLongest)), std::to_string(at + 1));
}

Result<Table> parse_table(std::string_view csv, const std::string& path) {
  csv = without_byte_order_mark(csv);
  Table table;
  table.path = path;
  int number = 0;
  while (!csv.empty()) {
    const std::string_view line = next_line(csv);
    ++number;
    if (trimmed(line).empty() || line.front() == '#') continue;
    if (std::any_of(line.begin(), line.end(), steers)) {
      return fail(kSay.no_csv(path, std::to_string(number)));
    }
    if (!is_utf8(line)) {
      std::string fault = not_utf8(line, path + ", line " + std::to_string(number));
      if (table.columns.empty()) return fail(std::move(fault));
      table.faults.push_back(std::move(fault));
      continue;
    }
    auto fields = csv_fields(line);
    if (!fields) return fail(kSay.open_quote(path, std::to_string(number)));
    if (auto added = add_row(table, std::move(*fields), number); !added) return tl::unexpected(added.error());
  }
  if (table.columns.empty()) return fail(kSay.empty_table(path));
  return table;
}

std::vector<std::string> unknown_columns(const Table& table, std::span<const std::string_view> known) {
  std::vector<std::string> out;
  for (const std::string& column : table.columns) {
    if (std::find(known.begin(), known.end(), column) == known.end()) {
      out.push_back(kSay.unknown_column(table.path, column));
    }
  }
  return out;
}

Result<std::optional<double>> number_in(const Table& table, const Table::Row& row, std::string_view column) {
  const std::string text = table.text(row, column);
  if (text.empty()) return std::optional<double>();
  const auto number = parse_decimal(text);
  if (!number) return fail(kSay.no_number(table.where(row), column, shown(text)));
  return std::optional<double>(*number);
}

}  // namespace stillpoint::control
