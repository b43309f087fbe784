#include "wire/json.hpp"

#include "occupation/fields.hpp"
#include "occupation/offset_point.hpp"
#include "wire/decimals.hpp"
#include "wire/json_object.hpp"

namespace stillpoint::wire {
namespace {

constexpr int kDegreeDecimals = 11;  // about a micrometre
constexpr int kPlaceDecimals = 6;    // a tenth of a metre: where an outage was
constexpr int kHereDecimals = 8;     // a millimetre: where the pole is
constexpr int kSpreadDecimals = 8;   // variances of millimetres are of the order 1e-6 m2
constexpr int kFactorDecimals = 4;
constexpr int kDopDecimals = 2;
constexpr int kSpeedDecimals = 2;
constexpr std::size_t kStatusSize = 4096;  // most are shorter

void add_reasons(JsonObject& out, const gate::ReasonSet& reasons) {
  out.array("reasons", [&reasons](JsonArray& words) {
    for (std::size_t i = 0; i < reasons.size(); ++i) {
      if (reasons.test(i)) words.text(gate::to_word(static_cast<gate::Reason>(i)));
    }
  });
}

void add_refused_counts(JsonObject& out, const occupation::Point& point) {
  out.object("refused", [&point](JsonObject& refused) {
    for (std::size_t i = 0; i < point.refused.size(); ++i) {
      if (point.refused[i] > 0) refused.count(gate::to_word(static_cast<gate::Reason>(i)), point.refused[i]);
    }
  });
}

/// Members that came after version 1 of the list of fields.
struct NewerMembers {
  JsonObject& out;
  template <class Value>
  void operator()(const occupation::Field& field, const Value& value) {
    if (field.since > 1 && field.shown) add(field, value);
  }

