#include "sentences/longest.hpp"

#include <stdexcept>

#include "base/quality.hpp"
#include "base/sentence.hpp"
#include "base/sentences.hpp"
#include "config/sentences.hpp"
#include "control/scale_sentences.hpp"
#include "control/sentences.hpp"
#include "corrections/delivery.hpp"
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
#include "pointbook/metadata_sentences.hpp"
#include "pointbook/sentences.hpp"
#include "record/sentences.hpp"
#include "session/sentences.hpp"
#include "setup/sentences.hpp"
#include "simulate/said.hpp"
#include "tools/client/screen_sentences.hpp"
#include "tools/client/sentences.hpp"
#include "tools/frames/sentences.hpp"
#include "tools/office/delivery_sentences.hpp"
#include "tools/office/sentences.hpp"
#include "tools/reduce/sentences.hpp"
#include "tools/rehearse/sentences.hpp"
#include "tools/report/sentences.hpp"
#include "tools/simulate/refusals.hpp"
#include "wire/sentences.hpp"

namespace stillpoint::test {
namespace {

const std::string kPath(200, 'p');

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

/// What its operator writes, in words, as long as is kept of it.
std::string said_by_base() {
  std::string out;
  while (out.size() < 120) out += "maintenance ";
  out.back() = '.';
  return out;
}

Longest values(const std::string& name) {
  // A projected frame of the data set with its base.
  const std::string label = "EPSG:1000000 " + name + " on EPSG:1000000 " + name;
  Longest out{
      {"blank", longer(corrections::kSay.blank_in("100"), std::string(corrections::kSay.always_blank()))},
      {"geoid", name},
      {"about", daemon::kSayOfFeeds.by_cut_journal(kPath)},
      {"absent_age", std::string(daemon::kSayBefore.age_unknown())},
      {"address", kPath},
      {"kind_of_height", report::kSay.height_above(name)},
      {"heights", pointbook::kSay.heights_above(name)},
      {"reason", name},
      {"advice", kPath},
      {"against", "10000.000 m (limit 10000.000 m)"},
      {"age", session::kSay.unproven("86400.0", gate::kSay.since_listening("23:59:59"))},
      {"ahead", "10000.0 mm backwards"},
      {"alerts", "1000000 alerts"},
      {"apart", office::kSay.apart("10000.000", "10000.000", office::kSay.maybe_one_place())},
      {"area", name + " (89.00 S to 89.00 S, 179.00 W to 179.00 W)"},
      {"aside", "10000.0 mm" + control::kSay.to_its_right()},
      {"at", "89.123456 S 179.123456 W"},
      {"axis", "horizontal"},
      {"because", ", " + kPath},
      {"because_of", daemon::kSayOfFeeds.in_place_of(kPath)},
      {"before", office::kSay.applied_before()},
      {"beyond", geodesy::kSay.beyond_the_fault("10000.00", name)},
      {"bound", "begins"},
      {"bytes", "1000000 bytes"},
      {"by_date", daemon::kSayBefore.by_date()},
      {"caster_says", std::string(corrections::kLongestDetail, 'W')},
      {"cause", corrections::why_text(corrections::Stop::tls, std::string(corrections::kLongestDetail, 'W'))},
      {"cell", kPath + ", line 1000000: easting_m"},
      {"changes", kPath},
      {"by_hand", daemon::kSay.some_by_hand("1000000")},
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
      {"cost", geodesy::kSay.cost_of_wrong_date(name, "10000.000")},
      {"count", "1000000"},
      {"kinds_heard", "GGA every 0.1 s, GST every 5 s, other every 86400 s"},
      {"device", kPath},
      {"host", name},
      {"keys", kPath},
      {"proposed", name},
      {"stations", "131, 132, 65535, blank"},
      {"typed", name},
      {"age_told", std::string(setup::kSay.no_age())},
      {"date", "2026-06-03"},
      {"days", "1000000 days"},
      {"decimals", "10 to 10"},
      {"decisions", "1000000 decisions"},
      {"demanded", control::kSay.not_valid(control::kSay.points_demanded("1000000", "20"))},
      {"diagnosis", " (mark-disturbed)"},
      {"differs", geodesy::kSay.moves_with_plate(name, "120.0", geodesy::kSay.beyond_the_fault("10000.00", name))},
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
      {"feed", name},
      {"feet", "1000000000.000"},
      {"file", name + ".journal"},
      {"files", "1000000 files of the record are"},
      {"format", "bzip2"},
      {"formula", control::kSay.unequal_axes()},
      {"frame", "EPSG:6319+5703"},
      {"degrees", "-1000000.000"},
      {"frames", "19 other frames"},
      {"frame_name", name},
      {"heading", "north"},
      {"height", office::kSay.and_in_height("10000.000")},
      {"height_kind", "orthometric"},
      {"hint", daemon::kSayOfFeeds.is_rate_right("65535")},
      {"how", pointbook::kSay.by_other_name()},
      {"group", " " + std::string(32, 'g')},
      {"instead", ' ' + geodesy::kSay.on_one_realization(label) + ","},
      {"kept", wire::kSay.kept()},
      {"key", "plane_to_phase_centre"},
      {"kinds", "GGA, no GNS, no GSA"},
      {"label", label},
      {"land", name},
      {"lean", "10000.0 mm"},
      {"left", "1000000000 s"},
      {"length", "10000.00 m"},
      {"limit_name", std::string(24, 'n')},
      {"line", "1000000"},
      {"lines", "1000000 lines"},
      {"list", kPath},
      {"made_for", geodesy::kSay.made_for_it(name, name)},
      {"marks", "1000000 marks"},
      {"method", name},
      {"metres", "10000.00"},
      {"millimetres", "10000000.0"},
      {"moved", report::kSay.has_coordinates_no_more()},
      {"name", name},
      {"names", simulate::kSay.there_are(kPath)},
      {"number", "65535"},
      {"off", "10000 mm east"},
      {"of_area", daemon::kSayBefore.in_the_area()},
      {"of_source", daemon::kSayBefore.of_this_source(name)},
      {"operation", kPath},
      {"option", "--pointbook-compare"},
      {"outages", "1000000 outages"},
      {"parameter", name},
      {"part", daemon::kSayBefore.part("1000000", "1000000")},
      {"path", kPath},
      {"place", name},
      {"places", "1000000 known marks"},
      {"point", "point"},
      {"points", "1000000 points or checks wait"},
      {"port", "65535"},
      {"precision", corrections::kSay.whole_seconds()},
      {"process", " (process 4194304)"},
      {"qualities", all_qualities()},
      {"quality", longest_quality()},
      {"rate", "0.1 a second"},
      {"reduced", daemon::kSayBefore.by_receiver()},
      {"way", std::string(26, 'n') + ": 20015.1 km south-east"},
      {"latitude", "-1000000.000"},
      {"longitude", "-1000000.000"},
      {"remarks", " (" + kPath + ")"},
      {"row", pointbook::kSay.check_shot(name, "2026-06-03T14:05:10.000Z", "1000000")},
      {"rows", "1000000 rows"},
      {"rest", daemon::kSay.pole_held("23:59:59", "1000000 points", ", " + name)},
      {"said", said_by_base()},
      {"scale", "100.00"},
      {"scenario", name},
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
      {"source", name},
      {"station", gate::kSay.printed_station("65535")},
      {"status", "accepted"},
      {"stays", "1000000 stays"},
      {"suspect", control::kSay.wrong_foot()},
      {"table", "source.assumed_sigma_m"},
      {"taken_at", daemon::kSayBefore.taken_at("2100.0000")},
      {"talker", "GN"},
      {"text", kPath},
      {"time", "2026-06-03T14:05:10.000Z"},
      {"title", name + " visit 1000000"},
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
      {"why", name},
      {"whose", daemon::kSayOfRecord.the_both()},
      {"word", "observation"},
      {"worth", "1000000.0"},
      {"year", "2100.00"},
      {"zone", "America/Argentina/Buenos_Aires"},
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

/// What people read in the field stands in two lines of 76 characters.
constexpr std::size_t kTwoLines = 2 * 76;
/// What a terminal or a log prints is never cut.
constexpr std::size_t kWhole = 10'000;
/// What an alert tells briefly has 48 characters with the full stop that is put on.
constexpr std::size_t kBriefly = 47;

}  // namespace

std::vector<std::string_view> kinds_of(std::string_view text) {
  std::vector<std::string_view> out;
  for (std::size_t open = 0; (open = text.find('{', open)) != std::string_view::npos; ++open)
    out.push_back(text.substr(open + 1, text.find('}', open) - open - 1));
  return out;
}

std::string made(std::string_view text, const Longest& longest) {
  std::vector<std::string_view> parts;
  for (const std::string_view kind : kinds_of(text)) {
    const auto value = longest.find(kind);
    if (value == longest.end()) throw std::out_of_range("no longest value for a place of: " + std::string(text));
    parts.push_back(value->second);
  }
  return filled(text, parts.data(), parts.size());
}

std::vector<Room> rooms() {
  return {{"config", sentences_of(config::kSay), kWhole},
          {"gate", sentences_of(gate::kSay), kTwoLines},
          {"occupation", sentences_of(occupation::kSay), kTwoLines},
          {"estimate", sentences_of(estimate::kSay), kTwoLines},
          {"base", sentences_of(kSayOfBase), kWhole},
          {"control", sentences_of(control::kSay), kWhole},
          {"scales", sentences_of(control::kSayScale), kWhole},
          {"corrections", sentences_of(corrections::kSay), kWhole},
          {"corrections that stop", sentences_of(corrections::kSayOfStop), kTwoLines},
          {"corrections that stop, in brief", sentences_of(corrections::kSayOfStopBriefly), kBriefly},
          {"epoch", sentences_of(epoch::kSay), kWhole},
          {"geodesy", sentences_of(geodesy::kSay), kWhole},
          {"record", sentences_of(record::kSay), kWhole},
          {"pointbook", sentences_of(pointbook::kSay), kWhole},
          {"metadata", sentences_of(pointbook::kSayOfData), kWhole},
          {"session", sentences_of(session::kSay), kTwoLines},
          {"alerts in brief", sentences_of(session::kSayBriefly), kBriefly},
          {"visits file", sentences_of(session::kSayOfFile), kWhole},
          {"set-up", sentences_of(setup::kSay), kWhole},
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
          {"casters", sentences_of(ntrip::kSay), kWhole},
          {"frames", sentences_of(frames::kSay), kWhole},
          {"frames' headings", sentences_of(frames::kLaidOut), kTwoLines, true},
          {"office", sentences_of(office::kSay), kWhole},
          {"deliveries", sentences_of(office::kSayOfDelivery), kWhole},
          {"reduction", sentences_of(reduce::kSay), kWhole},
          {"report", sentences_of(report::kSay), kWhole},
          {"rehearsal", sentences_of(rehearse::kSay), kWhole},
          {"log writer", sentences_of(simulate_log::kSay), kWhole}};
}

// Of sentences too that become part of another one.
Longest longest_values(const std::string& name) {
  Longest out = values(name);
  for (const std::string_view text : sentences_of(occupation::kSay)) out["hold"] = longer(out["hold"], made(text, out));
  out["stay"] = daemon::kSay.stay(name, "1000000");
  out["held"] = daemon::kSay.held_left("1000000", name);
  out["answer"] = session::kSay.is_begun(name, "1000000");
  out["lost"] = session::kSay.some_lost("1000000 epochs");
  out["result"] = session::kSay.nothing_counted();
  out["proof"] = daemon::kSay.proved_at(name, "23:59:59 UTC");
  out["record"] = daemon::kSay.record_left(daemon::kSay.and_more(kPath, "1000000"), name);
  return out;
}

}  // namespace stillpoint::test
