#include "control/scales.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <sstream>
#include <utility>

#include "base/number.hpp"
#include "control/diagnosis.hpp"
#include "control/scale_sentences.hpp"
#include "estimate/average.hpp"
#include "estimate/visits.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"

namespace stillpoint::control {
namespace {

using estimate::PlaceVisit;

std::string why_unfit(const occupation::Point& point) {
  if (!point.at) return std::string(kSayScale.nothing_counted());
  if (point.status == occupation::PointStatus::accepted) return {};
  const std::string status(to_word(point.status));
  return point.reason_texts.empty() ? kSayScale.its_status(status)
                                    : kSayScale.its_status_because(status, point.reason_texts.front());
}

/// Mean, scatter and claim from the counted seconds of a stay. Their sigmas have the scale in them.
std::optional<estimate::Claimed> claimed_in(std::span<const occupation::EpochRecord> epochs,
                                            const geodesy::Geographic& about, double error_scale) {
  const geodesy::LocalFrame plane(about);
  estimate::Average average;
  std::optional<UtcTime> first;
  for (const auto& epoch : epochs) {
    const bool whole = epoch.utc && epoch.latitude_deg && epoch.longitude_deg && epoch.ellipsoid_height_m &&
                       epoch.sigma_east_m && epoch.sigma_north_m && epoch.sigma_up_m;
    if (!epoch.accepted || !whole) continue;
    const auto enu = plane.to_enu({*epoch.latitude_deg, *epoch.longitude_deg, *epoch.ellipsoid_height_m});
    if (!first) first = epoch.utc;
    average.add({enu.east_m, enu.north_m, enu.up_m, *epoch.sigma_east_m * *epoch.sigma_east_m, 0,
                 *epoch.sigma_north_m * *epoch.sigma_north_m, *epoch.sigma_up_m * *epoch.sigma_up_m},
                static_cast<double>(epoch.utc->ms - first->ms) / 1000.0);
  }
  if (average.epochs() == 0) return std::nullopt;
  return estimate::claimed_of(average.result(), error_scale);
}

bool too_close(const ScaleStay& a, const ScaleStay& b) {
  if (!a.from || !a.to || !b.from || !b.to) return true;
  return b.from->ms - a.to->ms < estimate::kIndependentAfter_ms &&
         a.from->ms - b.to->ms < estimate::kIndependentAfter_ms;
}

PlaceVisit visit_to(const ScaleStay& stay, int place) {
  PlaceVisit visit;
  visit.place = place;
  visit.claimed = *stay.claimed;
  visit.error95_plan_m = stay.error95_plan_m;
  visit.against_truth = stay.on_mark;
  if (!stay.on_mark) return visit;
  visit.east_m = stay.off_mark.east_m, visit.north_m = stay.off_mark.north_m, visit.up_m = stay.off_mark.up_m;
  visit.has_height = stay.has_height;
  visit.truth_plan_m2 = 2 * stay.mark_sigma_plan_m * stay.mark_sigma_plan_m;
  visit.truth_up_m2 = stay.mark_sigma_up_m * stay.mark_sigma_up_m;
  return visit;
}

/// Takes the stays of one source in, marks first.
class Gathering {
 public:
  Gathering(const Marks& marks, SourceScale& out) : marks_(marks), out_(out) {}

  void take(std::vector<ScaleStay> stays) {
    std::stable_sort(stays.begin(), stays.end(), [](const ScaleStay& a, const ScaleStay& b) {
      return std::pair{!a.on_mark, a.from.value_or(UtcTime{})} < std::pair{!b.on_mark, b.from.value_or(UtcTime{})};
    });
    std::vector<std::pair<std::pair<int, std::string>, std::vector<ScaleStay>>> places;
    for (ScaleStay& stay : stays) {
      if (!is_fit(stay)) continue;
      if (stay.on_mark) {
        take_check(std::move(stay));
        continue;
      }
      const std::pair key{stay.book, stay.place};
      auto at = std::find_if(places.begin(), places.end(), [&](const auto& place) { return place.first == key; });
      if (at == places.end()) at = places.insert(places.end(), {key, {}});
      at->second.push_back(std::move(stay));
    }
    for (auto& [key, visits] : places)
      if (visits.size() > 1) take_place(key.second, visits);
  }
  const std::vector<PlaceVisit>& visits() const noexcept { return visits_; }

