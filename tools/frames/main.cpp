/// stillpoint-frames: which frames serve a place, and how far they lie apart there on a day.

#include <iostream>

#include "caster.hpp"
#include "config/load.hpp"
#include "options.hpp"
#include "report.hpp"

int main(int argc, char** argv) {
  using namespace stillpoint;
  const auto [options, exit] = frames::parse(argc, argv);
  if (exit) return *exit;
  Result<std::string> page = std::string();
  if (!options.caster.empty()) {
    page = frames::mounts_of(options.caster, options.place, options.encryption);
  } else if (options.config.empty()) {
    page = frames::usual_frames(options);
  } else {
    const config::Loaded loaded = config::load(options.config);
    for (const Error& error : loaded.errors) std::cerr << "stillpoint-frames: " << error.text << "\n";
    if (!loaded.errors.empty()) return frames::kUsage;
    page = frames::configured_sources(options, loaded.settings);
  }
  if (!page) {
    std::cerr << "stillpoint-frames: " << page.error().text << "\n";
    return frames::kUsage;
  }
  std::cout << *page;
  return frames::kDone;
}
