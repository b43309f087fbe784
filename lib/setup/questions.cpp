#include "setup/questions.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "base/units.hpp"
#include "setup/sentences.hpp"

namespace stillpoint::setup {
namespace {

using std::string;
using std::string_view;

constexpr double kLongestPole_m = 10.0;
constexpr std::size_t kLongestText = 200;
// Written for "both" and the like; not case-sensitive.
constexpr string_view kNetworkWord = "network", kSatellitesWord = "satellites", kBothWord = "both", kNoneWord = "none";

string_view trimmed(string_view text) {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t' || text.back() == '\r')) text.remove_suffix(1);
  return text;
}

/// What stands behind the number, and the number.
std::pair<string_view, string_view> parted(string_view text) {
  const std::size_t end = std::min(text.find_first_not_of("0123456789.-"), text.size());
  return {trimmed(text.substr(0, end)), trimmed(text.substr(end))};
}

Result<double> metres_in(string_view typed, double least_m, double most_m) {
  auto length = length_of(typed);
  if (!length) return tl::unexpected(length.error());
  if (length->metres < least_m || length->metres > most_m) {
    return fail(kSay.out_of_range(typed, readable(least_m, 3), readable(most_m, 3)));
  }
  return length->metres;
}

Result<void> take_text(string_view typed, string& out) {
  if (string fault = typed_fault(kSay.the_answer(), typed, kLongestText); !fault.empty()) {
    return fail(kSay.not_taken(fault));
  }
  out = string(typed);
  return {};
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
  return string(typed);
}

std::vector<string> frames_listed(const Known& known) {
  std::vector<string> out;
  for (std::size_t i = 0; i < known.frames.size(); ++i) {
    const geodesy::FrameHere& frame = known.frames[i];
    string apart(kSay.distance_unknown());
    if (frame.shift) apart = kSay.distance(fixed(std::hypot(frame.shift->east_m, frame.shift->north_m), 2));
    out.push_back(kSay.frame_row(std::to_string(i + 1), frame.code, frame.name, apart));
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

string corrections_heard(const Heard& heard) {
  if (heard.has_network() && heard.has_satellites()) return string(kBothWord);
  if (heard.has_network()) return string(kNetworkWord);
  return string(kSatellitesWord);
}

Result<void> take_corrections(string_view typed, Answers& out) {
  const bool both = typed == kBothWord;
  out.network = both || typed == kNetworkWord;
  out.satellites = both || typed == kSatellitesWord;
  if (out.network || out.satellites) return {};
  return fail(kSay.one_of_three());
}

Result<void> take_epoch(string_view typed, Answers& out) {
  const auto year = parse_decimal(typed);
  if (typed != kUnknown && typed != "observation" && (!year || *year < 1980 || *year > 2100))
    return fail(kSay.no_year(typed));
  out.network_epoch = string(typed);
  return {};
}

Result<void> take_length(string_view typed, double most_m, Length& out) {
  const auto length = length_of(typed);
  if (!length) return tl::unexpected(length.error());
  if (length->metres < 0 || length->metres > most_m) return fail(kSay.out_of_range(typed, "0", readable(most_m, 1)));
  out = *length;
  return {};
}

}  // namespace

Result<Length> length_of(string_view typed) {
  typed = trimmed(typed);
  if (typed.find(',') != string_view::npos) return fail(kSay.comma(typed));
  const auto [number, unit] = parted(typed);
  const auto value = parse_decimal(number);
  if (!value) return fail(kSay.no_length(typed));
  if (unit.empty() || unit == "m") return Length{*value, false};
  if (unit == "mm") return Length{*value / 1000.0, false};
  if (unit == "ft") return Length{*value * kFootM, true};
  return fail(kSay.no_length(typed));
}

Result<Link> link_of(string_view typed) {
  typed = trimmed(typed);
  Link out;
  if (typed.starts_with('/')) {
    out.device = string(typed);
    return out;
  }
  const std::size_t colon = typed.rfind(':');
  const auto port = colon == string_view::npos ? std::nullopt : parse_integer(typed.substr(colon + 1));
  if (!port || *port < 1 || *port > 65535 || colon == 0) return fail(kSay.no_link(typed));
  out.host = string(typed.substr(0, colon));
  out.port = static_cast<int>(*port);
  return out;
}

namespace {

/// One question: whether it is asked, what it says, and what its answer changes.
struct Step {
  bool (*asked)(const Known&, const Answers&);
  Question (*question)(const Known&, const Answers&);
  Result<void> (*take)(string_view, const Known&, Answers&);
};

bool always(const Known& /*known*/, const Answers& /*answers*/) {
  return true;
}
bool with_network(const Known& /*known*/, const Answers& answers) {
  return answers.network;
}

std::vector<Step> about_work() {
  return {
      {always,
       [](const Known&, const Answers&) {
         return Question{string(kSay.ask_project()), {}, {}, {}};
       },
       [](string_view typed, const Known&, Answers& out) { return take_text(typed, out.project); }},
      {always,
       [](const Known&, const Answers&) {
         return Question{string(kSay.ask_crew()), {}, "A", {}};
       },
       [](string_view typed, const Known&, Answers& out) { return take_text(typed, out.crew); }},
      {always,
       [](const Known& known, const Answers&) {
         return Question{
             string(kSay.ask_corrections()), {string(kSay.hint_corrections())}, corrections_heard(known.heard), {}};
       },
       [](string_view typed, const Known&, Answers& out) { return take_corrections(typed, out); }},
      {always,
       [](const Known&, const Answers& answers) {
         return Question{
             string(kSay.ask_wanted()), {string(kSay.hint_wanted())}, answers.network ? "0.05 m" : "1 m", {}};
       },
       [](string_view typed, const Known&, Answers& out) -> Result<void> {
         const auto metres = metres_in(typed, 0.002, 100.0);
         if (!metres) return tl::unexpected(metres.error());
         out.wanted_horizontal_m = *metres;
         return {};
       }},
      {always,
       [](const Known&, const Answers& answers) {
         return Question{string(kSay.ask_wanted_height()), {}, fixed(answers.wanted_horizontal_m * 1.6, 3) + " m", {}};
       },
       [](string_view typed, const Known&, Answers& out) -> Result<void> {
         const auto metres = metres_in(typed, 0.002, 200.0);
         if (!metres) return tl::unexpected(metres.error());
         out.wanted_vertical_m = *metres;
         return {};
       }},
  };
}

std::vector<Step> about_frames() {
  return {
      {always,
       [](const Known& known, const Answers&) {
         std::vector<string> hints = frames_listed(known);
         hints.emplace_back(kSay.hint_frame());
         return Question{string(kSay.ask_frame()), std::move(hints), national_number(known),
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
         return Question{string(kSay.ask_heights()), {string(kSay.hint_heights())}, "ellipsoid", {}};
       },
       [](string_view typed, const Known&, Answers& out) -> Result<void> {
         out.geoid_grid.clear();
         return typed == "ellipsoid" ? Result<void>() : take_text(typed, out.geoid_grid);
       }},
      {with_network,
       [](const Known& known, const Answers&) {
         std::vector<string> hints = frames_listed(known);
         hints.emplace_back(kSay.hint_network_frame());
         return Question{string(kSay.ask_network_frame()), std::move(hints), {}, string(kSay.network_frame_unknown())};
       },
       [](string_view typed, const Known& known, Answers& out) -> Result<void> {
         auto code = frame_of(typed, known);
         if (!code) return tl::unexpected(code.error());
         out.network_frame = *std::move(code);
         return {};
       }},
      {with_network,
       [](const Known&, const Answers&) {
         return Question{string(kSay.ask_epoch()), {string(kSay.hint_epoch())}, {}, string(kSay.epoch_unknown())};
       },
       [](string_view typed, const Known&, Answers& out) { return take_epoch(typed, out); }},
      {with_network,
       [](const Known&, const Answers&) {
         return Question{
             string(kSay.ask_evidence()), {string(kSay.hint_evidence())}, {}, string(kSay.evidence_unknown())};
       },
       [](string_view typed, const Known&, Answers& out) { return take_text(typed, out.evidence); }},
  };
}

std::vector<Step> about_place() {
  return {
      {always,
       [](const Known&, const Answers&) {
         return Question{string(kSay.ask_marks()), {string(kSay.hint_marks())}, string(kNoneWord), {}};
       },
       [](string_view typed, const Known&, Answers& out) -> Result<void> {
         out.marks.clear();
         return typed == kNoneWord ? Result<void>() : take_text(typed, out.marks);
       }},
      {always,
       [](const Known&, const Answers&) {
         return Question{string(kSay.ask_pole()), {string(kSay.hint_pole())}, {}, {}};
       },
       [](string_view typed, const Known&, Answers& out) { return take_length(typed, kLongestPole_m, out.pole); }},
      {always,
       [](const Known&, const Answers&) {
         return Question{string(kSay.ask_adapter()), {string(kSay.hint_adapter())}, {}, {}};
       },
       [](string_view typed, const Known&, Answers& out) { return take_length(typed, 1.0, out.to_measuring_point); }},
  };
}

const std::vector<Step>& steps() {
  static const std::vector<Step> kSteps = [] {
    std::vector<Step> all = about_work();
    for (const auto& more : {about_frames(), about_place()}) all.insert(all.end(), more.begin(), more.end());
    return all;
  }();
  return kSteps;
}

}  // namespace

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

Result<string> Questions::answer(string_view typed) {
  const Question asked = question();
  string_view text = trimmed(typed);
  if (text.empty()) text = asked.proposed;
  if (text.empty()) return fail(string(kSay.answer_wanted()));
  if (text == kUnknown && asked.if_unknown.empty()) return fail(string(kSay.must_be_known()));
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
