// Invented check shots with one seeded mistake each, and how often the diagnosis names it.
//
// The mistake is made in the computation itself (the wrong frame is really used, the wrong height really subtracted),
// not taken from the diagnosis' own list. Places, dates, set-ups and noise are drawn; the noise is held below a fifth
// of the mistake's largest component.
//
//   blunders [--places N] [--seed S] [--bounds]     the table; with --bounds, exit 1 when a promise is broken

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <functional>
#include <map>
#include <numbers>
#include <optional>
#include <random>
#include <string>
#include <vector>

#include "control/diagnosis.hpp"
#include "control/small_matrix.hpp"
#include "geodesy/antenna.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::control;
using geodesy::Enu;
using geodesy::Geographic;

class Dice {
 public:
  explicit Dice(std::uint64_t seed) : engine_(seed) {}
  double unit() { return (static_cast<double>(engine_() >> 11U) + 0.5) * 0x1p-53; }
  double between(double low, double high) { return low + (high - low) * unit(); }
  double log_between(double low, double high) { return low * std::pow(high / low, unit()); }
  bool chance(double p) { return unit() < p; }
  double sign() { return chance(0.5) ? 1.0 : -1.0; }
  std::size_t below(std::size_t n) {
    return std::min(n - 1, static_cast<std::size_t>(unit() * static_cast<double>(n)));
  }
  double normal() { return std::sqrt(-2 * std::log(unit())) * std::cos(2 * std::numbers::pi * unit()); }

 private:
  std::mt19937_64 engine_;
};

/// Where, when and with what; and how the mark was really measured, which may differ from what is configured.
struct World {
  std::string project, source;     ///< frames as configured
  std::string real_source;         ///< what the positions are really in
  std::string mark_numbers;        ///< what the mark's numbers are really in
  double year = 0, used_year = 0;  ///< of observation; used in the transformation
  Geographic place;                ///< of the mark, in the project frame
  config::Antenna antenna;
  double height_m = 0;       ///< configured antenna height
  double used_height_m = 0;  ///< what was subtracted on the way, all in all
  double real_height_m = 0;
  bool twice = false, backwards = false;
  Enu shared;  ///< further offset of every shot
  Enu local;   ///< and of the first mark alone
  Scene scene;
  int others = 0;
  std::optional<Enu> lean;  ///< of the bubble, in the pole's axes
};

struct Region {
  std::string national;
  double south, north, west, east;
};
const std::vector<Region> kRegions{
    {"EPSG:6319", 30, 48, -120, -75}, {"EPSG:7931", 42, 55, -2, 18}, {"EPSG:7843", -36, -18, 118, 150}};

struct Kind {
  const char* name;
  Suspect suspect;
  std::function<bool(World&, Dice&, geodesy::Transfers&)> make;  ///< false: draw another world
  bool needs_others = false;
};

double antenna_of(World& w, Dice& dice, bool slant) {
  if (slant) {
    w.antenna.slant_m = config::Slant{dice.between(1.4, 2.0), dice.between(0.12, 0.22), dice.between(0.02, 0.06)};
  } else {
    w.antenna.vertical_parts_m = {{"pole", dice.chance(0.5) ? 1.8 : 2.0}, {"adapter", dice.between(0.05, 0.12)}};
  }
  return geodesy::antenna_height_m(w.antenna).value();
}

void set_up(World& w, Dice& dice, bool slant) {
  w.antenna = {};
  w.height_m = w.used_height_m = w.real_height_m = antenna_of(w, dice, slant);
}

World draw(Dice& dice) {
  const Region& region = kRegions[dice.below(kRegions.size())];
  World w;
  w.project = w.mark_numbers = region.national;
  w.source = dice.chance(0.5) ? "EPSG:9989" : region.national;
  w.real_source = w.source;
  w.place = {dice.between(region.south, region.north), dice.between(region.west, region.east), dice.between(5, 900)};
  w.year = w.used_year = dice.between(2021, 2027.5);
  set_up(w, dice, dice.chance(0.3));
  w.others = static_cast<int>(dice.below(3));
  w.scene.mark_height_m = dice.between(5, 900);
  if (dice.chance(0.5)) {
    w.scene.geoid_height_m = dice.sign() * dice.between(8, 50);
    if (dice.chance(0.7)) w.scene.receiver_geoid_m = *w.scene.geoid_height_m + dice.between(-1.0, 1.0);
  }
  if (dice.chance(0.5)) {
    w.scene.easting_m = dice.between(2e5, 9e5);
    w.scene.northing_m = dice.between(1e5, 3e6);
  }
  return w;
}

