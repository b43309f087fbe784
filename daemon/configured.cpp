#include "configured.hpp"

#include "common/clock.hpp"
#include "common/sentences.hpp"
#include "day/marks.hpp"
#include "day/plan.hpp"
#include "feeds/caster_link.hpp"
#include "geodesy/antenna.hpp"
#include "geodesy/frames.hpp"

namespace stillpoint::daemon {

std::vector<Error> faults_of(const config::Loaded& loaded, const std::string& path) {
  if (!loaded.errors.empty()) return loaded.errors;
  if (loaded.settings.feeds.empty()) return {Error{kSay.no_feed(path)}};
  // The parts were read one by one; whether they agree with each other shows only in the height.
  if (const auto height_m = geodesy::antenna_height_m(loaded.settings.antenna); !height_m) {
    return {Error{path + ": " + height_m.error().text}};
  }
  if (const auto usable = check_caster_files(loaded.settings.corrections); !usable) return {usable.error()};
  return {};
}

std::vector<Error> faults_of_file(const std::string& path) {
  const config::Loaded loaded = config::load(path);
  if (auto faults = faults_of(loaded, path); !faults.empty()) return faults;
  if (const auto frames = geodesy::Frames::open(loaded.settings); !frames) return {frames.error()};
  if (const auto marks = marks_of(loaded.settings); !marks) return {marks.error()};
  if (const auto plan = plan_of(loaded.settings, utc_now()); !plan) return {plan.error()};
  return {};
}

}  // namespace stillpoint::daemon
