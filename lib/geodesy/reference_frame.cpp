#include "geodesy/reference_frame.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <initializer_list>

#include "geodesy/frame_names.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

std::string text_of(const PJ* crs) {
  return code_of(crs) + ' ' + name_of(crs);
}

// --- from words to a PROJ object ---------------------------------------------------------------------------------

bool is_code(std::string_view text) {
  const std::size_t colon = text.find(':');
  if (colon == std::string_view::npos || colon == 0 || colon + 1 == text.size()) return false;
  return std::ranges::all_of(text, [](char c) {
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == ':' || c == '_' ||
           c == '-' || c == '.' || c == '+';
  });
}

std::string upper_authority(std::string_view code) {
  std::string out(code);
  for (char& c : out) {
    if (c == ':') break;
    if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
  }
  return out;
}

PjPtr create_from_name(PJ_CONTEXT* context, const std::string& name, std::initializer_list<PJ_TYPE> types) {
  const ListPtr found(proj_create_from_name(context, "EPSG", name.c_str(), types.begin(), types.size(), 0, 1, nullptr));
  if (!found || proj_list_get_count(found.get()) == 0) return nullptr;
  return PjPtr(proj_list_get(context, found.get(), 0));
}

Result<PjPtr> create(PJ_CONTEXT* context, std::string_view text) {
  if (text.empty()) return fail(kSay.no_frame_named());
  if (text.find_first_of("[]+=") != std::string_view::npos && !is_code(text)) {
    return fail(kSay.is_definition(text));
  }
  if (const auto advice = advice_for_vague_name(text)) {
    return fail(kSay.which_realization(text, *advice));
  }
  PjPtr crs;
  if (const auto code = code_from_name(text)) {
    crs.reset(proj_create(context, std::string(*code).c_str()));
  } else if (is_code(text)) {
    crs.reset(proj_create(context, upper_authority(text).c_str()));
  } else {
    crs = create_from_name(context, std::string(text), {PJ_TYPE_GEOGRAPHIC_3D_CRS, PJ_TYPE_PROJECTED_CRS});
  }
  if (crs) return crs;
  if (proj_context_get_database_path(context) == nullptr) {
    return fail(kSay.no_database());
  }
  if (const auto coming = advice_for_coming_frame(text)) {
    return fail(kSay.unknown_frame(text, proj_info().version, *coming));
  }
  if (text.find('+') != std::string_view::npos) {
    return fail(kSay.two_frames(text));
  }
  return fail(kSay.unknown_frame(text, proj_info().version, kSay.write_a_code()));
}

// --- what may not serve ------------------------------------------------------------------------------------------

std::string datum_name(PJ_CONTEXT* context, const PJ* crs) {
  const PjPtr datum(proj_crs_get_datum_forced(context, crs));
  return datum ? name_of(datum.get()) : std::string();
}

/// The geographic 3D frame of the same datum, or null. The EPSG data set gives such twins one name.
PjPtr twin_3d(PJ_CONTEXT* context, const PJ* crs) {
  PjPtr twin = create_from_name(context, name_of(crs), {PJ_TYPE_GEOGRAPHIC_3D_CRS});
  if (!twin || code_of(twin.get()).empty() || datum_name(context, twin.get()) != datum_name(context, crs)) {
    return nullptr;
  }
  return twin;
}

bool begins_family(const std::string& name) {
  return name.starts_with("NAD83 / ") || name.starts_with("NAD83(");
}

/// The same projection on a realization of today that points can be delivered in, or null: `NAD83(2011) / Kentucky
/// North (ftUS)` of `NAD83 / Kentucky North (ftUS)`. The data set gives them one name after the frame's.
PjPtr twin_of_today(PJ_CONTEXT* context, const PJ* crs) {
  const std::string name = name_of(crs);
  const std::size_t slash = name.find(" / ");
  if (slash == std::string::npos || !begins_family(name)) return nullptr;
  for (const char* realization : {"NAD83(2011)", "NAD83(PA11)", "NAD83(MA11)", "NAD83(CSRS)v7"}) {
    const std::string wanted = realization + name.substr(slash);
    PjPtr twin = create_from_name(context, wanted, {PJ_TYPE_PROJECTED_CRS});
    if (twin && name_of(twin.get()) == wanted && code_of(twin.get()) != code_of(crs)) return twin;
  }
  return nullptr;
}

/// What may be written instead of the horizontal part of a compound frame, which may itself be none that serves.
std::string instead_of(PJ_CONTEXT* context, const PJ* horizontal) {
  if (proj_get_type(horizontal) == PJ_TYPE_PROJECTED_CRS) {
    const PjPtr base(proj_crs_get_geodetic_crs(context, horizontal));
    const PjPtr ensemble(base ? proj_crs_get_datum_ensemble(context, base.get()) : nullptr);
    if (base && !ensemble && twin_3d(context, base.get())) return text_of(horizontal);
    const PjPtr twin = twin_of_today(context, horizontal);
    if (twin) return text_of(twin.get());
    return kSay.on_one_realization(text_of(horizontal)) + ",";
  }
  const PjPtr twin = twin_3d(context, horizontal);
  return twin ? text_of(twin.get()) : kSay.realization_with_height(text_of(horizontal)) + ",";
}

