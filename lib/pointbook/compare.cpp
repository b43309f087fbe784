#include "pointbook/compare.hpp"

#include <algorithm>
#include <array>
#include <charconv>

#include "pointbook/content.hpp"
#include "pointbook/words.hpp"

namespace stillpoint::pointbook {
namespace {

class Writer {
 public:
  void operator()(std::string name, std::string_view value) { out.emplace_back(std::move(name), value); }
  void operator()(std::string name, const std::string& value) { out.emplace_back(std::move(name), value); }
  void operator()(std::string name, const char* value) { out.emplace_back(std::move(name), value); }
  void operator()(std::string name, double value) {
    std::array<char, 32> text{};
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value == 0 ? 0.0 : value).ptr;
    out.emplace_back(std::move(name), std::string(text.data(), end));
  }
  void operator()(std::string name, int value) { out.emplace_back(std::move(name), std::to_string(value)); }
  void operator()(std::string name, std::uint64_t value) { out.emplace_back(std::move(name), std::to_string(value)); }
  void operator()(std::string name, bool value) { out.emplace_back(std::move(name), value ? "yes" : "no"); }
  void operator()(std::string name, UtcTime value) { out.emplace_back(std::move(name), to_text(value)); }
  void operator()(std::string name, Quality value) { out.emplace_back(std::move(name), to_word(value)); }
  template <class Value>
  void operator()(std::string name, const std::optional<Value>& value) {
    if (value) {
      (*this)(std::move(name), *value);
    } else {
      out.emplace_back(std::move(name), std::string());
    }
  }
  Fields out;
};

void write_position(Writer& to, const std::optional<occupation::Coordinates>& given) {
  const auto at = given.value_or(occupation::Coordinates{});
  const auto put = [&](const char* name, double value) { to(name, given ? std::optional(value) : std::nullopt); };
  put("coordinate_epoch", at.coordinate_epoch);
  put("latitude_deg", at.latitude_deg);
  put("longitude_deg", at.longitude_deg);
  to("easting_m", at.easting_m);
  to("northing_m", at.northing_m);
  put("ellipsoid_height_m", at.ellipsoid_height_m);
}

/// What a point says beyond its position; a check shot's row does not hold it.
void write_rest(Writer& to, const std::optional<occupation::Coordinates>& given) {
  const auto at = given.value_or(occupation::Coordinates{});
  const auto put = [&](const char* name, double value) { to(name, given ? std::optional(value) : std::nullopt); };
  to("orthometric_height_m", at.orthometric_height_m);
  to("geoid", at.geoid);
  put("error95_horizontal_m", at.error95_horizontal_m);
  put("error95_vertical_m", at.error95_vertical_m);
  put("covariance_ee_m2", at.covariance_enu_m2[0]);
  put("covariance_en_m2", at.covariance_enu_m2[1]);
  put("covariance_nn_m2", at.covariance_enu_m2[2]);
  put("covariance_uu_m2", at.covariance_enu_m2[3]);
  put("repeatability_m", at.repeatability_m);
  put("effective_epochs", at.effective_epochs);
}

}  // namespace

Fields exact_fields(const occupation::Point& point) {
  Writer to;
  to("name", point.name);
  to("visit", point.visit);
  to("code", point.code);
  to("note", point.note);
  to("status", occupation::to_word(point.status));
  to("reasons", hold_reasons_text(point.reasons));
  to("reason_texts", join(point.reason_texts, '\n'));
  to("frame", point.frame);
  write_position(to, point.at);
  write_rest(to, point.at);
  to("epochs_used", point.epochs_used);
  to("epochs_refused", point.epochs_refused);
  to("refused", refused_text(point.refused));
  to("source", point.source);
  to("station", point.station);
  to("quality", point.quality);
  to("antenna_height_m", point.antenna_height_m);
  to("started_utc", point.started_utc);
  to("finished_utc", point.finished_utc);
  to("flags", join(point.flags, ' '));
  to("error_scale", point.error_scale);
  return std::move(to.out);
}

Fields exact_fields(const occupation::EpochRecord& epoch) {
  Writer to;
  to("utc", epoch.utc);
  to("quality", epoch.quality);
  to("station", epoch.station);
  to("source", epoch.source);
  to("age_s", epoch.age_s);
  to("correction", corrections::to_word(epoch.correction));
  to("verdict", verdict_word(epoch));
  to("reasons", reasons_text(epoch.reasons));
  to("latitude_deg", epoch.latitude_deg);
  to("longitude_deg", epoch.longitude_deg);
  to("ellipsoid_height_m", epoch.ellipsoid_height_m);
  to("sigma_east_m", epoch.sigma_east_m);
  to("sigma_north_m", epoch.sigma_north_m);
  to("sigma_up_m", epoch.sigma_up_m);
  return std::move(to.out);
}

Fields exact_fields(const CheckShot& shot) {
  Writer to;
  to("mark", shot.mark);
  to("kind", shot.kind);
  to("utc", shot.utc);
  to("passed", shot.passed);
  to("frame", shot.frame);
  write_position(to, shot.at);
  to("off_east_m", shot.off_east_m);
  to("off_north_m", shot.off_north_m);
  to("off_up_m", shot.off_up_m);
  to("limit_horizontal_m", shot.limit_horizontal_m);
  to("limit_vertical_m", shot.limit_vertical_m);
  to("source", shot.source);
  to("antenna_height_m", shot.antenna_height_m);
  to("text", shot.text);
  to("diagnosis", shot.diagnosis);
  return std::move(to.out);
}

std::vector<Difference> differences(const Fields& one, const Fields& other) {
  std::vector<Difference> out;
  for (std::size_t i = 0; i < std::min(one.size(), other.size()); ++i) {
    if (one[i].second != other[i].second) out.push_back({one[i].first, one[i].second, other[i].second});
  }
  return out;
}

std::vector<Difference> differences(const occupation::Point& one, const std::vector<occupation::EpochRecord>& epochs,
                                    const occupation::Point& other,
                                    const std::vector<occupation::EpochRecord>& other_epochs) {
  auto out = differences(exact_fields(one), exact_fields(other));
  if (epochs.size() != other_epochs.size()) {
    out.push_back({"epochs", std::to_string(epochs.size()), std::to_string(other_epochs.size())});
  }
  const std::size_t both = std::min(epochs.size(), other_epochs.size());
  for (std::size_t i = 0; i < both; ++i) {
    for (Difference& found : differences(exact_fields(epochs[i]), exact_fields(other_epochs[i]))) {
      found.field = "epoch " + std::to_string(i + 1) + " of " + std::to_string(both) + ": " + found.field;
      out.push_back(std::move(found));
    }
  }
  return out;
}

}  // namespace stillpoint::pointbook
