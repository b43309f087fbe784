#include "report/invented_day.hpp"

#include <array>
#include <cmath>

#include "base/identity.hpp"
#include "geodesy/local.hpp"
#include "pointbook/samples.hpp"

namespace stillpoint::samples {
namespace {

constexpr UtcTime kStart{1'780'488'720'000};  // 2026-06-03T12:12:00Z
constexpr double kErrorWanted_m = 0.010;

UtcTime after(double seconds_s) {
  return {kStart.ms + std::llround(seconds_s * 1000)};
}

/// Equal on every machine: a multiplicative congruential generator (Lehmer 1951, with 48271 as Park and Miller chose).
class Dice {
 public:
  explicit Dice(std::uint64_t seed) : state_(seed % 2'147'483'646 + 1) {}
  double even() { return static_cast<double>(state_ = state_ * 48271 % 2'147'483'647) / 2'147'483'647.0; }
  /// About normal: the sum of twelve.
  double normal() {
    double sum = -6;
    for (int i = 0; i < 12; ++i) sum += even();
    return sum;
  }

 private:
  std::uint64_t state_;
};

const geodesy::LocalFrame& trail() {
  static const geodesy::LocalFrame kFrame({47.6, -87.4, 148.0});
  return kFrame;
}

/// The trail of the day, every point a way on from the last.
geodesy::Enu place_of(int number, int of) {
  const double along = static_cast<double>(number) / of;
  const double scale = std::max(1.0, of / 60.0);
  return {scale * (60 + 2850 * along),
          scale * (30 + 1050 * along + 150 * std::sin(along * 14) + 60 * std::sin(along * 41)), 1 + 3 * along};
}

enum class Fate { accepted, outage, jump, above };

Fate fate_of(int number) {
  switch (number % 24) {
    case 7:
      return Fate::outage;
    case 13:
      return Fate::jump;
    case 19:
      return Fate::above;
    default:
      return Fate::accepted;
  }
}

std::string uuid(int number, std::uint8_t kind) {
  UuidEntropy entropy{};
  entropy[9] = static_cast<std::uint8_t>(number & 0xFF);
  entropy[8] = static_cast<std::uint8_t>((number >> 8) & 0xFF);
  entropy[6] = kind;
  return make_uuid7(after(number), entropy);
}

occupation::EpochRecord second_at(const geodesy::Enu& at, UtcTime when, Dice& dice, double spread_m, double age_s) {
  occupation::EpochRecord e;
  e.utc = when;
  e.quality = Quality::rtk_fixed;
  e.station = 417;
  e.source = "county network";
  e.age_s = age_s;
  e.correction = age_s > 60   ? corrections::State::stale
                 : age_s > 10 ? corrections::State::coasting
                              : corrections::State::fresh;
  e.accepted = age_s <= 60;
  if (!e.accepted) e.reasons.set(static_cast<std::size_t>(gate::Reason::corrections_stale));
  const geodesy::Geographic place =
      trail().to_geographic({at.east_m + spread_m * dice.normal(), at.north_m + spread_m * dice.normal(),
                             at.up_m + 1.5 * spread_m * dice.normal()});
  e.latitude_deg = place.latitude_deg;
  e.longitude_deg = place.longitude_deg;
  e.ellipsoid_height_m = place.ellipsoid_height_m;
  e.sigma_east_m = e.sigma_north_m = spread_m;
  e.sigma_up_m = 1.5 * spread_m;
  return e;
}

/// The seconds of a stay, as its fate wants them.
std::vector<occupation::EpochRecord> seconds_of(int number, const geodesy::Enu& at, double from_s, std::size_t count,
                                                double spread_m) {
  Dice dice(static_cast<std::uint64_t>(number) * 7919);
  std::vector<occupation::EpochRecord> out;
  const Fate fate = fate_of(number);
  const std::size_t lost = fate == Fate::outage ? 140 : 0;
  for (std::size_t i = 0; i < count + lost; ++i) {
    const double since_s = static_cast<double>(i);
    const bool old = i < lost;
    out.push_back(second_at(at, after(from_s + since_s), dice, spread_m, old ? 60.5 + since_s : 1 + dice.even()));
    if (fate != Fate::jump || i < count - count / 4) continue;
    const geodesy::Enu away{at.east_m + 0.31, at.north_m - 0.22, at.up_m};
    out.back() = second_at(away, after(from_s + since_s), dice, spread_m, 1.2);
    out.back().accepted = false;
    out.back().reasons.set(static_cast<std::size_t>(gate::Reason::other_segment));
  }
  return out;
}

void set_errors(occupation::Coordinates& at, int number, Fate fate) {
  Dice dice(static_cast<std::uint64_t>(number) * 104729);
  const double plan_m = fate == Fate::above ? 0.031 : fate == Fate::outage ? 0.017 : 0.0072 + 0.0026 * dice.even();
  const double up_m = fate == Fate::above ? 0.047 : fate == Fate::outage ? 0.028 : 0.012 + 0.007 * dice.even();
  const double sigma_m = plan_m / 2.35, turn = 0.5 + dice.even();
  const double major = sigma_m * 1.15, minor = sigma_m * 0.83;
  const double c = std::cos(turn), s = std::sin(turn);
  at.error95_horizontal_m = plan_m;
  at.error95_vertical_m = up_m;
  at.covariance_enu_m2 = {c * c * major * major + s * s * minor * minor, c * s * (major * major - minor * minor),
                          s * s * major * major + c * c * minor * minor, up_m * up_m / 3.84};
  at.repeatability_m = 0.004 + 0.004 * dice.even();
  at.effective_epochs = 2 + dice.even();
  at.coordinate_epoch = 2010;
}

void hold(occupation::Point& point, Fate fate) {
  using occupation::HoldReason;
  if (fate == Fate::accepted) return;
  point.status = occupation::PointStatus::held;
  if (fate == Fate::outage) {
    point.reasons = {HoldReason::too_few_epochs};
    point.reason_texts = {"35 epochs counted, at least 60 wanted"};
  } else if (fate == Fate::jump) {
    point.reasons = {HoldReason::unresolved};
    point.reason_texts = {"the position jumped by 0.38 m while the pole stood still"};
  } else {
    point.reason_texts = {"the error is 0.031 m, 0.010 m wanted"};
  }
}

occupation::StoredPoint stay(int number, const DayRules& rules) {
  const double from_s = 1200 + number * std::min(800.0, 21'000.0 / rules.points + 60);
  const Fate fate = fate_of(number);
  const geodesy::Enu at = place_of(number, rules.points);
  const std::size_t count = fate == Fate::outage ? 35 : rules.seconds;
  occupation::StoredPoint out;
  out.uuid = uuid(number, 2);
  out.epochs = seconds_of(number, at, from_s, count, fate == Fate::above ? 0.019 : 0.006);
  occupation::Point& p = out.point;
  p.name = "CUL-" + std::to_string(number + 14);
  p.code = number % 2 == 0 ? "CUL-U" : "CUL-D";
  p.status = occupation::PointStatus::accepted;
  p.frame = "EPSG:6319";
  p.source = "county network";
  p.station = 417;
  p.quality = Quality::rtk_fixed;
  p.antenna_height_m = 1.871;
  p.flags = {"error-scale-not-verified"};
  p.error_scale = 1.0;
  p.crew = "A";
  const geodesy::Geographic place = trail().to_geographic(at);
  p.at = occupation::Coordinates{};
  p.at->latitude_deg = place.latitude_deg;
  p.at->longitude_deg = place.longitude_deg;
  p.at->ellipsoid_height_m = place.ellipsoid_height_m;
  set_errors(*p.at, number, fate);
  for (const occupation::EpochRecord& epoch : out.epochs) {
    ++(epoch.accepted ? p.epochs_used : p.epochs_refused);
    for (std::size_t i = 0; i < epoch.reasons.size(); ++i) p.refused[i] += epoch.reasons.test(i) ? 1U : 0U;
  }
  p.started_utc = out.epochs.front().utc;
  p.finished_utc = out.epochs.back().utc;
  out.stored_at = *p.finished_utc;
  hold(p, fate);
  return out;
}

pointbook::CheckShot check(int number, double at_s, const char* kind) {
  Dice dice(static_cast<std::uint64_t>(number) * 15485863);
  pointbook::CheckShot shot;
  shot.uuid = uuid(number, 3);
  const bool sluice = number % 4 == 0 || number % 4 == 3;
  shot.mark = sluice ? "VM-11 Sluice" : "VM-12 Heron";
  shot.kind = kind;
  shot.utc = shot.stored_at = after(at_s);
  shot.passed = true;
  shot.frame = "EPSG:6319";
  shot.off_east_m = 0.004 * dice.normal();
  shot.off_north_m = 0.004 * dice.normal();
  shot.off_up_m = 0.007 * dice.normal();
  shot.limit_horizontal_m = 0.03;
  shot.limit_vertical_m = 0.05;
  shot.source = "county network";
  shot.antenna_height_m = 1.871;
  shot.text = shot.mark + " is within its limits";
  const geodesy::Enu mark = sluice ? geodesy::Enu{0, 0, 0} : geodesy::Enu{1470, 110, 1};
  const geodesy::Geographic place = trail().to_geographic(
      {mark.east_m + shot.off_east_m, mark.north_m + shot.off_north_m, mark.up_m + *shot.off_up_m});
  shot.at.latitude_deg = place.latitude_deg;
  shot.at.longitude_deg = place.longitude_deg;
  shot.at.ellipsoid_height_m = place.ellipsoid_height_m;
  shot.at.coordinate_epoch = 2010;
  return shot;
}

void add_events(pointbook::Contents& book, double end_s, bool closed) {
  book.events.push_back({after(0), "started", "stillpointd 0.1.0 started", ""});
  for (const occupation::StoredPoint& stored : book.versions) {
    const occupation::Point& point = stored.point;
    const std::string title = point.name + " visit 1";
    book.events.push_back({*point.started_utc, "occupy", "occupied " + title, R"({"by":"crew A"})"});
    if (point.epochs_refused >= 140) {
      book.events.push_back({*point.started_utc, "corrections-stale", "corrections are too old: 61 s, limit 60 s",
                             R"({"occurrence":1,"state":"raised"})"});
      book.events.push_back({{point.started_utc->ms + 140'000},
                             "corrections-stale",
                             "over: corrections are too old",
                             R"({"occurrence":1,"state":"over"})"});
    }
    book.events.push_back({*point.finished_utc, "kept",
                           title + " ended: kept by hand; it is " + std::string(to_word(point.status)),
                           R"({"by":"crew A"})"});
  }
  if (closed)
    book.events.push_back(
        {after(end_s + 300), "day-closed", "the day is closed: points are held, see notes", R"({"by":"crew A"})"});
}

}  // namespace

pointbook::Contents invented_day(const DayRules& rules) {
  pointbook::Contents book;
  book.path = "harrowfen.gpkg";
  book.project = "Harrowfen culvert inventory";
  book.frame = "EPSG:6319";
  book.frame_wkt = geographic().frame_wkt;
  for (int i = 0; i < rules.points; ++i) {
    occupation::StoredPoint stored = stay(i, rules);
    book.epochs[stored.uuid] = std::exchange(stored.epochs, {});
    book.versions.push_back(std::move(stored));
  }
  const double end_s = seconds_between(kStart, *book.versions.back().point.finished_utc) + 600;
  book.checks = {check(0, 540, "opening"), check(1, end_s * 0.3, "due"), check(2, end_s * 0.65, "due"),
                 check(3, end_s, "closing")};
  pointbook::AntennaSetup setup;
  setup.uuid = uuid(0, 4);
  setup.utc = after(0);
  setup.height_m = 1.871;
  setup.vertical_parts_m = {{"pole", 1.8}, {"adapter", 0.071}};
  setup.also_measured_ft = 6.138;
  book.antennas = {setup};
  add_events(book, end_s, rules.closed);
  return book;
}

std::string write_day(const DayRules& rules, const std::string& path) {
  pointbook::Identity identity = geographic();
  identity.project = "Harrowfen culvert inventory";
  auto book = pointbook::Book::open(path, identity);
  if (!book) return book.error().text;
  pointbook::Contents day = invented_day(rules);
  pointbook::Batch batch;
  for (occupation::StoredPoint& stored : day.versions) {
    stored.epochs = std::move(day.epochs[stored.uuid]);
    batch.points.push_back(std::move(stored));
  }
  batch.checks = day.checks;
  batch.antennas = day.antennas;
  batch.events = day.events;
  const auto stored = book->append(batch);
  return stored ? std::string() : stored.error().text;
}

}  // namespace stillpoint::samples
