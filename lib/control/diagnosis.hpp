#pragma once
/// Why a check failed: which mistakes would leave just this residual, how likely each is beside the others, and what to
/// do to make sure. It never offers to shift anything.
///
/// Method:  every suspect predicts a vector (or a family of vectors with a spread). With the residual's covariance each
///          has a likelihood; with the stated prior weights they become shares of one. Pure chance and "something of
///          any other size" take part. A suspect must also fit on its own: its distance from the residual may not
///          exceed the 99.9 % point of chi-square.
/// Evidence beside the residual: checks on other marks under the same set-up (the same vector everywhere points to a
///          shared cause, none to a local one) and the turn test (what turns with the pole).
/// Units:   metres; vectors are shot minus mark, east, north, up.
/// Threads: pure.
/// Errors:  none; "none of these fits" is an answer.
/// Source:  the prior weights and section lengths are the project's own defaults, not a standard.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "control/compare.hpp"
#include "control/frame_vectors.hpp"
#include "control/turn.hpp"

namespace stillpoint::control {

enum class Suspect : std::uint8_t {
  frame_swapped,
  shifted_twice,
  mark_frame,
  epoch,
  antenna_ignored,
  antenna_doubled,
  antenna_section,
  slant_as_vertical,
  phase_offset,
  feet_for_metres,
  geoid_sign,
  height_kind,
  geoid_frame,
  coarse_geoid,
  survey_foot,
  base_offset,
  mark_disturbed,
  bubble
};
inline constexpr std::size_t kSuspectCount = 18;
/// `frame-swapped` …
std::string_view to_word(Suspect suspect) noexcept;

/// What is known about the set-up; what is not known is empty and cannot be suspected.
struct Scene {
  std::vector<FrameVector> frames;
  std::optional<geodesy::Enu> plate_motion_m_per_year;
  config::Antenna antenna;
  double antenna_height_m = 0;                  ///< subtracted
  std::optional<double> mark_height_m;          ///< as written on its sheet
  std::optional<double> geoid_height_m;         ///< of the project's geoid, here
  std::optional<double> receiver_geoid_m;       ///< the separation that the receiver prints
  std::optional<double> frame_shift_up_m;       ///< between the geoid's frame and the source's
  std::optional<double> easting_m, northing_m;  ///< of a projected frame
  double convergence_deg = 0;                   ///< grid north, clockwise from north
  std::optional<Turn> turn;
  double heading_deg = 0;  ///< of the shot, when there was a turn test
};

struct Ranked {
  Suspect suspect = Suspect::frame_swapped;
  double share = 0;           ///< of all likelihood, 0 to 1, under the prior weights
  geodesy::Enu predicted;     ///< the vector it would leave
  double distance_sigma = 0;  ///< how far the residual is from it
  std::string what;           ///< one sentence: the mistake
  std::string confirm;        ///< one sentence: what to do to make sure
};

struct Diagnosis {
  std::vector<Ranked> suspects;        ///< most likely first; those that fit
  bool none_fits = false;              ///< chance, or something else, is likelier than every suspect
  std::vector<std::string> sentences;  ///< for people: what is suspected, how to make sure, what else it may be
  std::string text;                    ///< the same in one
};

/// What `CheckShot::suspect` says of it: the word of the first suspect, or `kNoSuspect`; empty: nothing was diagnosed.
std::string_view suspect_of(const Diagnosis& found) noexcept;

/// `others`: residuals on other marks since the last change of source, antenna or receiver.
Diagnosis diagnose(const Residual& residual, const Scene& scene, const std::vector<Residual>& others);

}  // namespace stillpoint::control