/// Goes the whole way for one mark: where the computation puts it, minus where its numbers put it.
std::optional<Enu> residual_at(const World& w, const Geographic& truth, geodesy::Transfers& t) {
  const geodesy::LocalFrame at(truth);
  const Geographic phase = at.to_geographic({0, 0, w.real_height_m});
  const auto received = t.move(w.project, w.real_source, phase, w.year);
  if (!received) return std::nullopt;
  auto computed = w.backwards ? t.move(w.project, w.source, *received, w.used_year)
                              : t.move(w.source, w.project, *received, w.used_year);
  if (computed && w.twice) computed = t.move(w.source, w.project, *computed, w.used_year);
  const auto mark = t.move(w.project, w.mark_numbers, truth, w.year);
  if (!computed || !mark) return std::nullopt;
  const Enu shot = geodesy::LocalFrame(*mark).to_enu(*computed);
  return Enu{shot.east_m + w.shared.east_m, shot.north_m + w.shared.north_m,
             shot.up_m - w.used_height_m + w.shared.up_m};
}

Enu plus(const Enu& a, const Enu& b) {
  return {a.east_m + b.east_m, a.north_m + b.north_m, a.up_m + b.up_m};
}
double largest(const Enu& v, double vertical_part) {
  return std::max({std::abs(v.east_m), std::abs(v.north_m), std::abs(v.up_m) / vertical_part});
}
double length(const Enu& v) {
  return std::sqrt(v.east_m * v.east_m + v.north_m * v.north_m + v.up_m * v.up_m);
}

Residual noisy(const Enu& v, double sigma_m, double vertical_part, Dice& dice) {
  Residual out;
  const double up = sigma_m * vertical_part;
  out.east_m = v.east_m + sigma_m * dice.normal();
  out.north_m = v.north_m + sigma_m * dice.normal();
  out.up_m = v.up_m + up * dice.normal();
  out.covariance_m2 = {sigma_m * sigma_m, 0, sigma_m * sigma_m, up * up};
  return out;
}

bool source_in(World& w, const char* source) {
  w.source = w.real_source = source;
  return true;
}

bool other_frame(World& w, Dice& dice, geodesy::Transfers& t) {
  auto frames = t.serving(w.place);
  std::erase_if(frames, [&](const auto& f) { return f == w.source || f == w.project; });
  w.real_source = frames[dice.below(frames.size())];
  const auto v = residual_at(w, w.place, t);
  return v && length(*v) > 0.05;
}

bool other_mark_frame(World& w, Dice& dice, geodesy::Transfers& t) {
  auto frames = t.serving(w.place);
  std::erase_if(frames, [&](const auto& f) { return f == w.project; });
  w.mark_numbers = frames[dice.below(frames.size())];
  const auto v = residual_at(w, w.place, t);
  if (!v || length(*v) < 0.05) return false;
  // The other marks' sheets are right: only this one is off.
  w.mark_numbers = w.project;
  w.local = *v;
  return true;
}

bool raised(World& w, double up_m) {
  w.shared.up_m = up_m;
  return true;
}

double some_n(World& w, Dice& dice) {
  if (!w.scene.geoid_height_m) w.scene.geoid_height_m = dice.sign() * dice.between(8, 50);
  return *w.scene.geoid_height_m;
}

std::vector<Kind> frame_kinds() {
  return {
      {"other frame", Suspect::frame_swapped, other_frame},
      {"mark in other frame", Suspect::mark_frame, other_mark_frame, true},
      {"already shifted", Suspect::shifted_twice,
       [](World& w, Dice&, geodesy::Transfers&) {
         return source_in(w, "EPSG:9989") && (w.real_source = w.project, true);
       }},
      {"shifted backwards", Suspect::shifted_twice,
       [](World& w, Dice&, geodesy::Transfers&) { return source_in(w, "EPSG:9989") && (w.backwards = true); }},
      {"epoch missing", Suspect::epoch,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         w.used_year = dice.chance(0.5) ? 2010.0 : 2015.0;
         return source_in(w, "EPSG:9989");
       }},
      {"epoch wrong", Suspect::epoch,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         w.used_year = w.year + dice.sign() * dice.between(4, 22);
         return source_in(w, "EPSG:9989");
       }},
  };
}

