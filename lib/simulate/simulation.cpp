#include "simulate/simulation.hpp"

#include <algorithm>
#include <cmath>

#include "simulate/base_stream.hpp"
#include "simulate/link.hpp"

namespace stillpoint::simulate {
namespace {

constexpr double kSkyEveryS = 10.0;
constexpr std::int64_t kDayMs = 86'400'000;
const UtcTime kColdDate{315'964'800'000};  // 1980-01-06, the first day of the satellites' calendar

Axes draw(Random& random, double sigma_m) noexcept {
  return {sigma_m * random.normal(), sigma_m * random.normal(), sigma_m * random.normal()};
}

Axes larger(const Axes& a, double b_m) noexcept {
  const auto both = [b_m](double x) { return std::sqrt(x * x + b_m * b_m); };
  return {both(a.east), both(a.north), both(a.up)};
}

ErrorModel markov_of(const Canopy& canopy) {
  ErrorModel out;
  out.markov_m = {canopy.multipath_m, canopy.multipath_m, 1.5 * canopy.multipath_m};
  out.tau_s = {canopy.multipath_tau_s, canopy.multipath_tau_s, canopy.multipath_tau_s};
  return out;
}

}  // namespace

struct Simulation::State {
  State(Scenario given, double interval)
      : scenario(std::move(given)),
        interval_s(interval),
        sentences(scenario.receiver),
        errors_random(scenario.seed, "errors"),
        drift_random(scenario.seed, "drift"),
        walk_random(scenario.seed, "walk"),
        link_random(scenario.seed, "link") {}

  Scenario scenario;
  double interval_s;
  Sentences sentences;
  Random errors_random, drift_random, walk_random, link_random;
  std::vector<FramedMark> own;                  ///< in the truth's frame
  std::vector<std::vector<FramedMark>> framed;  ///< by source
  std::vector<std::vector<FramedMark>> moved;   ///< by fault: the frame of an own shift
  std::vector<ErrorProcess> errors;             ///< by source
  std::vector<ErrorProcess> multipath;          ///< by canopy
  std::optional<Path> path;
  std::optional<BaseStream> base;

  std::uint64_t epoch = 0;
  std::size_t next_use = 0;
  std::optional<std::size_t> source;
  double converge = 1, converge_keep = 1;
  double outage_age_s = 0;  ///< age when it began
  const Fault* outage = nullptr;
  Axes drift_m;  ///< a minute of age brings this much
  double sky_until_s = -1;
  const Canopy* sky_canopy = nullptr;
  std::vector<Satellite> in_view, used;
  std::vector<Satellite> shown_in_view, shown_used;  ///< what `shown` is about: a receiver that hangs repeats it
  Dops dops;
  std::vector<const Fault*> active;
  Shown shown;
  TrueEpoch truth;

  std::int64_t waits_until_ms = 0;  ///< what was sent before comes until then

  double now_s() const noexcept { return static_cast<double>(epoch) * interval_s; }
  const Fault* find(FaultKind kind) const noexcept { return find_fault(active, kind); }
  const Canopy* canopy_at(double at_s) const noexcept {
    for (const Canopy& c : scenario.canopies) {
      if (c.when.holds(at_s)) return &c;
    }
    return nullptr;
  }

