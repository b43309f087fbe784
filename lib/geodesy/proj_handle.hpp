#pragma once
/// Owners for what PROJ hands out, and a context that is quiet, offline and private. Only for this room.
///
/// Units:   degrees for areas.
/// Threads: one context and everything made from it belong to one thread.
/// Errors:  a null owner means that PROJ gave nothing.

#include <proj.h>

#include <memory>
#include <optional>
#include <string>

namespace stillpoint::geodesy {

struct PjDeleter {
  void operator()(PJ* object) const noexcept { proj_destroy(object); }
  void operator()(PJ_CONTEXT* context) const noexcept { proj_context_destroy(context); }
  void operator()(PJ_OBJ_LIST* list) const noexcept { proj_list_destroy(list); }
};
using PjPtr = std::unique_ptr<PJ, PjDeleter>;
using ContextPtr = std::unique_ptr<PJ_CONTEXT, PjDeleter>;
using ListPtr = std::unique_ptr<PJ_OBJ_LIST, PjDeleter>;

/// No network and nothing on stderr, whatever the environment says.
ContextPtr make_context();

/// A box of the EPSG data set; `west_deg` > `east_deg` when it crosses the antimeridian.
struct Area {
  std::string name;
  double west_deg = -180;
  double south_deg = -90;
  double east_deg = 180;
  double north_deg = 90;

  /// The edge belongs to the box. The longitude may be given in any turn.
  bool contains(double latitude_deg, double longitude_deg) const noexcept {
    return latitude_deg >= south_deg && latitude_deg <= north_deg && reaches(longitude_deg);
  }
  bool reaches(double longitude_deg) const noexcept;
  double width_deg() const noexcept;
  /// `14.92 N to 74.71 N, 167.65 E to 63.88 W`
  std::string box_text() const;
  /// Name, shortened, and box.
  std::string text() const;
  /// The same box, wider by a margin on every side.
  Area widened(double margin_deg) const;
};

/// Nothing when the data set states no area.
std::optional<Area> area_of_use(PJ_CONTEXT* context, const PJ* object);

/// `EPSG:6319`, or empty for an object without a code.
std::string code_of(const PJ* object);
std::string name_of(const PJ* object);

}  // namespace stillpoint::geodesy
