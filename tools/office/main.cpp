/// stillpoint-office: what the office does with a day: verify, correct, merge, calibrate, prove, and deliver.

#include <CLI/CLI.hpp>
#include <iostream>

#include "config/load.hpp"
#include "office.hpp"
#include "reduce/options.hpp"
#include "sentences.hpp"

namespace stillpoint::office {

void check_names(const std::vector<std::string>& names) {
  if (auto why = reduce::why_no_name(names); !why.empty()) throw CLI::ValidationError(why);
}

std::optional<config::Settings> settings_of(const std::string& path) {
  config::Loaded loaded = config::load(path);
  for (const Error& error : loaded.errors) complain(error.text, kUsage);
  if (!loaded.errors.empty()) return std::nullopt;
  return std::move(loaded.settings);
}

namespace {

constexpr const char* kFooter =
    "stillpoint-office VERB --help tells the options of each.\n"
    "Exit status: 0 done and well, 1 done and not well, 2 usage or configuration, 3 cannot write, 4 unreadable.\n"
    "Points are recomputed from recorded bytes by stillpoint-reduce.";

/// The verb that was meant, for the sentence that leads to its help.
std::string help_of(const CLI::App& app) {
  const auto meant = app.get_subcommands();
  return kSay.see_help(meant.empty() ? std::string() : meant.front()->get_name() + " ");
}

int run(int argc, char** argv) {
  CLI::App app{"What the office does with a day: verify, correct, merge, calibrate, prove, and deliver."};
  app.set_version_flag("--version", "stillpoint-office " STILLPOINT_VERSION);
  app.require_subcommand(1);
  app.footer(kFooter);
  if (argc < 2) return complain(kSay.name_a_verb(), kUsage);
  int status = kUsage;
  for (const auto add : {add_verify, add_redo, add_merge, add_error_scale, add_accuracy, add_receiver_test,
                         add_outage_study, add_deliver, add_hand_over, add_receive})
    add(app, status);
  try {
    app.parse(argc, argv);
  } catch (const CLI::ParseError& error) {
    if (error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success)) return app.exit(error);
    return complain(std::string(error.what()) + "; " + help_of(app), kUsage);
  }
  return status;
}

}  // namespace
}  // namespace stillpoint::office

int main(int argc, char** argv) {
  std::ios::sync_with_stdio(false);
  return stillpoint::office::run(argc, argv);
}