std::vector<Kind> antenna_kinds() {
  return {
      {"antenna ignored", Suspect::antenna_ignored,
       [](World& w, Dice&, geodesy::Transfers&) { return (w.used_height_m = 0, true); }},
      {"antenna doubled", Suspect::antenna_doubled,
       [](World& w, Dice&, geodesy::Transfers&) { return (w.used_height_m = 2 * w.height_m, true); }},
      {"one section off", Suspect::antenna_section,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         constexpr std::array<double, 4> kSections{0.2, 0.25, 0.3, 0.5};
         w.real_height_m += dice.sign() * kSections[dice.below(4)];
         return true;
       }},
      {"slant as vertical", Suspect::slant_as_vertical,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         set_up(w, dice, true);
         const auto& slant = *w.antenna.slant_m;
         w.used_height_m = slant.length_m + (dice.chance(0.5) ? slant.plane_to_phase_centre_m : 0);
         return std::abs(w.used_height_m - w.height_m) > 0.004;
       }},
      {"phase offset twice", Suspect::phase_offset,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         set_up(w, dice, false);
         w.used_height_m += w.antenna.vertical_parts_m.back().second;
         return true;
       }},
      {"phase offset left out", Suspect::phase_offset,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         set_up(w, dice, false);
         w.used_height_m -= w.antenna.vertical_parts_m.back().second;
         return true;
       }},
      {"feet typed as metres", Suspect::feet_for_metres,
       [](World& w, Dice&, geodesy::Transfers&) { return (w.real_height_m = w.height_m * 0.3048, true); }},
      {"metres taken as feet", Suspect::feet_for_metres,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         if (dice.chance(0.5)) return (w.used_height_m = w.height_m * 0.3048, true);
         return (w.real_height_m = w.height_m / 0.3048, true);
       }},
  };
}

std::vector<Kind> other_kinds() {
  return {
      {"geoid sign", Suspect::geoid_sign,
       [](World& w, Dice& dice, geodesy::Transfers&) { return raised(w, 2 * some_n(w, dice)); }},
      {"kind of height", Suspect::height_kind,
       [](World& w, Dice& dice, geodesy::Transfers&) { return raised(w, dice.sign() * some_n(w, dice)); }},
      {"geoid under other frame", Suspect::geoid_frame,
       [](World& w, Dice& dice, geodesy::Transfers& t) {
         some_n(w, dice);
         const auto moved = t.move("EPSG:9989", w.project, w.place, w.year);
         if (!moved) return false;
         const double up_m = geodesy::LocalFrame(w.place).to_enu(*moved).up_m;
         w.scene.frame_shift_up_m = up_m;
         return std::abs(up_m) > 0.05 && raised(w, dice.sign() * up_m);
       }},
      {"receiver's coarse geoid", Suspect::coarse_geoid,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         const double n = some_n(w, dice);
         w.scene.receiver_geoid_m = n + dice.sign() * dice.between(0.1, 1.5);
         return raised(w, n - *w.scene.receiver_geoid_m);
       }},
      {"survey foot", Suspect::survey_foot,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         w.scene.easting_m = dice.between(2e5, 9e5);
         w.scene.northing_m = dice.between(1e5, 3e6);
         w.scene.convergence_deg = dice.between(-2, 2);
         const double k = dice.sign() * 2e-6, turn = -w.scene.convergence_deg * std::numbers::pi / 180;
         const double e = k * *w.scene.easting_m, n = k * *w.scene.northing_m;
         w.shared = {e * std::cos(turn) - n * std::sin(turn), e * std::sin(turn) + n * std::cos(turn), 0};
         return true;
       }},
      {"base offset", Suspect::base_offset,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         const double size = dice.log_between(0.1, 3);
         w.shared = {size * dice.normal(), size * dice.normal(), size * dice.normal()};
         return true;
       },
       true},
      {"mark disturbed", Suspect::mark_disturbed,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         const double size = dice.log_between(0.03, 0.5);
         w.local = {size * dice.normal(), size * dice.normal(), size * dice.normal()};
         return true;
       },
       true},
      {"bubble", Suspect::bubble,
       [](World& w, Dice& dice, geodesy::Transfers&) {
         const double lean = dice.between(0.006, 0.035) * w.height_m / 2, way = dice.between(0, 6.283);
         w.lean = Enu{lean * std::cos(way), lean * std::sin(way), 0};
         return true;
       }},
  };
}

