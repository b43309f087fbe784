#include "client/acts.hpp"

#include <algorithm>

#include "client/alert_place.hpp"
#include "client/answer.hpp"
#include "client/screen_sentences.hpp"

namespace stillpoint::client {
namespace {

ActShown begin(const Day& day) {
  ActShown out{"1", "Begin", May::no, ""};
  const Json& stay = open_point(day);
  const std::string feed = text_of(member(day.status, "feed"), "state");
  if (stay.is_object()) {
    out.outcome = flag_of(stay, "check") ? kSayOnScreen.check_open() : kSayOnScreen.point_open();
  } else if (feed == "silent" || feed == "waiting" || feed == "ended") {
    out.outcome = kSayOnScreen.no_receiver();
  } else {
    out.may = situation_of(day.status, false).counts() ? May::next : May::yes;
    out.outcome = "start";
  }
  return out;
}

ActShown keep(const Day& day, const Now& now) {
  const Json& stay = open_point(day);
  if (!stay.is_object()) return {"2", "Keep", May::no, kSayOnScreen.no_point()};
  const std::string gives = text_of(stay, "keep_gives");
  const bool check = flag_of(stay, "check");
  if (gives == "nothing" || count_of(stay, "accepted") == 0) return {"2", "Keep", May::no, kSayOnScreen.nothing_yet()};
  if (gives == "accepted")
    return {"2", "Keep", is_enough(day, now) ? May::next : May::yes, check ? "compare" : "accepted"};
  return {"2", "Keep", May::asks, check ? kSayOnScreen.too_short() : kSayOnScreen.to_be_held()};
}

ActShown discard(const Day& day) {
  if (!open_point(day).is_object()) return {"3", "Discard", May::no, kSayOnScreen.no_point()};
  return {"3", "Discard", May::asks, kSayOnScreen.asks_first(), "asks"};
}

ActShown seen(const Day& day) {
  const std::size_t lines = alert_lines_waiting(day), gone = gone_alerts(day);
  if (lines > 1) return {"A", "Seen", May::yes, kSayOnScreen.more_wait(std::to_string(lines - 1))};
  if (lines == 1 && gone > 0) return {"A", "Seen", May::yes, kSayOnScreen.gone(std::to_string(gone))};
  if (lines == 1) return {"A", "Seen", May::yes, "silence"};
  const bool any = !list_of(day.status, "alerts").empty();
  return {"A", "Seen", May::no, any ? kSayOnScreen.all_seen() : kSayOnScreen.no_alerts()};
}

ActShown shown(ActId act, const Day& day, const Now& now) {
  switch (act) {
    case ActId::begin:
      return begin(day);
    case ActId::keep:
      return keep(day, now);
    case ActId::discard:
      return discard(day);
    case ActId::seen:
      return seen(day);
    case ActId::more:
      break;
  }
  return {"M", "More", May::yes, kSayOnScreen.the_rest()};
}

HeldAct held_act(ActId act) {
  return act == ActId::keep ? HeldAct::keep : act == ActId::discard ? HeldAct::discard : HeldAct::none;
}

}  // namespace

ActShown act_shown(ActId act, const Day& day, const Now& now, const Hold& hold) {
  ActShown out = shown(act, day, now);
  if (act == ActId::more) return out;
  if (now.lost) {
    out.may = May::no;
    out.outcome = kSayOnScreen.no_answer();
    return out;
  }
  const HeldAct held = held_act(act);
  if (held == HeldAct::none) return out;
  if (hold.waits() == held) return {"U", "Undo", May::yes, std::to_string(hold.seconds_left(now.ms)) + " s"};
  if (hold.asks(now.ms) == held && out.may == May::asks) {
    out.outcome = kSayOnScreen.again(out.key);
    out.brief = kSayOnScreen.again_brief(out.key);
  }
  return out;
}

}  // namespace stillpoint::client
