// Every sentence of the catalogues, made with the longest values that the program lets in.

#include <doctest/doctest.h>

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "base/quality.hpp"
#include "base/sentence.hpp"
#include "base/sentences.hpp"
#include "config/sentences.hpp"
#include "control/scale_sentences.hpp"
#include "control/sentences.hpp"
#include "corrections/sentences.hpp"
#include "daemon/clients/sentences.hpp"
#include "daemon/common/sentences.hpp"
#include "daemon/feeds/sentences.hpp"
#include "daemon/keeping/sentences.hpp"
#include "daemon/preflight/sentences.hpp"
#include "epoch/sentences.hpp"
#include "estimate/sentences.hpp"
#include "gate/limits.hpp"
#include "gate/sentences.hpp"
#include "geodesy/sentences.hpp"
#include "ntrip/sentences.hpp"
#include "occupation/sentences.hpp"
#include "pointbook/sentences.hpp"
#include "record/sentences.hpp"
#include "session/sentences.hpp"
#include "setup/sentences.hpp"
#include "simulate/said.hpp"
#include "tools/client/screen_sentences.hpp"
#include "tools/client/sentences.hpp"
#include "tools/frames/sentences.hpp"
#include "tools/office/sentences.hpp"
#include "tools/reduce/sentences.hpp"
#include "tools/rehearse/sentences.hpp"
#include "tools/report/sentences.hpp"
#include "tools/simulate/refusals.hpp"
#include "wire/sentences.hpp"

