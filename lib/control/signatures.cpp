#include "control/signatures.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "base/number.hpp"
#include "control/sentences.hpp"
#include "geodesy/antenna.hpp"

namespace stillpoint::control {
namespace {

constexpr std::array<double, 4> kSectionsM{0.20, 0.25, 0.30, 0.50};
constexpr double kLongestAdapterM = 0.15;
constexpr double kSurveyFootPart = 2e-6;  // 1200/3937 m against 0.3048 m

/// Takes the signatures of one suspect, shares its weight among them and adds them to the list.
class Sheet {
 public:
  explicit Sheet(std::vector<Signature>& out) : out_(out) {}

  void add(Suspect suspect, double weight, std::vector<Signature> found) {
    for (Signature& one : found) {
      one.suspect = suspect;
      one.weight = weight / static_cast<double>(found.size());
      out_.push_back(std::move(one));
    }
  }

 private:
  std::vector<Signature>& out_;
};

/// A vector in height alone, known to `sigma_m`.
Signature in_height(double up_m, double sigma_m, std::string what, std::string confirm) {
  Signature out;
  out.mean = {0, 0, up_m};
  out.spread = diagonal(1e-8, 1e-8, sigma_m * sigma_m);
  out.shared = true;
  out.what = std::move(what);
  out.confirm = std::move(confirm);
  return out;
}

Signature of_any_size(Matrix3 spread, bool shared, const std::string& what, const std::string& confirm) {
  Signature out;
  out.spread = spread;
  out.shared = shared;
  out.what = what;
  out.confirm = confirm;
  return out;
}

void add_frames(Sheet& sheet, const Scene& scene) {
  constexpr double kSigmaM = 0.015, kPart = 0.01;
  std::vector<Signature> swapped, twice, mark;
  for (const FrameVector& frame : scene.frames) {
    Signature one;
    one.mean = vector_of(frame.vector);
    const double s2 = kSigmaM * kSigmaM + kPart * kPart * squared(one.mean) / 3;
    one.spread = diagonal(s2, s2, s2);
    one.shared = frame.mistake != FrameMistake::mark_frame;
    one.what = frame.what;
    one.confirm = frame.confirm;
    auto& list = frame.mistake == FrameMistake::source_frame    ? swapped
                 : frame.mistake == FrameMistake::shifted_twice ? twice
                                                                : mark;
    list.push_back(std::move(one));
  }
  sheet.add(Suspect::frame_swapped, 0.15, std::move(swapped));
  sheet.add(Suspect::shifted_twice, 0.12, std::move(twice));
  sheet.add(Suspect::mark_frame, 0.03, std::move(mark));
}

void add_epoch(Sheet& sheet, const Scene& scene) {
  if (!scene.plate_motion_m_per_year) return;
  constexpr double kYears = 15.0;
  const Vector3 rate = vector_of(*scene.plate_motion_m_per_year);
  Matrix3 spread = outer(rate, kYears * kYears) + diagonal(1e-5, 1e-5, 1e-4);
  sheet.add(Suspect::epoch, 0.08, {of_any_size(spread, true, kSay.epoch_wrong(), kSay.compare_epochs())});
}

/// The configured height is wrong, or it is right and something on the way takes it in the other unit.
std::vector<Signature> antenna_in_feet(double h) {
  const std::string typed = kSay.feet_as_metres();
  const std::string taken = kSay.metres_as_feet();
  const std::string confirm = kSay.measure_with_metric_tape();
  return {in_height(h * kFootM - h, 0.003, typed, confirm), in_height(h - h / kFootM, 0.003, typed, confirm),
          in_height(h / kFootM - h, 0.003, taken, confirm), in_height(h - h * kFootM, 0.003, taken, confirm)};
}

void add_antenna(Sheet& sheet, const Scene& scene) {
  const double h = scene.antenna_height_m;
  if (h > 0) {
    sheet.add(Suspect::antenna_ignored, 0.08,
              {in_height(h, 0.003, kSay.height_not_subtracted(fixed(h, 3)), kSay.look_at_reduced())});
    sheet.add(Suspect::antenna_doubled, 0.05,
              {in_height(-h, 0.003, kSay.height_subtracted_twice(fixed(h, 3)), kSay.look_at_receiver())});
    std::vector<Signature> feet = antenna_in_feet(h);
    if (scene.mark_height_m) {
      const double z = *scene.mark_height_m;
      const auto sheet_unit = [&](double up_m) {
        auto one = in_height(up_m, 0.003 + 2e-6 * std::abs(z), kSay.mark_height_in_feet(), kSay.read_height_unit());
        one.shared = false;
        return one;
      };
      feet.push_back(sheet_unit(z * kFootM - z));
      feet.push_back(sheet_unit(z / kFootM - z));
    }
    sheet.add(Suspect::feet_for_metres, 0.06, std::move(feet));
  }
}

void add_sections(Sheet& sheet, const Scene& scene) {
  std::vector<double> sections(kSectionsM.begin(), kSectionsM.end());
  std::vector<Signature> phase, pole;
  for (const auto& [name, part_m] : scene.antenna.vertical_parts_m) {
    if (part_m <= 0 || part_m > kLongestAdapterM) continue;
    phase.push_back(in_height(-part_m, 0.002, kSay.part_twice(name, fixed(part_m, 3)), kSay.look_at_phase_centre()));
    phase.push_back(in_height(part_m, 0.002, kSay.part_left_out(name, fixed(part_m, 3)), kSay.add_up_parts()));
  }
  if (const auto& slant = scene.antenna.slant_m; slant && slant->plane_to_phase_centre_m != 0) {
    phase.push_back(in_height(-slant->plane_to_phase_centre_m, 0.002, kSay.plane_twice(), kSay.look_at_phase_centre()));
    phase.push_back(in_height(slant->plane_to_phase_centre_m, 0.002, kSay.plane_left_out(), kSay.look_up_plane()));
  }
  for (const double section_m : sections) {
    for (const double sign : {1.0, -1.0}) {
      pole.push_back(in_height(sign * section_m, 0.003,
                               kSay.one_section(fixed(section_m, 2), sign > 0 ? "higher" : "lower"),
                               kSay.measure_pole()));
    }
  }
  sheet.add(Suspect::phase_offset, 0.06, std::move(phase));
  sheet.add(Suspect::antenna_section, 0.10, std::move(pole));
}

void add_slant(Sheet& sheet, const Scene& scene) {
  const auto& slant = scene.antenna.slant_m;
  if (!slant) return;
  const double h = scene.antenna_height_m;
  const double taken = slant->length_m;
  const double with_plane = slant->length_m + slant->plane_to_phase_centre_m;
  const std::string confirm = kSay.measure_anew();
  sheet.add(Suspect::slant_as_vertical, 0.05,
            {in_height(h - taken, 0.002, kSay.slant_as_vertical(), confirm),
             in_height(h - with_plane, 0.002, kSay.slant_and_plane_as_vertical(), confirm)});
}

void add_geoid(Sheet& sheet, const Scene& scene) {
  if (scene.geoid_height_m) {
    const double n = *scene.geoid_height_m;
    const std::string kind = kSay.other_height_kind();
    const std::string read = kSay.read_height_kind();
    sheet.add(Suspect::height_kind, 0.08, {in_height(n, 0.05, kind, read), in_height(-n, 0.05, kind, read)});
    const std::string sign = kSay.geoid_sign();
    const std::string grid = kSay.compute_one_height();
    sheet.add(Suspect::geoid_sign, 0.04, {in_height(2 * n, 0.05, sign, grid), in_height(-2 * n, 0.05, sign, grid)});
  }
  if (scene.frame_shift_up_m && std::abs(*scene.frame_shift_up_m) > 0.02) {
    const std::string what = kSay.geoid_of_other_frame();
    const std::string confirm = kSay.read_geoid_frame();
    sheet.add(Suspect::geoid_frame, 0.03,
              {in_height(*scene.frame_shift_up_m, 0.015, what, confirm),
               in_height(-*scene.frame_shift_up_m, 0.015, what, confirm)});
  }
  const std::string what = kSay.coarse_geoid();
  const std::string confirm = kSay.compare_separation();
  if (scene.receiver_geoid_m && scene.geoid_height_m) {
    const double up_m = *scene.geoid_height_m - *scene.receiver_geoid_m;
    sheet.add(Suspect::coarse_geoid, 0.06, {in_height(up_m, 0.01, what, confirm)});
  } else {
    sheet.add(Suspect::coarse_geoid, 0.04, {of_any_size(diagonal(1e-8, 1e-8, 0.36), true, what, confirm)});
  }
}

void add_foot(Sheet& sheet, const Scene& scene) {
  if (!scene.easting_m || !scene.northing_m) return;
  constexpr double kRad = std::numbers::pi / 180.0;
  const double c = std::cos(scene.convergence_deg * kRad), d = std::sin(scene.convergence_deg * kRad);
  std::vector<Signature> found;
  for (const double sign : {1.0, -1.0}) {
    const double e = sign * kSurveyFootPart * *scene.easting_m, n = sign * kSurveyFootPart * *scene.northing_m;
    Signature one;
    one.mean = {c * e + d * n, -d * e + c * n, 0};
    const double s2 = 1e-6 + 1e-5 * squared(one.mean);
    one.spread = diagonal(s2, s2, 1e-6);
    one.shared = true;
    one.what = kSay.wrong_foot();
    one.confirm = kSay.read_foot();
    found.push_back(std::move(one));
  }
  sheet.add(Suspect::survey_foot, 0.04, std::move(found));
}

void add_any_size(Sheet& sheet, bool other_marks) {
  std::vector<Signature> base, disturbed;
  for (const double size_m : kSizesM) {
    const double s2 = size_m * size_m;
    base.push_back(of_any_size(diagonal(s2, s2, s2), true, kSay.base_is_off(), kSay.check_base()));
    disturbed.push_back(of_any_size(diagonal(s2, s2, s2), false, kSay.mark_moved(), kSay.look_at_mark()));
  }
  // From one mark alone neither can be told from any other cause.
  if (!other_marks) return;
  sheet.add(Suspect::base_offset, 0.08, std::move(base));
  sheet.add(Suspect::mark_disturbed, 0.08, std::move(disturbed));
}

void add_bubble(Sheet& sheet, const Scene& scene) {
  // 10' to 1 degree on a 2 m pole is 6 to 35 mm.
  constexpr double kLeanM = 0.02;
  const double scale = std::max(scene.antenna_height_m, 0.5) / 2.0;
  const double s2 = kLeanM * kLeanM * scale * scale;
  Signature one = of_any_size(diagonal(s2, s2, 1e-8), false, kSay.bubble_out(),
                              scene.turn ? kSay.adjust_bubble() : kSay.make_turn_test());
  if (scene.turn) {
    const double t2 = scene.turn->sigma_m * scene.turn->sigma_m;
    const double k = s2 / (s2 + t2);
    const auto effect = scene.turn->effect_m(scene.heading_deg);
    one.mean = {k * effect[0], k * effect[1], 0};
    one.spread = diagonal(k * t2, k * t2, 1e-8);
  }
  sheet.add(Suspect::bubble, 0.06, {one});
}

}  // namespace

std::vector<Signature> signatures(const Scene& scene, bool other_marks) {
  std::vector<Signature> out;
  Sheet sheet(out);
  add_frames(sheet, scene);
  add_epoch(sheet, scene);
  add_antenna(sheet, scene);
  add_sections(sheet, scene);
  add_slant(sheet, scene);
  add_geoid(sheet, scene);
  add_foot(sheet, scene);
  add_any_size(sheet, other_marks);
  add_bubble(sheet, scene);
  return out;
}

}  // namespace stillpoint::control
