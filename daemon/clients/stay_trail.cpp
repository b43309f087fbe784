#include "clients/stay_trail.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "estimate/ellipse.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "wire/json_object.hpp"

namespace stillpoint::daemon {
namespace {

constexpr double kMmPerM = 1000;

enum Kind : int { kCounted = 0, kRefused = 1, kSetApart = 2 };

Kind kind_of(const occupation::EpochRecord& epoch) {
  if (epoch.accepted) return kCounted;
  for (const auto apart : {gate::Reason::outlier, gate::Reason::jump, gate::Reason::other_segment}) {
    if (epoch.reasons.test(static_cast<std::size_t>(apart))) return kSetApart;
  }
  return kRefused;
}

bool has_place(const occupation::EpochRecord& epoch) {
  return epoch.latitude_deg && epoch.longitude_deg && epoch.ellipsoid_height_m;
}

geodesy::Geographic place_of(const occupation::EpochRecord& epoch) {
  return {*epoch.latitude_deg, *epoch.longitude_deg, *epoch.ellipsoid_height_m};
}

void add_triple(wire::JsonObject& out, std::string_view key, double a, double b, double c) {
  out.array(key, [&](wire::JsonArray& numbers) {
    for (const double each : {a, b, c}) numbers.number(each, 1);
  });
}

/// Half axes in millimetres, and the longer one's direction from north.
void add_ellipse(wire::JsonObject& out, std::string_view key, const estimate::Ellipse& e) {
  add_triple(out, key, e.long_m * kMmPerM, e.short_m * kMmPerM, std::fmod(90.0 - e.from_east_deg + 360.0, 180.0));
}

/// The ellipse of single seconds, from those that counted; `null` of fewer than three.
void add_single_seconds(wire::JsonObject& out, std::string_view key, const std::vector<geodesy::Enu>& counted) {
  if (counted.size() < 3) return out.null(key);
  const auto n = static_cast<double>(counted.size());
  double east_m = 0, north_m = 0, ee_m2 = 0, en_m2 = 0, nn_m2 = 0;
  for (const auto& at : counted) {
    east_m += at.east_m / n;
    north_m += at.north_m / n;
  }
  for (const auto& at : counted) {
    const double e_m = at.east_m - east_m, n_m = at.north_m - north_m;
    ee_m2 += e_m * e_m / (n - 1);
    en_m2 += e_m * n_m / (n - 1);
    nn_m2 += n_m * n_m / (n - 1);
  }
  add_ellipse(out, key, estimate::ellipse95(ee_m2, en_m2, nn_m2));
}

}  // namespace

/// Fixes the origin of a new stay, so that what a page already has stays right while the mean moves.
void StayTrail::place(const session::FinishedPoint& stay) {
  const bool same =
      open_ && name_ == stay.point.name && visit_ == stay.point.visit && started_ == stay.point.started_utc;
  if (same) return;
  name_ = stay.point.name;
  visit_ = stay.point.visit;
  started_ = stay.point.started_utc;
  seconds_.clear();
  head_.clear();
  latitude_deg_ = stay.point.at->latitude_deg;
  longitude_deg_ = stay.point.at->longitude_deg;
  height_m_ = stay.point.at->ellipsoid_height_m;
}

std::vector<StayTrail::Second> StayTrail::seconds_of(const session::FinishedPoint& stay) const {
  const geodesy::LocalFrame around({latitude_deg_, longitude_deg_, height_m_});
  std::vector<Second> out;
  // Seconds are forgotten in blocks: whenever some at the front go, a page needs all the others anew.
  const std::size_t over = stay.epochs.size() > kMostSeconds ? stay.epochs.size() - kMostSeconds : 0;
  const std::size_t first = (over + kForgetAtOnce - 1) / kForgetAtOnce * kForgetAtOnce;
  out.reserve(stay.epochs.size() - first);
  for (std::size_t i = first; i < stay.epochs.size(); ++i) {
    const auto& epoch = stay.epochs[i];
    if (!has_place(epoch) || !epoch.utc || !started_) continue;
    const geodesy::Enu at = around.to_enu(place_of(epoch));
    const double time_s = static_cast<double>(epoch.utc->ms - started_->ms) / 1000.0;
    out.push_back({time_s, at.east_m * kMmPerM, at.north_m * kMmPerM, at.up_m * kMmPerM, kind_of(epoch)});
  }
  return out;
}

std::string StayTrail::head_of(const session::OpenStay& open) const {
  const session::FinishedPoint& stay = open.stay;
  const geodesy::LocalFrame around({latitude_deg_, longitude_deg_, height_m_});
  std::vector<geodesy::Enu> counted;
  for (const auto& epoch : stay.epochs) {
    if (epoch.accepted && has_place(epoch)) counted.push_back(around.to_enu(place_of(epoch)));
  }
  const auto& point = *stay.point.at;
  const geodesy::Enu mean = around.to_enu(occupation::place_of(point));
  const auto& c = point.covariance_enu_m2;
  std::string text = wire::json_object([&](wire::JsonObject& out) {
    out.text("name", name_);
    out.integer("visit", visit_);
    add_triple(out, "mean_mm", mean.east_m * kMmPerM, mean.north_m * kMmPerM, mean.up_m * kMmPerM);
    add_ellipse(out, "mean_ellipse", estimate::ellipse95(c[0], c[1], c[2]));
    add_single_seconds(out, "single_ellipse", counted);
    if (const auto& off = open.off_mark) {
      add_triple(out, "mark_mm", (mean.east_m - off->east_m) * kMmPerM, (mean.north_m - off->north_m) * kMmPerM,
                 (mean.up_m - off->up_m.value_or(0)) * kMmPerM);
    }
  });
  text.pop_back();  // the closing brace: the seconds follow
  return text;
}

std::string StayTrail::text_from(std::size_t first) const {
  std::string out = head_ + ",\"from\":" + std::to_string(first) + ",\"seconds\":";
  {
    wire::JsonArray seconds(out);
    for (std::size_t i = first; i < seconds_.size(); ++i) {
      seconds.array([&at = seconds_[i]](wire::JsonArray& second) {
        for (const double each : {at.time_s, at.east_mm, at.north_mm, at.up_mm}) second.number(each, 1);
        second.number(at.kind, 0);
      });
    }
  }
  return out + "}";
}

std::string StayTrail::update(const std::optional<session::OpenStay>& open) {
  if (!open || !open->stay.point.at) {
    const bool was = std::exchange(open_, false);
    seconds_.clear();
    return was ? "null" : "";
  }
  place(open->stay);
  open_ = true;
  std::vector<Second> now = seconds_of(open->stay);
  const auto differ = std::mismatch(seconds_.begin(), seconds_.end(), now.begin(), now.end());
  const auto first = static_cast<std::size_t>(differ.second - now.begin());
  const bool same = first == now.size() && now.size() == seconds_.size();
  seconds_ = std::move(now);
  const std::string head = head_of(*open);
  if (same && head == head_) return "";
  head_ = head;
  return text_from(first);
}

std::string StayTrail::whole() const {
  return open_ ? text_from(0) : "null";
}

}  // namespace stillpoint::daemon