namespace {

using namespace stillpoint;

/// Names, codes and reasons that people choose may be longer; a screen cuts them.
const std::string kName(64, 'W');
const std::string kPath(200, 'p');
/// A projected frame of the data set with its base.
const std::string kLabel = "EPSG:1000000 " + kName + " on EPSG:1000000 " + kName;

std::string longer(std::string a, std::string b) {
  return a.size() < b.size() ? b : a;
}

std::string longest_quality() {
  std::string out;
  for (int i = 0; i < kQualityCount; ++i) out = longer(out, std::string(to_word(static_cast<Quality>(i))));
  return out;
}

std::string all_qualities() {
  std::string out;
  for (int i = 0; i < kQualityCount; ++i) {
    const auto quality = static_cast<Quality>(i);
    if (may_have_source(quality)) out += (out.empty() ? "" : " or ") + std::string(to_word(quality));
  }
  return out;
}

/// The longest value of each kind of place.
std::map<std::string_view, std::string> values() {
  std::map<std::string_view, std::string> out{
      {"blank", longer(corrections::kSay.blank_in("100"), std::string(corrections::kSay.always_blank()))},
      {"geoid", kName},
      {"about", daemon::kSayOfFeeds.by_cut_journal(kPath)},
      {"absent_age", std::string(daemon::kSayBefore.age_unknown())},
      {"address", kPath},
      {"kind_of_height", report::kSay.height_above(kName)},
      {"heights", pointbook::kSay.heights_above(kName)},
      {"reason", kName},
      {"advice", kPath},
      {"against", "10000.000 m (limit 10000.000 m)"},
      {"age", session::kSay.unproven("86400.0", gate::kSay.since_listening("23:59:59"))},
      {"ahead", "10000.0 mm backwards"},
      {"alerts", "1000000 alerts"},
      {"apart", office::kSay.apart("10000.000", "10000.000", office::kSay.maybe_one_place())},
      {"area", kName + " (89.00 S to 89.00 S, 179.00 W to 179.00 W)"},
      {"aside", "10000.0 mm" + control::kSay.to_its_right()},
      {"at", "89.123456 S 179.123456 W"},
      {"axis", "horizontal"},
      {"because", ", " + kPath},
      {"because_of", daemon::kSayOfFeeds.in_place_of(kPath)},
      {"before", office::kSay.applied_before()},
      {"beyond", geodesy::kSay.beyond_the_fault("10000.00", kName)},
      {"bound", "begins"},
      {"bytes", "1000000 bytes"},
      {"by_date", daemon::kSayBefore.by_date()},
      {"cell", kPath + ", line 1000000: easting_m"},
      {"changes", kPath},
      {"by_hand", daemon::kSay.some_by_hand("1000000")},
      {"caster_says", std::string(80, 'W')},
      {"check", std::string(120, 'c')},
      {"checks", office::kSay.and_check_shots("1000000")},
      {"claim", longer(estimate::kSay.assumed_sigma(), estimate::kSay.receivers_figure())},
      {"clock", "23:59 UTC"},
      {"code", "EPSG:1000000"},
      {"column", "1000000"},
      {"complaint", kPath},
      {"condition", client::kSay.assumption_holds()},
      {"conflict", kPath},
      {"conflicts", "1000000 conflicts"},
      {"consequence", kPath},
      {"coordinate_epoch", "observation"},
      {"cost", geodesy::kSay.cost_of_wrong_date(kName, "10000.000")},
      {"count", "1000000"},
      {"kinds_heard", "GGA every 0.1 s, GST every 5 s, other every 86400 s"},
      {"device", kPath},
      {"host", kName},
      {"keys", kPath},
      {"proposed", kName},
      {"stations", "131, 132, 65535, blank"},
      {"typed", kName},
      {"age_told", std::string(setup::kSay.no_age())},
      {"date", "2026-06-03"},
      {"days", "1000000 days"},
      {"decimals", "10 to 10"},
      {"decisions", "1000000 decisions"},
      {"demanded", control::kSay.not_valid(control::kSay.points_demanded("1000000", "20"))},
      {"diagnosis", " (mark-disturbed)"},
      {"differs", geodesy::kSay.moves_with_plate(kName, "120.0", geodesy::kSay.beyond_the_fault("10000.00", kName))},
      {"direction", "higher"},
      {"disks", kPath},
      {"doubt", control::kSay.formula_doubtful()},
      {"drift", "position drifts: 10000.00 m from its mean within 86400 s, the receiver claims 10000.00 m"},
      {"duration", "86400 s"},
      {"ended", pointbook::kSay.was_open()},
      {"entries", "1000000 entries"},
      {"epochs", "1000000 epochs"},
      {"error", kPath},
      {"event", kPath},
      {"evidence", daemon::kSayBefore.rests_on("1000000 visits", "10")},
      {"factor", "1.5"},
      {"fault", kPath},
      {"feed", kName},
      {"feet", "1000000000.000"},
      {"file", kName + ".journal"},
      {"files", "1000000 files of the record are"},
      {"format", "bzip2"},
      {"formula", control::kSay.unequal_axes()},
      {"frames", "19 other frames"},
      {"frame", "EPSG:6319+5703"},
      {"frame_name", kName},
      {"heading", "north"},
      {"height", office::kSay.and_in_height("10000.000")},
      {"height_kind", "orthometric"},
      {"hint", daemon::kSayOfFeeds.is_rate_right("65535")},
      {"how", pointbook::kSay.by_other_name()},
      {"group", " " + std::string(32, 'g')},
      {"instead", ' ' + geodesy::kSay.on_one_realization(kLabel) + ","},
      {"kept", wire::kSay.kept()},
      {"key", "plane_to_phase_centre"},
      {"kinds", "GGA, no GNS, no GSA"},
      {"label", kLabel},
      {"land", kName},
      {"lean", "10000.0 mm"},
      {"left", "1000000000 s"},
      {"length", "10000.00 m"},
      {"limit_name", std::string(24, 'n')},
      {"line", "1000000"},
      {"lines", "1000000 lines"},
      {"list", kPath},
      {"made_for", geodesy::kSay.made_for_it(kName, kName)},
      {"marks", "1000000 marks"},
      {"method", kName},
      {"metres", "10000.00"},
      {"millimetres", "10000000.0"},
      {"moved", report::kSay.has_coordinates_no_more()},
      {"name", kName},
      {"names", simulate::kSay.there_are(kPath)},
      {"number", "65535"},
      {"off", "10000 mm east"},
      {"of_area", daemon::kSayBefore.in_the_area()},
      {"of_source", daemon::kSayBefore.of_this_source(kName)},
      {"operation", kPath},
      {"option", "--pointbook-compare"},
      {"outages", "1000000 outages"},
      {"parameter", kName},
      {"part", daemon::kSayBefore.part("1000000", "1000000")},
      {"path", kPath},
      {"place", kName},
      {"places", "1000000 known marks"},
      {"point", "point"},
      {"points", "1000000 points or checks wait"},
      {"precision", corrections::kSay.whole_seconds()},
      {"process", " (process 4194304)"},
      {"port", "65535"},
      {"qualities", all_qualities()},
      {"quality", longest_quality()},
      {"rate", "0.1 a second"},
      {"reduced", daemon::kSayBefore.by_receiver()},
      {"remarks", " (" + kPath + ")"},
      {"row", pointbook::kSay.check_shot(kName, "2026-06-03T14:05:10.000Z", "1000000")},
      {"rows", "1000000 rows"},
      {"scale", "100.00"},
      {"scenario", kName},
      {"since", longer(gate::kSay.since_listening("23:59:59"), gate::kSay.since_class("23:59:59"))},
      {"seconds", "86400.0"},
      {"sentence", "GGA"},
      {"sentences", "1000000 sentences"},
      {"sender", std::string(45, ':') + " port 65535"},
      {"set", "series 3, set 5, point 2"},
      {"sha256", std::string(64, '0')},
      {"share", "over 99 %"},
      {"shots", "1000000 shots"},
      {"since", report::kSay.since_check("23:59:59")},
      {"size", "1000000 MiB"},
      {"source", kName},
      {"station", gate::kSay.printed_station("65535")},
      {"status", "accepted"},
      {"stays", "1000000 stays"},
      {"suspect", control::kSay.wrong_foot()},
      {"table", "source.assumed_sigma_m"},
      {"taken_at", daemon::kSayBefore.taken_at("2100.0000")},
      {"talker", "GN"},
      {"text", kPath},
      {"time", "2026-06-03T14:05:10.000Z"},
      {"title", kName + " visit 1000000"},
      {"todo", record::kSay.save_again()},
      {"unit", "metres"},
      {"up", ", up 10000.0000 m"},
      {"user", std::string(32, 'u')},
      {"uuid", std::string(36, '0')},
      {"value", kPath},
      {"values", "1000000 values"},
      {"verb", pointbook::kSay.keep_copy()},
      {"verdict", longer(control::kSay.sources_disagree(), corrections::kSay.error_does_not_tell())},
      {"verified", " (scale 100.00" + client::kSay.scale_not_verified()},
      {"version", "10.10.10"},
      {"visit", "1000000"},
      {"visits", session::kSay.visit_number("1000000")},
      {"wanted", kPath},
      {"what", daemon::kSay.the_check()},
      {"when", "; " + client::kSay.counts_after("23:59:59") + "."},
      {"where", kPath},
      {"why", kName},
      {"whose", daemon::kSayOfRecord.the_both()},
      {"word", "observation"},
      {"worth", "1000000.0"},
      {"year", "2100.00"},
      {"years", "120.0"},
  };
  const auto last = gate::kLimits.size();
  for (std::size_t i = 0; i < last + 2; ++i) {
    const gate::Wording& wording = i < last    ? gate::kLimits[i].wording
                                   : i == last ? gate::kReceiversAge
                                               : gate::kOwnAge;
    const std::string unit(i < last ? gate::kLimits[i].setting->shown_unit : " s");
    const std::string number = "86400." + std::string(static_cast<std::size_t>(wording.decimals), '0');
    out["limit"] = longer(out["limit"], number + unit);
    out["measured"] = longer(out["measured"], wording.phrase(number + unit));
  }
  return out;
}

/// The kinds of the places of a sentence, from the left.
std::vector<std::string_view> kinds_of(std::string_view text) {
  std::vector<std::string_view> out;
  for (std::size_t open = 0; (open = text.find('{', open)) != std::string_view::npos; ++open)
    out.push_back(text.substr(open + 1, text.find('}', open) - open - 1));
  return out;
}

std::string made(std::string_view text, const std::map<std::string_view, std::string>& longest) {
  std::vector<std::string_view> parts;
  for (const std::string_view kind : kinds_of(text)) {
    REQUIRE_MESSAGE(longest.contains(kind), "no longest value for {" << kind << "} of: " << text);
    parts.push_back(longest.at(kind));
  }
  return filled(text, parts.data(), parts.size());
}

struct Room {
  const char* name;
  std::vector<std::string_view> sentences;
  std::size_t longest;    ///< characters that are shown of one
  bool laid_out = false;  ///< its blanks are columns
};

/// What people read in the field stands in two lines of 76 characters.
constexpr std::size_t kTwoLines = 2 * 76;
/// What a terminal or a log prints is never cut.
constexpr std::size_t kWhole = 10'000;
/// What an alert tells briefly has 48 characters with the full stop that is put on.
constexpr std::size_t kBriefly = 47;

/// Known to be cut when every value in them is at its longest. Nothing is added here without need.
const std::set<std::string_view> kCut{
    "quality {quality}, source \"{source}\" wants {qualities}",
    "Enough has been collected; kept now it will be held: {hold}.",
    "turn test on {name}: let the pole face {heading}, level the bubble, stand still; keep it when enough seconds have "
    "counted",
    "{what} cannot be compared: {error}",
    "{check}; points are held until a check passes",
    "no mark has passing checks under \"{source}\" and under {list}; check one mark under both",
    "stay {count} of 4 on {name} is kept, the pole facing {heading}; turn the pole to face {heading} and begin the "
    "next: check {name} --turn {word}",
    "source changed from \"{source}\" to \"{source}\": take one mark under both",
    "corrections out for {seconds} s: {why}{place}",
    "{stay} ended: {why}; {result}",
    "{answer}; not counting yet: {why}",
    "{name} reads like {name}, which is there already; use that name with --again, or say --new if it is another point",
    "{name} reads like the mark {name}; check {name} to compare with it, or say --new if it is another point",
    "{name} reads like {name}, which is planned; use that name, or say --new if it is another point",
};

std::vector<Room> rooms() {
  return {{"config", sentences_of(config::kSay), kWhole},
          {"gate", sentences_of(gate::kSay), kTwoLines},
          {"occupation", sentences_of(occupation::kSay), kTwoLines},
          {"estimate", sentences_of(estimate::kSay), kTwoLines},
          {"base", sentences_of(kSayOfBase), kWhole},
          {"control", sentences_of(control::kSay), kWhole},
          {"scales", sentences_of(control::kSayScale), kWhole},
          {"corrections", sentences_of(corrections::kSay), kWhole},
          {"epoch", sentences_of(epoch::kSay), kWhole},
          {"geodesy", sentences_of(geodesy::kSay), kWhole},
          {"record", sentences_of(record::kSay), kWhole},
          {"pointbook", sentences_of(pointbook::kSay), kWhole},
          {"session", sentences_of(session::kSay), kTwoLines},
          {"alerts in brief", sentences_of(session::kSayBriefly), kBriefly},
          {"visits file", sentences_of(session::kSayOfFile), kWhole},
          {"set-up", sentences_of(setup::kSay), kWhole},
          {"casters", sentences_of(ntrip::kSay), kWhole},
          {"wire", sentences_of(wire::kSay), kTwoLines},
          {"daemon", sentences_of(daemon::kSay), kWhole},
          {"machine's alerts in brief", sentences_of(daemon::kSayBriefly), kBriefly},
          {"preflight", sentences_of(daemon::kSayBefore), kWhole},
          {"clients", sentences_of(daemon::kSayToClients), kWhole},
          {"feeds", sentences_of(daemon::kSayOfFeeds), kWhole},
          {"keeping", sentences_of(daemon::kSayOfRecord), kWhole},
          {"scenarios", sentences_of(simulate::kSay), kWhole},
          {"client", sentences_of(client::kSay), kWhole},
          {"screen", sentences_of(client::kSayOnScreen), kWhole},
          {"screen's lines", sentences_of(client::kScreenLines), 77, true},
          {"client's lines", sentences_of(client::kLaidOut), kTwoLines, true},
          {"frames", sentences_of(frames::kSay), kWhole},
          {"frames' headings", sentences_of(frames::kLaidOut), kTwoLines, true},
          {"office", sentences_of(office::kSay), kWhole},
          {"reduction", sentences_of(reduce::kSay), kWhole},
          {"report", sentences_of(report::kSay), kWhole},
          {"rehearsal", sentences_of(rehearse::kSay), kWhole},
          {"log writer", sentences_of(simulate_log::kSay), kWhole}};
}

/// The same with sentences that become part of another one.
std::map<std::string_view, std::string> all_values() {
  auto out = values();
  for (const std::string_view text : sentences_of(occupation::kSay)) out["hold"] = longer(out["hold"], made(text, out));
  out["stay"] = daemon::kSay.stay(kName, "1000000");
  out["held"] = daemon::kSay.held_left("1000000", kName);
  out["answer"] = session::kSay.is_begun(kName, "1000000");
  out["lost"] = session::kSay.some_lost("1000000 epochs");
  out["result"] = session::kSay.nothing_counted();
  out["proof"] = daemon::kSay.proved_at(kName, "23:59:59 UTC");
  out["record"] = daemon::kSay.record_left(daemon::kSay.and_more(kPath, "1000000"), kName);
  return out;
}

void check_form(const std::string& text, bool laid_out = false) {
  CHECK_FALSE(text.empty());
  CHECK(std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; }));
  CHECK(text.find_first_of("{}") == std::string::npos);
  CHECK(text.back() != ' ');
  CHECK(text.back() != ',');
  if (laid_out) return;
  for (const char* wrong : {"  ", " . ", " ,", ".."}) CHECK(text.find(wrong) == std::string::npos);
  CHECK_FALSE(text.ends_with(" ."));
}

}  // namespace

