#include "client/offset_sheets.hpp"

#include <algorithm>
#include <utility>

#include "base/number.hpp"
#include "base/offset_measures.hpp"
#include "client/keys.hpp"
#include "client/methods.hpp"
#include "client/offset.hpp"
#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

std::string title_of(const Json& point) {
  const long long visit = count_of(point, "visit");
  const std::string name = cut(ascii(text_of(point, "point")), 26);
  return visit > 1 ? kSayOnScreen.of_visit(name, std::to_string(visit)) : name;
}

OffsetTyped::Stay stay_of(const Json& point, const std::string& distance, const std::string& error) {
  return {text_of(point, "point"), static_cast<int>(std::max(count_of(point, "visit"), 1LL)), distance, error};
}

/// A name that reads like a known one is asked about, as that of any new point.
void make(Desk& desk, const nlohmann::json& params) {
  const auto refused = [params](Desk& at, const Failure& why) {
    if (text_of(why.data, "question") != "name-near") return at.explain(sentence(why.text));
    const std::string name = params["name"];
    nlohmann::json surely = params;
    surely["new"] = true;
    Sheet out;
    out.title = kSayOnScreen.offset_point();
    out.text = kSayOnScreen.reads_like(cut(ascii(name), 30), cut(ascii(text_of(why.data, "candidate")), 30));
    out.choices = {{'N', kSayOnScreen.it_is_new(), cut(ascii(name), 40), [surely](Desk& last) {
                      last.ask({kOffset, surely, {}, {}, 0});
                    }}};
    at.open(std::move(out));
  };
  desk.ask({kOffset, params, {}, refused, 0});
}

void make(Desk& desk, const OffsetTyped& typed) {
  if (typed.name.empty()) return desk.explain(kSayOnScreen.needs_name());
  const auto params = offset_params(typed);
  params ? make(desk, *params) : desk.explain(sentence(params.error().text));
}

/// The height comes last, and may be left empty.
Sheet asking(const std::string& text, std::vector<Field> fields) {
  Sheet out;
  out.title = kSayOnScreen.offset_point();
  out.text = text;
  out.fields = std::move(fields);
  out.fields.push_back({kSayOnScreen.higher_field(), "", kSayOnScreen.not_measured(), false});
  out.yes = kSayOnScreen.make_offset();
  return out;
}

Sheet bearing_sheet(const Json& point) {
  Sheet out = asking(kSayOnScreen.bearing_from(title_of(point)),
                     {{"Name", "", "", false},
                      {kSayOnScreen.distance_field(), "", "", false},
                      {kSayOnScreen.metres_error_field(), fixed(kTapeSigmaM, 2)},
                      {kSayOnScreen.bearing_field(), "", "", false},
                      {kSayOnScreen.degrees_error_field(), fixed(kCompassSigmaDeg, 0)},
                      {kSayOnScreen.declination_field(), "", kSayOnScreen.from_true_north(), false}});
  out.done = [point](Desk& desk) {
    OffsetTyped typed;
    typed.name = desk.value(0);
    typed.stays = {stay_of(point, desk.value(1), desk.value(2))};
    typed.bearing = desk.value(3);
    typed.bearing_error = desk.value(4);
    typed.declination = desk.value(5);
    typed.north = typed.declination.empty() ? "true" : "magnetic";
    typed.up = desk.value(6);
    make(desk, typed);
  };
  return out;
}

Sheet distances_sheet(const Json& first, const Json& second) {
  Sheet out = asking(kSayOnScreen.distances_from(title_of(first), title_of(second)),
                     {{"Name", "", "", false},
                      {kSayOnScreen.first_field(), "", "", false},
                      {kSayOnScreen.second_field(), "", "", false},
                      {kSayOnScreen.metres_error_field(), fixed(kTapeSigmaM, 2)},
                      {kSayOnScreen.side_field(), "", kSayOnScreen.left_or_right(), false}});
  out.done = [first, second](Desk& desk) {
    OffsetTyped typed;
    typed.name = desk.value(0);
    typed.stays = {stay_of(first, desk.value(1), desk.value(3)), stay_of(second, desk.value(2), desk.value(3))};
    const std::string side = desk.value(4);
    const char letter = side.empty() ? ' ' : small_letter(side.front());
    if (letter != 'l' && letter != 'r') return desk.explain(kSayOnScreen.type_side());
    typed.side = to_word(letter == 'l' ? Side::left : Side::right);
    typed.up = desk.value(5);
    make(desk, typed);
  };
  return out;
}

/// The other kept points that somebody stood on, the newest first.
Sheet second_sheet(const Day& day, const Json& first) {
  Sheet out;
  out.title = kSayOnScreen.offset_point();
  for (auto at = day.points.rbegin(); at != day.points.rend(); ++at) {
    const Json& point = *at;
    if (!may_be_measured_from(point) || text_of(point, "point") == text_of(first, "point")) continue;
    out.choices.push_back({0, title_of(point), ascii(text_of(point, "status")) + ", " + sizes_text(point),
                           [first, point](Desk& desk) { desk.open(distances_sheet(first, point)); }});
  }
  out.text = out.choices.empty() ? kSayOnScreen.none_to_measure_from() : kSayOnScreen.choose_second();
  return out;
}

}  // namespace

bool may_be_measured_from(const Json& point) {
  const bool stood = list_of(member(point, "offset"), "from").empty() && number_of(point, "latitude_deg").has_value();
  return stood && text_of(point, "status") != "rejected";
}

Sheet offset_sheet(const Day& day, const Json& point) {
  Sheet out;
  out.title = kSayOnScreen.offset_point();
  out.text = kSayOnScreen.measured_from(title_of(point));
  out.choices = {{'B', kSayOnScreen.with_bearing(), kSayOnScreen.tape_and_compass(),
                  [point](Desk& desk) { desk.open(bearing_sheet(point)); }},
                 {'T', kSayOnScreen.with_two(), kSayOnScreen.tape_alone(),
                  [&day, point](Desk& desk) { desk.open(second_sheet(day, point)); }}};
  return out;
}

}  // namespace stillpoint::client