std::vector<Kind> kinds() {
  std::vector<Kind> all = frame_kinds();
  for (auto part : {antenna_kinds(), other_kinds()}) all.insert(all.end(), part.begin(), part.end());
  return all;
}

/// What the diagnosis may know of the set-up: the configuration, never the mistake.
void fill_scene(World& w, geodesy::Transfers& t) {
  w.scene.frames = frame_vectors(t, {w.source, w.project, w.project, {}, w.place, w.year});
  w.scene.plate_motion_m_per_year = plate_motion_m_per_year(t, w.place, w.year);
  w.scene.antenna = w.antenna;
  w.scene.antenna_height_m = w.height_m;
}

/// Four shots with the pole turned by a quarter each; the first is the check shot itself.
void turn_the_pole(World& w, const Enu& still, double sigma_m, Dice& dice) {
  std::vector<TurnShot> shots;
  Turn real;
  if (w.lean) {
    real.right_m = w.lean->east_m;
    real.forward_m = w.lean->north_m;
  }
  for (const double heading : {0.0, 90.0, 180.0, 270.0}) {
    const auto effect = real.effect_m(heading);
    shots.push_back({heading, still.east_m + effect[0] + sigma_m * dice.normal(),
                     still.north_m + effect[1] + sigma_m * dice.normal(), sigma_m});
  }
  w.scene.turn = turn_test(shots).value();
  w.scene.heading_deg = 0;
}

struct Trial {
  Diagnosis found;
  Enu truth;
  double sigma_m = 0;
};
constexpr double kVertical = 1.5;

std::optional<Trial> run(const Kind& kind, Dice& dice, geodesy::Transfers& t) {
  World w = draw(dice);
  if (kind.needs_others) w.others = std::max(w.others, 1);
  if (!kind.make(w, dice, t)) return std::nullopt;
  const auto still = residual_at(w, w.place, t);
  if (!still) return std::nullopt;
  Trial out;
  out.truth = plus(*still, w.local);
  if (w.lean) {
    Turn real;
    real.right_m = w.lean->east_m;
    real.forward_m = w.lean->north_m;
    const auto effect = real.effect_m(0);
    out.truth = plus(out.truth, {effect[0], effect[1], 0});
  }
  out.sigma_m = std::min(dice.log_between(0.004, 0.3), largest(out.truth, kVertical) / 5);
  const Residual shot = noisy(out.truth, out.sigma_m, kVertical, dice);
  std::vector<Residual> others;
  for (int i = 0; i < w.others; ++i) {
    const Geographic there{w.place.latitude_deg + dice.between(-0.05, 0.05),
                           w.place.longitude_deg + dice.between(-0.05, 0.05), dice.between(5, 900)};
    Enu v = residual_at(w, there, t).value_or(*still);
    if (w.lean) {
      const double way = dice.between(0, 6.283), lean = length(*w.lean);
      v = plus(v, {lean * std::cos(way), lean * std::sin(way), 0});
    }
    others.push_back(noisy(v, out.sigma_m * dice.between(0.8, 1.3), kVertical, dice));
  }
  fill_scene(w, t);
  if (w.lean || dice.chance(0.3)) turn_the_pole(w, plus(*still, w.local), out.sigma_m, dice);
  out.found = diagnose(shot, w.scene, others);
  return out;
}

/// Closer than 2 sigma to what really happened: no residual can tell the two.
bool close(const Ranked& suspect, const Trial& trial) {
  const Vector3 apart = vector_of(suspect.predicted) - vector_of(trial.truth);
  const double s2 = trial.sigma_m * trial.sigma_m;
  return mahalanobis_squared(apart, diagonal(s2, s2, s2 * kVertical * kVertical)) < 4;
}

