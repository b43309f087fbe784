/// stillpoint-reduce: recompute points from recorded bytes.

#include <iostream>

#include "config/load.hpp"
#include "day.hpp"
#include "merge.hpp"
#include "options.hpp"
#include "outages.hpp"
#include "proof.hpp"
#include "redo.hpp"
#include "second_look.hpp"
#include "stream.hpp"
#include "verify.hpp"

int main(int argc, char** argv) {
  using namespace stillpoint;
  std::ios::sync_with_stdio(false);
  if (const auto proved = reduce::run_proof(argc, argv)) return *proved;
  if (const auto studied = reduce::run_outage_study(argc, argv)) return *studied;
  const auto [options, exit] = reduce::parse(argc, argv);
  if (exit) return *exit;
  if (!options.merge.empty()) return reduce::merge(options);
  if (options.verify && options.pointbook.empty()) return reduce::verify(options.logs);
  const config::Loaded loaded = config::load(options.config);
  for (const Error& error : loaded.errors) std::cerr << "stillpoint-reduce: " << error.text << "\n";
  if (!loaded.errors.empty()) return reduce::kUsage;
  if (!options.redo.empty()) return reduce::redo(options, loaded.settings);
  if (options.verify) return reduce::verify_day(options, loaded.settings);
  auto stream = reduce::Stream::open(options.logs);
  if (!stream) {
    std::cerr << "stillpoint-reduce: " << stream.error().text << "\n";
    return reduce::kCannotRead;
  }
  return reduce::run(options, loaded.settings, std::move(*stream));
}
