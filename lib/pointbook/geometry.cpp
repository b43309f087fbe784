#include "pointbook/geometry.hpp"

#include <bit>
#include <charconv>

#include "base/number.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::int32_t kUnnumberedSrs = 100'001;
constexpr std::uint32_t kWkbPointZ = 1001;

template <class Unsigned>
void put_little_endian(std::string& out, Unsigned value) {
  for (unsigned i = 0; i < sizeof(Unsigned); ++i) out.push_back(static_cast<char>((value >> (8U * i)) & 0xFFU));
}

}  // namespace

std::string point_z_blob(std::int32_t srs_id, double x, double y, double z) {
  std::string out("GP\0\1", 4);
  put_little_endian(out, static_cast<std::uint32_t>(srs_id));
  out.push_back('\1');
  put_little_endian(out, kWkbPointZ);
  for (const double value : {x, y, z}) put_little_endian(out, std::bit_cast<std::uint64_t>(value));
  return out;
}

double axis_unit_m(std::string_view wkt) {
  const std::size_t system = wkt.find("CS[Cartesian");
  if (system == std::string_view::npos) return 1;
  const std::size_t unit = wkt.find("LENGTHUNIT[\"", system);
  if (unit == std::string_view::npos) return 1;
  const std::size_t comma = wkt.find("\",", unit);
  if (comma == std::string_view::npos) return 1;
  const std::string_view number = wkt.substr(comma + 2);
  double value = 0;
  const auto [end, error] = std::from_chars(number.data(), number.data() + number.size(), value);
  return error == std::errc() && value > 0 ? value : 1;
}

bool is_projected(std::string_view wkt) noexcept {
  return wkt.find("PROJCRS[") != std::string_view::npos || wkt.find("PROJECTEDCRS[") != std::string_view::npos;
}

SrsName srs_name(std::string_view frame) {
  const std::size_t colon = frame.find(':');
  if (colon == std::string_view::npos) return {"NONE", kUnnumberedSrs, kUnnumberedSrs};
  const std::string organization(frame.substr(0, colon));
  const auto code = parse_integer(frame.substr(colon + 1));
  if (!code || *code <= 0 || *code > INT32_MAX) return {organization, kUnnumberedSrs, kUnnumberedSrs};
  const auto number = static_cast<std::int32_t>(*code);
  return {organization, number, organization == "EPSG" ? number : kUnnumberedSrs};
}

std::string name_in_wkt(std::string_view wkt) {
  const std::size_t from = wkt.find('"');
  if (from == std::string_view::npos) return {};
  const std::size_t to = wkt.find('"', from + 1);
  return to == std::string_view::npos ? std::string() : std::string(wkt.substr(from + 1, to - from - 1));
}

}  // namespace stillpoint::pointbook
