/// stillpoint-simulate: a receiver's log from a scenario, and the truth beside it.

#include <CLI/CLI.hpp>
#include <cerrno>
#include <fstream>
#include <iostream>
#include <string>
#include <system_error>

#include "base/plain_file.hpp"
#include "refusals.hpp"
#include "simulate/simulation.hpp"
#include "simulate/truth.hpp"

namespace {

using namespace stillpoint;
using simulate_log::kSay;

enum Exit : int { kDone = 0, kUsage = 2, kCannotWrite = 3 };

struct Arguments {
  std::string scenario, out, truth;
  std::optional<std::uint64_t> seed;
  bool plain = false, help_scenario = false;
};

int complain(const std::string& sentence, int status) {
  std::cerr << "stillpoint-simulate: " << sentence << '\n';
  return status;
}

/// The scenario, or the exit status after everything that is wrong with it was said.
std::optional<simulate::Scenario> read(const Arguments& arguments) {
  const auto text = read_named_file(kSay.the_scenario(), arguments.scenario, kMostTableBytes);
  if (!text) {
    complain(kSay.look_at_path(text.error().text), kUsage);
    return std::nullopt;
  }
  auto parsed = simulate::parse_scenario(*text, arguments.scenario);
  for (const Error& error : parsed.errors) complain(error.text, kUsage);
  if (!parsed.errors.empty()) return std::nullopt;
  if (arguments.seed) parsed.scenario.seed = *arguments.seed;
  return std::move(parsed.scenario);
}

/// False when the disk did not take everything.
bool write_log(simulate::Simulation& simulation, const Arguments& arguments, std::ostream& out,
               std::vector<simulate::TrueEpoch>& epochs) {
  simulate::Burst burst;
  std::string text;
  const UtcTime clock = simulation.scenario().start_by_computer();
  while (simulation.next(burst)) {
    if (!arguments.truth.empty()) epochs.push_back(simulation.truth());
    if (arguments.plain) {
      text += burst.bytes;
    } else {
      simulate::append_log(burst, clock, text);
    }
    if (text.size() < 60'000) continue;
    out.write(text.data(), static_cast<std::streamsize>(text.size()));
    text.clear();
  }
  out.write(text.data(), static_cast<std::streamsize>(text.size()));
  out.flush();
  return static_cast<bool>(out);
}

int run(const Arguments& arguments) {
  auto scenario = read(arguments);
  if (!scenario) return kUsage;
  auto simulation = simulate::Simulation::open(std::move(*scenario));
  if (!simulation) return complain(simulation.error().text, kUsage);
  std::vector<simulate::TrueEpoch> epochs;
  std::ofstream file;
  const bool to_stdout = arguments.out == "-";
  if (!to_stdout) file.open(arguments.out, std::ios::binary);
  if (!to_stdout && !file) {
    return complain(kSay.cannot_write(arguments.out, std::generic_category().message(errno)), kCannotWrite);
  }
  if (!write_log(*simulation, arguments, to_stdout ? std::cout : file, epochs)) {
    return complain(kSay.disk_full(arguments.out), kCannotWrite);
  }
  if (arguments.truth.empty()) return kDone;
  std::ofstream truth(arguments.truth, std::ios::binary);
  truth << truth_json(*simulation, epochs) << std::flush;
  return truth ? kDone
               : complain(kSay.cannot_write(arguments.truth, std::generic_category().message(errno)), kCannotWrite);
}

}  // namespace

int main(int argc, char** argv) {
  Arguments arguments;
  CLI::App app("Writes the log a receiver would have sent in a scenario, and what was true meanwhile.",
               "stillpoint-simulate");
  app.add_option("--scenario", arguments.scenario, "The scenario (TOML); --help-scenario explains its keys")
      ->type_name("FILE.toml");
  app.add_option("--out", arguments.out, "The log to write; - is the standard output")->type_name("LOG");
  app.add_option("--truth", arguments.truth, "Also write what was true (JSON)")->type_name("FILE.json");
  app.add_option("--seed", arguments.seed, "Another seed than the scenario's")->type_name("N");
  app.add_flag("--plain", arguments.plain,
               "The receiver's bytes alone, without TAG blocks that tell when they arrived");
  app.add_flag("--help-scenario", arguments.help_scenario, "Every table and key of a scenario");
  app.set_version_flag("--version", std::string("stillpoint-simulate ") + STILLPOINT_VERSION);
  app.footer(
      "The same scenario and seed give the same bytes. Everything in it is invented; never mix it with real work.\n"
      "Exit status: 0 done, 2 usage or scenario, 3 cannot write.");
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    return complain(std::string(error.what()) + "; see --help", kUsage);
  }
  if (arguments.help_scenario) {
    std::cout << simulate::scenario_help();
    return kDone;
  }
  if (arguments.scenario.empty() || arguments.out.empty()) {
    return complain(kSay.options_missing(), kUsage);
  }
  return run(arguments);
}