  void switch_source(double at_s);
  void look_at_sky(double at_s, const Canopy* canopy);
  void date(double at_s);
  void delay(Burst& burst);
  std::optional<double> age(double at_s);
  Axes error_of(double at_s, const Source& from, const Canopy* canopy, double age_s, Axes& claim_m);
  void position(double at_s);
};

void Simulation::State::switch_source(double at_s) {
  while (next_use < scenario.uses.size() && at_s >= scenario.uses[next_use].at_s) {
    source = scenario.uses[next_use++].source;
    if (!source) continue;
    const Source& to = scenario.sources[*source];
    errors[*source].restart(errors_random);
    converge = to.converge_factor;
    converge_keep = std::exp(-interval_s / to.converge_s);
  }
}

void Simulation::State::look_at_sky(double at_s, const Canopy* canopy) {
  if (at_s < sky_until_s && canopy == sky_canopy) return;
  sky_until_s = (std::floor(at_s / kSkyEveryS) + 1) * kSkyEveryS;
  sky_canopy = canopy;
  const Mark& here = scenario.marks.front();
  in_view = satellites_at(scenario.utc_at(at_s), here.latitude_deg, here.longitude_deg);
  used.clear();
  const double mask_deg = canopy ? canopy->mask_deg : 10.0;
  const double keep = canopy ? canopy->keep : 1.0;
  const auto minute = static_cast<std::uint64_t>(at_s / 60.0);
  for (const Satellite& s : in_view) {
    // Leaves hide the same satellite for a while, not anew every second.
    Random leaves(scenario.seed + minute * 1009 + static_cast<std::uint64_t>(s.system * 100 + s.id), "leaves");
    if (s.elevation_deg >= mask_deg && (keep >= 1 || leaves.uniform() < keep)) used.push_back(s);
  }
  const auto found = dops_of(used);
  if (!found) used.clear();
  dops = found.value_or(Dops{});
}

void Simulation::State::date(double at_s) {
  shown.utc = scenario.utc_at(at_s);
  if (const Fault* step = find(FaultKind::time_step)) shown.utc.ms += std::llround(step->seconds_s * 1000.0);
  if (const Fault* step = find(FaultKind::date_step)) shown.utc.ms += step->count * kDayMs;
  if (find(FaultKind::cold_start)) shown.utc.ms = kColdDate.ms + shown.utc.ms % kDayMs;
}

/// What waited on the link is not overtaken by what was sent after it.
void Simulation::State::delay(Burst& burst) {
  const Fault* late = find(FaultKind::late);
  const std::int64_t asked_ms = late ? std::llround(late->seconds_s * 1000.0) : 0;
  const std::int64_t first_ms = burst.sent.empty() ? 0 : burst.sent.front().arrived_ms;
  burst.late_ms = std::max(asked_ms, waits_until_ms - first_ms);
  if (burst.sent.empty() || burst.late_ms <= 0) {
    burst.late_ms = 0;
    return;
  }
  for (Burst::Sent& sent : burst.sent) sent.arrived_ms = std::max(sent.arrived_ms + asked_ms, waits_until_ms);
  waits_until_ms = burst.sent.back().arrived_ms;
}

/// The true age of the corrections in use, counted on through an outage.
std::optional<double> Simulation::State::age(double at_s) {
  const Source& from = scenario.sources[*source];
  if (!may_have_source(from.quality)) return std::nullopt;
  const double cycle_s = from.age_cycle_s;
  const auto normal = [&](double t) { return from.age_from_s + (cycle_s > 0 ? std::fmod(t, cycle_s) : 0.0); };
  const Fault* now = find(FaultKind::outage);
  if (now == nullptr) now = find(FaultKind::unused);
  if (now != outage) {
    outage = now;
    if (now) outage_age_s = normal(at_s);
    drift_m = now ? draw(drift_random, from.drift_m_per_min) : Axes{};
  }
  if (outage == nullptr) return normal(at_s);
  return outage_age_s + (at_s - outage->when.from_s);
}

Axes Simulation::State::error_of(double at_s, const Source& from, const Canopy* canopy, double age_s, Axes& claim_m) {
  Axes error_m = errors[*source].step(errors_random);
  claim_m = errors[*source].sigma_m();
  converge = 1 + (converge - 1) * converge_keep;
  const double factor = converge * (canopy ? canopy->noise_factor : 1.0);
  error_m = error_m * factor;
  claim_m = claim_m * factor;
  if (canopy && canopy->multipath_m > 0) {
    error_m = error_m + multipath[static_cast<std::size_t>(canopy - scenario.canopies.data())].step(errors_random);
    if (canopy->claimed) claim_m = larger(claim_m, canopy->multipath_m);
  }
  claim_m = from.claim_m.value_or(claim_m * from.claim_scale);
  const double late_s = age_s - from.age_from_s - from.age_cycle_s;
  if (outage && late_s > 0) error_m = error_m + drift_m * (late_s / 60.0);
  for (const Fault* fault : active) {
    if (fault->kind == FaultKind::base_shift || fault->kind == FaultKind::false_fix)
      error_m = error_m + fault->offset_m;
    if (fault->kind == FaultKind::multipath) {
      const double part = (at_s - fault->when.from_s) / (fault->when.to_s - fault->when.from_s);
      error_m = error_m + fault->offset_m * (4.0 * part * (1.0 - part));
    }
    if (fault->claim_m) claim_m = {*fault->claim_m, *fault->claim_m, 1.6 * *fault->claim_m};
  }
  return error_m;
}

void Simulation::State::position(double at_s) {
  const Canopy* canopy = canopy_at(at_s);
  look_at_sky(at_s, canopy);
  const PoleAt pole = path->at(at_s);
  const bool fix = source && !used.empty() && !find(FaultKind::cold_start);
  truth.source = fix ? source : std::nullopt;
  truth.error_m = {};
  const std::optional<double> age_s = source ? age(at_s) : std::nullopt;
  const Axes sway_m = pole.stand ? draw(walk_random, pole.stand->wobble_m) : draw(walk_random, 0.05);
  const double trembling = walk_random.uniform();
  const bool frozen = find(FaultKind::frozen) != nullptr && shown.has_fix;
  Axes error_m, claim_m;
  if (source) error_m = error_of(at_s, scenario.sources[*source], canopy, age_s.value_or(0), claim_m);
  if (!fix) {
    shown.has_fix = false;
    shown.quality = Quality::none;
    shown.age_s.reset();
    shown.age_is_zero = false;
    shown.station = {};
    return;
  }
  const auto& marks = framed[*source];
  const geodesy::Geographic plumb = antenna_at(pole, marks, {});
  if (!frozen) {
    const Source& from = scenario.sources[*source];
    const Axes lean_m = pole.stand ? pole.stand->lean_m : Axes{};
    // The top of the pole sways in the plane; its height hardly changes.
    const Axes total_m = error_m + lean_m + Axes{sway_m.east, sway_m.north, 0};
    const Fault* own_shift = find(FaultKind::own_shift);
    const auto& into = own_shift ? moved[static_cast<std::size_t>(own_shift - scenario.faults.data())] : marks;
    shown.position = antenna_at(pole, into, total_m);
    shown.has_fix = true;
    shown.quality = from.quality;
    shown.station = from.station;
    shown.claim_m = claim_m;
    shown.dops = dops;
    shown_used = used;
    shown.used = shown_used;
    const bool stuck = from.age == AgeManner::constant || from.age == AgeManner::zero;
    shown.age_is_zero = age_s && from.age == AgeManner::zero;
    shown.age_s = from.age == AgeManner::blank || !age_s ? std::nullopt
                  : stuck                                ? std::optional(from.age_from_s)
                                                         : age_s;
    shown.speed_mps = pole.stand ? 0.03 * trembling : std::abs(pole.speed_mps + 0.1 * (trembling - 0.5));
    shown.course_deg = pole.course_deg;
  }
  truth.error_m = difference_m(shown.position, plumb, marks[pole.from]);
}

Simulation::Simulation(std::unique_ptr<State> state) noexcept : state_(std::move(state)) {}
Simulation::Simulation(Simulation&&) noexcept = default;
Simulation& Simulation::operator=(Simulation&&) noexcept = default;
Simulation::~Simulation() = default;

Result<Simulation> Simulation::open(Scenario scenario) {
  auto state = std::make_unique<State>(std::move(scenario), 0.0);
  State& s = *state;
  s.interval_s = 1.0 / s.scenario.receiver.rate_hz;
  auto own = marks_in(s.scenario, s.scenario.frame, std::nullopt);
  if (!own) return tl::unexpected(own.error());
  s.own = std::move(*own);
  for (const Source& source : s.scenario.sources) {
    auto marks = marks_in(s.scenario, source.frame, source.coordinate_epoch);
    if (!marks) return tl::unexpected(marks.error());
    s.framed.push_back(std::move(*marks));
    s.errors.emplace_back(source.errors, s.interval_s);
  }
  for (const Fault& fault : s.scenario.faults) {
    s.moved.emplace_back();
    if (fault.kind != FaultKind::own_shift) continue;
    auto marks = marks_in(s.scenario, fault.text, std::nullopt);
    if (!marks) return tl::unexpected(marks.error());
    s.moved.back() = std::move(*marks);
  }
  for (const Canopy& canopy : s.scenario.canopies) {
    s.multipath.emplace_back(markov_of(canopy), s.interval_s);
    s.multipath.back().restart(s.errors_random);
  }
  if (s.scenario.base) {
    auto marks = marks_in(s.scenario, s.scenario.base->frame, s.scenario.base->coordinate_epoch);
    if (!marks) return tl::unexpected(marks.error());
    s.base.emplace(s.scenario, *marks);
  }
  s.path.emplace(s.scenario, s.own);
  return Simulation(std::move(state));
}

bool Simulation::next(Burst& out) {
  State& s = *state_;
  const double at_s = s.now_s();
  if (at_s >= s.scenario.seconds_s) return false;
  out.bytes.clear();
  out.sent.clear();
  out.corrections.clear();
  out.base_ecef_m.reset();
  out.epoch_ms = std::llround(at_s * 1000.0);
  s.active.clear();
  for (const Fault& fault : s.scenario.faults) {
    if (fault.when.holds(at_s)) s.active.push_back(&fault);
  }
  s.switch_source(at_s);
  s.date(at_s);
  s.position(at_s);
  s.truth.epoch_ms = out.epoch_ms;
  s.truth.printed_utc = s.shown.utc;
  const Fault* decimals = s.find(FaultKind::decimals);
  const Fault* missing = s.find(FaultKind::no_sentence);
  const Fault* own_shift = s.find(FaultKind::own_shift);
  s.shown.minute_decimals = decimals ? decimals->count : s.scenario.receiver.minute_decimals;
  s.shown.missing = missing ? std::string_view(missing->text) : std::string_view{};
  s.shown.tells_datum = own_shift && own_shift->says;
  if (!(s.find(FaultKind::frozen) && s.shown.has_fix)) {
    s.shown_in_view = s.in_view;
    s.shown.in_view = s.shown_in_view;
  }
  out.cut = s.find(FaultKind::cut) != nullptr;
  const bool quiet = out.cut || s.find(FaultKind::silence) != nullptr;
  if (!quiet) {
    s.sentences.write(s.shown, s.epoch, out);
    spoil(out, s.active, s.link_random);
    s.delay(out);
  }
  if (s.base) s.base->write(at_s, s.active, out);
  ++s.epoch;
  return true;
}

const TrueEpoch& Simulation::truth() const noexcept {
  return state_->truth;
}
const Scenario& Simulation::scenario() const noexcept {
  return state_->scenario;
}
const std::vector<FramedMark>& Simulation::marks_of(std::size_t index) const noexcept {
  return state_->framed[index];
}
const std::vector<FramedMark>& Simulation::marks() const noexcept {
  return state_->own;
}

void append_log(const Burst& burst, UtcTime start, std::string& out) {
  std::size_t begin = 0;
  for (const Burst::Sent& sent : burst.sent) {
    const std::string body = "c:" + std::to_string(start.ms + sent.arrived_ms);
    unsigned sum = 0;
    for (const char c : body) sum ^= static_cast<unsigned char>(c);
    constexpr std::string_view kHex = "0123456789ABCDEF";
    out += '\\';
    out += body;
    out += '*';
    out += kHex[sum >> 4U];
    out += kHex[sum & 15U];
    out += '\\';
    out.append(burst.bytes, begin, sent.end - begin);
    begin = sent.end;
  }
}

}  // namespace stillpoint::simulate
