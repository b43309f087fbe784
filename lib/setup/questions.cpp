#include "setup/questions.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "setup/sentences.hpp"
#include "setup/steps.hpp"
#include "setup/typed.hpp"

namespace stillpoint::setup {
namespace {

using std::string;
using std::string_view;

constexpr double kLongestPole_m = 10.0, kLongestAdapter_m = 1.0, kLongestBare_m = 3.5;
constexpr double kLeastError_m = 0.002, kMostError_m = 100.0, kMostHeightError_m = 200.0, kHeightPart = 1.6;
constexpr double kNetworkError_m = 0.05, kSatelliteError_m = 1.0;
// Without the receiver's own figures an assumed error stands for them, which is larger and never averages.
constexpr double kNetworkAssumed_m = 0.10, kSatelliteAssumed_m = 3.0;
constexpr string_view kEllipsoidWord = "ellipsoid", kObservationWord = "observation", kUtcWord = "UTC";

bool always(const Known&, const Answers&) {
  return true;
}
bool with_network(const Known&, const Answers& answers) {
  return answers.network;
}

Result<double> metres_in(string_view typed, double least_m, double most_m) {
  const auto length = length_of(typed);
  if (!length) return tl::unexpected(length.error());
  if (length->metres < least_m || length->metres > most_m) {
    return fail(kSay.out_of_range(typed, readable(least_m, 3), readable(most_m, 3)));
  }
  return length->metres;
}

/// `0.05 m 0.08 m` in two; a unit behind the last number alone is the first one's too.
std::vector<string> lengths_in(string_view typed) {
  std::vector<string> out;
  for (const string_view word : words_of(typed)) {
    const bool is_number = string_view("0123456789.-").find(word.front()) != string_view::npos;
    if (is_number || out.empty()) {
      out.emplace_back(word);
    } else {
      out.back() += ' ' + string(word);
    }
  }
  const auto has_unit = [](const string& text) { return text.find_first_not_of("0123456789.-") != string::npos; };
  if (out.size() == 2 && has_unit(out[1]) && !has_unit(out[0])) {
    out[0] += out[1].substr(out[1].find_first_not_of("0123456789.-"));
  }
  return out;
}

Result<void> take_wanted(string_view typed, const Known&, Answers& out) {
  out.wanted_horizontal_m.reset();
  out.wanted_vertical_m.reset();
  if (typed == kUnknown) return {};
  if (typed.find(',') != string_view::npos) return fail(kSay.comma(typed));
  const auto both = lengths_in(typed);
  if (both.size() > 2) return fail(kSay.two_lengths(typed));
  const auto horizontal = metres_in(both[0], kLeastError_m, kMostError_m);
  if (!horizontal) return tl::unexpected(horizontal.error());
  const auto vertical = both.size() == 2 ? metres_in(both[1], kLeastError_m, kMostHeightError_m)
                                         : Result<double>(kHeightPart * *horizontal);
  if (!vertical) return tl::unexpected(vertical.error());
  out.wanted_horizontal_m = *horizontal;
  out.wanted_vertical_m = *vertical;
  return {};
}

Question ask_wanted(const Known& known, const Answers& answers) {
  const bool assumed = known.heard.epochs > 0 && known.heard.errors == 0;
  const double usual_m = answers.network ? (assumed ? kNetworkAssumed_m : kNetworkError_m)
                                         : (assumed ? kSatelliteAssumed_m : kSatelliteError_m);
  Question out{"wanted", string(kSay.ask_wanted()),    {string(kSay.hint_wanted())}, {},
               {},       string(kSay.wanted_unknown())};
  out.proposed = readable(usual_m, 3) + " m " + readable(kHeightPart * usual_m, 3) + " m";
  return out;
}

/// A number of the list, a code as `EPSG:6319`, or `?`.
Result<string> frame_of(string_view typed, const Known& known) {
  if (typed == kUnknown) return string(kUnknown);
  if (const auto number = parse_integer(typed)) {
    if (*number < 1 || static_cast<std::size_t>(*number) > known.frames.size()) {
      return fail(kSay.no_such_number(typed, std::to_string(known.frames.size())));
    }
    return known.frames[static_cast<std::size_t>(*number) - 1].code;
  }
  if (typed.find(':') == string_view::npos) return fail(kSay.no_code(typed));
  string code;
  if (auto done = take_text(typed, code); !done) return tl::unexpected(done.error());
  return code;
}

std::vector<Choice> frames_listed(const Known& known) {
  std::vector<Choice> out;
  for (const geodesy::FrameHere& frame : known.frames) {
    string apart(kSay.distance_unknown());
    if (frame.shift) apart = kSay.distance(fixed(std::hypot(frame.shift->east_m, frame.shift->north_m), 2));
    out.push_back({std::to_string(out.size() + 1), frame.name, frame.code + ", " + apart});
  }
  return out;
}

/// The first national frame that plainly serves the place.
string national_number(const Known& known) {
  for (std::size_t i = 0; i < known.frames.size(); ++i) {
    const geodesy::FrameHere& frame = known.frames[i];
    if (!frame.global && frame.doubt.empty() && frame.shift) return std::to_string(i + 1);
  }
  return {};
}

Result<void> take_epoch(string_view typed, Answers& out) {
  const auto year = parse_decimal(typed);
  if (typed != kUnknown && typed != kObservationWord && (!year || *year < 1980 || *year > 2100))
    return fail(kSay.no_year(typed));
  out.network_epoch = string(typed);
  return {};
}

Result<void> take_length(string_view typed, double most_m, Length& out) {
  out = {};
  if (typed == kUnknown) return {};
  const auto length = length_of(typed);
  if (!length) return tl::unexpected(length.error());
  if (length->metres < 0 || length->metres > most_m) return fail(kSay.out_of_range(typed, "0", readable(most_m, 1)));
  // So long a pole without a unit is most often one in feet.
  const bool is_bare = string_view("0123456789.").find(typed.back()) != string_view::npos;
  if (is_bare && length->metres > kLongestBare_m) return fail(kSay.unit_wanted(typed, typed, typed));
  out = *length;
  return {};
}

/// A zone and a unit, or one of the two.
Result<void> take_people(string_view typed, const Known& known, Answers& out) {
  out.zone = known.zone;
  out.unit = has_feet(out) ? Unit::foot : Unit::metre;
  if (typed == kUnknown) {
    out.zone.clear();
    out.unit = Unit::metre;
    return {};
  }
  constexpr string_view kLetters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789_+-/";
  for (const string_view word : words_of(typed)) {
    bool is_unit = false;
    for (const Unit unit : {Unit::metre, Unit::foot, Unit::survey_foot}) {
      if (word != to_word(unit)) continue;
      out.unit = unit;
      is_unit = true;
    }
    if (is_unit) continue;
    const bool is_name =
        word.find_first_not_of(kLetters) == string_view::npos && word.front() >= 'A' && word.front() <= 'Z';
    if (!is_name) return fail(kSay.no_zone(word));
    out.zone = word == kUtcWord ? string() : string(word);
  }
  return {};
}

Question ask_people(const Known& known, const Answers& answers) {
  const string zone = known.zone.empty() ? string(kUtcWord) : known.zone;
  const auto with = [&zone](Unit unit) { return zone + ' ' + string(to_word(unit)); };
  Question out{"people", string(kSay.ask_people()),    {string(kSay.hint_people())}, {},
               {},       string(kSay.people_unknown())};
  out.choices = {{with(Unit::metre), string(kSay.metres()), kSay.times_in(zone)},
                 {with(Unit::foot), string(kSay.feet()), kSay.times_in(zone)},
                 {with(Unit::survey_foot), string(kSay.survey_feet()), kSay.times_in(zone)}};
  out.proposed = with(has_feet(answers) ? Unit::foot : Unit::metre);
  out.is_known = true;
  return out;
}

std::vector<Step> about_work() {
  return {{always,
           [](const Known&, const Answers&) {
             return Question{"project", string(kSay.ask_project()), {}, {}, {}, string(kSay.project_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) {
             out.project.clear();
             return typed == kUnknown ? Result<void>() : take_text(typed, out.project);
           }},
          {always,
           [](const Known&, const Answers&) {
             return Question{"crew", string(kSay.ask_crew()), {}, {}, "A", string(kSay.crew_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) {
             out.crew.clear();
             return typed == kUnknown ? Result<void>() : take_text(typed, out.crew);
           }}};
}

std::vector<Step> about_frame() {
  return {{always, ask_wanted, take_wanted},
          {always,
           [](const Known& known, const Answers&) {
             return Question{"frame",
                             string(kSay.ask_frame()),
                             {string(kSay.hint_frame())},
                             frames_listed(known),
                             national_number(known),
                             string(kSay.frame_unknown())};
           },
           [](string_view typed, const Known& known, Answers& out) -> Result<void> {
             auto code = frame_of(typed, known);
             if (!code) return tl::unexpected(code.error());
             out.frame = *std::move(code);
             return {};
           }},
          {always,
           [](const Known&, const Answers&) {
             return Question{"heights",
                             string(kSay.ask_heights()),
                             {string(kSay.hint_heights())},
                             {{string(kEllipsoidWord), string(kSay.ellipsoid()), string(kSay.as_measured())}},
                             string(kEllipsoidWord),
                             string(kSay.heights_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) -> Result<void> {
             out.geoid_grid.clear();
             return typed == kEllipsoidWord || typed == kUnknown ? Result<void>() : take_text(typed, out.geoid_grid);
           }}};
}

std::vector<Step> about_network() {
  return {{with_network,
           [](const Known& known, const Answers&) {
             return Question{"network-frame",
                             string(kSay.ask_network_frame()),
                             {string(kSay.hint_network_frame())},
                             frames_listed(known),
                             {},
                             string(kSay.network_frame_unknown())};
           },
           [](string_view typed, const Known& known, Answers& out) -> Result<void> {
             auto code = frame_of(typed, known);
             if (!code) return tl::unexpected(code.error());
             out.network_frame = *std::move(code);
             return {};
           }},
          {with_network,
           [](const Known&, const Answers&) {
             return Question{"network-epoch",
                             string(kSay.ask_epoch()),
                             {string(kSay.hint_epoch())},
                             {{string(kObservationWord), string(kSay.observation()), string(kSay.day_of_work())}},
                             {},
                             string(kSay.epoch_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) { return take_epoch(typed, out); }},
          {with_network,
           [](const Known&, const Answers&) {
             return Question{"evidence", string(kSay.ask_evidence()),    {string(kSay.hint_evidence())}, {},
                             {},         string(kSay.evidence_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) { return take_text(typed, out.evidence); }}};
}

std::vector<Step> about_place() {
  return {{always,
           [](const Known&, const Answers&) {
             return Question{"marks",
                             string(kSay.ask_marks()),
                             {string(kSay.hint_marks())},
                             {{kNoneWord, string(kSay.none()), string(kSay.no_proof())}},
                             kNoneWord,
                             string(kSay.marks_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) -> Result<void> {
             out.marks.clear();
             return typed == kNoneWord || typed == kUnknown ? Result<void>() : take_text(typed, out.marks);
           }},
          {always,
           [](const Known&, const Answers&) {
             return Question{"pole", string(kSay.ask_pole()),    {string(kSay.hint_pole())}, {},
                             {},     string(kSay.pole_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) { return take_length(typed, kLongestPole_m, out.pole); }},
          {always,
           [](const Known&, const Answers&) {
             return Question{"adapter", string(kSay.ask_adapter()),    {string(kSay.hint_adapter())}, {},
                             {},        string(kSay.adapter_unknown())};
           },
           [](string_view typed, const Known&, Answers& out) {
             return take_length(typed, kLongestAdapter_m, out.to_measuring_point);
           }},
          {always, ask_people, take_people}};
}

const std::vector<Step>& steps() {
  static const std::vector<Step> kSteps = [] {
    std::vector<Step> all = about_work();
    for (const auto& more : {about_corrections(), about_frame(), about_network(), about_place()})
      all.insert(all.end(), more.begin(), more.end());
    return all;
  }();
  return kSteps;
}

}  // namespace

std::vector<geodesy::FrameHere> frames_of(const Heard& heard, const std::optional<UtcTime>& today) {
  const auto utc = heard.utc ? heard.utc : today;
  if (!heard.place || !utc) return {};
  auto frames = geodesy::frames_here(*heard.place, *utc);
  return frames ? *std::move(frames) : std::vector<geodesy::FrameHere>();
}

bool has_feet(const Answers& answers) noexcept {
  return answers.pole.unit != Unit::metre || answers.to_measuring_point.unit != Unit::metre;
}

Questions::Questions(const Known& known, Link link) : known_(known) {
  answers_.link = std::move(link);
  answers_.zone = known.zone;
}

bool Questions::is_over() const noexcept {
  return at_ >= steps().size();
}

Question Questions::question() const {
  return steps()[at_].question(known_, answers_);
}

bool Questions::wants_mounts() const {
  return !is_over() && question().id == kMountId;
}

Result<string> Questions::answer(string_view typed) {
  const Question asked = question();
  string_view text = trimmed(typed);
  if (text.empty()) text = asked.proposed;
  if (text.empty()) return fail(string(kSay.answer_wanted()));
  if (auto taken = steps()[at_].take(text, known_, answers_); !taken) return tl::unexpected(taken.error());
  passed_.push_back(at_);
  ++at_;
  skip();
  return text == kUnknown ? asked.if_unknown : string();
}

void Questions::skip() {
  while (!is_over() && !steps()[at_].asked(known_, answers_)) ++at_;
}

void Questions::back() {
  if (passed_.empty()) return;
  at_ = passed_.back();
  passed_.pop_back();
}

}  // namespace stillpoint::setup
