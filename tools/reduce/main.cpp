/// stillpoint-reduce: recompute points from recorded bytes.

#include <iostream>

#include "config/load.hpp"
#include "day.hpp"
#include "options.hpp"
#include "say.hpp"

int main(int argc, char** argv) {
  using namespace stillpoint;
  std::ios::sync_with_stdio(false);
  const auto [options, exit] = reduce::parse(argc, argv);
  if (exit) return *exit;
  const config::Loaded loaded = config::load(options.config);
  for (const Error& error : loaded.errors) reduce::complain(error.text, reduce::kUsage);
  if (!loaded.errors.empty()) return reduce::kUsage;
  auto stream = reduce::Stream::open(options.logs);
  if (!stream) return reduce::complain(stream.error().text, reduce::kCannotRead);
  return reduce::run(options, loaded.settings, std::move(*stream));
}