std::string ensemble_advice(PJ_CONTEXT* context, const PJ* ensemble) {
  const std::string name = name_of(ensemble);
  if (name.find("World Geodetic System 1984") != std::string::npos) return std::string(*advice_for_vague_name("WGS84"));
  if (name.find("European Terrestrial") != std::string::npos) return std::string(*advice_for_vague_name("ETRS89"));
  std::string members;
  for (int i = 0; i < proj_datum_ensemble_get_member_count(context, ensemble); ++i) {
    const PjPtr member(proj_datum_ensemble_get_member(context, ensemble, i));
    if (member) members += (members.empty() ? "" : ", ") + name_of(member.get());
  }
  return kSay.write_member(members);
}

std::optional<std::string> ensemble_fault(PJ_CONTEXT* context, const PJ* crs) {
  const PjPtr geodetic(proj_crs_get_geodetic_crs(context, crs));
  if (!geodetic) return std::nullopt;
  const PjPtr ensemble(proj_crs_get_datum_ensemble(context, geodetic.get()));
  if (!ensemble) return std::nullopt;
  const bool is_projected = proj_get_type(crs) == PJ_TYPE_PROJECTED_CRS;
  return kSay.rests_on_ensemble(text_of(crs), name_of(ensemble.get()),
                                is_projected ? kSay.write_projected() : ensemble_advice(context, ensemble.get()));
}

std::optional<std::string> compound_fault(PJ_CONTEXT* context, const PJ* crs) {
  if (proj_get_type(crs) != PJ_TYPE_COMPOUND_CRS) return std::nullopt;
  const PjPtr horizontal(proj_crs_get_sub_crs(context, crs, 0));
  return kSay.is_compound(text_of(crs), horizontal ? ' ' + instead_of(context, horizontal.get()) : std::string());
}

std::optional<std::string> unknown_datum_fault(PJ_CONTEXT* context, const PJ* crs) {
  const PjPtr geodetic(proj_crs_get_geodetic_crs(context, crs));
  if (!geodetic) return std::nullopt;  // another kind of frame, refused as such
  const std::string datum = datum_name(context, geodetic.get());
  if (!datum.empty() && !datum.starts_with("Unknown") && !datum.starts_with("unknown") &&
      !datum.starts_with("Not specified")) {
    return std::nullopt;
  }
  return kSay.no_datum(text_of(crs));
}

std::optional<std::string> type_fault(PJ_CONTEXT* context, const PJ* crs) {
  const PJ_TYPE type = proj_get_type(crs);
  if (type == PJ_TYPE_GEOGRAPHIC_3D_CRS || type == PJ_TYPE_PROJECTED_CRS) return std::nullopt;
  if (type != PJ_TYPE_GEOGRAPHIC_2D_CRS && type != PJ_TYPE_GEOCENTRIC_CRS) {
    return kSay.not_for_positions(text_of(crs));
  }
  const PjPtr twin = twin_3d(context, crs);
  const auto& what = type == PJ_TYPE_GEOCENTRIC_CRS ? kSay.is_geocentric : kSay.has_no_height;
  return what(text_of(crs), twin ? kSay.write_twin(text_of(twin.get())) : kSay.has_no_twin());
}

bool is_near(double value, double expected, double tolerance) {
  return std::abs(value - expected) <= tolerance;
}

std::optional<std::string> ellipsoid_fault(PJ_CONTEXT* context, const PJ* crs) {
  // Local east-north-up and the averages rest on GRS 80.
  const PjPtr ellipsoid(proj_get_ellipsoid(context, crs));
  double axis_m = 0.0;
  double inverse_flattening = 0.0;
  if (!ellipsoid ||
      !proj_ellipsoid_get_parameters(context, ellipsoid.get(), &axis_m, nullptr, nullptr, &inverse_flattening) ||
      !is_near(axis_m, 6378137.0, 0.01) || !is_near(inverse_flattening, 298.25722, 1e-4)) {
    return kSay.other_ellipsoid(text_of(crs));
  }
  return std::nullopt;
}