TEST_CASE(
    "every sentence can be made with its longest values, in plain ASCII, and is shown whole but for a known few") {
  const auto longest = all_values();
  for (const Room& room : rooms()) {
    CAPTURE(room.name);
    CHECK_FALSE(room.sentences.empty());
    for (const std::string_view words : room.sentences) {
      const std::string text = made(words, longest);
      CAPTURE(text);
      check_form(text, room.laid_out);
      CHECK((text.size() > room.longest) == kCut.contains(words));
    }
  }
}

TEST_CASE("no room says one thing in two sentences of the same words") {
  for (const Room& room : rooms()) {
    std::set<std::string_view> seen;
    for (const std::string_view words : room.sentences) {
      CAPTURE(words);
      CHECK(seen.insert(words).second);
    }
  }
}

TEST_CASE("every reason is told in short words and with an advice that fits in a line") {
  for (const gate::ReasonWords& row : gate::kReasons) {
    CAPTURE(row.word);
    check_form(std::string(row.short_words));
    CHECK(row.short_words.find('-') == std::string_view::npos);
    CHECK(row.short_words.size() <= 24);
    check_form(std::string(row.advice));
    CHECK(row.advice.size() <= 76);
    CHECK(row.advice.ends_with('.'));
  }
}

TEST_CASE("every measured value is told with its limit, and when it is missing") {
  for (const gate::Limit& limit : gate::kLimits) {
    CAPTURE(limit.setting->key);
    const std::string unit(limit.setting->shown_unit);
    const std::string value = "86400.123" + unit, bound = "86400.122" + unit;
    const auto& beside = limit.is_least() ? gate::kSay.below : gate::kSay.above;
    for (const std::string& text :
         {beside(limit.wording.phrase(value), bound), beside(gate::kSay.not_given(limit.wording.name), bound)}) {
      CAPTURE(text);
      check_form(text);
      CHECK(text.find(bound) != std::string::npos);
      CHECK(text.size() <= 76);
    }
  }
}

TEST_CASE("values are put in from the left, and what is no place stays") {
  CHECK(filled("plain", nullptr, 0) == "plain");
  const std::string_view two[] = {"1", "{x}"};
  CHECK(filled("{a} and {b}.", two, 2) == "1 and {x}.");
  CHECK(filled("{a}{b}", two, 2) == "1{x}");
  CHECK(kinds_of("{a} and {long kind}") == std::vector<std::string_view>{"a", "long kind"});
}