 private:
  bool is_fit(const ScaleStay& stay) {
    const Mark* mark = stay.on_mark ? marks_.find(stay.place) : nullptr;
    const bool spoilt =
        mark != nullptr && (mark->status == MarkStatus::disturbed || mark->status == MarkStatus::superseded);
    if (spoilt) {
      leave_out(stay.title, kSayScale.mark_is(std::string(to_word(mark->status))));
    } else if (!stay.unfit.empty()) {
      leave_out(stay.title, stay.unfit);
    } else if (!stay.claimed) {
      leave_out(stay.title, std::string(kSayScale.no_claim()));
    } else {
      return true;
    }
    return false;
  }

  const ScaleStay* near(const ScaleStay& stay, const std::vector<ScaleStay>& used) const {
    const auto at =
        std::find_if(used.begin(), used.end(), [&](const ScaleStay& other) { return too_close(other, stay); });
    return at == used.end() ? nullptr : &*at;
  }

  void take_check(ScaleStay stay) {
    if (const ScaleStay* other = near(stay, used_)) return leave_out(stay.title, kSayScale.too_close(other->title));
    if (stay.failed) out_.notes.push_back(kSayScale.visit_failed(stay.title));
    const int place = numbers_.try_emplace(stay.place, static_cast<int>(numbers_.size())).first->second;
    use(std::move(stay), place);
  }

  void take_place(const std::string& name, std::vector<ScaleStay>& visits) {
    std::vector<ScaleStay> chosen;
    for (ScaleStay& visit : visits) {
      const ScaleStay* other = near(visit, used_);
      if (other == nullptr) other = near(visit, chosen);
      other == nullptr ? chosen.push_back(std::move(visit)) : leave_out(visit.title, kSayScale.too_close(other->title));
    }
    if (chosen.size() < 2) return leave_out(name, std::string(kSayScale.too_few_apart()));
    const geodesy::LocalFrame plane(chosen.front().at);
    const int place = --unknown_places_;
    for (ScaleStay& visit : chosen) {
      const auto enu = plane.to_enu(visit.at);
      use(std::move(visit), place);
      visits_.back().east_m = enu.east_m, visits_.back().north_m = enu.north_m, visits_.back().up_m = enu.up_m;
    }
  }

  void use(ScaleStay stay, int place) {
    visits_.push_back(visit_to(stay, place));
    out_.until = std::max(out_.until, *stay.to);
    used_.push_back(std::move(stay));
  }

  void leave_out(const std::string& title, const std::string& why) {
    out_.notes.push_back(kSayScale.left_out(title, why));
  }

