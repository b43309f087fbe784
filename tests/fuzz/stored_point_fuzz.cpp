// Any bytes as a point or a check shot of a spool or an open stay: what is read is written and read as the same one.

#include <string>
#include <string_view>

#include "fuzz/check.hpp"
#include "pointbook/spool.hpp"

using namespace stillpoint;

namespace {

template <class Row>
void check_row(const Result<Row>& row, Result<Row> (*decode)(std::string_view)) {
  if (!row) return fuzz::check_shown(row.error().text);
  const std::string written = pointbook::encode(*row);
  const auto again = decode(written);
  fuzz::check(again.has_value(), "what was written cannot be read");
  fuzz::check(pointbook::encode(*again) == written, "another row");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  check_row(pointbook::decode_stored_point(bytes), pointbook::decode_stored_point);
  check_row(pointbook::decode_check_shot(bytes), pointbook::decode_check_shot);
  return 0;
}