struct Count {
  int all = 0, first = 0, tied = 0, second = 0;
};

struct Tally {
  std::map<std::string, std::map<std::string, int>> named;  ///< by kind, what was named first
  std::map<std::string, Count> counts;
  Count total;
};

void note(Tally& table, const Kind& kind, const Trial& trial) {
  Count& count = table.counts[kind.name];
  const auto& suspects = trial.found.suspects;
  const bool none = trial.found.none_fits;
  ++table.named[kind.name][none ? "none-fits" : std::string(to_word(suspects.front().suspect))];
  ++count.all;
  if (none) return;
  const bool first = suspects.front().suspect == kind.suspect;
  const bool tied = !first && close(suspects.front(), trial);
  const bool second = suspects.size() > 1 && suspects[1].suspect == kind.suspect;
  count.first += first;
  count.tied += tied;
  count.second += !first && !tied && second;
}

void print(const Tally& table) {
  std::printf("%-26s %5s %6s %5s %7s  named first\n", "seeded mistake", "cases", "first", "tied", "second");
  for (const auto& [name, count] : table.counts) {
    std::printf("%-26s %5d %6d %5d %7d ", name.c_str(), count.all, count.first, count.tied, count.second);
    for (const auto& [word, times] : table.named.at(name)) std::printf(" %s %d", word.c_str(), times);
    std::printf("\n");
  }
}

/// Chance alone: the share of verdicts that accuse nobody.
double innocent(Dice& dice, geodesy::Transfers& t, int cases, int& stopped, int& accused) {
  for (int i = 0; i < cases; ++i) {
    World w = draw(dice);
    const double sigma_m = dice.log_between(0.004, 0.3);
    const Residual shot = noisy({}, sigma_m, kVertical, dice);
    if (judge("VM", shot, {}, {}).outcome != Outcome::stop) continue;
    ++stopped;
    fill_scene(w, t);
    std::vector<Residual> others;
    for (int k = 0; k < w.others; ++k) others.push_back(noisy({}, sigma_m, kVertical, dice));
    accused += !diagnose(shot, w.scene, others).none_fits;
  }
  return 1 - static_cast<double>(accused) / cases;
}

}  // namespace

int main(int argc, char** argv) {
  int places = 50;
  std::uint64_t seed = 20260603;
  bool bounds = false;
  for (int i = 1; i < argc; ++i) {
    if (std::strcmp(argv[i], "--bounds") == 0) bounds = true;
    if (std::strcmp(argv[i], "--places") == 0 && i + 1 < argc) places = std::atoi(argv[++i]);
    if (std::strcmp(argv[i], "--seed") == 0 && i + 1 < argc) seed = std::strtoull(argv[++i], nullptr, 10);
  }
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return 2;
  Dice dice(seed);
  Tally table;
  for (const Kind& kind : kinds()) {
    for (int done = 0; done < places;) {
      if (const auto trial = run(kind, dice, *transfers)) {
        note(table, kind, *trial);
        ++done;
      }
    }
  }
  print(table);
  for (const auto& [name, count] : table.counts) {
    table.total.all += count.all;
    table.total.first += count.first;
    table.total.tied += count.tied;
    table.total.second += count.second;
  }
  const double all = table.total.all;
  const double first = (table.total.first + table.total.tied) / all;
  const double two = first + table.total.second / all, tied = table.total.tied / all;
  int stopped = 0, accused = 0;
  const int cases = places * 40;
  const double clean = innocent(dice, *transfers, cases, stopped, accused);
  std::printf("%zu kinds, %d cases: first suspect right %.1f %%, among the first two %.1f %%, of these tied %.1f %%\n",
              table.counts.size(), table.total.all, 100 * first, 100 * two, 100 * tied);
  std::printf("no mistake, %d cases: %d over the tolerance, %d of them accused somebody; innocent %.1f %%\n", cases,
              stopped, accused, 100 * clean);
  const bool kept = first >= 0.90 && two >= 0.97 && tied <= 0.15 && clean >= 0.95 && table.counts.size() >= 16;
  return bounds && !kept ? 1 : 0;
}
