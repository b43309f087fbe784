#pragma once
/// One reference frame as the configuration names it, checked to be one that points can honestly be delivered in.
///
/// Units:   degrees, metres.
/// Threads: belongs to the thread of its PROJ context.
/// Errors:  one sentence that names the frame, why it cannot serve and what to write instead.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "geodesy/proj_handle.hpp"

namespace stillpoint::geodesy {

struct ReferenceFrame {
  std::string code;  ///< of the frame as it is labelled: geographic 3D or projected
  std::string name;
  std::string base_code;  ///< of the geographic 3D frame; equal to `code` unless projected
  std::string base_name;
  PjPtr base;       ///< geographic 3D
  PjPtr projected;  ///< null unless projected
  PjPtr base_2d;    ///< the projected frame's own base, null unless projected
  /// The frame whose transformations serve this one: the ITRF it is equal to by definition, else itself.
  std::string tie_code;
  std::string tie_name;
  double tie_accuracy_m = 0;
  std::vector<std::string> notes;
  std::optional<Area> area;  ///< of the geographic 3D frame
  std::optional<Area> zone;  ///< of the projected frame

  std::string label() const { return code + ' ' + name; }  ///< `EPSG:6319 NAD83(2011)`
  std::string text() const;                                ///< with the base of a projected frame
};

/// Of a geographic 2D frame, which maps are drawn in, the code of its 3D twin; of every other frame its own. Nothing
/// for what PROJ does not know, or a 2D frame without a twin.
std::optional<std::string> code_with_height(PJ_CONTEXT* context, const std::string& code);

/// The form without height of a geographic 3D frame, which a compound one is made of; the data set gives both one name.
PjPtr twin_without_height(PJ_CONTEXT* context, const PJ* geographic);

/// By authority code (`EPSG:6319`) or plain name (`NAD83(2011)`).
Result<ReferenceFrame> resolve_frame(PJ_CONTEXT* context, std::string_view code_or_name);

}  // namespace stillpoint::geodesy
