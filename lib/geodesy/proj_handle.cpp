#include "geodesy/proj_handle.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"

namespace stillpoint::geodesy {
namespace {

constexpr std::size_t kAreaNameShown = 60;

void discard_log(void*, int, const char*) {}

std::string degrees_text(double value_deg, int decimals, char positive, char negative) {
  return fixed(std::abs(value_deg), decimals) + ' ' + (value_deg < 0.0 ? negative : positive);
}

// Cut at a word, and never inside a UTF-8 character.
std::string shortened(const std::string& name) {
  if (name.size() <= kAreaNameShown) return name;
  const std::size_t space = name.rfind(' ', kAreaNameShown);
  return name.substr(0, space == std::string::npos ? name.find(' ') : space) + " ...";
}

}  // namespace

ContextPtr make_context() {
  ContextPtr context(proj_context_create());
  if (context) {
    proj_log_func(context.get(), nullptr, discard_log);
    proj_context_set_enable_network(context.get(), 0);
  }
  return context;
}

double Area::width_deg() const noexcept {
  return west_deg <= east_deg ? east_deg - west_deg : east_deg - west_deg + 360.0;
}

bool Area::reaches(double longitude_deg) const noexcept {
  double east_of_west_deg = longitude_deg - west_deg;
  if (std::abs(east_of_west_deg) >= 360.0) east_of_west_deg = std::fmod(east_of_west_deg, 360.0);
  if (east_of_west_deg < 0.0) east_of_west_deg += 360.0;
  return east_of_west_deg <= width_deg();
}

std::string Area::box_text() const {
  return degrees_text(south_deg, 2, 'N', 'S') + " to " + degrees_text(north_deg, 2, 'N', 'S') + ", " +
         degrees_text(west_deg, 2, 'E', 'W') + " to " + degrees_text(east_deg, 2, 'E', 'W');
}

std::string Area::text() const {
  return name.empty() ? box_text() : shortened(name) + " (" + box_text() + ")";
}

Area Area::widened(double margin_deg) const {
  Area wider = *this;
  wider.south_deg = std::max(-90.0, south_deg - margin_deg);
  wider.north_deg = std::min(90.0, north_deg + margin_deg);
  if (width_deg() + 2.0 * margin_deg >= 360.0) {
    wider.west_deg = -180.0;
    wider.east_deg = 180.0;
  } else {
    wider.west_deg = std::remainder(west_deg - margin_deg, 360.0);
    wider.east_deg = std::remainder(east_deg + margin_deg, 360.0);
  }
  return wider;
}

std::optional<Area> area_of_use(PJ_CONTEXT* context, const PJ* object) {
  Area area;
  const char* name = nullptr;
  // -1000 is PROJ's mark for "unknown".
  if (!proj_get_area_of_use(context, object, &area.west_deg, &area.south_deg, &area.east_deg, &area.north_deg, &name) ||
      area.west_deg < -180.0) {
    return std::nullopt;
  }
  if (name != nullptr) area.name = name;
  return area;
}

std::string code_of(const PJ* object) {
  const char* authority = proj_get_id_auth_name(object, 0);
  const char* code = proj_get_id_code(object, 0);
  if (authority == nullptr || code == nullptr) return {};
  return std::string(authority) + ':' + code;
}

std::string name_of(const PJ* object) {
  const char* name = proj_get_name(object);
  return name == nullptr ? std::string() : std::string(name);
}

}  // namespace stillpoint::geodesy
