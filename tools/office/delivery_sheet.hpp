#pragma once
/// The plain sheet that lies beside each delivery: what it is, in which frame, how good, what was left out, and what it
/// must not be used for.
///
/// Units: in the words. Time: handed in. Threads: pure. Errors: none.

#include <string>
#include <utility>
#include <vector>

#include "delivery.hpp"
#include "delivery_files.hpp"

namespace stillpoint::office {

struct SheetFacts {
  UtcTime made_at;
  std::string book_name, book_sha256;
  std::vector<std::pair<std::string, std::string>> files;  ///< name and SHA-256
  std::vector<std::size_t> csv_columns;                    ///< of a CSV, in order; empty: all
  Written written;
};

/// Lines of at most some 120 letters, the parts under headings.
std::string delivery_sheet(const Delivery& delivery, const DeliveryWishes& wishes, const SheetFacts& facts);

}  // namespace stillpoint::office
