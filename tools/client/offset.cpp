#include "client/offset.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "client/sentences.hpp"

namespace stillpoint::client {
namespace {

/// Numbers of one request; the first that is none is remembered.
struct Numbers {
  std::string wrong{};

  void add(nlohmann::json& to, const char* key, const std::string& what, const std::string& typed) {
    if (typed.empty()) return;
    const auto number = typed_number(typed);
    if (number) to[key] = *number;
    if (!number && wrong.empty()) wrong = kSay.no_number(what, typed);
  }
};

std::string stay_text(const Json& stay) {
  const long long visit = count_of(stay, "visit");
  const std::string name = ascii(text_of(stay, "name"));
  return kSay.far_from(fixed(number_of(stay, "distance_m").value_or(0), 3),
                       visit > 1 ? kSay.of_visit(name, std::to_string(visit)) : name);
}

std::string bearing_text(const Json& offset, double bearing_deg) {
  const auto declination_deg = number_of(offset, "declination_deg");
  const std::string true_deg = fixed(number_of(offset, "bearing_true_deg").value_or(bearing_deg), 1);
  if (!declination_deg) return kSay.from_true_north(true_deg);
  return kSay.from_magnetic_north(fixed(bearing_deg, 1), with_sign(*declination_deg, 1), true_deg);
}

}  // namespace

std::optional<double> typed_number(std::string text) {
  std::replace(text.begin(), text.end(), ',', '.');
  return parse_decimal(text);
}

Result<nlohmann::json> offset_params(const OffsetTyped& typed) {
  Numbers numbers;
  nlohmann::json out{{"name", typed.name}, {"from", nlohmann::json::array()}};
  for (const OffsetTyped::Stay& stay : typed.stays) {
    nlohmann::json from{{"name", stay.name}};
    if (stay.visit) from["visit"] = *stay.visit;
    numbers.add(from, "distance_m", kSay.the_distance(), stay.distance);
    numbers.add(from, "error_m", kSay.the_distance_error(), stay.error);
    out["from"].push_back(std::move(from));
  }
  numbers.add(out, "bearing_deg", kSay.the_bearing(), typed.bearing);
  numbers.add(out, "bearing_error_deg", kSay.the_bearing_error(), typed.bearing_error);
  numbers.add(out, "declination_deg", kSay.the_declination(), typed.declination);
  numbers.add(out, "up_m", kSay.the_height(), typed.up);
  numbers.add(out, "up_error_m", kSay.the_height_error(), typed.up_error);
  if (!numbers.wrong.empty()) return fail(std::move(numbers.wrong));
  if (!typed.north.empty()) out["north"] = typed.north;
  if (!typed.side.empty()) out["side"] = typed.side;
  if (!typed.code.empty()) out["code"] = typed.code;
  if (!typed.note.empty()) out["note"] = typed.note;
  if (typed.is_new) out["new"] = true;
  return out;
}

std::string offset_text(const Json& point) {
  const Json& offset = member(point, "offset");
  const Json& from = list_of(offset, "from");
  if (from.empty()) return {};
  std::string out = stay_text(from.front());
  if (from.size() > 1) out += " and " + stay_text(from.back()) + ", " + kSay.on_side(text_of(offset, "side"));
  if (const auto bearing_deg = number_of(offset, "bearing_deg")) out += bearing_text(offset, *bearing_deg);
  const auto up_m = number_of(offset, "up_m");
  if (!up_m) return out + kSay.height_not_measured();
  return out + (from.size() > 1 ? kSay.above_both(with_sign(*up_m, 3)) : kSay.above_it(with_sign(*up_m, 3)));
}

}  // namespace stillpoint::client
