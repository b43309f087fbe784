// Appendix A: how the points were made.

#include <algorithm>
#include <map>
#include <set>

#include "base/number.hpp"
#include "report/html.hpp"
#include "report/page.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

std::string years_text(const Facts& facts) {
  double first = 0, last = 0;
  for (const PointFact& fact : facts.points) {
    if (!fact.newest.point.at) continue;
    const double epoch = fact.newest.point.at->coordinate_epoch;
    first = first == 0 ? epoch : std::min(first, epoch);
    last = std::max(last, epoch);
  }
  if (first == 0) return {};
  if (last - first <= 0.0005) return " " + kSay.one_epoch(fixed(first, 3));
  return " " + kSay.several_epochs(fixed(first, 3), fixed(last, 3));
}

std::string frame_text(const Facts& facts) {
  const std::string code = facts.frame == facts.frame_name ? "" : " (" + facts.frame + ")";
  const std::string heights = facts.geoid.empty() ? kSay.height_is_ellipsoid() : kSay.height_is_above(facts.geoid);
  return facts.frame_name + code + ". " + heights + years_text(facts);
}

/// Which source gave how many points, by which stations.
std::string sources_text(const Facts& facts) {
  struct Use {
    std::size_t points = 0;
    std::set<int> stations;
  };
  std::map<std::string, Use> uses;
  for (const PointFact& fact : facts.points) {
    const occupation::Point& point = fact.newest.point;
    Use& use = uses[point.source.empty() ? kSay.without_source() : point.source];
    ++use.points;
    if (point.station) use.stations.insert(*point.station);
  }
  std::string out;
  for (const auto& [name, use] : uses) {
    std::vector<std::string> stations;
    for (const int station : use.stations) stations.push_back(std::to_string(station));
    const std::string from = stations.empty() ? name : kSay.of_station(name, joined(stations, ", "));
    out += (out.empty() ? "" : " ") + kSay.source_gave(from, counted(use.points, "point"));
  }
  if (facts.configuration) {
    for (const config::Source& source : facts.configuration->sources) {
      if (uses.contains(source.name)) out += " " + kSay.frame_known_from(source.name, source.evidence);
    }
  }
  return out;
}

std::string limit_text(const std::optional<double>& limit, int decimals, const auto& sentence) {
  return limit ? ", " + sentence(fixed(*limit, decimals)) : std::string();
}

std::string gates_text(const Facts& facts) {
  if (!facts.configuration) return {};
  std::string out;
  for (const config::Source& source : facts.configuration->sources) {
    if (!is_used(facts, source)) continue;
    const config::Gate& gate = source.gate;
    std::vector<std::string> qualities;
    for (const Quality quality : gate.quality) qualities.emplace_back(to_word(quality));
    const std::optional<double> satellites =
        gate.min_satellites ? std::optional<double>(*gate.min_satellites) : std::nullopt;
    out +=
        (out.empty() ? "" : " ") +
        kSay.second_counts(source.name, joined(qualities, ", "), fixed(gate.max_age_s, 0), fixed(gate.fresh_age_s, 0)) +
        limit_text(satellites, 0, kSay.least_satellites) + limit_text(gate.max_hdop, 1, kSay.most_hdop) +
        limit_text(gate.max_pdop, 1, kSay.most_pdop) + limit_text(gate.max_speed_mps, 2, kSay.most_speed) + ".";
  }
  return out;
}

std::string enough_text(const Facts& facts) {
  if (!facts.configuration) return {};
  const config::OccupationRule& rule = facts.configuration->occupation;
  std::string out = kSay.enough_after(std::to_string(rule.min_epochs), fixed(rule.min_duration_s, 0));
  if (facts.wanted)
    out += " " + kSay.wanted_errors(facts.measures.small_text(facts.wanted->horizontal_m),
                                    facts.measures.small_text(facts.wanted->vertical_m));
  return out;
}

/// What the error figures rest on: the scales that the points were averaged with, and whether visits prove them.
std::string scales_text(const Facts& facts) {
  std::map<std::pair<std::string, bool>, std::size_t> scales;
  for (const PointFact& fact : facts.points) {
    if (!fact.newest.point.at) continue;
    const auto& scale = fact.newest.point.error_scale;
    ++scales[{scale ? fixed(*scale, 2) : kSay.not_known(), !has_flag(fact, "error-scale-not-verified")}];
  }
  std::string out;
  for (const auto& [scale, points] : scales) {
    const auto& say = scale.second ? kSay.scale_verified : kSay.scale_claimed;
    out += (out.empty() ? "" : " ") + say(scale.first, counted(points, "point"));
  }
  if (!facts.configuration) return out;
  for (const config::Source& source : facts.configuration->sources) {
    if (source.error_scale_evidence)
      out += " " + kSay.scale_evidence(source.name, std::to_string(source.error_scale_evidence->visits),
                                       source.error_scale_evidence->until);
  }
  return out;
}

