#include "geodesy/geoid_grid.hpp"

#include <cctype>
#include <cmath>
#include <numbers>

#include "base/identity.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

std::optional<std::string> fingerprint_fault(const std::string& file, const std::string& expected) {
  const Result<std::string> found = sha256_file(file);
  if (!found) return found.error().text;
  std::string wanted;
  for (const char c : expected) wanted += c >= 'A' && c <= 'F' ? static_cast<char>(c - 'A' + 'a') : c;
  if (*found == wanted) return std::nullopt;
  return kSay.other_grid(file, *found, wanted);
}

}  // namespace

Result<GeoidGrid> GeoidGrid::open(PJ_CONTEXT* context, const config::Geoid& geoid) {
  // A comma separates grids and an @ makes one optional in PROJ's own notation; a quote would end the name.
  if (geoid.grid.empty() || geoid.grid.find_first_of(",\"@\n") != std::string::npos) {
    return fail(kSay.grid_path(geoid.grid));
  }
  const bool is_path = geoid.grid.front() == '/';
  const std::string file = is_path ? geoid.grid : std::string(proj_grid_info(geoid.grid.c_str()).filename);
  if (file.empty()) {
    return fail(kSay.grid_not_installed(geoid.grid));
  }
  if (!geoid.sha256.empty()) {
    if (auto fault = fingerprint_fault(file, geoid.sha256)) return fail(std::move(*fault));
  }
  const std::string definition = "+proj=vgridshift +grids=\"" + file + "\" +multiplier=1";
  PjPtr shift(proj_create(context, definition.c_str()));
  if (!shift) return fail(kSay.grid_unreadable(file));
  return GeoidGrid(std::move(shift), geoid.name.empty() ? geoid.grid : geoid.name);
}

std::optional<double> GeoidGrid::orthometric_height_m(const Geographic& position) const noexcept {
  constexpr double kRadPerDeg = std::numbers::pi / 180.0;
  proj_errno_reset(shift_.get());
  const PJ_COORD in = proj_coord(position.longitude_deg * kRadPerDeg, position.latitude_deg * kRadPerDeg,
                                 position.ellipsoid_height_m, HUGE_VAL);
  const PJ_COORD out = proj_trans(shift_.get(), PJ_INV, in);
  if (proj_errno(shift_.get()) != 0 || !std::isfinite(out.v[2])) return std::nullopt;
  return out.v[2];
}

}  // namespace stillpoint::geodesy
