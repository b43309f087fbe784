#pragma once
/// A table of texts with named columns: what a CSV file and a GeoPackage layer have in common.
///
/// Units:  none. Threads: plain values.
/// Errors: one sentence with the line; quoted fields ("a,b", "" for a quote) are taken; a blank line and a line that
///         starts with `#` are left out. A row that is no UTF-8 is left out and told in `faults`.

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"

namespace stillpoint::control {

struct Table {
  static constexpr std::size_t kMostRows =
      100'000;                  ///< more are refused: no project has as many, and a device has no end
  std::string path;             ///< for messages
  std::string counted{"line"};  ///< what `Row::line` counts
  std::vector<std::string> columns;
  struct Row {
    int line = 0;  ///< of the file, or the row's number
    std::vector<std::string> cells;
  };
  std::vector<Row> rows;
  std::vector<std::string> faults;  ///< a sentence for each row that was left out

  bool has(std::string_view column) const noexcept;
  /// Without blanks around it; empty when the column or the value is missing.
  std::string text(const Row& row, std::string_view column) const;
  /// `mark list, line 3`
  std::string where(const Row& row) const;
};

/// Why this text, which stands at `where`, is not taken: some byte of it is no UTF-8.
std::string not_utf8(std::string_view text, const std::string& where);

Result<Table> parse_table(std::string_view csv, const std::string& path);

/// A sentence for each column that means nothing to the reader who knows these.
std::vector<std::string> unknown_columns(const Table& table, std::span<const std::string_view> known);

/// The number in a cell: nothing when it is empty, a sentence when it is no finite number.
Result<std::optional<double>> number_in(const Table& table, const Table::Row& row, std::string_view column);

}  // namespace stillpoint::control
