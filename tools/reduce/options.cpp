#include "options.hpp"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <array>
#include <iostream>
#include <string_view>

#include "base/utf8.hpp"
#include "say.hpp"
#include "sentences.hpp"

namespace stillpoint::reduce {
namespace {

constexpr const char* kFooter =
    "Prints one JSON object a line: the points in the order of the visits; for each point visited again what its\n"
    "visits come to together; then a summary. What is for people goes to standard error.\n"
    "Exit status: 0 every visit gave an accepted point, 1 not so, 2 usage, configuration or visits file, 3 cannot\n"
    "write the output, 4 unreadable input.\n"
    "To verify, correct or merge what was stored, and to prove receivers: stillpoint-office.";

/// Options that this program had before, and the verb of stillpoint-office that does it now.
struct Moved {
  std::string_view option, verb;
};
constexpr std::array<Moved, 8> kMoved{{{"--verify", "verify"},
                                       {"--redo", "redo"},
                                       {"--merge", "merge"},
                                       {"--calibrate", "error-scale"},
                                       {"--calibrate-repeats", "error-scale --repeats"},
                                       {"--accuracy", "accuracy"},
                                       {"--receiver-test", "receiver-test"},
                                       {"--outage-study", "outage-study"}}};

/// The sentence for whoever still uses one of them; empty: nobody does.
std::string moved_text(int argc, char** argv) {
  for (int i = 1; i < argc; ++i) {
    const std::string_view word(argv[i]);
    const std::string_view option = word.substr(0, word.find('='));
    const auto moved = std::find_if(kMoved.begin(), kMoved.end(), [&](const Moved& m) { return m.option == option; });
    if (moved == kMoved.end()) continue;
    return kSay.moved(option, moved->verb, moved->verb.substr(0, moved->verb.find(' ')));
  }
  return {};
}

void check_names(const Options& o) {
  std::vector<std::string> all{o.config, o.visits, o.pointbook};
  all.insert(all.end(), o.logs.begin(), o.logs.end());
  if (auto why = why_no_name(all); !why.empty()) throw CLI::ValidationError(why);
}

}  // namespace

std::string why_no_name(const std::vector<std::string>& names) {
  for (const std::string& name : names) {
    if (!is_utf8(name)) return kSay.name_no_utf8(shown(name));
  }
  return {};
}

void add_recomputation(CLI::App& app, Options& out) {
  app.add_option("--config", out.config, "Configuration (TOML)")->required()->type_name("FILE");
  app.add_option("--log", out.logs, "Recorded log; several are read in the order given, as one stream")
      ->required()
      ->type_name("FILE");
  app.add_option(
         "--visits", out.visits,
         "Visits (CSV: name,start_utc,end_utc,code). Without it: the commands of the record's journal, else the "
         "whole stream as one visit")
      ->type_name("FILE.csv");
  app.add_flag("--epochs", out.epochs, "Print every epoch of a visit with its final verdict before the point");
}

Parsed parse(int argc, char** argv) {
  Parsed out;
  if (const std::string text = moved_text(argc, argv); !text.empty()) {
    out.exit = complain(text, kUsage);
    return out;
  }
  CLI::App app{"Recompute points from recorded bytes, offline, through the same code as the daemon."};
  app.set_version_flag("--version", "stillpoint-reduce " STILLPOINT_VERSION);
  add_recomputation(app, out.options);
  app.add_option("--pointbook", out.options.pointbook, "Also write the points to this new GeoPackage")
      ->type_name("OUT.gpkg");
  app.footer(kFooter);
  try {
    app.parse(argc, argv);
    check_names(out.options);
  } catch (const CLI::ParseError& error) {
    const bool asked = error.get_exit_code() == static_cast<int>(CLI::ExitCodes::Success);
    out.exit = asked ? app.exit(error) : complain(std::string(error.what()) + "; see --help", kUsage);
  }
  return out;
}

}  // namespace stillpoint::reduce
