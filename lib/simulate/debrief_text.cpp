#include <algorithm>

#include "base/number.hpp"
#include "simulate/debrief.hpp"
#include "simulate/said.hpp"
#include "simulate/truth.hpp"

namespace stillpoint::simulate {
namespace {

constexpr std::size_t kColumns = 100, kIndent = 14;

/// `label  text`, the text wrapped between words and indented.
std::string wrapped(std::string_view label, std::string_view text) {
  std::string out = "    " + std::string(label);
  out.resize(std::max(out.size() + 1, kIndent), ' ');
  std::size_t column = out.size();
  while (!text.empty()) {
    const std::size_t space = std::min(text.find(' '), text.size());
    if (column + space > kColumns && column > kIndent) {
      out.erase(out.find_last_not_of(' ') + 1);
      out += "\n" + std::string(kIndent, ' ');
      column = kIndent;
    }
    out += std::string(text.substr(0, space)) + " ";
    column += space + 1;
    text.remove_prefix(std::min(space + 1, text.size()));
  }
  out.erase(out.find_last_not_of(' ') + 1);
  return out + "\n";
}

std::string points_text(double points) {
  std::string text = fixed(points, 1);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return (points > 0 ? "+" : "") + text;
}

std::string head(const Item& item) {
  const std::string when = item.to.ms > 0 ? clock_text(item.from) + " to " + clock_text(item.to) + "  " : "";
  return "  " +
         std::string(item.met                     ? "[met]    "
                     : item.kind == "thrown-away" ? "[wasted] "
                                                  : "[missed] ") +
         when + item.id + "  " + points_text(item.earned) +
         (item.possible > 0 ? " of " + fixed(item.possible, 0) : std::string()) + "\n";
}

std::string block(const Item& item) {
  std::string out = head(item) + wrapped("what", item.what);
  if (!item.said.empty()) out += wrapped("said", item.said);
  out += wrapped("done", item.did);
  if (!item.cost.empty()) out += wrapped("cost", item.cost);
  if (!item.move.empty() && !item.met) out += wrapped("better", item.move);
  return out;
}

std::string section(const Debrief& debrief, std::string_view kind, std::string_view title) {
  std::string out;
  for (const Item& item : debrief.items) {
    if (item.kind == kind) out += block(item);
  }
  return out.empty() ? out : std::string(title) + "\n" + out + "\n";
}

std::string number(const std::optional<double>& value) {
  return value ? fixed(*value, 3) : std::string("null");
}

std::string time(UtcTime utc) {
  return utc.ms > 0 ? json_text(to_text(utc)) : std::string("null");
}

std::string item_json(const Item& i) {
  return "{\"id\":" + json_text(i.id) + ",\"kind\":" + json_text(i.kind) + ",\"from_utc\":" + time(i.from) +
         ",\"to_utc\":" + time(i.to) + ",\"met\":" + (i.met ? "true" : "false") + ",\"earned\":" + fixed(i.earned, 1) +
         ",\"possible\":" + fixed(i.possible, 1) + ",\"off_horizontal_m\":" + number(i.off_m) +
         ",\"off_up_m\":" + number(i.off_up_m) + ",\"what\":" + json_text(i.what) + ",\"said\":" + json_text(i.said) +
         ",\"did\":" + json_text(i.did) + ",\"cost\":" + json_text(i.cost) + ",\"move\":" + json_text(i.move) + "}";
}

}  // namespace

std::string debrief_text(const Debrief& debrief) {
  std::string out = kSay.debrief_of(debrief.scenario) + "\n\n";
  out += section(debrief, "hazard", kSay.what_was_made_of_it());
  out += section(debrief, "point", kSay.what_to_bring_home());
  out += section(debrief, "thrown-away", kSay.thrown_away());
  return out +
         kSay.score(std::to_string(debrief.score), std::to_string(debrief.pass_at),
                    debrief.passed() ? "passed" : kSay.not_passed()) +
         "\n";
}

std::string debrief_json(const Debrief& debrief) {
  std::string out = "{\"scenario\":" + json_text(debrief.scenario) +
                    ",\"training\":true,\"score\":" + std::to_string(debrief.score) +
                    ",\"pass_at\":" + std::to_string(debrief.pass_at) +
                    ",\"passed\":" + (debrief.passed() ? "true" : "false") + ",\"items\":[";
  for (std::size_t i = 0; i < debrief.items.size(); ++i) out += (i > 0 ? ",\n " : "\n ") + item_json(debrief.items[i]);
  return out + "]}\n";
}

}  // namespace stillpoint::simulate
