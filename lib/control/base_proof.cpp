#include "control/base_proof.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "control/compare.hpp"
#include "control/sentences.hpp"
#include "geodesy/usual_frames.hpp"

namespace stillpoint::control {
namespace {

constexpr double kLeastLimitM = 0.05;
constexpr double kTimesUncertainty = 3;
constexpr double kSameEpochYears = 0.01;

double limit_of(const Mark& published) {
  const double horizontal_m = published.sigma_horizontal_m, vertical_m = published.sigma_vertical_m.value_or(0);
  return std::max(kLeastLimitM,
                  kTimesUncertainty * std::sqrt(2 * horizontal_m * horizontal_m + vertical_m * vertical_m));
}

/// The published position in a frame, held against the one sent. Empty: it cannot be brought there honestly.
std::optional<FrameFit> fit(geodesy::Transfers& transfers, const Mark& published, const geodesy::Geographic& sent,
                            const std::string& frame, double epoch) {
  occupation::Coordinates at;
  at.latitude_deg = sent.latitude_deg;
  at.longitude_deg = sent.longitude_deg;
  at.ellipsoid_height_m = sent.ellipsoid_height_m;
  at.coordinate_epoch = epoch;
  const auto placed = place_mark(transfers, published, frame, at);
  if (!placed) return std::nullopt;
  const geodesy::Enu off = geodesy::LocalFrame(placed->position).to_enu(sent);
  return FrameFit{frame, transfers.label(frame).value_or(frame), epoch, geodesy::is_global_frame(frame),
                  std::hypot(off.east_m, off.north_m, off.up_m)};
}

/// Dates at which a frame's coordinates may be meant; of one that holds still with its plate the date says nothing.
std::vector<double> epochs_of(const std::string& frame, const Mark& published, const FrameClaim& configured,
                              double year) {
  std::vector<double> out{year};
  if (!geodesy::is_global_frame(frame)) return out;
  for (const double other : {configured.coordinate_epoch.value_or(year), published.coordinate_epoch}) {
    const bool is_new =
        std::none_of(out.begin(), out.end(), [&](double known) { return std::abs(known - other) < kSameEpochYears; });
    if (is_new) out.push_back(other);
  }
  return out;
}

bool is_claimed(const FrameFit& fit, const std::string& claimed, const FrameClaim& configured, double year) {
  if (fit.frame != claimed) return false;
  return !fit.is_moving ||
         std::abs(fit.coordinate_epoch - configured.coordinate_epoch.value_or(year)) < kSameEpochYears;
}

std::string named(const FrameFit& fit) {
  return fit.is_moving ? kSay.frame_at_epoch(fit.label, fixed(fit.coordinate_epoch, 2)) : fit.label;
}

/// The frame the configuration names where it fits, else the nearest; others that fit are counted.
std::string names_of(const std::vector<FrameFit>& fits, const FrameFit* claimed) {
  const auto own = std::find_if(fits.begin(), fits.end(), [&](const FrameFit& one) {
    return claimed && one.frame == claimed->frame && one.coordinate_epoch == claimed->coordinate_epoch;
  });
  const std::string name = named(own == fits.end() ? fits.front() : *own);
  return fits.size() == 1 ? name : name + kSay.as_near(counted(fits.size() - 1, "other frame"));
}

/// Ends the sentence about what fits: whether it is what the configuration says, and what it is not.
std::string agreement(const FrameProof& proof) {
  if (proof.other.empty()) return std::string(kSay.base_agrees.words());
  return kSay.base_agrees_and_not(fixed(proof.other.front().distance_m, 2), named(proof.other.front()));
}

std::string text_of(const FrameProof& proof, const Mark& published, const FrameFit* claimed) {
  const FrameFit& nearest = proof.fits.empty() ? proof.other.front() : proof.fits.front();
  if (proof.answer == FrameAnswer::none_fits)
    return kSay.base_fits_none(published.name, fixed(nearest.distance_m, 2), named(nearest));
  const std::string fits = kSay.base_fits(published.name, fixed(nearest.distance_m, 3), names_of(proof.fits, claimed));
  if (proof.answer == FrameAnswer::contradicted) {
    return fits + (claimed ? kSay.base_contradicts(named(*claimed), fixed(claimed->distance_m, 2))
                           : std::string(kSay.base_contradicts_at_all.words()));
  }
  return fits + agreement(proof);
}

/// A position in every frame that serves it, held against the one that is taken to be the same.
struct Comparison {
  std::vector<FrameFit> all;
  std::optional<FrameFit> claim;  ///< the configured one
};
Result<Comparison> compare(geodesy::Transfers& transfers, const Mark& published, const geodesy::Geographic& sent,
                           const FrameClaim& configured, double year) {
  const auto claimed = transfers.base_code(configured.frame);
  if (!claimed) return tl::unexpected(claimed.error());
  std::vector<std::string> frames = transfers.serving(sent);
  if (std::find(frames.begin(), frames.end(), *claimed) == frames.end()) frames.push_back(*claimed);
  Comparison out;
  for (const std::string& frame : frames) {
    for (const double epoch : epochs_of(frame, published, configured, year)) {
      const auto one = fit(transfers, published, sent, frame, epoch);
      if (!one) continue;
      if (is_claimed(*one, *claimed, configured, year)) out.claim = one;
      out.all.push_back(*one);
    }
  }
  if (out.all.empty()) return fail(kSay.base_cannot_compare(published.name));
  std::stable_sort(out.all.begin(), out.all.end(),
                   [](const FrameFit& a, const FrameFit& b) { return a.distance_m < b.distance_m; });
  return out;
}

FrameProof sorted_by(double limit_m, const Comparison& compared) {
  FrameProof proof;
  proof.limit_m = limit_m;
  for (const FrameFit& one : compared.all) (one.distance_m <= limit_m ? proof.fits : proof.other).push_back(one);
  return proof;
}

double length(const Residual& off) {
  return std::hypot(off.east_m, off.north_m, off.up_m.value_or(0));
}

}  // namespace

Result<FrameProof> prove_frame(geodesy::Transfers& transfers, const Mark& published, const geodesy::Geographic& sent,
                               const FrameClaim& configured, double year) {
  if (published.height_kind != HeightOf::ellipsoid) return fail(kSay.base_needs_height(published.name));
  const auto compared = compare(transfers, published, sent, configured, year);
  if (!compared) return tl::unexpected(compared.error());
  FrameProof proof = sorted_by(limit_of(published), *compared);
  const auto& claim = compared->claim;
  if (!proof.fits.empty()) {
    const bool agrees = claim && claim->distance_m <= proof.limit_m;
    proof.answer = agrees ? FrameAnswer::proven : FrameAnswer::contradicted;
  }
  proof.text = text_of(proof, published, claim ? &*claim : nullptr);
  return proof;
}

Result<FrameProof> prove_frame(geodesy::Transfers& transfers, const PassedShot& shot, const FrameClaim& configured,
                               double year) {
  const auto claimed = transfers.base_code(configured.frame);
  if (!claimed) return tl::unexpected(claimed.error());
  occupation::Coordinates in_claimed = shot.at;
  in_claimed.coordinate_epoch = configured.coordinate_epoch.value_or(year);
  const auto placed = place_mark(transfers, shot.mark, *claimed, in_claimed);
  if (!placed) return tl::unexpected(placed.error());
  // Where the mark has no ellipsoid height, both sides of the comparison get the shot's.
  Mark mark = shot.mark;
  if (mark.height_kind != HeightOf::ellipsoid) mark.height_m = shot.at.ellipsoid_height_m;
  mark.height_kind = HeightOf::ellipsoid;
  const geodesy::Geographic sent = geodesy::LocalFrame(placed->position)
                                       .to_geographic({shot.off.east_m, shot.off.north_m, shot.off.up_m.value_or(0)});
  const auto compared = compare(transfers, mark, sent, configured, year);
  if (!compared) return tl::unexpected(compared.error());
  // In another frame the shot would have been off by at least its distance less what it was off.
  FrameProof proof = sorted_by(shot.limit_m + length(shot.off), *compared);
  const auto& claim = compared->claim;
  if (!claim || claim->distance_m > proof.limit_m) return fail(kSay.base_cannot_compare(mark.name));
  // What is nowhere told apart from anything proves nothing.
  proof.answer = proof.other.empty() ? FrameAnswer::none_fits : FrameAnswer::proven;
  proof.text = kSay.check_fits(mark.name, fixed(length(shot.off), 3), names_of(proof.fits, &*claim)) + agreement(proof);
  return proof;
}

}  // namespace stillpoint::control
