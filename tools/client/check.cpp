#include "client/check.hpp"

#include "base/number.hpp"
#include "client/sentences.hpp"
#include "client/wire_names.hpp"

namespace stillpoint::client {
namespace {

std::string off(const Json& check, const char* word, const std::string& key) {
  const Json value = member(check, ("off_" + key + "_m").c_str());
  const Json error = member(check, ("off_" + key + "_error95_m").c_str());
  if (!value.is_number()) return kSay.not_compared(word);
  return std::string(word) + " " + fixed(value.get<double>(), 3) + " m (95 %: " + fixed(error.get<double>(), 3) + " m)";
}

/// What came out, before its numbers; nothing of a stay of a turn test, which passes nothing.
std::string result_word(const Json& check) {
  const std::string outcome = text_of(check, "outcome");
  if (text_of(check, "kind") == "turn" || outcome.empty()) return {};
  if (outcome == "pass") return "PASSED: ";
  if (outcome == "pass-with-note") return kSay.passed_with_note() + " ";
  return member(check, "off_east_m").is_number() ? "FAILED: " : "NOT COMPARED: ";
}

}  // namespace

std::vector<std::string> mark_lines(const Json& answer) {
  std::vector<std::string> out;
  for (const Json& mark : list_of(answer, "marks")) {
    const std::string remarks = ascii(text_of(mark, "remarks"));
    out.push_back(ascii(text_of(mark, "mark")) + "  " + text_of(mark, "status") + "  " + text_of(mark, "frame") +
                  "  height " + text_of(mark, "height") + (remarks.empty() ? "" : "  " + remarks));
  }
  if (out.empty()) out.emplace_back(kSay.no_marks());
  for (const char* key : {"warnings", "errors"}) {
    for (const Json& each : list_of(answer, key)) out.push_back(sentence(each.get<std::string>()));
  }
  return out;
}

std::vector<std::string> check_lines(const Json& check) {
  std::vector<std::string> out{result_word(check) + sentence(text_of(check, "text"))};
  if (const std::string why = text_of(check, "limits"); !why.empty()) out.push_back(sentence(why));
  if (member(check, "off_east_m").is_number()) {
    out.push_back(
        kSay.shot_minus_mark(off(check, "east", "east"), off(check, "north", "north"), off(check, "up", "up")));
  }
  for (const Json& overlap : list_of(check, "overlaps")) out.push_back(sentence(text_of(overlap, "text")));
  for (const Json& note : list_of(check, "notes")) out.push_back(sentence(note.get<std::string>()));
  // What is suspected, how to make sure, what else it may be: each on a line of its own.
  for (const Json& each : list_of(check, "diagnosis_sentences")) out.push_back(sentence(each.get<std::string>()));
  return out;
}

std::vector<std::string> close_lines(const Json& answer) {
  std::vector<std::string> out{sentence(text_of(answer, "text"))};
  for (const Json& held : list_of(answer, "held")) out.push_back(kSay.left_held(sentence(held.get<std::string>())));
  for (const Json& by_hand : list_of(answer, "accepted_by_hand"))
    out.push_back(kSay.by_hand(sentence(by_hand.get<std::string>())));
  const Json& alerts = member(member(answer, "counts"), "alerts");
  std::string list;
  for (const auto& [key, times] : alerts.items()) {
    list += (list.empty() ? "" : ", ") + ascii(key) + " " + std::to_string(count_of(alerts, key));
  }
  if (!list.empty()) out.push_back("Alerts: " + list + ".");
  for (const Json& scale : list_of(answer, "scales")) {
    out.push_back(ascii(scale.get<std::string>()));
  }
  return out;
}

Outcome<void> judge_check(const Json& check) {
  for (const Json& overlap : list_of(check, "overlaps")) {
    if (!flag_of(overlap, "agrees")) {
      return tl::unexpected(Failure{
          kExitRefused, kSay.sources_disagree(ascii(text_of(check, "mark")), ascii(text_of(overlap, "newer_source")))});
    }
  }
  if (text_of(check, "outcome") != "stop") return {};
  if (!member(check, "off_east_m").is_number()) {
    return tl::unexpected(Failure{kExitRefused, kSay.nothing_compared(ascii(text_of(check, "mark")))});
  }
  if (member(check, "turn").is_object()) {
    return tl::unexpected(Failure{kExitRefused, kSay.pole_leans()});
  }
  return tl::unexpected(Failure{kExitRefused, kSay.check_not_passed(ascii(text_of(check, "mark")))});
}

}  // namespace stillpoint::client
