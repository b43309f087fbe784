#include "setup/mounts.hpp"

#include <algorithm>
#include <cmath>

namespace stillpoint::setup {

std::vector<MountHere> by_distance(const ntrip::SourceTable& table, const std::optional<geodesy::Geographic>& place) {
  constexpr double kMetresPerKm = 1000;
  std::vector<MountHere> out;
  for (const ntrip::Mount& mount : table.mounts) {
    MountHere one{&mount, {}};
    if (place && mount.latitude_deg && mount.longitude_deg) {
      const geodesy::LocalFrame here(*place);
      const geodesy::Enu off = here.to_enu({*mount.latitude_deg, *mount.longitude_deg, place->ellipsoid_height_m});
      one.far_km = std::hypot(off.east_m, off.north_m, off.up_m) / kMetresPerKm;
    }
    out.push_back(one);
  }
  std::stable_sort(out.begin(), out.end(), [](const MountHere& a, const MountHere& b) {
    return a.far_km && (!b.far_km || *a.far_km < *b.far_km);
  });
  return out;
}

}  // namespace stillpoint::setup
