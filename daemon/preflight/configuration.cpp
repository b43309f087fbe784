#include "preflight/configuration.hpp"

#include <charconv>
#include <cmath>
#include <iostream>
#include <map>

#include "base/number.hpp"
#include "common/clock.hpp"
#include "common/exit.hpp"
#include "config/limits.hpp"
#include "feeds/serial_port.hpp"
#include "geodesy/antenna.hpp"
#include "geodesy/typed.hpp"
#include "keeping/journaled.hpp"
#include "occupation/geoid.hpp"
#include "pointbook/reader.hpp"
#include "preflight/needs.hpp"
#include "preflight/sentences.hpp"
#include "preflight/service_rules.hpp"

namespace stillpoint::daemon {
namespace {

using config::Gate;
using config::Source;

/// As it stands in the configuration: rounding a limit would tell another one.
std::string plain(double value) {
  char buffer[32];
  const auto [end, error] = std::to_chars(buffer, buffer + sizeof buffer, value, std::chars_format::fixed);
  return error == std::errc() ? std::string(buffer, end) : std::string("?");
}

std::string epoch_text(const std::optional<double>& coordinate_epoch) {
  return coordinate_epoch ? plain(*coordinate_epoch) : std::string("observation");
}

constexpr int kShiftDecimals = 3;

void tell(std::ostream& out, std::string_view line) {
  out << "  " << line << '\n';
}
void tell_more(std::ostream& out, std::string_view line) {
  out << "    " << line << '\n';
}

/// A place that the source serves, when nobody has named one: from the middle of those on a grid of whole degrees.
std::optional<geodesy::Geographic> served_place(const geodesy::Frames& frames, std::size_t source) {
  std::vector<geodesy::Geographic> served;
  for (int latitude_deg = -89; latitude_deg <= 89; ++latitude_deg) {
    for (int longitude_deg = -179; longitude_deg <= 180; ++longitude_deg) {
      const geodesy::Geographic place{static_cast<double>(latitude_deg), static_cast<double>(longitude_deg), 0.0};
      if (!frames.why_not_here(source, place.latitude_deg, place.longitude_deg)) served.push_back(place);
    }
  }
  // From the middle on, the first one that is not in doubt.
  for (std::size_t i = 0; i < served.size(); ++i) {
    const geodesy::Geographic& place = served[(served.size() / 2 + i) % served.size()];
    if (!frames.doubt_here(source, place.latitude_deg, place.longitude_deg)) return place;
  }
  return std::nullopt;
}

/// How far the project's coordinates lie from the source's own, at one place on one day.
void tell_shift(std::ostream& out, const Source& source, const geodesy::Frames& frames, std::size_t index,
                const TrialPlace& trial) {
  const auto place = trial.place ? trial.place : served_place(frames, index);
  if (!place) return tell(out, kSayBefore.shift_unknown());
  const auto shift = frames.shift_at(index, *place, trial.utc);
  if (!shift) return tell(out, kSayBefore.no_shift(shift.error().text));
  tell(out, kSayBefore.shift(with_sign(shift->east_m, kShiftDecimals), with_sign(shift->north_m, kShiftDecimals),
                             with_sign(shift->up_m, kShiftDecimals)));
  tell_more(out, kSayBefore.shift_at(
                     geodesy::place_text(place->latitude_deg, place->longitude_deg),
                     trial.place ? "" : kSayBefore.in_its_area(), to_text(trial.utc).substr(0, 10),
                     source.coordinate_epoch ? kSayBefore.taken_at(plain(*source.coordinate_epoch)) : std::string()));
}

void tell_operation(std::ostream& out, const geodesy::Operation& operation) {
  tell(out, kSayBefore.frames(operation.from, operation.to));
  tell(out, kSayBefore.operation(operation.description, operation.time_dependent ? kSayBefore.by_date() : ""));
  tell(out, operation.accuracy_m ? kSayBefore.accuracy(plain(*operation.accuracy_m)) : kSayBefore.no_accuracy());
  tell(out, kSayBefore.area(operation.area.empty() ? "everywhere" : operation.area));
  for (const std::string& note : operation.notes) tell(out, kSayBefore.note(note));
}

void tell_limit(std::ostream& out, const config::Limit& limit, const std::optional<double>& value) {
  tell(out,
       kSayBefore.limit(limit.key, value ? plain(*value) + std::string(limit.shown_unit) : kSayBefore.not_applied()));
}

std::string_view age_policy(config::AgeMissing policy) {
  if (policy == config::AgeMissing::refuse) return kSayBefore.age_refused.words();
  if (policy == config::AgeMissing::allow) return kSayBefore.age_allowed.words();
  return kSayBefore.age_unknown.words();
}

void tell_gate(std::ostream& out, const Gate& gate) {
  std::vector<std::string_view> qualities;
  for (const Quality quality : gate.quality) qualities.push_back(to_word(quality));
  tell(out, kSayBefore.counts_with(joined(qualities, " ")));
  tell(out, kSayBefore.corrections(plain(gate.fresh_age_s), plain(gate.max_age_s), age_policy(gate.age_missing)));
  for (const config::Limit& limit : config::kLimits) {
    if (config::may_be_absent(limit)) tell_limit(out, limit, config::value_of(gate, limit));
  }
  tell(out, kSayBefore.settles(plain(gate.settle_s), plain(gate.coast_growth_m_per_min)));
}

void tell_scale(std::ostream& out, const Source& source) {
  const auto& evidence = source.error_scale_evidence;
  const std::string scale = plain(source.error_scale);
  if (source.error_scale_verified()) {
    return tell(out, kSayBefore.scale_verified(scale, std::to_string(evidence->visits), evidence->until));
  }
  const std::string why = evidence ? kSayBefore.rests_on(counted(static_cast<std::uint64_t>(evidence->visits), "visit"),
                                                         std::to_string(config::kVisitsToVerify))
                                   : kSayBefore.no_evidence();
  tell(out, kSayBefore.scale_not_verified(scale, why));
  tell(out, kSayBefore.widened(plain(source.unproven_margin)));
}

void tell_source(std::ostream& out, const Source& source, const geodesy::Frames& frames, std::size_t index,
                 const TrialPlace& trial) {
  out << '\n' << kSayBefore.source(source.name, epoch_text(source.coordinate_epoch)) << '\n';
  tell_operation(out, frames.operations()[index]);
  tell_shift(out, source, frames, index, trial);
  tell_gate(out, source.gate);
  tell_scale(out, source);
}

/// The geoid's height, which a receiver's own can be compared with before the day.
void tell_geoid(std::ostream& out, const config::Project& project, const geodesy::Frames& frames,
                const geodesy::Geographic& place, const TrialPlace& trial) {
  if (!project.geoid) return;
  tell(out, kSayBefore.geoid(project.geoid->name, project.geoid->grid));
  const auto here = frames.deliver(place, decimal_year(trial.utc));
  if (!here) return tell_more(out, kSayBefore.no_height(here.error().text));
  tell_more(out, kSayBefore.geoid_height(with_sign(here->geoid_height_m, kShiftDecimals), project.geoid->frame,
                                         with_sign(here->geoid_height_in_itrf_m, kShiftDecimals)));
  tell_more(out, kSayBefore.geoid_stops(plain(occupation::kMostBetweenGeoidsM)));
  if (project.height != config::HeightKind::orthometric) return;
  tell_more(out, kSayBefore.geoid_error(plain(project.geoid->error_m)));
}

/// What is known of the place that was named, or of one that the first source serves.
void tell_place(std::ostream& out, const config::Settings& settings, const geodesy::Frames& frames,
                const TrialPlace& trial) {
  const auto place = trial.place ? trial.place : served_place(frames, 0);
  if (!place) return;
  out << '\n'
      << kSayBefore.at_place(geodesy::place_text(place->latitude_deg, place->longitude_deg),
                             trial.place ? "" : kSayBefore.in_the_area())
      << '\n';
  tell_geoid(out, settings.project, frames, *place, trial);
  for (const std::string& note : frames.notes_at(*place, trial.utc)) tell(out, note);
  const auto& looked_at = settings.project.area_looked_at;
  if (!looked_at.empty()) tell(out, kSayBefore.area_looked_at(joined({looked_at.begin(), looked_at.end()}, " and ")));
}

/// Which height is z in the pointbook, where that is not the ellipsoid's or not what the project delivers.
void tell_heights(std::ostream& out, const config::Settings& settings, const geodesy::Frames& frames) {
  if (settings.project.height != config::HeightKind::orthometric) return;
  const std::string& path = settings.project.pointbook;
  const auto book = pointbook::read_contents(path);
  const std::string note =
      book ? pointbook::height_note(path, book->frame_wkt, frames.project_frame_wkt()) : std::string();
  tell(out, note.empty() ? kSayBefore.z_above_geoid(path) : note);
}

void tell_wanted(std::ostream& out, const config::Settings& settings) {
  const double geoid_m = occupation::geoid_error95_m(settings.project);
  const auto& wanted = settings.occupation.finish_at_error95_m;
  if (!wanted || geoid_m < wanted->vertical_m) return;
  tell(out, kSayBefore.never_so_good(fixed(geoid_m, kShiftDecimals), plain(wanted->vertical_m)));
}

void tell_needs(std::ostream& out, const config::Settings& settings) {
  std::map<std::string, std::vector<std::string>> whys;  // sentences to the reasons they are needed for
  std::vector<std::string> order;
  for (const Need& need : needs_of(settings)) {
    const std::string kinds = joined(need.any_of, " or ");
    if (!whys.contains(kinds)) order.push_back(kinds);
    whys[kinds].push_back(need.why);
  }
  out << '\n' << kSayBefore.needed() << '\n';
  for (const std::string& kinds : order) {
    const auto& reasons = whys[kinds];
    tell(out, kSayBefore.needed_for(kinds, joined({reasons.begin(), reasons.end()}, ", ")));
  }
}

/// Of a file of marks or planned points: how many, which rows are none, and the cautions.
template <class List>
void tell_list(std::ostream& out, const char* title, std::size_t count, const std::string& path, const List& list) {
  if (path.empty()) return;
  out << '\n' << title << '\n';
  tell(out, kSayBefore.listed_in(std::to_string(count), path));
  for (const std::string& error : list.errors) tell(out, kSayBefore.not_usable(error));
  for (const std::string& warning : list.warnings) tell(out, warning);
}

void tell_corrections(std::ostream& out, const config::Corrections& corrections) {
  if (!corrections.is_on()) return;
  out << "\ncorrections\n";
  tell(out, kSayBefore.caster(corrections.host, std::to_string(corrections.port), corrections.mount));
  tell(out, corrections.tls ? kSayBefore.encrypted() : kSayBefore.not_encrypted());
  if (!corrections.tls && !corrections.credentials.empty()) tell(out, kSayBefore.login_in_clear());
  tell(out, corrections.send_position ? kSayBefore.position_leaves() : kSayBefore.position_stays());
  const std::string unit = installed_unit(unit_folders());
  const LetsOut out_of_unit = unit.empty() ? LetsOut::yes : lets_out(unit, corrections.host);
  if (out_of_unit == LetsOut::yes) return;
  const auto& words = out_of_unit == LetsOut::no ? kSayBefore.unit_forbids : kSayBefore.unit_may_forbid;
  tell(out, words(corrections.host, "stillpointd.service"));
}

/// What can prove the frame of corrections that pass through us.
void tell_bases(std::ostream& out, const control::Marks& marks, bool corrections_pass) {
  bool has_base = false;
  for (const control::Mark& mark : marks.marks) {
    if (mark.status != control::MarkStatus::base) continue;
    has_base = true;
    tell(out, kSayBefore.base_known(mark.name));
  }
  if (!has_base && corrections_pass) tell(out, kSayBefore.base_unknown());
}

}  // namespace

std::vector<Error> unserved(const config::Settings& settings, const geodesy::Frames& frames, const TrialPlace& trial) {
  std::vector<Error> out;
  if (!trial.place) return out;
  for (std::size_t i = 0; i < settings.sources.size(); ++i) {
    const auto shift = frames.shift_at(i, *trial.place, trial.utc);
    const auto doubt = frames.doubt_here(i, trial.place->latitude_deg, trial.place->longitude_deg);
    if (!shift || doubt) {
      out.push_back({kSayBefore.of_source(settings.sources[i].name, shift ? *doubt : shift.error().text)});
    }
  }
  return out;
}

void tell_configuration(std::ostream& out, const config::Loaded& loaded, const geodesy::Frames& frames,
                        const TrialPlace& trial, const Lists& lists) {
  const config::Settings& settings = loaded.settings;
  const bool ellipsoid = settings.project.height == config::HeightKind::ellipsoid;
  out << kSayBefore.in_order(settings.path) << "\n\n"
      << kSayBefore.project(settings.project.name, frames.project_frame(),
                            epoch_text(settings.project.coordinate_epoch), ellipsoid ? "ellipsoid" : "orthometric")
      << '\n';
  if (const auto height_m = geodesy::antenna_height_m(settings.antenna)) {
    const bool reduced = settings.antenna.already_reduced_by_receiver;
    out << kSayBefore.antenna(fixed(*height_m, 3), reduced ? kSayBefore.by_receiver() : "") << '\n';
  }
  const config::OccupationRule& rule = settings.occupation;
  out << kSayBefore.enough(std::to_string(rule.min_epochs), plain(rule.min_duration_s), plain(rule.max_duration_s))
      << '\n';
  for (std::size_t i = 0; i < settings.sources.size(); ++i) tell_source(out, settings.sources[i], frames, i, trial);
  tell_place(out, settings, frames, trial);
  tell_heights(out, settings, frames);
  tell_wanted(out, settings);
  tell_needs(out, settings);
  tell_corrections(out, settings.corrections);
  tell_list(out, "marks", lists.marks.marks.size(), settings.checks.marks, lists.marks);
  if (!settings.checks.marks.empty()) {
    tell_bases(out, lists.marks, settings.corrections.is_on() || settings.relay.is_on());
  }
  tell_list(out, "plan", lists.plan.points.size(), settings.project.plan, lists.plan);
  if (!loaded.notes.empty()) out << "\nnotes\n";
  for (const std::string& note : loaded.notes) tell(out, note);
}

void tell_missing(std::ostream& out, const config::Settings& settings) {
  const auto keeps = keeps_in(settings.project.record, utc_now());
  if (keeps.empty()) return;
  const Known known = known_in(settings.project.pointbook);
  auto missing = missing_keeps(keeps, known);
  for (std::string& sentence : unanswered_keeps(keeps, known)) missing.push_back(std::move(sentence));
  if (!missing.empty()) out << "\npointbook\n";
  for (const std::string& sentence : missing) tell(out, sentence);
}

int tell_ports(std::ostream& out) {
  const auto ports = list_serial_ports();
  if (!ports) {
    std::cerr << ports.error().text << '\n';
    return kExitCannotStart;
  }
  if (ports->empty()) out << kSayBefore.no_port() << '\n';
  for (const PortInfo& port : *ports) {
    out << port.name << "  " << port.transport << "  "
        << (port.description.empty() ? kSayBefore.no_description() : port.description) << '\n';
  }
  return kExitClean;
}

}  // namespace stillpoint::daemon
