#include "client/hands.hpp"

#include <algorithm>
#include <utility>

#include "client/alert_place.hpp"
#include "client/keys.hpp"
#include "client/methods.hpp"
#include "client/screen_sentences.hpp"
#include "client/sheets.hpp"

namespace stillpoint::client {

bool Hands::press(std::string_view key, const Panel& panel) {
  if (desk_.is_open()) {
    desk_.press(key, rows_for_choices(panel));
  } else if (key.size() == 1) {
    press_free(small_letter(key.front()), panel.now, is_narrow(panel.columns));
  }
  const Desk::Aside aside = desk_.take_aside();
  if (aside == Desk::Aside::quiet) wants_quiet_ = true;
  return aside != Desk::Aside::leave;
}

void Hands::look(const Now& now) {
  const auto due = hold_.due(open_point(day_), now.lost, now.ms);
  if (!due) return;
  if (due->is_open) return ask_about(due->act == HeldAct::keep ? kKeep : kDiscard, due->name, due->visit);
  desk_.tell(now.lost ? kSayOnScreen.nothing_done_lost() : kSayOnScreen.nothing_done_other());
}

bool Hands::take_quiet() noexcept {
  return std::exchange(wants_quiet_, false);
}

void Hands::press_free(char key, const Now& now, bool narrow) {
  if (key != '2' && key != '3') hold_.forget_question();
  switch (key) {
    case '1':
      if (!refuses(ActId::begin, now)) desk_.open(name_sheet(day_));
      return;
    case '2':
      return keep_or_discard(ActId::keep, HeldAct::keep, now);
    case '3':
      return keep_or_discard(ActId::discard, HeldAct::discard, now);
    case 'u':
      return undo();
    case 'a':
      return see(now);
    case 's':
      wants_quiet_ = true;
      return;
    case 'm':
      return desk_.open(more_sheet(day_, now, narrow));
    case '?':
    case 'h':
      return desk_.open(help_sheet(narrow));
    case 'q':
      return desk_.put_aside(Desk::Aside::leave);
    default:
      if (key != kEscapeKey.front()) desk_.tell(kSayOnScreen.idle_key());
  }
}

/// True, and said why: it cannot be done now.
bool Hands::refuses(ActId act, const Now& now) {
  const ActShown shown = act_shown(act, day_, now, Hold());
  if (shown.may == May::no) desk_.tell(kSayOnScreen.cannot(shown.name, shown.outcome));
  return shown.may == May::no;
}

void Hands::keep_or_discard(ActId act, HeldAct held, const Now& now) {
  if (hold_.waits() == held || refuses(act, now)) return;
  const Json& stay = open_point(day_);
  if (act_shown(act, day_, now, Hold()).may != May::asks) {
    hold_.undo();  // of a discard that waits
    return ask_about(kKeep, text_of(stay, "name"), std::max(count_of(stay, "visit"), 1LL));
  }
  hold_.press(held, stay, now.ms);
  const std::string name = cut(ascii(hold_.name()), 26);
  if (hold_.waits() == held) return desk_.tell(kSayOnScreen.waits("5"));
  if (hold_.waits() != HeldAct::none) return;
  desk_.tell(held == HeldAct::keep ? kSayOnScreen.press_to_keep(name, "2") : kSayOnScreen.press_to_discard(name, "3"));
}

void Hands::undo() {
  const HeldAct waited = hold_.waits();
  const std::string name = cut(ascii(hold_.name()), 40);
  if (!hold_.undo()) return desk_.tell(kSayOnScreen.nothing_to_undo());
  desk_.tell(waited == HeldAct::keep ? kSayOnScreen.goes_on_kept(name) : kSayOnScreen.goes_on_discarded(name));
}

void Hands::see(const Now& now) {
  if (refuses(ActId::seen, now)) return;
  for (const AlertShown& each : alerts_to_see(day_, now))
    desk_.ask({kAlerts, {{"seen", true}, {"key", each.key}, {"id", each.id}}, {}, {}, 0});
}

/// The stay that was on the screen: another may be open by now.
void Hands::ask_about(const char* method, const std::string& name, long long visit) {
  desk_.ask({method, {{"name", name}, {"visit", visit}}, {}, {}, 0});
}

}  // namespace stillpoint::client
