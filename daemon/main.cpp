/// stillpointd: reads the receiver's stream, judges every second, and stores defended points.

#include <spdlog/sinks/stdout_sinks.h>
#include <spdlog/spdlog.h>

#include <CLI/CLI.hpp>
#include <iostream>
#include <string>

#include "check.hpp"
#include "config/load.hpp"
#include "daemon.hpp"

namespace {

using namespace stillpoint;
namespace sp = stillpoint::daemon;

struct Arguments {
  std::string config;
  bool check = false, print_defaults = false, list_ports = false, verbose = false, training = false;
  double check_feed_s = 0;
};

// The log goes to stderr, in UTC; stdout is for the ready line and for what was asked for.
void set_up_log(bool verbose) {
  spdlog::set_default_logger(spdlog::stderr_logger_mt("stillpointd"));
  spdlog::set_pattern("%Y-%m-%dT%H:%M:%S.%eZ %l: %v", spdlog::pattern_time_type::utc);
  spdlog::set_level(verbose ? spdlog::level::debug : spdlog::level::info);
}

int complain(const std::vector<Error>& errors) {
  for (const Error& error : errors) std::cerr << error.text << '\n';
  return sp::kExitConfiguration;
}

int run(const Arguments& arguments) {
  if (arguments.print_defaults) {
    std::cout << config::defaults_text();
    return sp::kExitClean;
  }
  if (arguments.list_ports) return sp::tell_ports(std::cout);
  if (arguments.config.empty()) {
    return complain({Error{"stillpointd needs --config FILE; stillpointd --print-defaults shows how one looks."}});
  }
  const config::Loaded loaded = config::load(arguments.config);
  if (!loaded.errors.empty()) return complain(loaded.errors);
  if (loaded.settings.feeds.empty()) {
    return complain({Error{arguments.config + ": there is no [[feed]]; say where the receiver's bytes come from."}});
  }
  if (arguments.check_feed_s > 0) return sp::check_feed(std::cout, loaded.settings, arguments.check_feed_s);
  auto frames = geodesy::Frames::open(loaded.settings);
  if (!frames) return complain({frames.error()});
  if (arguments.check) {
    sp::tell_check(std::cout, loaded, *frames);
    return sp::kExitClean;
  }
  for (const std::string& note : loaded.notes) spdlog::info("{}", note);
  return sp::run_daemon(loaded.settings, std::move(*frames), STILLPOINT_VERSION,
                        arguments.training ? sp::Purpose::training : sp::Purpose::live);
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Reads the receiver's stream, judges every second and stores defended points.", "stillpointd");
  Arguments arguments;
  app.add_option("--config", arguments.config, "The configuration (TOML)")->type_name("FILE");
  app.add_flag("--check", arguments.check, "Validate the configuration; tell operations, limits and sentences needed");
  app.add_option("--check-feed", arguments.check_feed_s, "Listen for so long and tell what is missing")
      ->type_name("SECONDS")
      ->check(CLI::Range(0.1, 86400.0));
  app.add_flag("--print-defaults", arguments.print_defaults, "Every key with its default, as TOML");
  app.add_flag("--list-ports", arguments.list_ports, "The serial ports of this machine; opens none");
  app.add_flag("--training", arguments.training,
               "A rehearsal: every point is marked as training, and the pointbook holds nothing else");
  app.add_flag("--verbose", arguments.verbose, "Say more in the log");
  app.set_version_flag("--version", std::string("stillpointd ") + STILLPOINT_VERSION);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    std::cerr << error.what() << "; stillpointd --help lists what there is\n";
    return sp::kExitConfiguration;
  }
  set_up_log(arguments.verbose);
  try {
    return run(arguments);
  } catch (const std::exception& error) {
    std::cerr << "stillpointd stopped: " << error.what() << '\n';
    return sp::kExitCannotStart;
  }
}
