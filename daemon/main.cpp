/// stillpointd: reads the receiver's stream, judges every second, and stores defended points.

#include <spdlog/spdlog.h>

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <filesystem>
#include <iostream>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "common/clock.hpp"
#include "common/exit.hpp"
#include "common/sentences.hpp"
#include "common/timers.hpp"
#include "config/load.hpp"
#include "configured.hpp"
#include "daemon.hpp"
#include "day/marks.hpp"
#include "day/plan.hpp"
#include "first_start.hpp"
#include "geodesy/typed.hpp"
#include "log_sink.hpp"
#include "preflight/configuration.hpp"

namespace {

using namespace stillpoint;
namespace sp = stillpoint::daemon;

constexpr const char* kFirstPage = "127.0.0.1:28100";

struct Arguments {
  std::string config;
  bool check = false, print_defaults = false, list_ports = false, verbose = false, training = false;
  double check_feed_s = 0;
  std::vector<std::string> at;
  std::optional<std::string> date;
  std::optional<std::string> first_start;  ///< where the page of the set-up listens
  double listen_s = 20.0;
  sp::Unasked unasked;

  bool writes_or_answers() const {
    return !unasked.config.empty() || !unasked.receiver.empty() || !unasked.answers_file.empty() ||
           !unasked.answers.empty();
  }
};

// The log goes to stderr, in UTC; stdout is for the ready line and for what was asked for.
void set_up_log(bool verbose) {
  const auto sink = std::make_shared<sp::LogSink>(STDERR_FILENO);
  spdlog::set_default_logger(std::make_shared<spdlog::logger>("stillpointd", sink));
  spdlog::set_pattern("%Y-%m-%dT%H:%M:%S.%eZ %l: %v", spdlog::pattern_time_type::utc);
  spdlog::set_level(verbose ? spdlog::level::debug : spdlog::level::info);
}

int complain(const std::vector<Error>& errors) {
  for (const Error& error : errors) std::cerr << error.text << '\n';
  return sp::kExitConfiguration;
}

/// Where and when `--check` tells the shifts; today unless a day is named.
Result<sp::TrialPlace> trial_of(const Arguments& arguments) {
  sp::TrialPlace trial{std::nullopt, sp::utc_now()};
  if ((!arguments.at.empty() || arguments.date) && !arguments.check) {
    return fail(sp::kSay.only_with_check());
  }
  if (!arguments.at.empty()) {
    const auto place = geodesy::place_of(arguments.at[0], arguments.at[1]);
    if (!place) return tl::unexpected(place.error());
    trial.place = *place;
  }
  if (arguments.date) {
    const auto day = geodesy::day_of(*arguments.date);
    if (!day) return tl::unexpected(day.error());
    trial.utc = *day;
  }
  return trial;
}

int check(const config::Loaded& loaded, const geodesy::Frames& frames, const sp::TrialPlace& trial) {
  if (const auto faults = sp::unserved(loaded.settings, frames, trial); !faults.empty()) return complain(faults);
  auto marks = sp::marks_of(loaded.settings);
  if (!marks) return complain({marks.error()});
  auto plan = sp::plan_of(loaded.settings, trial.utc);
  if (!plan) return complain({plan.error()});
  sp::tell_configuration(std::cout, loaded, frames, trial, {std::move(*marks), std::move(*plan)});
  sp::tell_missing(std::cout, loaded.settings);
  return sp::kExitClean;
}

int write_what_is_heard(const Arguments& arguments) {
  const sp::Unasked& unasked = arguments.unasked;
  if (unasked.config.empty()) return complain({Error{sp::kSay.only_when_writing()}});
  if (arguments.check_feed_s <= 0 || !arguments.config.empty())
    return complain({Error{sp::kSay.write_what_is_heard()}});
  sp::Unasked asked = unasked;
  asked.listen_s = arguments.check_feed_s;
  return sp::write_unasked(asked);
}

/// There is no configuration, or one with errors. A file beside it that is not there (yet) is nothing to ask about.
bool needs_set_up(const config::Loaded& loaded) {
  return !loaded.errors.empty() || loaded.settings.feeds.empty();
}

sp::FirstStartEnd first_start(const Arguments& arguments, const config::Loaded& loaded) {
  sp::FirstStart asked;
  asked.config = arguments.config;
  asked.page = *arguments.first_start;
  asked.listen_s = arguments.listen_s;
  if (std::filesystem::exists(asked.config)) asked.why = sp::faults_of(loaded, asked.config).front().text;
  return sp::run_first_start(asked);
}

int run(const Arguments& arguments) {
  const auto trial = trial_of(arguments);
  if (!trial) return complain({trial.error()});
  if (arguments.print_defaults) {
    std::cout << config::defaults_text();
    return sp::kExitClean;
  }
  if (arguments.list_ports) return sp::tell_ports(std::cout);
  if (arguments.writes_or_answers()) return write_what_is_heard(arguments);
  if (arguments.config.empty()) {
    return complain({Error{sp::kSay.config_wanted()}});
  }
  std::optional<sp::PageKeys> keys;
  const bool only_looks = arguments.check || arguments.check_feed_s > 0;
  config::Loaded loaded = config::load(arguments.config);
  if (arguments.first_start && !only_looks && needs_set_up(loaded)) {
    sp::FirstStartEnd end = first_start(arguments, loaded);
    if (!end.keys) return end.exit;
    keys = std::move(end.keys);
    loaded = config::load(arguments.config);
  }
  if (const auto faults = sp::faults_of(loaded, arguments.config); !faults.empty()) return complain(faults);
  if (arguments.check_feed_s > 0) return sp::check_feed(std::cout, loaded.settings, arguments.check_feed_s);
  auto frames = geodesy::Frames::open(loaded.settings);
  if (!frames) return complain({frames.error()});
  if (arguments.check) return check(loaded, *frames, *trial);
  for (const std::string& note : loaded.notes) spdlog::info("{}", note);
  for (std::size_t i = 0; i < frames->operations().size(); ++i) {
    for (const std::string& note : frames->operations()[i].notes) {
      spdlog::info("source \"{}\": {}", loaded.settings.sources[i].name, note);
    }
  }
  return sp::run_daemon(loaded.settings, std::move(*frames), STILLPOINT_VERSION,
                        arguments.training ? sp::Purpose::training : sp::Purpose::live, std::move(keys));
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Reads the receiver's stream, judges every second and stores defended points.", "stillpointd");
  Arguments arguments;
  app.add_option("--config", arguments.config, "The configuration (TOML)")->type_name("FILE");
  app.add_flag("--check", arguments.check, "Validate the configuration; tell operations, limits and sentences needed");
  app.add_option("--at", arguments.at,
                 "With --check: the place of work in decimal degrees, south and west negative; every source must serve "
                 "it, and the shift is told there")
      ->expected(2)
      ->type_name("LAT LON");
  app.add_option("--date", arguments.date, "With --check: the day of the shift, YYYY-MM-DD; else today")
      ->type_name("DAY");
  app.add_option("--check-feed", arguments.check_feed_s,
                 "Listen for so long and tell what is missing; exit 1 when nothing came or nothing can count")
      ->type_name("SECONDS")
      ->check(CLI::Range(0.1, 86400.0));
  app.add_option("--write", arguments.unasked.config,
                 "With --check-feed: write a configuration from what is heard, as `stillpoint setup` does; what nobody "
                 "answers stays open as \"?\"; exit 1 when no day can begin with it yet")
      ->type_name("FILE");
  app.add_option("--receiver", arguments.unasked.receiver,
                 "With --write: a device, or HOST:PORT; the only port if left out")
      ->type_name("LINK");
  app.add_option("--answers", arguments.unasked.answers_file,
                 "With --write: answers to the set-up's questions, a line each as: pole = 2.000 m")
      ->type_name("FILE");
  app.add_option("--answer", arguments.unasked.answers, "With --write: one such answer; again for more")
      ->type_name("ID=TEXT");
  app.add_option(
         "--first-start", arguments.first_start,
         "Without a configuration that can be used: ask for it on the page, which listens at 127.0.0.1:28100 or "
         "here, and then begin")
      ->type_name("ADDRESS")
      ->expected(0, 1)
      ->default_str(kFirstPage);
  // For tests alone: the set-up listens to the receiver for so long.
  app.add_option("--listen", arguments.listen_s)->group("")->check(CLI::Range(1.0, 600.0));
  app.add_flag("--print-defaults", arguments.print_defaults, "Every key with its default, as TOML");
  app.add_flag("--list-ports", arguments.list_ports, "The serial ports of this machine; opens none");
  app.add_flag("--training", arguments.training,
               "A rehearsal: every point is marked as training, and the pointbook holds nothing else");
  // For tests alone: every wait of the links and looks at the disk is so many times shorter.
  app.add_option("--timer-speed", sp::timer_speed)->group("")->check(CLI::Range(0.01, 1000.0));
  app.add_flag("--verbose", arguments.verbose, "Say more in the log");
  app.set_version_flag("--version", std::string("stillpointd ") + STILLPOINT_VERSION);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == 0) return app.exit(error);
    std::cerr << sp::kSay.see_help(error.what()) << '\n';
    return sp::kExitConfiguration;
  }
  if (arguments.first_start && arguments.first_start->empty()) arguments.first_start = kFirstPage;
  set_up_log(arguments.verbose);
  try {
    return run(arguments);
  } catch (const std::exception& error) {
    std::cerr << sp::kSay.gave_up(error.what()) << '\n';
    return sp::kExitCannotStart;
  }
}