  const Marks& marks_;
  SourceScale& out_;
  std::vector<ScaleStay> used_;
  std::map<std::string, int> numbers_;  ///< of marks
  int unknown_places_ = 0;              ///< numbered below 0
  std::vector<PlaceVisit> visits_;
};

}  // namespace

ScaleStay stay_of(const CheckShot& shot) {
  ScaleStay out;
  out.source = shot.source;
  out.place = shot.mark;
  out.title = kSayScale.check_on_at(shot.mark, to_text(shot.utc));
  out.on_mark = true;
  out.from = out.to = shot.utc;
  out.at = occupation::place_of(shot.at);
  out.off_mark = {shot.off_east_m, shot.off_north_m, shot.off_up_m.value_or(0)};
  out.has_height = shot.off_up_m.has_value();
  out.mark_sigma_plan_m = shot.mark_sigma_plan_m.value_or(0);
  out.mark_sigma_up_m = shot.mark_sigma_up_m.value_or(0);
  out.failed = !shot.passed;
  if (shot.claim_plan_m2 && shot.claim_up_m2 && shot.scatter_plan_m2 && shot.scatter_up_m2) {
    out.claimed = estimate::Claimed{*shot.claim_plan_m2, *shot.claim_up_m2, *shot.scatter_plan_m2, *shot.scatter_up_m2};
  } else {
    out.unfit = kSayScale.old_shot();
  }
  if (!shot.passed && shot.suspect.empty() && !shot.diagnosis.empty()) out.unfit = kSayScale.perhaps_explained();
  if (!shot.passed && shot.is_explained()) out.unfit = kSayScale.explained();
  return out;
}

ScaleStay stay_of(const occupation::Point& point, std::span<const occupation::EpochRecord> epochs) {
  ScaleStay out;
  out.source = point.source;
  out.place = point.name;
  out.title = kSayScale.visit(point.name, std::to_string(point.visit));
  out.from = point.started_utc;
  out.to = point.finished_utc;
  out.unfit = why_unfit(point);
  if (!point.at) return out;
  out.at = occupation::place_of(*point.at);
  out.error95_plan_m = point.at->error95_horizontal_m;
  out.claimed = point.claimed ? point.claimed : claimed_in(epochs, out.at, point.error_scale.value_or(1));
  return out;
}

ScaleStay on_mark(ScaleStay stay, const Mark& mark, const Result<Residual>& off) {
  stay.on_mark = true;
  if (!stay.unfit.empty()) return stay;
  if (!off) {
    stay.unfit = off.error().text;
    return stay;
  }
  stay.off_mark = {off->east_m, off->north_m, off->up_m.value_or(0)};
  stay.has_height = off->up_m.has_value();
  stay.mark_sigma_plan_m = mark.sigma_horizontal_m;
  stay.mark_sigma_up_m = mark.sigma_vertical_m.value_or(0);
  return stay;
}

std::string_view SourceScale::against() const noexcept {
  if (!result || result->to_marks == result->visits) return "marks";
  return result->to_marks == 0 ? "repeats" : kSayScale.marks_and_repeats.words();
}

std::vector<SourceScale> scales_of(std::span<const config::Source> sources, const Marks& marks,
                                   const std::vector<ScaleStay>& stays) {
  std::vector<SourceScale> out;
  for (const config::Source& source : sources) {
    std::vector<ScaleStay> own;
    for (const ScaleStay& stay : stays)
      if (stay.source == source.name) own.push_back(stay);
    if (own.empty()) continue;
    SourceScale scale{source.name, source.error_scale, {}, {}, {}, {}};
    Gathering gathering(marks, scale);
    gathering.take(std::move(own));
    const auto result = estimate::calibrate(gathering.visits());
    if (result) {
      scale.result = *result;
    } else {
      scale.problem = result.error().text;
    }
    out.push_back(std::move(scale));
  }
  return out;
}

std::vector<std::string> told(const SourceScale& scale) {
  std::vector<std::string> out;
  if (!scale.result) {
    out.push_back(kSayScale.nothing_yet(scale.source, scale.problem));
  } else {
    const estimate::Calibration& c = *scale.result;
    out.push_back(kSayScale.stands(scale.source, estimate::standing(c), fixed(scale.in_use, 2)));
    const int missing = estimate::kFewestToVerify - c.counted;
    if (missing == 1) out.emplace_back(kSayScale.one_more());
    if (missing > 1) out.push_back(kSayScale.more(std::to_string(missing)));
    if (c.without_height > 0) out.push_back(kSayScale.without_height(std::to_string(c.without_height)));
    if (c.with_error95 > 0) {
      const std::string places = counted(static_cast<std::uint64_t>(c.places), "place");
      out.push_back(kSayScale.within_own(std::to_string(c.within95), std::to_string(c.with_error95),
                                         kSayScale.at_places(places)));
    }
    if (c.weak_marks) out.emplace_back(kSayScale.weak_marks());
    if (c.to_marks == 0) out.emplace_back(kSayScale.common());
  }
  out.insert(out.end(), scale.notes.begin(), scale.notes.end());
  if (!scale.is_proof()) return out;
  out.push_back(kSayScale.paste(scale.source));
  std::istringstream lines(toml_lines(*scale.result, scale.until));
  for (std::string line; std::getline(lines, line);) out.push_back("    " + line);
  return out;
}

}  // namespace stillpoint::control
