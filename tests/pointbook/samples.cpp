#include "pointbook/samples.hpp"

#include <stdlib.h>  // mkdtemp

#include <fstream>
#include <iterator>

#include <stdexcept>

#include "base/identity.hpp"

namespace stillpoint::samples {
namespace {

// 2026-06-03T14:05:10Z
constexpr UtcTime kStart{1'780'495'510'000};

UtcTime after(int seconds) {
  return {kStart.ms + seconds * 1000LL};
}

occupation::EpochRecord epoch(int number, int second) {
  occupation::EpochRecord e;
  e.utc = after(number * 100 + second);
  e.quality = second % 7 == 6 ? Quality::rtk_float : Quality::rtk_fixed;
  e.station = 417;
  e.source = "county network";
  e.age_s = 1.0 + 0.1 * second;
  e.correction = second % 5 == 4 ? corrections::State::coasting : corrections::State::fresh;
  e.accepted = second % 7 != 6;
  if (!e.accepted) e.reasons.set(static_cast<std::size_t>(gate::Reason::quality));
  if (!e.accepted) e.reasons.set(static_cast<std::size_t>(gate::Reason::hdop));
  e.latitude_deg = 47.6 + number * 1e-4 + second * 1e-9 / 3;
  e.longitude_deg = -87.4 - number * 1e-4 - second * 1e-9 / 7;
  e.ellipsoid_height_m = 183.25 + second * 0.001 / 3;
  e.sigma_east_m = 0.008;
  e.sigma_north_m = 0.009;
  e.sigma_up_m = 0.014;
  return e;
}

occupation::Coordinates coordinates(int number) {
  occupation::Coordinates at;
  at.latitude_deg = 47.6 + number / 7e4;
  at.longitude_deg = -87.4 - number / 3e4;
  at.ellipsoid_height_m = 183.25 + number / 3.0;
  at.coordinate_epoch = 2026.42;
  at.orthometric_height_m = 217.5 + number / 3.0;
  at.geoid = "County geoid 2024";
  at.error95_horizontal_m = 0.021;
  at.error95_vertical_m = 0.034;
  at.covariance_enu_m2 = {6.4e-5, -1.2e-6, 7.1e-5, 3.0e-4};
  at.repeatability_m = 0.0071;
  at.effective_epochs = 12.75;
  return at;
}

}  // namespace

namespace {

std::string uuid_of(int number, std::uint8_t kind) {
  UuidEntropy entropy{};
  entropy[9] = static_cast<std::uint8_t>(number & 0xFF);
  entropy[8] = static_cast<std::uint8_t>((number >> 8) & 0xFF);
  entropy[7] = static_cast<std::uint8_t>((number >> 16) & 0xFF);
  entropy[6] = kind;
  return make_uuid7(after(number), entropy);
}

}  // namespace

std::string uuid(int number) {
  return uuid_of(number, 0);
}
std::string shot_uuid(int number) {
  return uuid_of(number, 1);
}

pointbook::CheckShot shot(int number) {
  pointbook::CheckShot out;
  out.uuid = shot_uuid(number);
  out.mark = "VM-" + std::to_string(number);
  out.kind = "due";
  out.utc = after(number * 100);
  out.passed = number % 2 == 0;
  out.frame = "EPSG:6319";
  out.at = coordinates(number);
  out.off_east_m = 0.0123456789 * number;
  out.off_north_m = -0.02;
  out.off_up_m = 0.1 + 0.2;
  out.limit_horizontal_m = 0.03;
  out.limit_vertical_m = 0.05;
  out.source = "county network";
  out.antenna_height_m = 1.871;
  out.text = "a sentence, with \"quotes\"";
  out.diagnosis = "a pole section";
  out.stored_at = after(number * 100 + 60);
  return out;
}

pointbook::CheckShot claiming_shot(int number) {
  pointbook::CheckShot out = shot(number);
  out.error_scale = 1.25;
  out.claim_plan_m2 = 1.28e-4, out.claim_up_m2 = 1.96e-4;
  out.scatter_plan_m2 = 5.1e-5, out.scatter_up_m2 = -1e-7;
  out.mark_sigma_plan_m = 0.003;
  return out;
}

occupation::StoredPoint point(int number, std::size_t epochs) {
  occupation::StoredPoint stored;
  stored.uuid = uuid(number);
  stored.stored_at = after(number * 100 + 60);
  occupation::Point& p = stored.point;
  p.name = "CUL-" + std::to_string(number);
  p.code = "CUL-U";
  p.note = "north inlet, \"half\" silted";
  p.status = occupation::PointStatus::held;
  p.reasons = {occupation::HoldReason::too_short, occupation::HoldReason::unresolved};
  p.reason_texts = {"12 s observed, 30 s needed", "two positions 0.42 m apart; neither is proved"};
  p.frame = "EPSG:6319";
  p.at = coordinates(number);
  p.epochs_used = 14;
  p.epochs_refused = 3;
  p.refused[static_cast<std::size_t>(gate::Reason::hdop)] = 2;
  p.refused[static_cast<std::size_t>(gate::Reason::moving)] = 3;
  p.source = "county network";
  p.station = 417;
  p.quality = Quality::rtk_fixed;
  p.antenna_height_m = 1.871;
  p.started_utc = after(number * 100);
  p.finished_utc = UtcTime{after(number * 100 + 20).ms + 250};
  p.flags = {"coasted", "error-scale-not-verified"};
  p.error_scale = 1.0;
  for (std::size_t i = 0; i < epochs; ++i) stored.epochs.push_back(epoch(number, static_cast<int>(i)));
  return stored;
}

pointbook::Identity geographic() {
  return {
      .project = "Harrowfen culvert inventory",
      .frame = "EPSG:6319",
      .frame_wkt =
          R"wkt(GEOGCRS["NAD83(2011)",DATUM["NAD83 (National Spatial Reference System 2011)",ELLIPSOID["GRS 1980",6378137,298.257222101,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],CS[ellipsoidal,3],AXIS["geodetic latitude (Lat)",north,ORDER[1],ANGLEUNIT["degree",0.0174532925199433]],AXIS["geodetic longitude (Lon)",east,ORDER[2],ANGLEUNIT["degree",0.0174532925199433]],AXIS["ellipsoidal height (h)",up,ORDER[3],LENGTHUNIT["metre",1]],ID["EPSG",6319]])wkt",
      .created_at = kStart};
}

pointbook::Identity projected_in_feet() {
  return {
      .project = "Harrowfen culvert inventory",
      .frame = "EPSG:6496",
      .frame_wkt =
          R"wkt(PROJCRS["NAD83(2011) / Michigan North (ft)",BASEGEOGCRS["NAD83(2011)",DATUM["NAD83 (National Spatial Reference System 2011)",ELLIPSOID["GRS 1980",6378137,298.257222101,LENGTHUNIT["metre",1]]],PRIMEM["Greenwich",0,ANGLEUNIT["degree",0.0174532925199433]],ID["EPSG",6318]],CONVERSION["SPCS83 Michigan North zone (International feet)",METHOD["Lambert Conic Conformal (2SP)",ID["EPSG",9802]],PARAMETER["Latitude of false origin",44.7833333333333,ANGLEUNIT["degree",0.0174532925199433],ID["EPSG",8821]],PARAMETER["Longitude of false origin",-87,ANGLEUNIT["degree",0.0174532925199433],ID["EPSG",8822]],PARAMETER["Latitude of 1st standard parallel",47.0833333333333,ANGLEUNIT["degree",0.0174532925199433],ID["EPSG",8823]],PARAMETER["Latitude of 2nd standard parallel",45.4833333333333,ANGLEUNIT["degree",0.0174532925199433],ID["EPSG",8824]],PARAMETER["Easting at false origin",26246719.16,LENGTHUNIT["foot",0.3048],ID["EPSG",8826]],PARAMETER["Northing at false origin",0,LENGTHUNIT["foot",0.3048],ID["EPSG",8827]]],CS[Cartesian,2],AXIS["easting (X)",east,ORDER[1],LENGTHUNIT["foot",0.3048]],AXIS["northing (Y)",north,ORDER[2],LENGTHUNIT["foot",0.3048]],ID["EPSG",6496]])wkt",
      .frame_is_projected = true,
      .created_at = kStart};
}

Folder::Folder() {
  namespace fs = std::filesystem;
  std::error_code error;
  const fs::path base = fs::is_directory("/dev/shm", error) ? fs::path("/dev/shm") : fs::temp_directory_path();
  std::string pattern = (base / "stillpoint-test-XXXXXX").string();
  if (::mkdtemp(pattern.data()) == nullptr) throw std::runtime_error("no temporary folder in " + base.string());
  path_ = pattern;
}

Folder::~Folder() {
  std::error_code error;
  std::filesystem::remove_all(path_, error);
}

void write_file(const std::string& path, std::string_view bytes) {
  std::ofstream out(path, std::ios::binary | std::ios::trunc);
  out.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
}

std::string read_file(const std::string& path) {
  std::error_code error;
  if (!std::filesystem::is_regular_file(path, error)) return {};
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

}  // namespace stillpoint::samples
