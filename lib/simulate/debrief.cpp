#include "simulate/debrief.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "simulate/said.hpp"

namespace stillpoint::simulate {
namespace {

constexpr double kThrownAway = 5;  // points lost for a good stay that was not used

struct Off {
  double horizontal_m = 0, up_m = 0;
};

class Judgement {
 public:
  Judgement(const Simulation& simulation, const DayOut& day) : simulation_(simulation), day_(day) {}

  Off off(const Mark& mark, const Stay& stay) const {
    const auto& marks = simulation_.marks();
    const auto index = static_cast<std::size_t>(&mark - simulation_.scenario().marks.data());
    const Axes d = difference_m(*stay.at, marks[index].at, marks[index]);
    return {std::sqrt(d.east * d.east + d.north * d.north), d.up};
  }
  bool right(const Mark& mark, const Stay& stay) const {
    if (!stay.at) return false;
    const Off o = off(mark, stay);
    return o.horizontal_m <= mark.tolerance_m && std::abs(o.up_m) <= mark.tolerance_up_m;
  }
  bool overlaps(const Stay& stay, const Span& when) const {
    const Scenario& s = simulation_.scenario();
    return stay.from < s.utc_at(when.to_s) && stay.to >= s.utc_at(when.from_s);
  }
  std::vector<const Stay*> stays_on(const Mark& mark) const {
    std::vector<const Stay*> out;
    for (const Stay& stay : day_.stays) {
      if (stay.name == mark.name) out.push_back(&stay);
    }
    return out;
  }
  /// The accepted stay with the highest visit number.
  const Stay* standing(const Mark& mark) const {
    const Stay* out = nullptr;
    for (const Stay* stay : stays_on(mark)) {
      if (stay->status == "accepted" && (out == nullptr || stay->visit > out->visit)) out = stay;
    }
    return out;
  }
  bool has_wrong(const Mark& mark) const {
    const auto stays = stays_on(mark);
    return std::any_of(stays.begin(), stays.end(),
                       [&](const Stay* stay) { return stay->status == "accepted" && !right(mark, *stay); });
  }
  bool good(const Mark& mark) const {
    const Stay* stay = standing(mark);
    return stay != nullptr && right(mark, *stay) && !has_wrong(mark);
  }

  bool met(const Hazard& hazard, const Mark& mark) const;
  std::string said(const Hazard& hazard) const;
  std::string did(const Mark& mark) const;
  Item point(const Mark& mark) const;
  Item hazard(const Hazard& hazard) const;
  std::optional<Item> thrown_away(const Stay& stay) const;