/// Degrees and metres, longitude counted from Greenwich.
std::optional<std::string> axes_fault(PJ_CONTEXT* context, const PJ* geographic) {
  const PjPtr system(proj_crs_get_coordinate_system(context, geographic));
  const PjPtr meridian(proj_get_prime_meridian(context, geographic));
  double greenwich = 1.0;
  bool plain = system && meridian &&
               proj_prime_meridian_get_parameters(context, meridian.get(), &greenwich, nullptr, nullptr) &&
               greenwich == 0.0;
  for (int axis = 0; plain && axis < proj_cs_get_axis_count(context, system.get()); ++axis) {
    double factor = 0.0;
    plain = proj_cs_get_axis_info(context, system.get(), axis, nullptr, nullptr, nullptr, &factor, nullptr, nullptr,
                                  nullptr) != 0 &&
            is_near(factor, axis < 2 ? 0.017453292519943295 : 1.0, 1e-12);
  }
  if (plain) return std::nullopt;
  return kSay.other_units(text_of(geographic));
}

// --- putting it together -----------------------------------------------------------------------------------------

Result<PjPtr> base_of(PJ_CONTEXT* context, const PJ* crs, ReferenceFrame& frame) {
  if (proj_get_type(crs) != PJ_TYPE_PROJECTED_CRS) return PjPtr(proj_clone(context, crs));
  frame.base_2d.reset(proj_crs_get_geodetic_crs(context, crs));
  PjPtr twin = frame.base_2d ? twin_3d(context, frame.base_2d.get()) : nullptr;
  if (!twin) {
    const PjPtr today = twin_of_today(context, crs);
    return fail(
        kSay.base_has_no_twin(text_of(crs), frame.base_2d ? text_of(frame.base_2d.get()) : kSay.some_unknown_frame(),
                              today ? kSay.no_more_than_twin(text_of(today.get())) : kSay.projected_with_twin()));
  }
  frame.projected.reset(proj_clone(context, crs));
  return twin;
}

void add_tie(ReferenceFrame& frame) {
  const auto same = itrf_by_definition(frame.base_code);
  frame.tie_code = same ? std::string(same->itrf_code) : frame.base_code;
  frame.tie_name = same ? std::string(same->itrf_name) : frame.base_name;
  frame.tie_accuracy_m = same ? same->accuracy_m : 0.0;
  if (same) {
    frame.notes.push_back(kSay.aligned(frame.base_name, frame.tie_name));
  }
}

Result<ReferenceFrame> describe(PJ_CONTEXT* context, PjPtr crs, std::vector<std::string> notes) {
  for (const auto check : {compound_fault, ensemble_fault, unknown_datum_fault, type_fault}) {
    if (auto fault = check(context, crs.get())) return fail(std::move(*fault));
  }
  ReferenceFrame frame;
  frame.notes = std::move(notes);
  Result<PjPtr> base = base_of(context, crs.get(), frame);
  if (!base) return tl::unexpected(base.error());
  frame.base = std::move(*base);
  for (const auto check : {ellipsoid_fault, axes_fault}) {
    if (auto fault = check(context, frame.base.get())) return fail(std::move(*fault));
  }
  frame.code = code_of(crs.get());
  frame.name = name_of(crs.get());
  frame.base_code = code_of(frame.base.get());
  frame.base_name = name_of(frame.base.get());
  frame.area = area_of_use(context, frame.base.get());
  if (frame.projected) frame.zone = area_of_use(context, crs.get());
  if (proj_is_deprecated(crs.get()) != 0) {
    frame.notes.push_back(kSay.deprecated(frame.text()));
  }
  add_tie(frame);
  return frame;
}

}  // namespace

std::string ReferenceFrame::text() const {
  return projected ? label() + " on " + base_code + ' ' + base_name : label();
}

std::optional<std::string> code_with_height(PJ_CONTEXT* context, const std::string& code) {
  const PjPtr crs(is_code(code) ? proj_create(context, upper_authority(code).c_str()) : nullptr);
  if (!crs) return std::nullopt;
  if (proj_get_type(crs.get()) != PJ_TYPE_GEOGRAPHIC_2D_CRS) return code_of(crs.get());
  const PjPtr twin = twin_3d(context, crs.get());
  if (!twin) return std::nullopt;
  return code_of(twin.get());
}

PjPtr twin_without_height(PJ_CONTEXT* context, const PJ* geographic) {
  return create_from_name(context, name_of(geographic), {PJ_TYPE_GEOGRAPHIC_2D_CRS});
}

Result<ReferenceFrame> resolve_frame(PJ_CONTEXT* context, std::string_view code_or_name) {
  std::vector<std::string> notes;
  std::string text(code_or_name);
  if (const auto alias = itrf_of_igs(is_code(text) ? upper_authority(text) : text)) {
    text = alias->itrf_code;
    notes.push_back(kSay.taken_as(alias->igs_name, alias->itrf_name));
  }
  Result<PjPtr> crs = create(context, text);
  if (!crs) return tl::unexpected(crs.error());
  return describe(context, std::move(*crs), std::move(notes));
}

}  // namespace stillpoint::geodesy
