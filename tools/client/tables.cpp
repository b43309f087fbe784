#include "client/tables.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "client/offset.hpp"
#include "client/sentences.hpp"
#include "client/wire_names.hpp"
#include "estimate/average.hpp"

namespace stillpoint::client {
namespace {

constexpr std::size_t kTableColumns = 100;

std::string right(const std::string& text, std::size_t width) {
  return text.size() >= width ? text : std::string(width - text.size(), ' ') + text;
}

std::string table_row(const Json& point) {
  const bool offset = has_flag(point, "offset");
  const std::string counted =
      offset ? "offset"
             : std::to_string(count_of(point, "epochs_used")) + "/" + std::to_string(count_of(point, "epochs_refused"));
  std::string line = padded(cut(ascii(text_of(point, "point")), 16), 17);
  line += right(std::to_string(count_of(point, "visit")), 5) + "  ";
  line += padded(cut(ascii(text_of(point, "status")), 8), 9);
  line += right(length_text(number_of(point, "error95_horizontal_m")), 10);
  line += right(length_text(number_of(point, "error95_vertical_m")), 11);
  line += right(counted, 14) + "  ";
  return line + cut(refusals_text(member(point, "refused")), kTableColumns - line.size());
}

bool unverified_scale(const Json& point) {
  return has_flag(point, "error-scale-not-verified");
}

std::string scale_text(const Json& point) {
  const auto scale = number_of(point, "error_scale");
  if (!scale) return "";
  return " (scale " + fixed(*scale, 2) + (unverified_scale(point) ? kSay.scale_not_verified() : ")");
}

/// What a point's error rests on: a receiver without GST has no figure of its own.
std::string basis_of(const Json& point) {
  return has_flag(point, "assumed-sigma") ? kSay.assumption_holds() : kSay.claim_holds();
}

std::string counted_visits(const Json& combined) {
  std::string out;
  for (const Json& visit : list_of(combined, "counted")) {
    if (visit.is_number_integer()) out += (out.empty() ? "" : ", ") + std::to_string(visit.get<long long>());
  }
  return out;
}

/// Numbers of visits, not how many: "visit 2 counts", "visits 1, 3 count".
std::string counting_text(const std::string& visits) {
  return visits.find(',') == std::string::npos ? "visit " + visits + " counts" : "visits " + visits + " count";
}

std::string idle_visits(const Json& combined) {
  std::string out;
  for (const Json& visit : list_of(combined, "left_out")) {
    out += (out.empty() ? "" : ", ") + std::to_string(count_of(visit, "visit")) + " (" +
           refusal_words(text_of(visit, "why")) + ")";
  }
  return out;
}

/// Why a point is held; `resolve` settles it.
std::string held_line(const Json& point) {
  const std::string why = reasons_of(point);
  const long long visit = count_of(point, "visit");
  return kSay.is_held(ascii(text_of(point, "point")), visit > 1 ? " visit " + std::to_string(visit) : "",
                      why.empty() ? kSay.no_reason() : why);
}

std::string position_text(const Json& point) {
  const auto latitude = number_of(point, "latitude_deg");
  const auto longitude = number_of(point, "longitude_deg");
  if (!latitude || !longitude) return kSay.no_position();
  std::string out = "At " + fixed(*latitude, 9) + " " + fixed(*longitude, 9) + " in " + ascii(text_of(point, "frame"));
  if (const auto epoch = number_of(point, "coordinate_epoch")) out += " at " + fixed(*epoch, 2);
  if (const auto height_m = number_of(point, "ellipsoid_height_m")) {
    out += kSay.and_height(fixed(*height_m, 3));
  }
  if (const auto height_m = number_of(point, "orthometric_height_m")) {
    out += ", height " + fixed(*height_m, 3) + " m by " + ascii(text_of(point, "geoid"));
  }
  return out + ".";
}

std::string counted_text(const Json& point) {
  std::string out = kSay.counted(std::to_string(count_of(point, "epochs_used")));
  if (const auto worth = number_of(point, "effective_epochs")) {
    out += *worth < estimate::kLessThanOne ? kSay.moved() : kSay.worth(fixed(*worth, 1));
  }
  out += ", " + std::to_string(count_of(point, "epochs_refused")) + " refused";
  const std::string why = refusals_text(member(point, "refused"));
  return out + (why.empty() ? "." : ": " + why + ".");
}

std::string source_text(const Json& status) {
  const std::string source = ascii(text_of(status, "source"));
  const Json& epoch = member(status, "epoch");
  const std::string name = source.empty() ? "none" : source;
  return number_of(epoch, "station") ? kSay.of_station(name, std::to_string(count_of(epoch, "station"))) : name;
}

std::string second_text(const Json& epoch) {
  const auto horizontal_m = number_of(epoch, "error95_horizontal_m"),
             vertical_m = number_of(epoch, "error95_vertical_m");
  if (!horizontal_m && !vertical_m) return kSay.error_not_known();
  return kSay.second_errors(length_text(horizontal_m), length_text(vertical_m));
}

/// By whose figure, and how many independent seconds were collected.
std::string rests_on(const Json& stay) {
  std::string out = kSay.if_claim_holds();
  if (const auto scale = number_of(stay, "error_scale")) {
    const std::string figure = flag_of(stay, "assumed_sigma") ? "assumed_sigma_m" : kSay.receivers_figure();
    out =
        kSay.scaled(figure, fixed(*scale, 2)) + (flag_of(stay, "error_scale_verified") ? "" : kSay.and_not_verified());
  }
  const auto worth = number_of(stay, "effective_epochs");
  if (!worth) return out;
  const std::string epochs = std::to_string(count_of(stay, "accepted"));
  return out +
         (*worth < estimate::kLessThanOne ? kSay.worth_under_one(epochs) : kSay.worth_of(epochs, fixed(*worth, 1)));
}

}  // namespace

std::vector<std::string> behind_lines(const Json& status) {
  const Json &stay = member(status, "occupation"), &store = member(status, "store");
  std::vector<std::string> out{"Source: " + source_text(status),
                               kSay.this_second() + ": " + second_text(member(status, "epoch"))};
  if (number_of(stay, "error95_horizontal_m")) out.push_back(kSay.errors_rest_on(rests_on(stay)));
  const auto points = [&store](const char* key) { return std::to_string(count_of(store, key)); };
  out.push_back("Points: " + kSay.points_kept(points("spooled"), points("stored"), points("waiting")));
  return out;
}

std::string refusals_text(const Json& refused) {
  if (!refused.is_object()) return {};
  std::vector<std::pair<long long, std::string>> counts;
  for (const auto& [code, count] : refused.items()) {
    if (count.is_number_integer() && count.get<long long>() > 0) counts.emplace_back(count.get<long long>(), code);
  }
  std::stable_sort(counts.begin(), counts.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
  std::string out;
  for (const auto& [count, code] : counts) {
    out += (out.empty() ? "" : ", ") + refusal_words(code) + " " + std::to_string(count);
  }
  return out;
}

std::vector<std::string> points_table(const Json& points) {
  if (points.empty()) return {kSay.no_points()};
  std::vector<std::string> out{kLaidOut.points_header()};
  for (const Json& point : points) out.push_back(table_row(point));
  for (const Json& point : points) {
    if (text_of(point, "status") == "held") out.push_back(held_line(point));
  }
  const auto assumed =
      std::count_if(points.begin(), points.end(), [](const Json& point) { return has_flag(point, "assumed-sigma"); });
  if (static_cast<std::size_t>(assumed) < points.size()) {
    out.emplace_back(kSay.errors_if_claim_holds());
  }
  if (assumed > 0) {
    out.push_back(kSay.errors_if_assumed(counted(static_cast<std::uint64_t>(assumed), "point")));
  }
  std::string unverified;
  for (const Json& point : points) {
    const std::string name = ascii(text_of(point, "source"));
    if (!unverified_scale(point) || name.empty() || unverified.find("\"" + name + "\"") != std::string::npos) continue;
    unverified += (unverified.empty() ? "\"" : ", \"") + name + "\"";
  }
  if (!unverified.empty()) {
    out.push_back(kSay.not_calibrated(unverified));
  }
  const auto open =
      std::count_if(points.begin(), points.end(), [](const Json& point) { return has_flag(point, "day-not-closed"); });
  if (open > 0) {
    out.push_back(kSay.not_closed(std::to_string(open)));
  }
  return out;
}

std::vector<std::string> lost_lines(const Json& lost) {
  std::vector<std::string> out;
  for (const Json& stay : lost) {
    out.push_back(kSay.no_point(ascii(text_of(stay, "text")), clock_of(text_of(stay, "utc"))));
  }
  return out;
}

std::vector<std::string> resolved_lines(const Json& answer) {
  const Json& point = member(answer, "point");
  std::vector<std::string> out;
  if (const std::string why = reasons_of(point); !why.empty()) out.push_back(kSay.was_held(why));
  for (std::string& line : point_sentences(point, "")) out.push_back(std::move(line));
  return out;
}

std::vector<std::string> combined_lines(const Json& combined) {
  std::vector<std::string> out;
  for (const Json& each : combined) {
    const std::string name = ascii(text_of(each, "combined"));
    const std::string counted = counted_visits(each);
    if (counted.empty()) {
      out.push_back(kSay.no_accepted_visit(name));
      continue;
    }
    out.push_back(kSay.together(name, counting_text(counted), length_text(number_of(each, "error95_horizontal_m")),
                                length_text(number_of(each, "error95_vertical_m")),
                                flag_of(each, "error_scale_verified") ? "." : kSay.not_verified()));
    if (member(each, "agree").is_boolean() && !flag_of(each, "agree")) {
      out.push_back("  " + kSay.visits_disagree(length_text(number_of(each, "separation_m")),
                                                length_text(number_of(each, "separation_up_m"))));
    }
    const std::string left = idle_visits(each), next = text_of(each, "next_counts_from_utc");
    const std::string when = next.empty() ? "" : kSay.counts_after(clock_of(next));
    if (!left.empty()) out.push_back("  " + kSay.adding_nothing(left, when.empty() ? "." : "; " + when + "."));
    if (left.empty() && !when.empty()) out.push_back("  " + sentence(when));
  }
  return out;
}

std::vector<std::string> point_sentences(const Json& point, const std::string& storage) {
  std::vector<std::string> out;
  out.push_back(ascii(text_of(point, "point")) + ", visit " + std::to_string(count_of(point, "visit")) + ": " +
                ascii(text_of(point, "status")) + ".");
  out.push_back(position_text(point));
  const auto plan_m = number_of(point, "error95_horizontal_m");
  if (plan_m) {
    out.push_back(kSay.error_of_point(length_text(plan_m), length_text(number_of(point, "error95_vertical_m")),
                                      basis_of(point), scale_text(point)));
  }
  if (has_flag(point, "claim-not-proven")) {
    out.emplace_back(kSay.claim_not_proven());
  }
  if (has_flag(point, "receiver-error-refuted")) {
    out.emplace_back(kSay.scatter_too_large());
  }
  if (has_flag(point, "week-rollover")) {
    out.emplace_back(kSay.date_put_right());
  }
  if (has_flag(point, "date-behind-clock")) {
    out.emplace_back(kSay.date_behind());
  }
  const std::string offset = offset_text(point);
  out.push_back(offset.empty() ? counted_text(point) : kSay.offset_from(offset));
  if (storage == "spooled") out.emplace_back(kSay.safe_on_disk());
  if (storage == "stored") out.emplace_back(kSay.safe_in_book());
  return out;
}

std::string alert_line(const Json& alert) {
  const std::string until = text_of(alert, "until_utc");
  std::string line = since_of(alert);
  line += is_gone(alert) ? "  to " + clock_of(until) + "  " : "  " + kSay.until_now() + "    ";
  line += padded(severity_words(text_of(alert, "severity")), 15) + sentence(text_of(alert, "text"));
  const double times = number_of(alert, "times").value_or(1);
  if (times > 1) line += "  " + kSay.coming_and_going_again(fixed(times, 0));
  return flag_of(alert, "seen") ? line : line + "  NOT SEEN";
}

std::string outage_line(const Json& outage) {
  const std::string until = text_of(outage, "until_utc");
  std::string line = "  " + clock_of(text_of(outage, "from_utc")) +
                     (until.empty() ? "  " + kSay.until_now() + "   " : "  to " + clock_of(until));
  line += "  " + fixed(number_of(outage, "lasted_s").value_or(0), 0) + " s  " + text_of(outage, "why");
  const auto latitude_deg = number_of(outage, "latitude_deg"), longitude_deg = number_of(outage, "longitude_deg");
  if (latitude_deg && longitude_deg) line += ", near " + fixed(*latitude_deg, 5) + " " + fixed(*longitude_deg, 5);
  const std::string point = text_of(outage, "point");
  return point.empty() ? line : line + ", on " + ascii(point);
}

std::vector<std::string> alert_lines(const Json& result) {
  std::vector<std::string> out;
  for (const Json& alert : list_of(result, "alerts")) out.push_back(alert_line(alert));
  if (out.empty()) out.emplace_back(kSay.no_alerts_today());
  const Json& outages = list_of(result, "outages");
  if (!outages.empty()) out.emplace_back("Outages:");
  for (const Json& outage : outages) out.push_back(outage_line(outage));
  return out;
}

std::vector<std::string> antenna_lines(const Json& result) {
  std::vector<std::string> out;
  const std::string text = text_of(result, "text");
  const auto height_m = number_of(result, "height_m");
  if (!text.empty()) out.push_back(sentence(text));
  if (text.empty() && height_m) out.push_back(kSay.antenna_above(fixed(*height_m, 3)));
  const Json& parts = member(result, "parts");
  if (!parts.is_object()) return out;
  for (const auto& [name, part] : parts.items()) {
    if (!part.is_number()) continue;
    std::string words = ascii(name);
    std::replace(words.begin(), words.end(), '_', ' ');
    out.push_back("  " + padded(words, 28) + right(fixed(part.get<double>(), 3), 8) + " m");
  }
  return out;
}

}  // namespace stillpoint::client
