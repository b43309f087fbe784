#pragma once
/// What people call reference frames, and which frames are the same one by definition.
///
/// Units:   metres.
/// Threads: pure functions over constant tables.
/// Errors:  an unknown name gives nothing; it may still be one that PROJ's data set knows.
/// Source:  codes of the EPSG data set; that the IGS frames and the WGS 84 realizations are aligned to an ITRF is what
///          their EPSG transformations say (all parameters zero).

#include <optional>
#include <string_view>

namespace stillpoint::geodesy {

/// The code of the geographic 3D frame behind a plain name; letter case and blanks do not matter.
std::optional<std::string_view> code_from_name(std::string_view name);

/// A name that says too little ("WGS 84", "NAD83", "ETRS89", "ITRF"): the sentence's end that names what to write.
std::optional<std::string_view> advice_for_vague_name(std::string_view name);

/// A frame that is announced and not yet in use: the sentence's end that says what it is to replace and what to write
/// until then.
std::optional<std::string_view> advice_for_coming_frame(std::string_view name);

/// An IGS frame, which PROJ cannot transform, stands for its ITRF.
struct IgsAlias {
  std::string_view igs_name;
  std::string_view itrf_code;
  std::string_view itrf_name;
};
std::optional<IgsAlias> itrf_of_igs(std::string_view name_or_code);

/// A frame that is an ITRF by definition, and the stated agreement.
struct SameByDefinition {
  std::string_view code;
  std::string_view itrf_code;
  std::string_view itrf_name;
  double accuracy_m;
};
std::optional<SameByDefinition> itrf_by_definition(std::string_view code) noexcept;

/// Why a frame that stands still at one past date cannot be reached from a moving one; to end a refusal with.
std::optional<std::string_view> frozen_because(std::string_view code) noexcept;

/// True for two frames that are tied to the same ITRF by the same published parameters, so that a shift of nothing
/// between them is right.
bool share_their_tie(std::string_view code_a, std::string_view code_b) noexcept;

}  // namespace stillpoint::geodesy