 private:
  void add(const occupation::Field& field, int value) { out.integer(field.name, value); }
  void add(const occupation::Field& field, std::uint64_t value) { out.count(field.name, value); }
  void add(const occupation::Field& field, bool value) { out.flag(field.name, value); }
  void add(const occupation::Field& field, double value) { out.number(field.name, value, field.decimals.shown); }
  void add(const occupation::Field& field, UtcTime value) { out.time(field.name, value); }
  void add(const occupation::Field& field, const std::string& value) { out.text(field.name, value); }
  void add(const occupation::Field& field, const std::vector<std::string>& value) { out.texts(field.name, value); }
  template <class Value>
  void add(const occupation::Field& field, const std::optional<Value>& value) {
    if (!value) return out.null(field.name);
    add(field, *value);
  }
  template <class Value>
  void add(const occupation::Field&, const Value&) {
    // Of the types above: a type of its own needs its own form here.
  }
};

void add_covariance(JsonObject& out, const std::optional<occupation::Coordinates>& at) {
  if (!at) return out.null("covariance_enu_m2");
  out.array("covariance_enu_m2", [&at](JsonArray& spread) {
    for (const double each_m2 : at->covariance_enu_m2) spread.number(each_m2, kSpreadDecimals);
  });
}

/// What there is to tell of coordinates.
struct Told {
  bool one_stay = true;  ///< not of several together
  bool seconds = true;   ///< somebody stood there
  bool height = true;
};

/// The members from `coordinate_epoch` to `effective_epochs`; all null when no epoch was accepted.
void add_coordinates(JsonObject& out, const std::optional<occupation::Coordinates>& at, const Told& told = {}) {
  const auto from = [&](auto member, bool so = true) -> std::optional<double> {
    if (!at || !so) return std::nullopt;
    return (*at).*member;
  };
  using C = occupation::Coordinates;
  out.number("coordinate_epoch", from(&C::coordinate_epoch), kFactorDecimals);
  out.number("latitude_deg", from(&C::latitude_deg), kDegreeDecimals);
  out.number("longitude_deg", from(&C::longitude_deg), kDegreeDecimals);
  out.number("easting_m", from(&C::easting_m), kMetreDecimals);
  out.number("northing_m", from(&C::northing_m), kMetreDecimals);
  out.number("ellipsoid_height_m", from(&C::ellipsoid_height_m, told.height), kMetreDecimals);
  out.number("orthometric_height_m", from(&C::orthometric_height_m, told.height), kMetreDecimals);
  out.text("geoid", at ? std::string_view(at->geoid) : std::string_view());
  out.number("error95_horizontal_m", from(&C::error95_horizontal_m), kMetreDecimals);
  out.number("error95_vertical_m", from(&C::error95_vertical_m, told.height), kMetreDecimals);
  add_covariance(out, at);
  if (told.one_stay) out.number("repeatability_m", from(&C::repeatability_m, told.seconds), kSpreadDecimals);
  out.number("effective_epochs", from(&C::effective_epochs, told.seconds), kFactorDecimals);
}

/// What a hand measured to an offset point; errors 1 sigma, as they were given.
void add_measures(JsonObject& out, const OffsetMeasures& measures) {
  out.array("from", [&measures](JsonArray& stays) {
    for (const MeasuredStay& each : measures.stays) {
      stays.object([&each](JsonObject& stay) {
        stay.text("name", each.name);
        stay.integer("visit", each.visit);
        stay.text("uuid", each.uuid);
        stay.number("distance_m", each.distance_m, kMetreDecimals);
        stay.number("error_m", each.distance_sigma_m, kMetreDecimals);
      });
    }
  });
  const bool bearing = measures.bearing_deg.has_value(), up = measures.up_m.has_value();
  const auto where = [](bool so, double value) { return so ? std::optional(value) : std::nullopt; };
  out.number("bearing_deg", measures.bearing_deg, kFactorDecimals);
  out.number("bearing_error_deg", where(bearing, measures.bearing_sigma_deg), kFactorDecimals);
  out.number("declination_deg", measures.declination_deg, kFactorDecimals);
  out.number("bearing_true_deg", where(bearing, true_bearing_deg(measures)), kFactorDecimals);
  out.text("side", measures.stays.size() == 2 ? to_word(measures.side) : std::string_view());
  out.number("up_m", measures.up_m, kMetreDecimals);
  out.number("up_error_m", where(up, measures.up_sigma_m), kMetreDecimals);
}

/// The base that the point rests on: its number, and where it said that it stands.
void add_point_base(JsonObject& out, const occupation::Point& point) {
  out.integer("station", point.base_station);
  if (!point.base_x_m || !point.base_y_m || !point.base_z_m) return out.null("ecef_m");
  out.array("ecef_m", [&point](JsonArray& ecef) {
    for (const auto& part : {point.base_x_m, point.base_y_m, point.base_z_m}) ecef.number(*part, kMetreDecimals);
  });
}

void add_epoch(JsonObject& out, const session::EpochStatus& epoch) {
  out.time("utc", epoch.utc);
  out.text("quality", to_word(epoch.quality));
  out.integer("satellites", epoch.satellites);
  out.number("hdop", epoch.hdop, kDopDecimals);
  out.number("pdop", epoch.pdop, kDopDecimals);
  out.number("error95_horizontal_m", epoch.error95_horizontal_m, kMetreDecimals);
  out.number("error95_vertical_m", epoch.error95_vertical_m, kMetreDecimals);
  out.integer("station", epoch.station);
  out.number("latitude_deg", epoch.latitude_deg, kHereDecimals);
  out.number("longitude_deg", epoch.longitude_deg, kHereDecimals);
  out.number("speed_mps", epoch.speed_mps, kSpeedDecimals);
}

void add_correction(JsonObject& out, const session::Status& status) {
  const auto& correction = status.correction;
  out.text("state", to_word(correction.state));
  out.number("age_s", correction.age_s, kAgeDecimals);
  if (is_told_from(correction)) {
    out.text("from", to_word(correction.from));
  } else {
    out.null("from");
  }
  out.number("coast_left_s", correction.coast_left_s, kAgeDecimals);
  out.number("fresh_limit_s", status.fresh_limit_s, kAgeDecimals);
  out.number("age_limit_s", status.age_limit_s, kAgeDecimals);
  out.flag("settling", correction.settling);
  out.number("settle_left_s", correction.settle_left_s, kAgeDecimals);
}

void add_verdict(JsonObject& out, const session::Status& status) {
  out.flag("accepted", status.accepted);
  out.array("reasons", [&status](JsonArray& reasons) {
    for (const auto& each : status.reasons) {
      reasons.object([&each](JsonObject& reason) {
        reason.text("code", gate::to_word(each.reason));
        reason.text("text", each.text);
      });
    }
  });
}

void add_occupation(JsonObject& out, const session::OccupationStatus& o) {
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
  out.texts("facts", o.facts);
  out.texts("unproven", o.unproven);
  out.number("error_scale", o.error_scale, kFactorDecimals);
  out.flag("error_scale_verified", o.error_scale_verified);
  out.flag("assumed_sigma", o.assumed_sigma);
  out.time("counts_from_utc", o.counts_from_utc);
  out.time("next_counts_from_utc", o.next_counts_from_utc);
  out.number("wanted_error95_horizontal_m", o.wanted_error95_horizontal_m, kMetreDecimals);
  out.number("wanted_error95_vertical_m", o.wanted_error95_vertical_m, kMetreDecimals);
  out.flag("check", o.check);
  out.text("keep_gives", to_word(o.keep_gives));
  std::vector<std::string> why;
  for (const occupation::HoldReason reason : o.keep_why) why.emplace_back(to_word(reason));
  out.texts("keep_why", why);
  out.texts("keep_texts", o.keep_texts);
  out.number("apart_m", o.apart_m, kMetreDecimals);
  out.count("fell_away", o.fell_away);
  out.count("came_back", o.came_back);
  out.text("recounted", o.recounted);
}

void add_check(JsonObject& out, const session::CheckStatus& check) {
  out.flag("configured", check.configured);
  out.flag("due", check.due);
  out.flag("failed", check.failed);
  out.time("last_utc", check.last_utc);
  out.number("due_in_s", check.due_in_s, 0);
  out.text("text", check.text);
}

void add_delivery(JsonObject& out, const session::DeliveryStatus& delivery) {
  out.text("state", delivery.state);
  out.text("reason", delivery.reason);
  out.text("text", delivery.text);
  out.time("last_frame_utc", delivery.last_frame_utc);
  out.number("age_s", delivery.age_s, kAgeDecimals);
}

void add_base(JsonObject& out, const session::BaseStatus& base) {
  out.integer("station", base.station);
  if (base.ecef_m) {
    out.array("ecef_m", [&base](JsonArray& xyz) {
      for (const double metres : *base.ecef_m) xyz.number(metres, kMetreDecimals);
    });
  } else {
    out.null("ecef_m");
  }
  out.number("distance_m", base.distance_m, kMetreDecimals);
  out.flag("virtual", base.is_virtual);
  out.object("frame_proof", [&base](JsonObject& proof) {
    proof.text("state", to_word(base.proof_state));
    proof.text("text", base.proof_text);
  });
}

void add_store(JsonObject& out, const session::StoreStatus& store) {
  out.count("spooled", store.spooled);
  out.count("stored", store.stored);
  out.count("waiting", store.waiting);
}

void add_damaged(JsonObject& out, const nmea::Damage& damage) {
  out.count("bad-checksum", damage.bad_checksum);
  out.count("no-checksum", damage.no_checksum);
  out.count("oversize", damage.oversize);
  out.count("cut-short", damage.cut_short);
  out.count("malformed", damage.malformed);
  out.count("garbage-bytes", damage.garbage_bytes);
}

void add_alert(JsonObject& out, const session::Alert& alert) {
  out.text("key", alert.key);
  out.text("severity", to_word(alert.severity));
  out.text("text", alert.text);
  out.text("short", alert.brief);
  out.time("since_utc", alert.since_utc);
  if (!alert.since_time.empty()) out.text("since_time", alert.since_time);
  out.flag("seen", alert.seen);
  out.count("id", alert.id);
  out.flag("active", alert.active);
  out.time("until_utc", alert.until_utc);
  out.integer("times", alert.times);
  out.integer("repeats", alert.repeats);
}

/// Writes null for a value that is missing.
template <class T, class Add>
void add_or_null(JsonObject& out, std::string_view key, const std::optional<T>& value, Add&& add) {
  if (!value) return out.null(key);
  out.object(key, [&](JsonObject& inner) { add(inner, *value); });
}

void add_status(JsonObject& out, const session::Status& status) {
  out.time("time_utc", status.time_utc);
  out.flag("training", status.training);
  out.object("feed", [&status](JsonObject& feed) {
    feed.text("state", to_word(status.feed));
    feed.text("what", status.feed_what);
    feed.text("standstill", status.standstill);
  });
  add_or_null(out, "epoch", status.epoch, add_epoch);
  out.text("source", status.source);
  out.object("correction", [&status](JsonObject& correction) { add_correction(correction, status); });
  out.object("verdict", [&status](JsonObject& verdict) { add_verdict(verdict, status); });
  add_or_null(out, "occupation", status.occupation, add_occupation);
  out.array("alerts", [&status](JsonArray& alerts) {
    for (const auto& each : status.alerts) alerts.object([&each](JsonObject& alert) { add_alert(alert, each); });
  });
  out.object("check", [&status](JsonObject& check) { add_check(check, status.check); });
  out.object("store", [&status](JsonObject& store) { add_store(store, status.store); });
  out.object("counters", [&status](JsonObject& counters) {
    for (const auto& [name, count] : status.counters) counters.count(name, count);
  });
  out.text("project", status.project);
  out.text("crew", status.crew);
  out.number("antenna_height_m", status.antenna_height_m, kMetreDecimals);
  out.texts("notes", status.notes);
  add_or_null(out, "base", status.base, add_base);
  add_or_null(out, "delivery", status.delivery, add_delivery);
}

}  // namespace

std::string to_json(const occupation::Point& point) {
  return json_object([&point](JsonObject& out) {
    out.text("point", point.name);
    out.integer("visit", point.visit);
    out.text("status", to_word(point.status));
    out.array("reasons", [&point](JsonArray& reasons) {
      for (const auto reason : point.reasons) reasons.text(to_word(reason));
    });
    out.text("frame", point.frame);
    add_coordinates(out, point.at, {.seconds = point.measures.empty(), .height = !occupation::has_no_height(point)});
    out.count("epochs_used", point.epochs_used);
    out.count("epochs_refused", point.epochs_refused);
    add_refused_counts(out, point);
    out.text("source", point.source);
    out.integer("station", point.station);
    out.text("quality", point.quality ? to_word(*point.quality) : std::string_view());
    out.number("antenna_height_m", point.antenna_height_m, kMetreDecimals);
    out.time("started_utc", point.started_utc);
    out.time("finished_utc", point.finished_utc);
    out.texts("flags", point.flags);
    out.number("error_scale", point.error_scale, kFactorDecimals);
    NewerMembers newer{out};
    occupation::point_fields(newer, point);
    out.text("code", point.code);
    out.text("note", point.note);
    out.texts("reason_texts", point.reason_texts);
    if (point.base_station) out.object("base", [&point](JsonObject& base) { add_point_base(base, point); });
    if (!point.measures.empty()) {
      out.object("offset", [&point](JsonObject& offset) { add_measures(offset, point.measures); });
    }
  });
}

std::string to_json(const occupation::Combined& combined) {
  return json_object([&combined](JsonObject& out) {
    out.text("combined", combined.name);
    out.array("counted", [&combined](JsonArray& counted) {
      for (const int visit : combined.counted) counted.raw(std::to_string(visit));
    });
    out.array("left_out", [&combined](JsonArray& left_out) {
      for (const auto& each : combined.left_out) {
        left_out.object([&each](JsonObject& visit) {
          visit.integer("visit", each.visit);
          visit.text("why", each.why);
        });
      }
    });
    if (combined.counted.size() < 2) {
      out.null("agree");  // one visit agrees with nobody
    } else {
      out.flag("agree", !combined.disagree);
    }
    out.number("separation_m", combined.separation_m, kMetreDecimals);
    out.number("separation_up_m", combined.separation_up_m, kMetreDecimals);
    out.text("frame", combined.frame);
    add_coordinates(out, combined.at, {.one_stay = false});
    out.text("source", combined.source);
    out.flag("error_scale_verified", combined.error_scale_verified);
    out.time("next_counts_from_utc", combined.next_counts_from);
  });
}

std::string to_json(const occupation::EpochRecord& epoch) {
  return json_object([&epoch](JsonObject& out) {
    out.time("utc", epoch.utc);
    out.text("quality", to_word(epoch.quality));
    out.integer("station", epoch.station);
    out.text("source", epoch.source);
    out.number("age_s", epoch.age_s, kAgeDecimals);
    out.text("correction", to_word(epoch.correction));
    out.text("verdict", epoch.accepted ? "accepted" : "refused");
    add_reasons(out, epoch.reasons);
  });
}

std::string to_json(const session::Summary& summary, std::uint64_t points) {
  return json_object([&summary, points](JsonObject& out) {
    out.object("summary", [&summary, points](JsonObject& inner) {
      inner.count("bytes", summary.stream.bytes);
      inner.count("sentences", summary.stream.sentences);
      inner.object("damaged", [&summary](JsonObject& damaged) { add_damaged(damaged, summary.stream.damage); });
      inner.count("epochs", summary.epochs);
      inner.count("accepted", summary.accepted);
      inner.count("refused", summary.refused);
      inner.count("points", points);
    });
  });
}

std::string to_json(const session::Alert& alert) {
  return json_object([&alert](JsonObject& out) { add_alert(out, alert); });
}

std::string to_json(const session::Outage& outage) {
  return json_object([&outage](JsonObject& out) {
    out.time("from_utc", outage.from_utc);
    out.time("until_utc", outage.until_utc);
    out.number("lasted_s", outage.lasted_s, kAgeDecimals);
    out.number("latitude_deg", outage.latitude_deg, kPlaceDecimals);
    out.number("longitude_deg", outage.longitude_deg, kPlaceDecimals);
    out.text("point", outage.point);
    out.text("why", outage.why);
  });
}

std::string to_json(const session::Status& status) {
  return json_object([&status](JsonObject& out) { add_status(out, status); }, kStatusSize);
}

}  // namespace stillpoint::wire
