#include "client/run.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <csignal>
#include <iostream>

#include "client/commands.hpp"
#include "client/sentences.hpp"
#include "client/setup.hpp"
#include "client/wire_names.hpp"

namespace stillpoint::client {
namespace {

void add_watching(CLI::App& app, Command& command) {
  CLI::App* status = app.add_subcommand("status", "Show whether this second counts, and why not");
  status->add_flag("--follow", command.follow, "Keep the screen up to date, with keys, until Q");
  status->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* points = app.add_subcommand("points", "List the points with their errors and reasons for refusing");
  points->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* alerts = app.add_subcommand("alerts", "List the alerts of the day");
  alerts->add_flag("--follow", command.follow, "Then print every new alert until Ctrl-C");
  alerts->add_flag("--seen", command.seen, "Mark them as seen");
  alerts->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* antenna = app.add_subcommand("antenna", "Show the antenna height that is subtracted, or change it");
  antenna->add_option("--height", command.height_m,
                      "New height above the mark, in metres; an open point is kept as held");
  antenna->add_option("--feet", command.feet, "The same height read in feet; must agree within 3 mm");
  antenna->add_option("--reason", command.reason, "Why it changes; stored with the new height");
  antenna->add_flag("--json", command.json, "Print the daemon's own JSON");
}

void add_acting(CLI::App& app, Command& command) {
  CLI::App* begin = app.add_subcommand("begin", "Begin a point: average until it is kept or discarded");
  begin->add_option("NAME", command.name, "The point's name")->required();
  begin->add_option("--code", command.code, "What it is, such as CUL-U");
  begin->add_option("--note", command.note, "Anything worth keeping");
  begin->add_flag("--again", command.again, "A repeat visit: the name is already there");
  begin->add_flag("--new", command.is_new,
                  "The name is new, although it reads like a known one, or the pointbook cannot be read now");
  begin->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* check =
      app.add_subcommand("check", "Begin a stay on a control mark; keep then compares, and fails if it is off");
  check->add_option("MARK", command.name, "The mark's name; see stillpoint marks")->required();
  check->add_flag("--closing", command.closing, "Name it the closing check of the day");
  check
      ->add_option("--turn", command.turn,
                   "One of four stays of a turn test, the pole facing N, E, S or W: finds a bubble that is out, and is "
                   "no check")
      ->type_name("HEADING")
      ->transform(CLI::IsMember({"N", "E", "S", "W"}, CLI::ignore_case));
  check->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* keep = app.add_subcommand("keep", "End the point and store it");
  keep->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* discard = app.add_subcommand("discard", "End the point and store nothing");
  discard->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* resolve = app.add_subcommand("resolve", "Decide about a point that is held");
  resolve->add_option("NAME", command.name, "The point's name")->required();
  auto* accept = resolve->add_flag("--accept", command.accept, "It is good");
  auto* reject = resolve->add_flag("--reject", command.reject, "It is not")->excludes(accept);
  accept->excludes(reject);
  resolve->add_option("--reason", command.reason, "Why; it is stored with the point")->required();
  resolve->add_flag("--sure", command.sure, "Accept it although the wanted error is missed");
  resolve->add_option("--visit", command.visit, "Which visit; the newest when left out")->check(CLI::Range(1, 1000000));
  resolve->add_flag("--json", command.json, "Print the daemon's own JSON");
  resolve->callback([&command] {
    if (!command.accept && !command.reject) throw CLI::ValidationError("resolve", kSay.accept_or_reject());
  });
}

void add_day(CLI::App& app, Command& command) {
  CLI::App* close = app.add_subcommand(
      "close-day",
      "Close the day: wants a passing check with no point kept after it, every held point decided, every point in the "
      "pointbook and the record as recorded. Until then points carry day-not-closed");
  close->add_option("--leave-held", command.leave_held, "Why held points stay undecided; stored with the closing")
      ->type_name("REASON");
  close
      ->add_option("--leave-record", command.leave_record,
                   "Why it is closed although a file of the record has changed; stored with the closing")
      ->type_name("REASON");
  close->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* marks = app.add_subcommand("marks", "List the control marks");
  marks->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* plan = app.add_subcommand("plan", "List the planned points, nearest first: what is still to be done");
  plan->add_flag("--json", command.json, "Print the daemon's own JSON");
}

void add_mending(CLI::App& app, Command& command) {
  CLI::App* amend = app.add_subcommand(
      "amend", "Put right a kept point, as a new version: its name, code or note, or make it void; or the open point");
  amend->add_option("NAME", command.name, "What the point is called now")->required();
  amend->add_option("--visit", command.visit, "Which visit; the newest when left out")->check(CLI::Range(1, 1000000));
  auto* name = amend->add_option("--name", command.new_name, "What it should be called");
  amend->add_option("--code", command.new_code, "What it is, such as CUL-U");
  amend->add_option("--note", command.new_note, "Anything worth keeping");
  amend->add_flag("--void", command.make_void, "It stands on the wrong mark: rejected, and kept with the reason");
  amend->add_option("--reason", command.reason, "Why; it is stored with the point. The open point needs none");
  amend->add_flag("--again", command.again, "It is another visit of a name that is there")->needs(name);
  amend->add_flag("--new", command.is_new, "The name is new, although it reads like a known one")->needs(name);
  amend->add_flag("--json", command.json, "Print the daemon's own JSON");
  CLI::App* pole = app.add_subcommand(
      "pole", "Set another height of the pole; with --since it was wrong before: points since then are held");
  pole->add_option("HEIGHT", command.height_m, "In metres, as the pole shows it")->required();
  pole->add_option("--reason", command.reason, "Why; it is stored")->required();
  pole->add_option("--since", command.since, "Since when it stood so: HH:MM of today, or 2026-06-03T14:05:00Z")
      ->type_name("TIME");
  pole->add_flag("--json", command.json, "Print the daemon's own JSON");
}

void add_bearing(CLI::App& offset, Command& command) {
  auto* bearing =
      offset.add_option("--bearing", command.bearing, "To the new point, in degrees, clockwise")->type_name("DEGREES");
  offset
      .add_option("--bearing-error", command.bearing_error,
                  "1 sigma; 2 when left out (a hand compass; common practice, no source)")
      ->type_name("DEGREES")
      ->needs(bearing);
  auto* north = offset.add_option("--north", command.north, "Which north the bearing is from: true or magnetic")
                    ->check(CLI::IsMember({"true", "magnetic"}));
  bearing->needs(north);
  offset.add_option("--declination", command.declination, "What makes a magnetic bearing a true one; east is positive")
      ->type_name("DEGREES")
      ->needs(north);
}

void add_offset(CLI::App& app, Command& command) {
  CLI::App* offset = app.add_subcommand(
      "offset", "A point nobody can stand on: distance and bearing from a kept point, or distances from two");
  offset->add_option("NAME", command.name, "What the new point is called")->required();
  offset->add_option("--from", command.from, "A kept point; twice for two distances")
      ->required()
      ->type_name("NAME")
      ->allow_extra_args(false);
  offset->add_option("--visit", command.from_visits, "Of each --from; the newest when left out")
      ->check(CLI::Range(1, 1000000))
      ->allow_extra_args(false);
  offset->add_option("--distance", command.distances, "From each --from, horizontal, in metres")
      ->required()
      ->type_name("METRES")
      ->allow_extra_args(false);
  offset
      ->add_option("--distance-error", command.distance_errors,
                   "Of each distance, 1 sigma; 0.02 when left out (a tape; common practice, no source)")
      ->type_name("METRES")
      ->allow_extra_args(false);
  add_bearing(*offset, command);
  offset->add_option("--side", command.side, "Of the way from the first point to the second: left or right")
      ->check(CLI::IsMember({"left", "right"}));
  auto* up = offset->add_option("--up", command.up, "How much higher it is than the point, or than the mean of both")
                 ->type_name("METRES");
  offset->add_option("--up-error", command.up_error, "1 sigma; 0.05 when left out (common practice, no source)")
      ->type_name("METRES")
      ->needs(up);
  offset->add_option("--code", command.code, "What it is, such as CUL-U");
  offset->add_option("--note", command.note, "Anything worth keeping");
  offset->add_flag("--new", command.is_new, "The name is new, although it reads like a known one");
  offset->add_flag("--json", command.json, "Print the daemon's own JSON");
  offset->callback([&command] {
    const auto fits = [&](std::size_t count) { return count == 0 || count == command.from.size(); };
    const bool all = command.distances.size() == command.from.size() && fits(command.from_visits.size()) &&
                     fits(command.distance_errors.size());
    if (!all) throw CLI::ValidationError("offset", kSay.one_of_each());
  });
}

/// What a verb was called before: not in the help, whatever stands behind it.
void add_renamed(CLI::App& app) {
  for (const auto& renamed : kRenamed) {
    CLI::App* verb =
        app.add_subcommand(std::string(renamed.first), "")->group("")->prefix_command()->fallthrough(false);
    verb->set_help_flag();
  }
}

void add_setup(CLI::App& app, SetupAsked& asked) {
  CLI::App* setup = app.add_subcommand("setup", "Make a configuration: asks, listens to the receiver, writes the file");
  setup->add_option("--write", asked.file, "The configuration to write; day.toml when left out")->type_name("FILE");
  setup->add_option("--receiver", asked.receiver, "A device, or HOST:PORT; asked for when left out")->type_name("LINK");
  setup->add_option("--listen", asked.listen_s, "How long to listen; 20 s when left out")->type_name("SECONDS");
}

/// While it waits for an answer a stop signal ends the program, as it does every other that asks.
int ask_and_write(const SetupAsked& asked, const Surroundings& around, std::ostream& out, std::ostream& err) {
  for (const int signal : {SIGINT, SIGTERM, SIGHUP}) std::signal(signal, SIG_DFL);
  return set_up(asked, Machine(), around.answers != nullptr ? *around.answers : std::cin, out, err);
}

/// CLI11's own words in one line, and where to look.
std::string usage_sentence(const CLI::ParseError& error) {
  std::string words = error.what();
  std::replace(words.begin(), words.end(), '\n', ' ');
  while (!words.empty() && (words.back() == ' ' || words.back() == '.')) words.pop_back();
  return kSay.see_help(words);
}

}  // namespace

int run(const std::vector<std::string>& arguments, const Surroundings& around, std::ostream& out, std::ostream& err) {
  Command command;
  CLI::App app{"Stillpoint's client: watch the receiver, begin points, keep them.", "stillpoint"};
  app.set_version_flag("--version", "stillpoint " STILLPOINT_VERSION);
  app.add_option("--control", command.control,
                 "The daemon's socket (else $STILLPOINT_CONTROL, "
                 "$XDG_RUNTIME_DIR/stillpoint/control, /run/stillpoint/control)");
  app.add_flag("--plain", command.plain, "Print changes as lines: for screen readers and pipes");
  app.add_flag("--quiet", command.mute, "Without sound");
  app.footer(
      "Without a command, on a terminal: the live screen. Press ? there for its keys.\n"
      "NO_COLOR is respected; nothing is told by colour or sound alone.");
  app.require_subcommand(0, 1);
  app.fallthrough();
  add_watching(app, command);
  add_acting(app, command);
  add_day(app, command);
  add_mending(app, command);
  add_offset(app, command);
  add_renamed(app);
  SetupAsked setup_asked;
  add_setup(app, setup_asked);
  try {
    // CLI11 takes its words from the back.
    app.parse(std::vector<std::string>(arguments.rbegin(), arguments.rend()));
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error, out, err);
    err << "stillpoint: " << usage_sentence(error) << '\n';
    return kExitUsage;
  }
  const auto chosen = app.get_subcommands();
  command.follow = command.follow || chosen.empty();
  command.verb = chosen.empty() ? "status" : chosen.front()->get_name();
  if (const auto name = newer_name(command.verb); !name.empty()) {
    err << "stillpoint: " << kSay.renamed(command.verb, name) << '\n';
    return kExitUsage;
  }
  if (chosen.empty() && !around.terminal && !command.plain) {
    err << kSay.command_wanted() << "\n";
    return kExitUsage;
  }
  if (command.verb == "setup") return ask_and_write(setup_asked, around, out, err);
  const auto done = carry_out(command, around, out);
  if (done) return kExitDone;
  err << "stillpoint: " << done.error().text << '\n';
  return done.error().exit;
}

}  // namespace stillpoint::client
