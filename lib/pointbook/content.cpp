#include "pointbook/content.hpp"

#include "base/identity.hpp"
#include "base/number.hpp"
#include "pointbook/words.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr int kDegreeDecimals = 11;
constexpr int kMetreDecimals = 6;
constexpr int kSquareMetreDecimals = 12;
constexpr int kYearDecimals = 8;
constexpr int kOtherDecimals = 6;

std::string escaped(std::string_view text) {
  std::string out;
  out.reserve(text.size());
  for (const char c : text) {
    switch (c) {
      case '\\':
        out += "\\\\";
        break;
      case '\n':
        out += "\\n";
        break;
      case '\t':
        out += "\\t";
        break;
      default:
        out.push_back(c);
    }
  }
  return out;
}

std::string number(const std::optional<double>& value, int decimals) {
  return value ? fixed(*value, decimals) : std::string();
}
std::string number(const std::optional<int>& value) {
  return value ? std::to_string(*value) : std::string();
}
std::string instant(const std::optional<UtcTime>& value) {
  return value ? datetime_text(*value) : std::string();
}

class Lines {
 public:
  void add(std::string_view key, std::string_view value) {
    text_.append(key).append("=").append(escaped(value)).append("\n");
  }
  void add(std::string_view key, const std::optional<double>& value, int decimals) {
    add(key, number(value, decimals));
  }
  std::string take() { return std::move(text_); }

 private:
  std::string text_ = "stillpoint-content 1\n";
};

void add_identity(Lines& lines, const occupation::StoredPoint& stored) {
  lines.add("uuid", stored.uuid);
  lines.add("version", std::to_string(stored.version));
  lines.add("supersedes", stored.supersedes);
  lines.add("changed_by", stored.changed_by);
  lines.add("change_reason", stored.change_reason);
  lines.add("name", stored.point.name);
  lines.add("visit", std::to_string(stored.point.visit));
  lines.add("code", stored.point.code);
  lines.add("note", stored.point.note);
  lines.add("status", to_word(stored.point.status));
  lines.add("reasons", hold_reasons_text(stored.point.reasons));
  lines.add("reason_texts", join(stored.point.reason_texts, '\n'));
}

template <class Member>
std::optional<double> of(const std::optional<occupation::Coordinates>& at, Member member) {
  if (!at) return std::nullopt;
  return (*at).*member;
}

void add_coordinates(Lines& lines, const std::optional<occupation::Coordinates>& at) {
  using C = occupation::Coordinates;
  lines.add("coordinate_epoch", of(at, &C::coordinate_epoch), kYearDecimals);
  lines.add("latitude_deg", of(at, &C::latitude_deg), kDegreeDecimals);
  lines.add("longitude_deg", of(at, &C::longitude_deg), kDegreeDecimals);
  lines.add("easting_m", of(at, &C::easting_m), kMetreDecimals);
  lines.add("northing_m", of(at, &C::northing_m), kMetreDecimals);
  lines.add("ellipsoid_height_m", of(at, &C::ellipsoid_height_m), kMetreDecimals);
  lines.add("orthometric_height_m", of(at, &C::orthometric_height_m), kMetreDecimals);
  lines.add("geoid", at ? at->geoid : std::string());
  lines.add("error95_horizontal_m", of(at, &C::error95_horizontal_m), kMetreDecimals);
  lines.add("error95_vertical_m", of(at, &C::error95_vertical_m), kMetreDecimals);
  static constexpr std::array<std::string_view, 4> kCovariance{"covariance_ee_m2", "covariance_en_m2",
                                                               "covariance_nn_m2", "covariance_uu_m2"};
  for (std::size_t i = 0; i < kCovariance.size(); ++i) {
    lines.add(kCovariance[i], at ? std::optional(at->covariance_enu_m2[i]) : std::nullopt, kSquareMetreDecimals);
  }
  lines.add("repeatability_m", of(at, &C::repeatability_m), kMetreDecimals);
  lines.add("effective_epochs", of(at, &C::effective_epochs), kOtherDecimals);
}