 private:
  const Simulation& simulation_;
  const DayOut& day_;
};

bool Judgement::met(const Hazard& hazard, const Mark& mark) const {
  const auto stays = stays_on(mark);
  const UtcTime from = simulation_.scenario().utc_at(hazard.when.from_s);
  const UtcTime to = simulation_.scenario().utc_at(hazard.when.to_s);
  const auto any = [&](auto&& is) { return std::any_of(stays.begin(), stays.end(), is); };
  const auto accepted = [](const Stay* s) { return s->status == "accepted"; };
  switch (hazard.right) {
    case Right::good_point:
      return good(mark);
    case Right::again:
      return good(mark) && (standing(mark)->visit > 1 || any([](const Stay* s) { return s->status == "discarded"; }));
    case Right::not_accepted:
      return any([&](const Stay* s) { return overlaps(*s, hazard.when); }) &&
             !any([&](const Stay* s) { return accepted(s) && overlaps(*s, hazard.when); });
    case Right::mark_measured:
      return any([&](const Stay* s) { return (s->at || s->is_check()) && s->to >= from && s->to < to; });
    case Right::waited:
      return good(mark) && standing(mark)->to >= to;
  }
  return false;
}

/// What of the answer key's words the tool said in the hazard's window or about its mark.
std::string Judgement::said(const Hazard& hazard) const {
  const UtcTime from = simulation_.scenario().utc_at(hazard.when.from_s);
  const UtcTime to = simulation_.scenario().utc_at(hazard.when.to_s);
  std::string out;
  for (const std::string& word : hazard.said) {
    const bool alert = std::any_of(day_.alerts.begin(), day_.alerts.end(), [&](const Told& told) {
      return told.key == word && told.since >= from && told.since < to;
    });
    const bool about = std::any_of(day_.stays.begin(), day_.stays.end(), [&](const Stay& stay) {
      return stay.name == hazard.mark && std::find(stay.words.begin(), stay.words.end(), word) != stay.words.end();
    });
    if (alert || about) out += (out.empty() ? "" : ", ") + word;
  }
  if (hazard.said.empty()) return hazard.right == Right::mark_measured ? "" : kSay.no_tool_sees();
  return out.empty() ? "nothing" : out;
}

std::string Judgement::did(const Mark& mark) const {
  std::string out;
  for (const Stay* stay : stays_on(mark)) {
    out += (out.empty() ? "" : "; ") + std::string("visit ") + std::to_string(stay->visit) + " " + stay->status + ", " +
           clock_text(stay->from) + " to " + clock_text(stay->to);
    if (!stay->at) continue;
    const Off o = off(mark, *stay);
    out += kSay.off_by(fixed(o.horizontal_m, 2), fixed(o.up_m, 2));
    out += ", claiming " + fixed(stay->error95_horizontal_m, 2) + " m (95 %)";
  }
  return out.empty() ? kSay.never_measured() : out;
}

Item Judgement::point(const Mark& mark) const {
  Item out;
  out.id = mark.name;
  out.kind = "point";
  out.what = kSay.to_bring_home(fixed(mark.tolerance_m, 2), fixed(mark.tolerance_up_m, 2));
  out.did = did(mark);
  out.possible = mark.points;
  if (const Stay* stay = standing(mark)) {
    const Off o = off(mark, *stay);
    out.off_m = o.horizontal_m;
    out.off_up_m = o.up_m;
    out.from = stay->from;
    out.to = stay->to;
    out.met = right(mark, *stay) && !has_wrong(mark);
    out.earned = out.met ? mark.points : right(mark, *stay) ? 0 : -mark.points;
  }
  if (out.met) return out;
  const bool wrong = has_wrong(mark);
  out.cost = wrong ? kSay.wrong_point() : kSay.point_missing();
  out.move = wrong ? kSay.reject_it() : kSay.measure_on();
  return out;
}

Item Judgement::hazard(const Hazard& hazard) const {
  const Scenario& s = simulation_.scenario();
  const Mark& mark = *s.find_mark(hazard.mark);
  Item out{hazard.id,
           "hazard",
           s.utc_at(hazard.when.from_s),
           s.utc_at(hazard.when.to_s),
           hazard.what,
           {},
           {},
           {},
           {},
           {},
           {},
           0,
           0,
           false};
  out.said = said(hazard);
  out.did = mark.name + ": " + did(mark);
  out.possible = hazard.points;
  out.met = met(hazard, mark);
  if (const Stay* stay = standing(mark); stay != nullptr && stay->at) {
    const Off o = off(mark, *stay);
    out.off_m = o.horizontal_m;
    out.off_up_m = o.up_m;
  }
  const bool fell = mark.wanted && has_wrong(mark);
  out.earned = out.met ? hazard.points : fell ? -0.5 * hazard.points : 0;
  out.move = hazard.move;
  if (!out.met) out.cost = hazard.cost;
  return out;
}

/// A stay that was not used although it was good and no hazard touched it.
std::optional<Item> Judgement::thrown_away(const Stay& stay) const {
  const Scenario& s = simulation_.scenario();
  const Mark* mark = s.find_mark(stay.name);
  if (mark == nullptr || !mark->wanted || (stay.status != "discarded" && stay.status != "rejected"))
    return std::nullopt;
  for (const Hazard& hazard : s.hazards) {
    if (hazard.mark == mark->name && overlaps(stay, hazard.when)) return std::nullopt;
  }
  if (stay.at && !right(*mark, stay)) return std::nullopt;
  Item out;
  out.id = stay.name;
  out.kind = "thrown-away";
  out.from = stay.from;
  out.to = stay.to;
  out.what = kSay.nothing_wrong();
  out.did = "visit " + std::to_string(stay.visit) + " was " + stay.status;
  out.cost = kSay.seconds_of_work(fixed(seconds_between(stay.from, stay.to), 0));
  out.move = kSay.trust_it();
  out.earned = -kThrownAway;
  return out;
}

}  // namespace

Debrief debrief_of(const Simulation& simulation, const DayOut& day) {
  const Scenario& scenario = simulation.scenario();
  const Judgement judgement(simulation, day);
  Debrief out;
  out.scenario = scenario.name;
  out.pass_at = scenario.pass_at;
  for (const Hazard& hazard : scenario.hazards) out.items.push_back(judgement.hazard(hazard));
  for (const Mark& mark : scenario.marks) {
    if (mark.wanted) out.items.push_back(judgement.point(mark));
  }
  for (const Stay& stay : day.stays) {
    if (auto item = judgement.thrown_away(stay)) out.items.push_back(std::move(*item));
  }
  double earned = 0, possible = 0;
  for (const Item& item : out.items) earned += item.earned, possible += item.possible;
  const double share = possible > 0 ? earned / possible : 1;
  out.score = static_cast<int>(std::lround(100 * std::clamp(share, 0.0, 1.0)));
  return out;
}

}  // namespace stillpoint::simulate
