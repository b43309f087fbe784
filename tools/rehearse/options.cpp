#include "options.hpp"
#include "sentences.hpp"

#include <CLI/CLI.hpp>
#include <filesystem>
#include <iostream>

namespace stillpoint::rehearse {
namespace {

/// A program of ours: beside this one once installed, in its own folder of the build tree, else looked up in PATH.
std::string sibling(const std::string& name, const std::string& in_build) {
  std::error_code failed;
  const auto here = std::filesystem::read_symlink("/proc/self/exe", failed).parent_path();
  for (const auto& candidate : {here / name, here / in_build / name}) {
    std::error_code none;
    if (!failed && std::filesystem::is_regular_file(candidate, none)) return candidate.string();
  }
  return name;
}

std::optional<std::string> fault_of(const Options& o, const std::string& pace) {
  if (o.scenario.empty()) return kSay.no_scenario();
  if (o.with_daemon && !o.control.empty()) return kSay.two_daemons();
  if (!o.pace && o.crew.empty()) return kSay.max_for_crews();
  if (!o.crew.empty() && !o.with_daemon && o.control.empty()) return kSay.crew_without_daemon();
  if (o.pace && (*o.pace < 1 || *o.pace > 60)) return kSay.bad_pace(pace);
  return std::nullopt;
}

}  // namespace

Parsed parse(int argc, char** argv) {
  Parsed out;
  Options& o = out.options;
  std::string pace = "1";
  CLI::App app("Plays a scenario live to a daemon, and says afterwards what was made of it.", "stillpoint-rehearse");
  app.add_option("--scenario", o.scenario, "The scenario (TOML)")->type_name("FILE.toml");
  app.add_option("--pace", pace, "Times real time, 1 to 60; max for scripted crews")->type_name("N");
  app.add_flag("--with-daemon", o.with_daemon, "Start stillpointd in training mode with the scenario's configuration");
  app.add_option("--port", o.port, "Local TCP port to send on; 0 takes a free one")->check(CLI::Range(0, 65535));
  app.add_flag("--pty", o.pty, "Send on a pseudo-terminal instead of TCP, as a serial receiver would");
  app.add_option("--control", o.control, "The socket of a training daemon that runs already")->type_name("PATH");
  app.add_option("--folder", o.folder, "Where the started daemon keeps its pointbook and record")->type_name("DIR");
  app.add_option("--crew", o.crew, "Let a crew of the scenario work: its name, or \"nothing\", or \"distrust\"")
      ->type_name("NAME");
  app.add_option("--json", o.json, "Also write the debrief as JSON; - prints it instead of the text")
      ->type_name("FILE");
  app.add_option("--seed", o.seed, "Another seed than the scenario's")->type_name("N");
  o.daemon_program = sibling("stillpointd", "../../daemon");
  o.client_program = sibling("stillpoint", "../client");
  app.set_version_flag("--version", std::string("stillpoint-rehearse ") + STILLPOINT_VERSION);
  app.footer(
      "Try:  stillpoint-rehearse --scenario replay_logs/clean-day.toml --with-daemon --pace 10\n"
      "It prints the control socket; work with `stillpoint --control PATH ...` in another terminal. Ctrl-C ends the "
      "day\n"
      "early. Everything is invented; training points never mix with real ones. Silence shorter than a few seconds of\n"
      "your own time is not noticed at a high pace.\n"
      "Exit status: 0 passed, 1 not passed, 2 usage or scenario, 3 cannot start.");
  try {
    app.parse(argc, argv);
    if (pace == "max") {
      o.pace.reset();
    } else {
      o.pace = CLI::detail::lexical_cast(pace, *o.pace) ? o.pace : std::optional(0.0);
    }
    if (const auto fault = fault_of(o, pace)) throw CLI::ValidationError(*fault);
  } catch (const CLI::ParseError& error) {
    const bool asked = error.get_exit_code() == 0;
    if (asked) {
      out.exit = app.exit(error);
    } else {
      std::cerr << "stillpoint-rehearse: " << error.what() << "; see --help\n";
      out.exit = kUsage;
    }
  }
  return out;
}

}  // namespace stillpoint::rehearse
