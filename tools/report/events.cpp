// Appendix D: everything that happened, in the order of time.

#include <algorithm>

#include "base/number.hpp"
#include "pointbook/happened.hpp"
#include "report/html.hpp"
#include "report/page.hpp"
#include "report/printed.hpp"
#include "report/sentences.hpp"

namespace stillpoint::report {
namespace {

struct Happened {
  UtcTime when;
  std::string who, what;
  bool weighs = false;
};

/// An alert's coming and going are one row; a stay's beginning is told by its end.
bool is_told_elsewhere(const Facts& facts, const pointbook::Event& event) {
  if (event.kind == "occupy") return true;
  return std::any_of(facts.alerts.begin(), facts.alerts.end(), [&](const AlertFact& alert) {
    return alert.key == event.kind && (alert.from == event.utc || alert.until == event.utc);
  });
}

void add_alerts(const Facts& facts, std::vector<Happened>& out) {
  for (const AlertFact& alert : facts.alerts) {
    const std::string end = alert.until ? kSay.until(facts.clock.second(*alert.until)) : kSay.not_over();
    out.push_back({alert.from, "program", alert.text + " (" + end + ")", true});
  }
}

std::vector<Happened> all_of(const Facts& facts) {
  std::vector<Happened> out;
  add_alerts(facts, out);
  for (const pointbook::Event& event : facts.events) {
    if (is_told_elsewhere(facts, event)) continue;
    const std::string by = pointbook::by_of(event);
    out.push_back({event.utc, by.empty() ? "program" : by, event.text, event.kind == "merge-conflict"});
  }
  for (const ChangeFact& change : facts.changes) {
    const std::string what = change.why.empty() ? change.what : kSay.what_and_why(change.what, change.why);
    out.push_back({change.when, change.who.empty() ? kSay.not_recorded() : change.who, what, false});
  }
  for (const pointbook::AntennaSetup& setup : facts.antennas) {
    const std::string height = kSay.antenna_height(facts.measures.length_text(setup.height_m));
    out.push_back({setup.utc, "", setup.reason.empty() ? height : kSay.what_and_why(height, setup.reason), false});
  }
  std::stable_sort(out.begin(), out.end(), [](const Happened& a, const Happened& b) { return a.when < b.when; });
  return out;
}

}  // namespace

std::string events_table(const Facts& facts) {
  Table table("events", kSay.events(), {{"Time"}, {"Who"}, {"What", false, true}});
  for (const Happened& each : all_of(facts))
    table.row(
        {facts.clock.several_days() ? facts.clock.at(each.when) : facts.clock.second(each.when), each.who, each.what},
        each.weighs ? "look" : "");
  return table.html_or(kSay.nothing_recorded());
}

}  // namespace stillpoint::report
