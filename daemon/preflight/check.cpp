#include "preflight/check.hpp"

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
  if (!place) {
    out << "  shift: not known, name a place with --at\n";
    return;
  }
  const auto shift = frames.shift_at(index, *place, trial.utc);
  if (!shift) {
    out << "  shift: none, " << shift.error().text << '\n';
    return;
  }
  out << "  shift: east " << with_sign(shift->east_m, kShiftDecimals) << " m, north "
      << with_sign(shift->north_m, kShiftDecimals) << " m, up " << with_sign(shift->up_m, kShiftDecimals)
      << " m\n    at " << geodesy::place_text(place->latitude_deg, place->longitude_deg)
      << (trial.place ? "" : " (a place in its area)") << " on " << to_text(trial.utc).substr(0, 10);
  if (source.coordinate_epoch) out << ", taken at " << plain(*source.coordinate_epoch);
  out << '\n';
}

void tell_operation(std::ostream& out, const geodesy::Operation& operation) {
  out << "  frame: " << operation.from << " to " << operation.to << '\n';
  out << "  operation: " << operation.description << (operation.time_dependent ? ", depends on the date" : "") << '\n';
  out << "  accuracy: " << (operation.accuracy_m ? plain(*operation.accuracy_m) + " m" : "not stated") << '\n';
  out << "  area: " << (operation.area.empty() ? "everywhere" : operation.area) << '\n';
  for (const std::string& note : operation.notes) out << "  note: " << note << '\n';
}

void tell_limit(std::ostream& out, const config::Limit& limit, const std::optional<double>& value) {
  out << "  " << limit.key << ": " << (value ? plain(*value) : "not applied") << (value ? limit.shown_unit : "")
      << '\n';
}

std::string_view age_policy(config::AgeMissing policy) {
  if (policy == config::AgeMissing::refuse) return "refused";
  if (policy == config::AgeMissing::allow) return "allowed, our own clock then runs";
  return "unknown: the quality is trusted, and the point is flagged correction-age-unknown";
}

void tell_gate(std::ostream& out, const Gate& gate) {
  out << "  counts with quality:";
  for (const Quality quality : gate.quality) out << ' ' << to_word(quality);
  out << "\n  corrections: fresh up to " << plain(gate.fresh_age_s) << " s, counting up to " << plain(gate.max_age_s)
      << " s; an absent age is " << age_policy(gate.age_missing) << '\n';
  for (const config::Limit& limit : config::kLimits) {
    if (config::may_be_absent(limit)) tell_limit(out, limit, config::value_of(gate, limit));
  }
  out << "  settles for " << plain(gate.settle_s) << " s; grows by " << plain(gate.coast_growth_m_per_min)
      << " m a minute while coasting\n";
}

void tell_scale(std::ostream& out, const Source& source) {
  const auto& evidence = source.error_scale_evidence;
  const std::string scale = "  error scale " + plain(source.error_scale);
  if (source.error_scale_verified()) {
    out << scale << ", verified on " << evidence->visits << " visits until " << evidence->until << '\n';
    return;
  }
  out << scale << ", not verified (error-scale-not-verified): "
      << (evidence ? "it rests on " + counted(static_cast<std::uint64_t>(evidence->visits), "visit") + ", " +
                         std::to_string(config::kVisitsToVerify) + " prove it"
                   : "error_scale_evidence is absent")
      << ";\n  no error is reduced by averaging, and each is widened " << plain(source.unproven_margin) << " times\n";
}

void tell_source(std::ostream& out, const Source& source, const geodesy::Frames& frames, std::size_t index,
                 const TrialPlace& trial) {
  out << "\nsource \"" << source.name << "\", coordinate epoch " << epoch_text(source.coordinate_epoch) << '\n';
  tell_operation(out, frames.operations()[index]);
  tell_shift(out, source, frames, index, trial);
  tell_gate(out, source.gate);
  tell_scale(out, source);
}

/// The geoid's height, which a receiver's own can be compared with before the day.
void tell_geoid(std::ostream& out, const config::Project& project, const geodesy::Frames& frames,
                const geodesy::Geographic& place, const TrialPlace& trial) {
  if (!project.geoid) return;
  out << "  geoid \"" << project.geoid->name << "\", grid " << project.geoid->grid << '\n';
  const auto here = frames.deliver(place, decimal_year(trial.utc));
  if (!here) {
    out << "    no height here: " << here.error().text << '\n';
    return;
  }
  out << "    N " << with_sign(here->geoid_height_m, kShiftDecimals) << " m above the ellipsoid of "
      << project.geoid->frame << ", " << with_sign(here->geoid_height_in_itrf_m, kShiftDecimals)
      << " m above that of ITRF2020;\n    a receiver whose own N is over " << plain(occupation::kMostBetweenGeoidsM)
      << " m from that stops the work (geoid-contradicted)\n";
  if (project.height != config::HeightKind::orthometric) return;
  out << "    its own error: " << plain(project.geoid->error_m) << " m (1 sigma), which no stay averages\n";
}

/// What is known of the place that was named, or of one that the first source serves.
void tell_place(std::ostream& out, const config::Settings& settings, const geodesy::Frames& frames,
                const TrialPlace& trial) {
  const auto place = trial.place ? trial.place : served_place(frames, 0);
  if (!place) return;
  out << "\nat " << geodesy::place_text(place->latitude_deg, place->longitude_deg)
      << (trial.place ? "" : " (a place in the area; name yours with --at)") << '\n';
  tell_geoid(out, settings.project, frames, *place, trial);
  for (const std::string& note : frames.notes_at(*place, trial.utc)) out << "  " << note << '\n';
  const auto& looked_at = settings.project.area_looked_at;
  if (!looked_at.empty())
    out << "  area looked at for " << joined({looked_at.begin(), looked_at.end()}, " and ") << '\n';
}

