// Writes an invented pointbook for the tests of deliveries:
//     delivery_book KIND POINTS LATITUDE LONGITUDE FILE.gpkg
//
// KIND: `plain`; `odd`, with names that are hard to carry; `orthometric`, z above a geoid; `moving`, in a frame that no
// plate holds; `held`, none accepted; `doubted`, before a check that failed; `training`. Of `plain`, `odd` and `orthometric` every 24th point is held, one is
// rejected, one has an older version, one no height, and two have one name.

#include <array>
#include <cstdio>
#include <cstdlib>
#include <string>

#include "base/identity.hpp"
#include "geodesy/frames.hpp"
#include "geodesy/local.hpp"
#include "occupation/offset_point.hpp"
#include "pointbook/book.hpp"

namespace {

using namespace stillpoint;

struct Asked {
  std::string kind;
  int points = 0;
  geodesy::Geographic origin;
  std::string path;
  bool is(const char* word) const { return kind == word; }
  bool varied() const { return is("plain") || is("odd") || is("orthometric"); }
};

constexpr UtcTime kStart{1'780'488'720'250};  // 2026-06-03T12:12:00.250Z

std::string long_name() {
  std::string out;
  for (int i = 0; i < 200; ++i) out += "\u00e9";
  return out;
}

std::string name_of(const Asked& asked, int number) {
  static const std::array<std::string, 10> kOdd{"a,b \"c\"",       "two\nlines", "\u00c4\u00df \u6e2c\u91cf",
                                                "\U0001F600 pole", "=1+1",       "-5",
                                                "@SUM(A1)",        long_name(),  "{x} \\P %%d ^J",
                                                "'quoted' & <b>"};
  const std::string plain = "HF-" + std::to_string(number + 1);
  if (!asked.is("odd")) return plain;
  const std::string& odd = kOdd[static_cast<std::size_t>(number) % kOdd.size()];
  return number < static_cast<int>(kOdd.size()) ? odd : odd + ' ' + std::to_string(number);
}

std::string uuid(int number, std::uint8_t version) {
  UuidEntropy entropy{};
  entropy[9] = static_cast<std::uint8_t>(number & 0xFF);
  entropy[8] = static_cast<std::uint8_t>((number >> 8) & 0xFF);
  entropy[6] = version;
  return make_uuid7({kStart.ms + number * 1000}, entropy);
}

config::Settings settings_of(const Asked& asked) {
  config::Settings out;
  out.project.name = "Vellin County deliveries";
  out.project.frame = asked.is("moving") ? "EPSG:7912" : "EPSG:6319";
  if (!asked.is("orthometric")) return out;
  out.project.height = config::HeightKind::orthometric;
  out.project.geoid = config::Geoid{"egm96_15.gtx", "EGM96", "EPSG:7912", "", 0.05};
  return out;
}

/// Along a way that winds over some kilometres.
geodesy::Geographic place_of(const Asked& asked, int number) {
  const double n = number;
  return geodesy::LocalFrame(asked.origin)
      .to_geographic({7.1234567 * n, 3.7654321 * n - 0.004 * n * n, 1.0 + 0.0312345 * n});
}

void vary(occupation::Point& point, int number) {
  using occupation::PointStatus;
  if (number % 24 == 7) {
    point.status = PointStatus::held;
    point.reasons = {occupation::HoldReason::too_few_epochs};
    point.reason_texts = {"7 epochs counted, at least 60 wanted"};
  }
  if (number == 3) point.status = PointStatus::rejected;
  if (number == 5) {
    point.flags = {std::string(occupation::kHeightNotMeasured), std::string(occupation::kOffset)};
    point.at->orthometric_height_m.reset();
    point.at->geoid.clear();
    point.measures.stays = {{"HF-1", 1, "", 7.5}};
    point.measures.bearing_deg = 41;
  }
}

Result<occupation::StoredPoint> stored(const Asked& asked, const geodesy::Frames& frames, int number) {
  occupation::StoredPoint out;
  out.uuid = uuid(number, 1);
  occupation::Point& p = out.point;
  p.name = asked.varied() && number == 10 ? name_of(asked, 9) : name_of(asked, number);
  p.visit = asked.varied() && number == 10 ? 2 : 1;
  p.code = number % 3 == 0 ? "CUL-U" : number % 3 == 1 ? "ditch, \u00f6stlich" : "";
  p.note = number % 5 == 0 ? "seen from \"north\", wet" : "";
  p.status = asked.is("held") ? occupation::PointStatus::held : occupation::PointStatus::accepted;
  p.frame = frames.project_frame();
  p.source = "county network";
  p.quality = Quality::rtk_fixed;
  p.antenna_height_m = 1.871;
  p.epochs_used = 60;
  p.crew = "A";
  p.rules = occupation::kRules;
  p.started_utc = UtcTime{kStart.ms + number * 90'000};
  p.finished_utc = UtcTime{kStart.ms + number * 90'000 + 60'000};
  out.stored_at = *p.finished_utc;
  const geodesy::Geographic place = place_of(asked, number);
  p.at = occupation::Coordinates{};
  p.at->latitude_deg = place.latitude_deg;
  p.at->longitude_deg = place.longitude_deg;
  p.at->ellipsoid_height_m = place.ellipsoid_height_m;
  p.at->coordinate_epoch = asked.is("moving") ? 2026.42 + number * 1e-6 : 2010.0;
  p.at->error95_horizontal_m = 0.0123 + number * 1e-5;
  p.at->error95_vertical_m = 0.0234 + number * 1e-5;
  p.at->covariance_enu_m2 = {1e-5, 0, 1e-5, 4e-5};
  const auto delivered = frames.deliver(place, p.at->coordinate_epoch);
  if (!delivered) return fail(delivered.error().text);
  p.at->take(*delivered);
  if (asked.varied()) vary(p, number);
  return out;
}

/// The same point under another code, by hand.
occupation::StoredPoint older_version(const occupation::StoredPoint& stored) {
  occupation::StoredPoint out = stored;
  out.uuid = uuid(9999, 2);
  out.point.code = "SUPERSEDED";
  return out;
}

pointbook::CheckShot failed_check(const Asked& asked) {
  pointbook::CheckShot out;
  out.uuid = uuid(9998, 3);
  out.mark = "VM-11";
  out.kind = "closing";
  out.utc = out.stored_at = UtcTime{kStart.ms + asked.points * 90'000LL};
  out.passed = false;
  out.frame = "EPSG:6319";
  out.off_east_m = 0.4;
  out.text = "VM-11 is off by 0.40 m";
  out.at.latitude_deg = asked.origin.latitude_deg;
  out.at.longitude_deg = asked.origin.longitude_deg;
  out.at.coordinate_epoch = 2010.0;
  return out;
}

std::string write(const Asked& asked) {
  const auto frames = geodesy::Frames::open(settings_of(asked));
  if (!frames) return frames.error().text;
  auto book = pointbook::Book::open(asked.path, {"Vellin County deliveries", frames->project_frame(),
                                                 frames->project_frame_wkt(), false, asked.is("training"), kStart});
  if (!book) return book.error().text;
  pointbook::Batch batch;
  for (int i = 0; i < asked.points; ++i) {
    auto point = stored(asked, *frames, i);
    if (!point) return point.error().text;
    if (asked.varied() && i == 12) {
      batch.points.push_back(older_version(*point));
      point->version = 2;
      point->supersedes = batch.points.back().uuid;
      point->changed_by = "crew A";
      point->change_reason = "another code";
    }
    batch.points.push_back(*std::move(point));
  }
  if (asked.is("doubted")) batch.checks.push_back(failed_check(asked));
  batch.events.push_back({{kStart.ms + (asked.points + 1) * 90'000LL}, "day-closed", "the day is closed", ""});
  const auto done = book->append(batch);
  return done ? std::string() : done.error().text;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc != 6) return std::fputs("delivery_book KIND POINTS LATITUDE LONGITUDE FILE.gpkg\n", stderr), 2;
  const Asked asked{argv[1], std::atoi(argv[2]), {std::atof(argv[3]), std::atof(argv[4]), 148.0}, argv[5]};
  const std::string wrong = write(asked);
  if (!wrong.empty()) return std::fprintf(stderr, "%s\n", wrong.c_str()), 1;
  return 0;
}
