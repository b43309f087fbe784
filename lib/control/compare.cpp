#include "control/compare.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "control/sentences.hpp"
#include "geodesy/usual_frames.hpp"
#include "occupation/geoid.hpp"

namespace stillpoint::control {
namespace {

constexpr double kStandardTo95 = 1.959963984540054;
constexpr double kCoverage = 2.0;
// Half a year of plate motion is a centimetre: less than a mark's own error is known to.
constexpr double kEpochToleranceYears = 0.5;

Result<geodesy::Geographic> position_of(geodesy::Transfers& transfers, const Mark& mark, double height_m) {
  if (mark.latitude_deg) return geodesy::Geographic{*mark.latitude_deg, *mark.longitude_deg, height_m};
  return transfers.from_grid(mark.frame, *mark.easting_m, *mark.northing_m, height_m);
}

geodesy::Geographic moved(const geodesy::Geographic& position, const config::SiteVelocity& velocity, double years) {
  const double m = years / 1000.0;
  return geodesy::LocalFrame(position).to_geographic(
      {velocity.east_mm_per_year * m, velocity.north_mm_per_year * m, velocity.up_mm_per_year * m});
}

/// `0.021 m (limit 0.030 m)`
std::string against(double value_m, double limit_m) {
  return fixed(value_m, 3) + " m (limit " + fixed(limit_m, 3) + " m)";
}

/// Why a limit of this axis is not the one in the configuration; empty where it is.
std::string why_smaller(const char* axis, double limit_m, double hard_limit_m) {
  if (!(limit_m < hard_limit_m)) return {};
  return kSay.limit_smaller(axis, fixed(limit_m, 3), fixed(hard_limit_m, 3));
}

std::string metres(double value_m) {
  return with_sign(value_m, 3);
}

}  // namespace

double Residual::horizontal_m() const noexcept {
  return std::hypot(east_m, north_m);
}
double Residual::u_horizontal_m() const noexcept {
  return std::sqrt(covariance_m2[0] + covariance_m2[2]);
}
double Residual::u_vertical_m() const noexcept {
  return std::sqrt(covariance_m2[3]);
}
double Residual::east95_m() const noexcept {
  return kStandardTo95 * std::sqrt(covariance_m2[0]);
}
double Residual::north95_m() const noexcept {
  return kStandardTo95 * std::sqrt(covariance_m2[2]);
}
double Residual::up95_m() const noexcept {
  return kStandardTo95 * std::sqrt(covariance_m2[3]);
}

Result<PlacedMark> place_mark(geodesy::Transfers& transfers, const Mark& mark, const std::string& project_frame,
                              const occupation::Coordinates& shot) {
  const auto own = transfers.base_code(mark.frame);
  if (!own) return fail(mark.name + ": " + own.error().text);
  const auto project = transfers.base_code(project_frame);
  if (!project) return tl::unexpected(project.error());
  const bool has_ellipsoid_height = mark.height_kind == HeightOf::ellipsoid;
  auto position = position_of(transfers, mark, has_ellipsoid_height ? *mark.height_m : shot.ellipsoid_height_m);
  if (!position) return fail(mark.name + ": " + position.error().text);
  const double years = shot.coordinate_epoch - mark.coordinate_epoch;
  // Coordinates in a frame that holds still with the plate are the same at every date.
  double epoch = shot.coordinate_epoch;
  if (mark.velocity) {
    *position = moved(*position, *mark.velocity, years);
  } else if (geodesy::is_global_frame(*own)) {
    epoch = mark.coordinate_epoch;
    if (geodesy::is_global_frame(*project) && std::abs(years) > kEpochToleranceYears) {
      return fail(
          kSay.other_date(mark.name, mark.frame, fixed(mark.coordinate_epoch, 2), fixed(shot.coordinate_epoch, 2)));
    }
  }
  const auto placed = transfers.move(*own, *project, *position, epoch);
  if (!placed) return fail(mark.name + ": " + placed.error().text);
  return PlacedMark{*placed, shot.coordinate_epoch};
}

Result<Residual> residual(geodesy::Transfers& transfers, const Mark& mark, const std::string& project_frame,
                          const occupation::Coordinates& shot) {
  const auto placed = place_mark(transfers, mark, project_frame, shot);
  if (!placed) return tl::unexpected(placed.error());
  const auto off =
      geodesy::LocalFrame(placed->position).to_enu({shot.latitude_deg, shot.longitude_deg, shot.ellipsoid_height_m});
  Residual out;
  out.east_m = off.east_m;
  out.north_m = off.north_m;
  const double u2 = mark.sigma_horizontal_m * mark.sigma_horizontal_m;
  const double v2 = mark.sigma_vertical_m.value_or(0) * mark.sigma_vertical_m.value_or(0);
  const auto& c = shot.covariance_enu_m2;
  out.covariance_m2 = {c[0] + u2, c[1], c[2] + u2, c[3] + v2};
  if (mark.height_kind == HeightOf::ellipsoid) out.up_m = off.up_m;
  if (mark.height_kind == HeightOf::orthometric && shot.orthometric_height_m) {
    out.up_m = *shot.orthometric_height_m - *mark.height_m;
    const double geoid_m = occupation::geoid_part95_m(shot) / kStandardTo95;
    out.covariance_m2[3] += geoid_m * geoid_m;
  }
  return out;
}

std::string_view to_word(Outcome outcome) noexcept {
  constexpr std::array<std::string_view, 3> kWords{"pass", "pass-with-note", "stop"};
  return kWords[static_cast<std::size_t>(outcome)];
}

Verdict judge(const std::string& mark, const Residual& residual, const Allowed& allowed,
              std::vector<std::string> notes) {
  Verdict out;
  out.notes = std::move(notes);
  out.limit_horizontal_m = kCoverage * residual.u_horizontal_m();
  if (residual.up_m) out.limit_vertical_m = kCoverage * residual.u_vertical_m();
  if (allowed.hard_limit_m) {
    out.limit_horizontal_m = std::min(out.limit_horizontal_m, allowed.hard_limit_m->horizontal_m);
    out.limits = why_smaller("horizontal", out.limit_horizontal_m, allowed.hard_limit_m->horizontal_m);
    if (out.limit_vertical_m) {
      out.limit_vertical_m = std::min(*out.limit_vertical_m, allowed.hard_limit_m->vertical_m);
      const std::string vertical = why_smaller("vertical", *out.limit_vertical_m, allowed.hard_limit_m->vertical_m);
      out.limits += (out.limits.empty() || vertical.empty() ? "" : "; ") + vertical;
    }
  } else {
    out.notes.push_back(kSay.no_check_limit());
  }
  const bool horizontal = residual.horizontal_m() <= out.limit_horizontal_m;
  const bool vertical = !residual.up_m || std::abs(*residual.up_m) <= *out.limit_vertical_m;
  out.text = mark + ": east " + metres(residual.east_m) + ", north " + metres(residual.north_m);
  out.text += residual.up_m ? ", up " + metres(*residual.up_m) + " m" : kSay.height_not_compared();
  out.text += "; horizontal " + against(residual.horizontal_m(), out.limit_horizontal_m);
  if (residual.up_m) out.text += ", vertical " + against(std::abs(*residual.up_m), *out.limit_vertical_m);
  out.outcome = out.notes.empty() ? Outcome::pass : Outcome::pass_with_note;
  if (!horizontal || !vertical) out.outcome = Outcome::stop;
  return out;
}

Overlap compare_overlap(const std::string& mark, const SourceShot& older, const SourceShot& newer) {
  Overlap out;
  out.older_source = older.source;
  out.newer_source = newer.source;
  out.step.east_m = newer.residual.east_m - older.residual.east_m;
  out.step.north_m = newer.residual.north_m - older.residual.north_m;
  // A mark without a height still has one under each source.
  const bool by_mark = older.residual.up_m && newer.residual.up_m;
  const double up_m =
      by_mark ? *newer.residual.up_m - *older.residual.up_m : newer.at.ellipsoid_height_m - older.at.ellipsoid_height_m;
  out.step.up_m = up_m;
  for (std::size_t i = 0; i < 4; ++i) {
    out.step.covariance_m2[i] = older.at.covariance_enu_m2[i] + newer.at.covariance_enu_m2[i];
  }
  out.limit_horizontal_m = kCoverage * out.step.u_horizontal_m();
  out.limit_vertical_m = kCoverage * out.step.u_vertical_m();
  out.agrees = out.step.horizontal_m() <= out.limit_horizontal_m && std::abs(up_m) <= out.limit_vertical_m;
  out.text = kSay.overlap(mark, newer.source, older.source, metres(out.step.east_m), metres(out.step.north_m),
                          metres(up_m), against(out.step.horizontal_m(), out.limit_horizontal_m),
                          against(std::abs(up_m), out.limit_vertical_m),
                          out.agrees ? kSay.sources_agree() : kSay.sources_disagree());
  return out;
}

}  // namespace stillpoint::control
