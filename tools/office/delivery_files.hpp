#pragma once
/// Writes a delivery in its format. CSV is our own; the others are written by GDAL's ogr2ogr out of a table of ours, and
/// counted again by ogrinfo, so that no half file gets a name.
///
/// Threads: one. Errors: one sentence; then nothing is left.

#include <string>
#include <vector>

#include "delivery.hpp"
#include "new_files.hpp"

namespace stillpoint::office {

/// The names of the files that a delivery has, the sheet aside; the first is the one that people open.
std::vector<std::string> file_names(Format format, const std::string& stem);

struct Written {
  std::size_t texts_cut = 0;      ///< to the width that the format has
  std::size_t texts_changed = 0;  ///< names with signs that the format has no place for
};
inline constexpr std::size_t kShapeTextBytes = 254;  ///< of a field in a dBASE table (dBASE III, from memory)

Result<Written> write_delivery(const Delivery& delivery, const DeliveryWishes& wishes, const NewFiles& files,
                               const std::string& stem);

/// Which columns a CSV has, in order; fails on a word that is none. Held points never go without the column `status`, nor those in
/// doubt without `doubt`.
Result<std::vector<std::size_t>> csv_columns(const Delivery& delivery, const DeliveryWishes& wishes);

}  // namespace stillpoint::office