/// Which height is z in the pointbook, where that is not the ellipsoid's or not what the project delivers.
void tell_heights(std::ostream& out, const config::Settings& settings, const geodesy::Frames& frames) {
  if (settings.project.height != config::HeightKind::orthometric) return;
  const std::string& path = settings.project.pointbook;
  const auto book = pointbook::read_contents(path);
  const std::string note =
      book ? pointbook::height_note(path, book->frame_wkt, frames.project_frame_wkt()) : std::string();
  out << "  " << (note.empty() ? "z in " + path + " is the height above the geoid" : note) << '\n';
}

void tell_wanted(std::ostream& out, const config::Settings& settings) {
  const double geoid_m = occupation::geoid_error95_m(settings.project);
  const auto& wanted = settings.occupation.finish_at_error95_m;
  if (!wanted || geoid_m < wanted->vertical_m) return;
  out << "  the geoid alone has an error of " << fixed(geoid_m, kShiftDecimals)
      << " m at 95 %, so the height never reaches the wanted " << plain(wanted->vertical_m) << " m\n";
}

void tell_needs(std::ostream& out, const config::Settings& settings) {
  std::map<std::string, std::vector<std::string>> whys;  // sentences to the reasons they are needed for
  std::vector<std::string> order;
  for (const Need& need : needs_of(settings)) {
    const std::string kinds = joined(need.any_of, " or ");
    if (!whys.contains(kinds)) order.push_back(kinds);
    whys[kinds].push_back(need.why);
  }
  out << "\nsentences this needs\n";
  for (const std::string& kinds : order) {
    out << "  " << kinds << " for ";
    const auto& reasons = whys[kinds];
    for (std::size_t i = 0; i < reasons.size(); ++i) out << (i == 0 ? "" : ", ") << reasons[i];
    out << '\n';
  }
}

void tell_marks(std::ostream& out, const control::Marks& marks, const std::string& path) {
  out << "\nmarks\n  " << marks.marks.size() << " from " << path << '\n';
  for (const std::string& error : marks.errors) out << "  not usable: " << error << '\n';
  for (const std::string& warning : marks.warnings) out << "  " << warning << '\n';
}

}  // namespace

std::vector<Error> unserved(const config::Settings& settings, const geodesy::Frames& frames, const TrialPlace& trial) {
  std::vector<Error> out;
  if (!trial.place) return out;
  for (std::size_t i = 0; i < settings.sources.size(); ++i) {
    const auto shift = frames.shift_at(i, *trial.place, trial.utc);
    const auto doubt = frames.doubt_here(i, trial.place->latitude_deg, trial.place->longitude_deg);
    if (!shift || doubt) {
      out.push_back({"source \"" + settings.sources[i].name + "\": " + (shift ? *doubt : shift.error().text)});
    }
  }
  return out;
}

void tell_check(std::ostream& out, const config::Loaded& loaded, const geodesy::Frames& frames, const TrialPlace& trial,
                const control::Marks& marks) {
  const config::Settings& settings = loaded.settings;
  out << settings.path << " is in order.\n\n";
  out << "project \"" << settings.project.name << "\" in " << frames.project_frame() << ", coordinate epoch "
      << epoch_text(settings.project.coordinate_epoch) << ", "
      << (settings.project.height == config::HeightKind::ellipsoid ? "ellipsoid" : "orthometric") << " heights\n";
  if (const auto height_m = geodesy::antenna_height_m(settings.antenna)) {
    out << "antenna " << fixed(*height_m, 3) << " m above the mark"
        << (settings.antenna.already_reduced_by_receiver ? " (already reduced by the receiver)" : "") << '\n';
  }
  const config::OccupationRule& rule = settings.occupation;
  out << "a stay is enough after " << rule.min_epochs << " epochs and " << plain(rule.min_duration_s)
      << " s, and ends after " << plain(rule.max_duration_s) << " s\n";
  for (std::size_t i = 0; i < settings.sources.size(); ++i) tell_source(out, settings.sources[i], frames, i, trial);
  tell_place(out, settings, frames, trial);
  tell_heights(out, settings, frames);
  tell_wanted(out, settings);
  tell_needs(out, settings);
  if (!settings.checks.marks.empty()) tell_marks(out, marks, settings.checks.marks);
  if (!loaded.notes.empty()) out << "\nnotes\n";
  for (const std::string& note : loaded.notes) out << "  " << note << '\n';
}

void tell_missing(std::ostream& out, const config::Settings& settings) {
  const auto keeps = keeps_in(settings.project.record, utc_now());
  if (keeps.empty()) return;
  const Known known = known_in(settings.project.pointbook);
  auto missing = missing_keeps(keeps, known);
  for (std::string& sentence : unanswered_keeps(keeps, known)) missing.push_back(std::move(sentence));
  if (!missing.empty()) out << "\npointbook\n";
  for (const std::string& sentence : missing) out << "  " << sentence << '\n';
}

int tell_ports(std::ostream& out) {
  const auto ports = list_serial_ports();
  if (!ports) {
    std::cerr << ports.error().text << '\n';
    return kExitCannotStart;
  }
  if (ports->empty()) out << "No serial port is here; plug the receiver in, or pair it and bind its Bluetooth node.\n";
  for (const PortInfo& port : *ports) {
    out << port.name << "  " << port.transport << "  "
        << (port.description.empty() ? "no description" : port.description) << '\n';
  }
  return kExitClean;
}

}  // namespace stillpoint::daemon
