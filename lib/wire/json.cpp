#include "wire/json.hpp"

#include "wire/json_object.hpp"

namespace stillpoint::wire {
namespace {

constexpr int kDegreeDecimals = 11;  // about a micrometre
constexpr int kPlaceDecimals = 6;    // a tenth of a metre: where an outage was
constexpr int kMetreDecimals = 4;
constexpr int kSpreadDecimals = 8;  // variances of millimetres are of the order 1e-6 m2
constexpr int kFactorDecimals = 4;
constexpr int kAgeDecimals = 3;
constexpr int kDopDecimals = 2;

std::string reason_words(const gate::ReasonSet& reasons) {
  JsonArray out;
  for (std::size_t i = 0; i < reasons.size(); ++i) {
    if (reasons.test(i)) out.add(json_string(gate::to_word(static_cast<gate::Reason>(i))));
  }
  return out.close();
}

std::string hold_words(const std::vector<occupation::HoldReason>& reasons) {
  JsonArray out;
  for (const auto reason : reasons) out.add(json_string(to_word(reason)));
  return out.close();
}

std::string refused_counts(const occupation::Point& point) {
  JsonObject out;
  for (std::size_t i = 0; i < point.refused.size(); ++i) {
    if (point.refused[i] > 0) out.count(gate::to_word(static_cast<gate::Reason>(i)), point.refused[i]);
  }
  return out.close();
}

std::string covariance(const std::optional<occupation::Coordinates>& at) {
  if (!at) return "null";
  JsonArray out;
  for (const double each_m2 : at->covariance_enu_m2) out.add(json_number(each_m2, kSpreadDecimals));
  return out.close();
}

/// The members from `coordinate_epoch` to `effective_epochs`; all null when no epoch was accepted.
void add_coordinates(JsonObject& out, const std::optional<occupation::Coordinates>& at, bool of_one_stay = true) {
  const auto from = [&](auto member) -> std::optional<double> {
    if (!at) return std::nullopt;
    return (*at).*member;
  };
  using C = occupation::Coordinates;
  out.number("coordinate_epoch", from(&C::coordinate_epoch), kFactorDecimals);
  out.number("latitude_deg", from(&C::latitude_deg), kDegreeDecimals);
  out.number("longitude_deg", from(&C::longitude_deg), kDegreeDecimals);
  out.number("easting_m", from(&C::easting_m), kMetreDecimals);
  out.number("northing_m", from(&C::northing_m), kMetreDecimals);
  out.number("ellipsoid_height_m", from(&C::ellipsoid_height_m), kMetreDecimals);
  out.number("orthometric_height_m", from(&C::orthometric_height_m), kMetreDecimals);
  out.text("geoid", at ? at->geoid : "");
  out.number("error95_horizontal_m", from(&C::error95_horizontal_m), kMetreDecimals);
  out.number("error95_vertical_m", from(&C::error95_vertical_m), kMetreDecimals);
  out.raw("covariance_enu_m2", covariance(at));
  if (of_one_stay) out.number("repeatability_m", from(&C::repeatability_m), kSpreadDecimals);
  out.number("effective_epochs", from(&C::effective_epochs), kFactorDecimals);
}

std::string epoch_json(const std::optional<session::EpochStatus>& epoch) {
  if (!epoch) return "null";
  JsonObject out;
  out.time("utc", epoch->utc);
  out.text("quality", to_word(epoch->quality));
  out.integer("satellites", epoch->satellites);
  out.number("hdop", epoch->hdop, kDopDecimals);
  out.number("pdop", epoch->pdop, kDopDecimals);
  out.number("error95_horizontal_m", epoch->error95_horizontal_m, kMetreDecimals);
  out.number("error95_vertical_m", epoch->error95_vertical_m, kMetreDecimals);
  out.integer("station", epoch->station);
  return out.close();
}

std::string correction_json(const session::Status& status) {
  const auto& correction = status.correction;
  JsonObject out;
  out.text("state", to_word(correction.state));
  out.number("age_s", correction.age_s, kAgeDecimals);
  out.text("from", to_word(correction.from));
  out.number("coast_left_s", correction.coast_left_s, kAgeDecimals);
  out.number("fresh_limit_s", status.fresh_limit_s, kAgeDecimals);
  out.number("age_limit_s", status.age_limit_s, kAgeDecimals);
  out.flag("settling", correction.settling);
  out.number("settle_left_s", correction.settle_left_s, kAgeDecimals);
  return out.close();
}

std::string verdict_json(const session::Status& status) {
  JsonArray reasons;
  for (const auto& each : status.reasons) {
    JsonObject reason;
    reason.text("code", gate::to_word(each.reason));
    reason.text("text", each.text);
    reasons.add(reason.close());
  }
  JsonObject out;
  out.flag("accepted", status.accepted);
  out.raw("reasons", reasons.close());
  return out.close();
}

std::string occupation_json(const std::optional<session::OccupationStatus>& occupation) {
  if (!occupation) return "null";
  const auto& o = *occupation;
  JsonObject out;
  out.text("name", o.name);
  out.integer("visit", o.visit);
  out.text("code", o.code);
  out.time("since_utc", o.since_utc);
  out.count("accepted", o.accepted);
  out.count("refused", o.refused);
  out.integer("needed_epochs", o.needed_epochs);
  out.number("needed_s", o.needed_s, kAgeDecimals);
  out.flag("enough", o.enough);
  out.number("error95_horizontal_m", o.error95_horizontal_m, kMetreDecimals);
  out.number("error95_vertical_m", o.error95_vertical_m, kMetreDecimals);
  out.number("effective_epochs", o.effective_epochs, kFactorDecimals);
  out.text("advice", o.advice);
  out.number("counted_s", o.counted_s, kAgeDecimals);
  out.raw("facts", json_strings(o.facts));
  out.number("error_scale", o.error_scale, kFactorDecimals);
  out.flag("error_scale_verified", o.error_scale_verified);
  out.time("counts_from_utc", o.counts_from_utc);
  out.time("next_counts_from_utc", o.next_counts_from_utc);
  out.number("wanted_error95_horizontal_m", o.wanted_error95_horizontal_m, kMetreDecimals);
  out.number("wanted_error95_vertical_m", o.wanted_error95_vertical_m, kMetreDecimals);
  out.flag("check", o.check);
  return out.close();
}

std::string store_json(const session::StoreStatus& store) {
  JsonObject out;
  out.count("spooled", store.spooled);
  out.count("stored", store.stored);
  out.count("waiting", store.waiting);
  return out.close();
}

std::string damaged_json(const nmea::Damage& damage) {
  JsonObject out;
  out.count("bad-checksum", damage.bad_checksum);
  out.count("no-checksum", damage.no_checksum);
  out.count("oversize", damage.oversize);
  out.count("cut-short", damage.cut_short);
  out.count("malformed", damage.malformed);
  out.count("garbage-bytes", damage.garbage_bytes);
  return out.close();
}

}  // namespace

std::string to_json(const occupation::Point& point) {
  JsonObject out;
  out.text("point", point.name);
  out.integer("visit", point.visit);
  out.text("status", to_word(point.status));
  out.raw("reasons", hold_words(point.reasons));
  out.text("frame", point.frame);
  add_coordinates(out, point.at);
  out.count("epochs_used", point.epochs_used);
  out.count("epochs_refused", point.epochs_refused);
  out.raw("refused", refused_counts(point));
  out.text("source", point.source);
  out.integer("station", point.station);
  out.text("quality", point.quality ? to_word(*point.quality) : std::string_view());
  out.number("antenna_height_m", point.antenna_height_m, kMetreDecimals);
  out.time("started_utc", point.started_utc);
  out.time("finished_utc", point.finished_utc);
  out.raw("flags", json_strings(point.flags));
  out.number("error_scale", point.error_scale, kFactorDecimals);
  out.text("code", point.code);
  out.text("note", point.note);
  out.raw("reason_texts", json_strings(point.reason_texts));
  return out.close();
}

std::string to_json(const occupation::Combined& combined) {
  JsonArray counted, left_out;
  for (const int visit : combined.counted) counted.add(std::to_string(visit));
  for (const auto& each : combined.left_out) {
    JsonObject visit;
    visit.integer("visit", each.visit);
    visit.text("why", each.why);
    left_out.add(visit.close());
  }
  JsonObject out;
  out.text("combined", combined.name);
  out.raw("counted", counted.close());
  out.raw("left_out", left_out.close());
  out.flag("agree", !combined.disagree);
  out.number("separation_m", combined.separation_m, kMetreDecimals);
  out.number("separation_up_m", combined.separation_up_m, kMetreDecimals);
  out.text("frame", combined.frame);
  add_coordinates(out, combined.at, false);
  out.text("source", combined.source);
  out.flag("error_scale_verified", combined.error_scale_verified);
  out.time("next_counts_from_utc", combined.next_counts_from);
  return out.close();
}

std::string to_json(const occupation::EpochRecord& epoch) {
  JsonObject out;
  out.time("utc", epoch.utc);
  out.text("quality", to_word(epoch.quality));
  out.integer("station", epoch.station);
  out.text("source", epoch.source);
  out.number("age_s", epoch.age_s, kAgeDecimals);
  out.text("correction", to_word(epoch.correction));
  out.text("verdict", epoch.accepted ? "accepted" : "refused");
  out.raw("reasons", reason_words(epoch.reasons));
  return out.close();
}

std::string to_json(const session::Summary& summary, std::uint64_t points) {
  JsonObject inner;
  inner.count("bytes", summary.stream.bytes);
  inner.count("sentences", summary.stream.sentences);
  inner.raw("damaged", damaged_json(summary.stream.damage));
  inner.count("epochs", summary.epochs);
  inner.count("accepted", summary.accepted);
  inner.count("refused", summary.refused);
  inner.count("points", points);
  JsonObject out;
  out.raw("summary", inner.close());
  return out.close();
}

std::string to_json(const session::Alert& alert) {
  JsonObject out;
  out.text("key", alert.key);
  out.text("severity", to_word(alert.severity));
  out.text("text", alert.text);
  out.time("since_utc", alert.since_utc);
  out.flag("seen", alert.seen);
  out.count("id", alert.id);
  out.flag("active", alert.active);
  out.time("until_utc", alert.until_utc);
  out.integer("times", alert.times);
  out.integer("repeats", alert.repeats);
  return out.close();
}

std::string to_json(const session::Outage& outage) {
  JsonObject out;
  out.time("from_utc", outage.from_utc);
  out.time("until_utc", outage.until_utc);
  out.number("lasted_s", outage.lasted_s, kAgeDecimals);
  out.number("latitude_deg", outage.latitude_deg, kPlaceDecimals);
  out.number("longitude_deg", outage.longitude_deg, kPlaceDecimals);
  out.text("point", outage.point);
  out.text("why", outage.why);
  return out.close();
}

std::string to_json(const session::Status& status) {
  JsonObject feed;
  feed.text("state", to_word(status.feed));
  feed.text("what", status.feed_what);
  feed.text("standstill", status.standstill);
  JsonArray alerts;
  for (const auto& each : status.alerts) alerts.add(to_json(each));
  JsonObject counters;
  for (const auto& [key, value] : status.counters) counters.count(key, value);
  JsonObject out;
  out.time("time_utc", status.time_utc);
  out.flag("training", status.training);
  out.raw("feed", feed.close());
  out.raw("epoch", epoch_json(status.epoch));
  out.text("source", status.source);
  out.raw("correction", correction_json(status));
  out.raw("verdict", verdict_json(status));
  out.raw("occupation", occupation_json(status.occupation));
  out.raw("alerts", alerts.close());
  JsonObject check;
  check.flag("configured", status.check.configured);
  check.flag("due", status.check.due);
  check.flag("failed", status.check.failed);
  check.time("last_utc", status.check.last_utc);
  check.text("text", status.check.text);
  out.raw("check", check.close());
  out.raw("store", store_json(status.store));
  out.raw("counters", counters.close());
  out.text("project", status.project);
  out.raw("notes", json_strings(status.notes));
  return out.close();
}

}  // namespace stillpoint::wire
