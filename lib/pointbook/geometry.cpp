#include "pointbook/geometry.hpp"

#include <array>
#include <bit>
#include <charconv>
#include <cmath>

#include "base/number.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::int32_t kUnnumberedSrs = 100'001;
constexpr std::uint32_t kWkbPoint = 1, kWkbPointZ = 1001;

template <class Unsigned>
void put_little_endian(std::string& out, Unsigned value) {
  for (unsigned i = 0; i < sizeof(Unsigned); ++i) out.push_back(static_cast<char>((value >> (8U * i)) & 0xFFU));
}

/// The standard's header of a point, little-endian, without envelope, and the kind of geometry.
std::string begun_blob(std::int32_t srs_id, std::uint32_t kind) {
  std::string out("GP\0\1", 4);
  put_little_endian(out, static_cast<std::uint32_t>(srs_id));
  out.push_back('\1');
  put_little_endian(out, kind);
  return out;
}

/// Takes numbers from the front; after the first that is missing, nothing.
class Bytes {
 public:
  explicit Bytes(std::string_view rest) : rest_(rest) {}
  void set_little_endian(bool little) { little_ = little; }
  std::optional<std::uint64_t> take(std::size_t size) {
    if (rest_.size() < size) return std::nullopt;
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < size; ++i) {
      const auto byte = static_cast<unsigned char>(rest_[little_ ? size - 1 - i : i]);
      value = value << 8U | byte;
    }
    rest_.remove_prefix(size);
    return value;
  }
  std::optional<double> take_finite() {
    const auto bits = take(8);
    if (!bits || !std::isfinite(std::bit_cast<double>(*bits))) return std::nullopt;
    return std::bit_cast<double>(*bits);
  }
  bool skip(std::size_t size) {
    if (rest_.size() < size) return false;
    rest_.remove_prefix(size);
    return true;
  }

 private:
  std::string_view rest_;
  bool little_ = true;
};

/// The standard's own header (OGC 12-128r17, 2.1.3.1.1) is left behind; false when it is none, or of an empty geometry.
bool skip_header(Bytes& bytes, std::string_view blob) {
  constexpr std::array<std::size_t, 5> kEnvelopeBytes{0, 32, 48, 48, 64};
  if (blob.size() < 8 || blob.substr(0, 2) != "GP") return false;
  const auto flags = static_cast<unsigned char>(blob[3]);
  const std::size_t envelope = flags >> 1U & 7U;
  const bool empty = (flags & 0x10U) != 0, extended = (flags & 0x20U) != 0;
  return !empty && !extended && envelope < kEnvelopeBytes.size() && bytes.skip(8 + kEnvelopeBytes[envelope]);
}

}  // namespace

std::optional<PointXyz> read_point_blob(std::string_view blob) {
  Bytes bytes(blob);
  if (!skip_header(bytes, blob)) return std::nullopt;
  const auto order = bytes.take(1);
  if (!order || *order > 1) return std::nullopt;
  bytes.set_little_endian(*order == 1);
  const auto type = bytes.take(4);
  if (!type) return std::nullopt;
  const bool has_z = *type == 1001 || *type == 3001;
  if (!has_z && *type != 1 && *type != 2001) return std::nullopt;
  const auto x = bytes.take_finite(), y = bytes.take_finite();
  if (!x || !y) return std::nullopt;
  return PointXyz{*x, *y, has_z ? bytes.take_finite() : std::nullopt};
}

std::string point_z_blob(std::int32_t srs_id, double x, double y, double z) {
  std::string out = begun_blob(srs_id, kWkbPointZ);
  for (const double value : {x, y, z}) put_little_endian(out, std::bit_cast<std::uint64_t>(value));
  return out;
}

std::string point_blob(std::int32_t srs_id, double x, double y) {
  std::string out = begun_blob(srs_id, kWkbPoint);
  for (const double value : {x, y}) put_little_endian(out, std::bit_cast<std::uint64_t>(value));
  return out;
}

std::string geoid_in_wkt(std::string_view wkt) {
  constexpr std::string_view kBegins = "GEOIDMODEL[\"";
  if (!wkt.starts_with("COMPOUNDCRS[")) return {};
  const std::size_t at = wkt.find(kBegins);
  std::string out;
  if (at == std::string_view::npos) return out;
  for (wkt.remove_prefix(at + kBegins.size()); !wkt.empty(); wkt.remove_prefix(1)) {
    const bool doubled = wkt.starts_with("\"\"");  // a quote inside a text of WKT
    if (wkt.front() == '"' && !doubled) return out;
    if (doubled) wkt.remove_prefix(1);
    out.push_back(wkt.front());
  }
  return {};
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

bool is_dynamic(std::string_view wkt) noexcept {
  return wkt.find("DYNAMIC[") != std::string_view::npos;
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

SrsName srs_name_of_compound() {
  return {"NONE", kUnnumberedSrs, kUnnumberedSrs};
}

std::string name_in_wkt(std::string_view wkt) {
  const std::size_t from = wkt.find('"');
  if (from == std::string_view::npos) return {};
  const std::size_t to = wkt.find('"', from + 1);
  return to == std::string_view::npos ? std::string() : std::string(wkt.substr(from + 1, to - from - 1));
}

}  // namespace stillpoint::pointbook