std::string antenna_text(const Facts& facts) {
  std::string out;
  const Measures& in = facts.measures;
  for (const pointbook::AntennaSetup& setup : facts.antennas) {
    std::vector<std::string> parts;
    for (std::string name; const auto& [key, part_m] : setup.vertical_parts_m) {
      name = key;
      std::replace(name.begin(), name.end(), '_', ' ');
      parts.push_back(name + " " + in.length(part_m));
    }
    if (setup.slant_length_m) parts.push_back("slant " + in.length(*setup.slant_length_m));
    if (setup.already_reduced_by_receiver) parts.emplace_back(kSay.subtracted_by_receiver());
    out +=
        (out.empty() ? "" : " ") + kSay.antenna_from(facts.clock.at(setup.utc), in.length_text(setup.height_m),
                                                     parts.empty() ? kSay.parts_not_recorded() : joined(parts, ", "));
    if (setup.also_measured_ft) out += " " + kSay.second_reading(fixed(*setup.also_measured_ft, 3));
    if (!setup.reason.empty()) out += " " + kSay.because(setup.reason);
  }
  return out.empty() ? kSay.no_antenna_height_recorded() : out;
}

std::string seconds_text(const Facts& facts) {
  const EpochSums& sums = facts.sums;
  std::vector<std::string> reasons;
  for (const RefusalFact& each : sums.refusals) {
    if (each.counted_here > 0)
      reasons.push_back(printed(static_cast<double>(each.counted_here), 0) + " " +
                        reason_words(gate::to_word(each.reason)));
  }
  std::string out = kSay.counted_and_not(printed(static_cast<double>(sums.points_used), 0),
                                         printed(static_cast<double>(sums.points_refused), 0));
  if (!reasons.empty()) out += ": " + joined(reasons, ", ");
  out += ". " + (sums.agree() ? kSay.sums_agree()
                              : kSay.sums_differ_by(printed(static_cast<double>(sums.rows_used), 0),
                                                    printed(static_cast<double>(sums.rows_refused), 0)));
  if (sums.stays_without_rows > 0) out += " " + kSay.without_seconds(counted(sums.stays_without_rows, "stay"));
  return out;
}

/// Each flag with the points that carry it.
std::string flags_text(const Facts& facts) {
  std::map<std::string, std::vector<std::string>> flags;
  for (const PointFact& fact : facts.points) {
    for (const std::string& flag : fact.newest.point.flags) flags[flag].push_back(name_of(fact));
  }
  std::string out;
  for (const auto& [flag, names] : flags) {
    constexpr std::size_t kNamed = 12;
    const bool all = names.size() == facts.points.size();
    const std::string who = all                     ? kSay.all_points()
                            : names.size() > kNamed ? counted(names.size(), "point")
                                                    : joined(names, ", ");
    out += (out.empty() ? "" : " ") + kSay.flag_on(flag, who);
  }
  return out;
}

std::string offset_text(const Facts& facts, const PointFact& fact) {
  const OffsetMeasures& measures = fact.newest.point.measures;
  const auto metres = [&](double value_m) { return facts.measures.length_text(value_m); };
  std::string out = name_of(fact) + ": ";
  for (const MeasuredStay& stay : measures.stays) {
    out += (&stay == &measures.stays.front() ? "" : ", ") +
           kSay.far_from(metres(stay.distance_m), metres(stay.distance_sigma_m),
                         kSay.stay_of(stay.name, std::to_string(stay.visit)));
  }
  if (measures.bearing_deg) {
    out += kSay.at_bearing(fixed(true_bearing_deg(measures), 1), fixed(measures.bearing_sigma_deg, 1));
    if (measures.declination_deg) out += kSay.read_magnetic(with_sign(*measures.declination_deg, 1));
  } else {
    out += kSay.on_side(to_word(measures.side));
  }
  return out +
         (measures.up_m ? kSay.measured_up(metres(*measures.up_m), metres(measures.up_sigma_m))
                        : kSay.no_height_measured()) +
         ".";
}

/// What nobody stood on, and from which stays it comes.
std::string offsets_text(const Facts& facts) {
  std::string out;
  for (const PointFact& fact : facts.points) {
    if (fact.newest.point.measures.empty()) continue;
    out += (out.empty() ? kSay.errors_of_hand() + " " : " ") + offset_text(facts, fact);
  }
  return out;
}

std::string programs_text(const Facts& facts) {
  std::set<std::string> editions;
  for (const PointFact& fact : facts.points)
    editions.insert(
        kSay.rules_and_estimator(std::to_string(fact.newest.point.rules), std::to_string(fact.newest.point.estimator)));
  return kSay.made_by(facts.program_version, to_text(facts.made_at)) + " " +
         joined({editions.begin(), editions.end()}, " ");
}

std::string standards_text(const Facts& facts) {
  const auto& statement = facts.check_sums.statement;
  if (!statement) return kSay.no_statement();
  std::string out = kSay.last_shots();
  for (const std::string& line : control::statement_lines(*statement, {})) {
    out += " " + line;
    if (!out.ends_with('.')) out += '.';
  }
  return out;
}

}  // namespace

std::string provenance(const Facts& facts) {
  return terms({{kSay.term_frame(), frame_text(facts)},
                {kSay.about_corrections(), sources_text(facts)},
                {kSay.term_counts(), gates_text(facts)},
                {kSay.term_enough(), enough_text(facts)},
                {kSay.term_scale(), scales_text(facts)},
                {kSay.term_antenna(), antenna_text(facts)},
                {"Crew", facts.crews.empty() ? kSay.not_recorded() : joined(facts.crews, ", ")},
                {"Seconds", seconds_text(facts)},
                {"Flags", flags_text(facts)},
                {kSay.term_offset(), offsets_text(facts)},
                {kSay.term_standard(), standards_text(facts)},
                {"Programs", programs_text(facts)}},
               "prov");
}

}  // namespace stillpoint::report
