/// stillpoint-rehearse: a bad day, before it is a real one.

#include <fstream>
#include <iostream>

#include "options.hpp"
#include "play.hpp"
#include "processes.hpp"
#include "sentences.hpp"
#include "simulate/debrief.hpp"
#include "stop.hpp"
#include "workplace.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::rehearse;

int complain(const std::string& sentence, int status) {
  std::cerr << "stillpoint-rehearse: " << sentence << '\n';
  return status;
}

/// The scenario, or nothing after everything that is wrong with it was said.
std::optional<simulate::Scenario> read_scenario(const Options& options) {
  const auto text = read_text(options.scenario, kSay.the_scenario());
  if (!text) {
    complain(text.error().text, kUsage);
    return std::nullopt;
  }
  auto parsed = simulate::parse_scenario(*text, options.scenario);
  for (const Error& error : parsed.errors) complain(error.text, kUsage);
  if (!parsed.errors.empty()) return std::nullopt;
  if (options.seed) parsed.scenario.seed = *options.seed;
  return std::move(parsed.scenario);
}

void tell_trainee(const simulate::Scenario& scenario, const Options& options, const Outlet& outlet,
                  const std::string& control) {
  std::cerr << kSay.invented(scenario.name) << "\n" << scenario.about << "\n\n" << kSay.the_job() << "\n";
  for (const simulate::Mark& mark : scenario.marks) {
    if (mark.wanted) std::cerr << "  " << kSay.bring_home(mark.name) << "  code " << mark.code << "\n";
    if (mark.known) std::cerr << "  " << kSay.known_mark(mark.name) << "\n";
  }
  std::cerr << "\n" << kSay.the_walk() << "\n";
  for (const simulate::Stand& stand : scenario.stands) {
    std::cerr << "  " << clock_text(scenario.utc_at(stand.when.from_s)) << " to "
              << clock_text(scenario.utc_at(stand.when.to_s)) << "  "
              << kSay.pole_stands(scenario.marks[stand.mark].name) << "\n";
  }
  std::cerr << "\n" << kSay.receiver_sends(outlet.where()) << "\n";
  if (!control.empty()) {
    std::cerr << kSay.other_terminal() << "\n  export STILLPOINT_CONTROL=" << control
              << "\n  stillpoint status --follow\n";
  }
  if (options.crew.empty()) std::cerr << kSay.ctrl_c() << "\n";
}

int write_debrief(const simulate::Debrief& debrief, const Options& options) {
  if (options.json == "-") {
    std::cout << debrief_json(debrief);
  } else {
    std::cout << debrief_text(debrief);
  }
  if (!options.json.empty() && options.json != "-") {
    std::ofstream file(options.json, std::ios::binary);
    file << debrief_json(debrief) << std::flush;
    if (!file) return complain(kSay.cannot_write(options.json), kCannotStart);
  }
  return debrief.passed() ? kPassed : kNotPassed;
}

int rehearse_day(simulate::Simulation& simulation, const Options& options, Outlet& outlet, const simulate::Crew& crew) {
  std::optional<Caster> caster;
  std::optional<Workplace> place;
  std::optional<DaemonProcess> daemon;
  std::string control = options.control;
  if (options.with_daemon) {
    if (simulation.scenario().base) {
      auto opened = Caster::open();
      if (!opened) return complain(opened.error().text, kCannotStart);
      caster.emplace(std::move(*opened));
    }
    auto made = make_workplace(simulation.scenario(), options.folder, outlet, caster ? &*caster : nullptr);
    if (!made) return complain(made.error().text, kCannotStart);
    place = std::move(*made);
    auto started = DaemonProcess::start(options.daemon_program, place->config, place->log);
    if (!started) return complain(started.error().text, kCannotStart);
    daemon.emplace(std::move(*started));
    control = place->control;
  }
  tell_trainee(simulation.scenario(), options, outlet, control);
  std::optional<Observer> observer;
  if (!control.empty()) {
    auto opened = Observer::open(control);
    if (!opened) return complain(opened.error().text, kCannotStart);
    observer.emplace(std::move(*opened));
    if (!observer->is_training()) {
      return complain(kSay.live_daemon(), kCannotStart);
    }
  }
  if (!outlet.wait_for_reader(observer ? 20'000 : 600'000)) {
    if (stop_asked()) return complain(kSay.stopped_early(outlet.where()), kNotPassed);
    return complain(kSay.nobody_reads(outlet.where()), kCannotStart);
  }
  if (caster && !caster->wait_for_reader(20'000)) {
    return complain(kSay.nobody_asks(), stop_asked() ? kNotPassed : kCannotStart);
  }
  if (auto done = play(simulation, {outlet, caster ? &*caster : nullptr}, observer ? &*observer : nullptr, crew,
                       options, control);
      !done) {
    return complain(done.error().text, kCannotStart);
  }
  if (!observer) return complain(kSay.no_debrief(), kPassed);
  const auto day = observer->day();
  if (!day) return complain(day.error().text, kCannotStart);
  if (daemon) daemon->stop();
  if (place) std::cerr << kSay.kept_in(place->folder) << "\n";
  return write_debrief(debrief_of(simulation, *day), options);
}

int run(const Options& options) {
  auto scenario = read_scenario(options);
  if (!scenario) return kUsage;
  auto simulation = simulate::Simulation::open(std::move(*scenario));
  if (!simulation) return complain(simulation.error().text, kUsage);
  const auto crew = crew_of(simulation->scenario(), options.crew);
  if (!crew) return complain(crew.error().text, kUsage);
  auto outlet = options.pty ? Outlet::pseudo_terminal() : Outlet::tcp(options.port);
  if (!outlet) return complain(outlet.error().text, kCannotStart);
  catch_stop_signals();
  return rehearse_day(*simulation, options, *outlet, *crew);
}

}  // namespace

int main(int argc, char** argv) {
  const auto [options, exit] = parse(argc, argv);
  return exit ? *exit : run(options);
}