void add_provenance(Lines& lines, const occupation::Point& point) {
  lines.add("epochs_used", std::to_string(point.epochs_used));
  lines.add("epochs_refused", std::to_string(point.epochs_refused));
  lines.add("refused", refused_text(point.refused));
  lines.add("source", point.source);
  lines.add("station", number(point.station));
  lines.add("quality", point.quality ? to_word(*point.quality) : std::string_view());
  lines.add("antenna_height_m", point.antenna_height_m, kMetreDecimals);
  lines.add("started_utc", instant(point.started_utc));
  lines.add("finished_utc", instant(point.finished_utc));
  lines.add("flags", join(point.flags, ' '));
  lines.add("error_scale", point.error_scale, kOtherDecimals);
}

std::string epoch_line(const occupation::EpochRecord& e) {
  std::string line = instant(e.utc);
  const auto add = [&line](std::string_view value) { line.append("\t").append(value); };
  add(to_word(e.quality));
  add(number(e.station));
  add(escaped(e.source));
  add(number(e.age_s, kOtherDecimals));
  add(to_word(e.correction));
  add(verdict_word(e));
  add(reasons_text(e.reasons));
  add(number(e.latitude_deg, kDegreeDecimals));
  add(number(e.longitude_deg, kDegreeDecimals));
  for (const auto& metres : {e.ellipsoid_height_m, e.sigma_east_m, e.sigma_north_m, e.sigma_up_m}) {
    add(number(metres, kMetreDecimals));
  }
  return line.append("\n");
}

}  // namespace

std::string_view verdict_word(const occupation::EpochRecord& epoch) noexcept {
  return epoch.accepted ? "accepted" : "refused";
}

EpochsDigest digest_of(const std::vector<occupation::EpochRecord>& epochs) {
  Sha256 hash;
  for (const occupation::EpochRecord& epoch : epochs) hash.add(epoch_line(epoch));
  return {epochs.size(), hash.hex()};
}

std::string canonical_content(const occupation::StoredPoint& stored, const EpochsDigest& epochs) {
  Lines lines;
  add_identity(lines, stored);
  lines.add("frame", stored.point.frame);
  add_coordinates(lines, stored.point.at);
  add_provenance(lines, stored.point);
  lines.add("epochs_kept", std::to_string(epochs.count));
  lines.add("epochs_sha256", epochs.sha256);
  return lines.take();
}

std::string canonical_content(const CheckShot& shot) {
  Lines lines;
  lines.add("uuid", shot.uuid);
  lines.add("version", std::to_string(shot.version));
  lines.add("supersedes", shot.supersedes);
  lines.add("mark", shot.mark);
  lines.add("kind", shot.kind);
  lines.add("utc", datetime_text(shot.utc));
  lines.add("passed", shot.passed ? "1" : "0");
  lines.add("frame", shot.frame);
  lines.add("coordinate_epoch", shot.at.coordinate_epoch, kYearDecimals);
  lines.add("latitude_deg", shot.at.latitude_deg, kDegreeDecimals);
  lines.add("longitude_deg", shot.at.longitude_deg, kDegreeDecimals);
  lines.add("easting_m", shot.at.easting_m, kMetreDecimals);
  lines.add("northing_m", shot.at.northing_m, kMetreDecimals);
  lines.add("ellipsoid_height_m", shot.at.ellipsoid_height_m, kMetreDecimals);
  lines.add("off_east_m", shot.off_east_m, kMetreDecimals);
  lines.add("off_north_m", shot.off_north_m, kMetreDecimals);
  lines.add("off_up_m", shot.off_up_m, kMetreDecimals);
  lines.add("limit_horizontal_m", shot.limit_horizontal_m, kMetreDecimals);
  lines.add("limit_vertical_m", shot.limit_vertical_m, kMetreDecimals);
  lines.add("source", shot.source);
  lines.add("antenna_height_m", shot.antenna_height_m, kMetreDecimals);
  lines.add("text", shot.text);
  lines.add("diagnosis", shot.diagnosis);
  lines.add("point_uuid", shot.point_uuid);
  return lines.take();
}

}  // namespace stillpoint::pointbook
