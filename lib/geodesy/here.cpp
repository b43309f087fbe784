#include "geodesy/here.hpp"

#include <utility>

#include "geodesy/areas.hpp"
#include "geodesy/operation_choice.hpp"
#include "geodesy/proj_handle.hpp"
#include "geodesy/reference_frame.hpp"
#include "geodesy/sentences.hpp"
#include "geodesy/usual_frames.hpp"

namespace stillpoint::geodesy {
namespace {

FrameHere describe(PJ_CONTEXT* context, const ReferenceFrame& itrf, const ReferenceFrame& frame,
                   const Geographic& place, double year) {
  FrameHere here;
  here.code = frame.code;
  here.name = frame.name;
  if (const auto doubt = doubt_about(frame, place.latitude_deg, place.longitude_deg)) {
    here.doubt = doubt_text(frame, *doubt);
  }
  const Result<Operation3d> way = choose_operation(context, itrf, frame, std::nullopt);
  if (!way) {
    here.why_not = way.error().text;
    return here;
  }
  here.description = way->description();
  here.accuracy_m = way->accuracy_m();
  if (!way->area().contains(place.latitude_deg, place.longitude_deg)) {
    here.why_not = kSay.not_reached(way->description(), way->area().text());
    return here;
  }
  const std::optional<Geographic> moved = way->apply(place, year);
  if (moved) here.shift = LocalFrame(place).to_enu(*moved);
  if (!moved) here.why_not = kSay.could_not_carry_out(way->description());
  return here;
}

}  // namespace

Result<std::vector<FrameHere>> frames_here(const Geographic& place, UtcTime utc) {
  const double year = decimal_year(utc);
  if (!is_usable_year(year)) return fail(kSay.day_wrong(to_text(utc)));
  const ContextPtr context = make_context();
  if (!context) return fail(kSay.proj_cannot_start());
  const Result<ReferenceFrame> itrf = resolve_frame(context.get(), "EPSG:9989");
  if (!itrf) return tl::unexpected(itrf.error());
  std::vector<FrameHere> out;
  for (const UsualFrame& usual : usual_frames()) {
    const Result<ReferenceFrame> frame = resolve_frame(context.get(), usual.code);
    if (!frame || !frame->area || !frame->area->contains(place.latitude_deg, place.longitude_deg)) continue;
    out.push_back(describe(context.get(), *itrf, *frame, place, year));
    out.back().global = usual.global;
  }
  return out;
}

}  // namespace stillpoint::geodesy
