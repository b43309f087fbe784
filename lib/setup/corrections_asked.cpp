#include <algorithm>

#include "base/number.hpp"
#include "setup/mounts.hpp"
#include "setup/sentences.hpp"
#include "setup/steps.hpp"
#include "setup/typed.hpp"

namespace stillpoint::setup {
namespace {

using std::string;
using std::string_view;

constexpr string_view kNetworkWord = "network", kSatellitesWord = "satellites", kBothWord = "both", kYesWord = "yes",
                      kNoWord = "no";
constexpr std::size_t kMostMountsShown = 8;

bool always(const Known&, const Answers&) {
  return true;
}
bool with_caster(const Known&, const Answers& answers) {
  return answers.caster.is_wanted();
}
bool has_corrections(const Heard& heard) {
  return heard.has_network() || heard.has_satellites();
}

string_view corrections_heard(const Heard& heard) {
  if (heard.has_network() && heard.has_satellites()) return kBothWord;
  return heard.has_network() ? kNetworkWord : kSatellitesWord;
}

Question ask_corrections(const Known& known, const Answers&) {
  Question out{"corrections", string(kSay.ask_corrections()), {string(kSay.hint_corrections())}, {}, {}, {}};
  out.choices = {{string(kSatellitesWord), string(kSay.satellites()), string(kSay.satellites_give())},
                 {string(kNetworkWord), string(kSay.network()), string(kSay.network_gives())},
                 {string(kBothWord), string(kSay.both()), string(kSay.both_give())}};
  out.proposed = string(corrections_heard(known.heard));
  out.is_known = has_corrections(known.heard);
  out.if_unknown = out.is_known ? kSay.corrections_as_heard() : kSay.corrections_unknown();
  return out;
}

/// One of three words, or a caster, which brings those of a network; `both` before it leaves the satellites too.
Result<void> take_corrections(string_view typed, const Known& known, Answers& out) {
  if (typed == kUnknown) typed = corrections_heard(known.heard);
  const auto words = words_of(typed);
  const bool both = words[0] == kBothWord;
  out.caster = {};
  if (typed.find(':') != string_view::npos) {
    auto caster = caster_of(both ? trimmed(typed.substr(kBothWord.size())) : typed);
    if (!caster) return tl::unexpected(caster.error());
    out.caster = *std::move(caster);
  } else if (words.size() > 1 || (!both && typed != kNetworkWord && typed != kSatellitesWord)) {
    return fail(kSay.one_of_three());
  }
  out.network = both || typed == kNetworkWord || out.caster.is_wanted();
  out.satellites = both || typed == kSatellitesWord;
  return {};
}

std::vector<MountHere> mounts_of(const Known& known) {
  if (!known.mounts) return {};
  auto out = by_distance(*known.mounts, known.heard.place);
  if (out.size() > kMostMountsShown) out.resize(kMostMountsShown);
  return out;
}

string line_of(const MountHere& here) {
  string out = here.far_km ? fixed(*here.far_km, 1) + " km" : string(kSay.place_unknown());
  if (!here.mount->format.empty()) out += ", " + here.mount->format;
  if (here.mount->is_network) out += kSay.of_network();
  if (here.mount->wants_position) out += kSay.mount_wants_position();
  if (here.mount->wants_login) out += kSay.mount_wants_login();
  return out;
}

const ntrip::Mount* mount_named(const Known& known, string_view name) {
  if (!known.mounts) return nullptr;
  const auto& all = known.mounts->mounts;
  const auto at = std::find_if(all.begin(), all.end(), [name](const ntrip::Mount& each) { return each.name == name; });
  return at == all.end() ? nullptr : &*at;
}

Question ask_mount(const Known& known, const Answers& answers) {
  Question out{kMountId, kSay.ask_mount(answers.caster.host), {}, {}, {}, string(kSay.mount_unknown())};
  out.hints.emplace_back(known.mounts ? kSay.hint_mounts() : kSay.hint_no_table());
  for (const MountHere& here : mounts_of(known))
    out.choices.push_back({here.mount->name, here.mount->name, line_of(here)});
  return out;
}

Result<void> take_mount(string_view typed, const Known& known, Answers& out) {
  const bool one_word = std::all_of(typed.begin(), typed.end(), [](char c) { return c > ' ' && c <= '~' && c != '/'; });
  if (!one_word) return fail(kSay.no_mount(typed));
  if (typed != kUnknown && known.mounts && mount_named(known, typed) == nullptr) {
    return fail(kSay.mount_not_there(typed, out.caster.host));
  }
  out.caster.mount = string(typed);
  out.caster.send_position = false;
  return {};
}

Question ask_login(const Known& known, const Answers& answers) {
  const ntrip::Mount* mount = mount_named(known, answers.caster.mount);
  const bool wanted = mount != nullptr && mount->wants_login;
  Question out{"login", string(kSay.ask_login()), {string(kSay.hint_login())}, {}, {}, string(kSay.login_unknown())};
  if (!answers.caster.tls) out.hints.emplace_back(kSay.login_in_clear());
  out.choices = {{kNoneWord, string(kSay.none()), string(kSay.no_login())}};
  if (!wanted) out.proposed = kNoneWord;
  return out;
}

bool wants_position(const Known& known, const Answers& answers) {
  const ntrip::Mount* mount = mount_named(known, answers.caster.mount);
  return answers.caster.is_wanted() && mount != nullptr && mount->wants_position;
}

Question ask_position(const Known&, const Answers& answers) {
  Question out{"position", kSay.ask_position(answers.caster.host), {string(kSay.hint_position())}, {},
               {},         string(kSay.position_unknown())};
  out.choices = {{string(kYesWord), string(kSay.yes()), string(kSay.position_goes())},
                 {string(kNoWord), string(kSay.no()), string(kSay.position_stays())}};
  return out;
}

Result<void> take_position(string_view typed, const Known&, Answers& out) {
  if (typed != kYesWord && typed != kNoWord && typed != kUnknown) return fail(kSay.yes_or_no());
  out.caster.send_position = typed == kYesWord;
  return {};
}

}  // namespace

std::vector<Step> about_corrections() {
  return {{always, ask_corrections, take_corrections},
          {with_caster, ask_mount, take_mount},
          {with_caster, ask_login,
           [](string_view typed, const Known&, Answers& out) -> Result<void> {
             out.caster.login.clear();
             return typed == kNoneWord ? Result<void>() : take_text(typed, out.caster.login);
           }},
          {wants_position, ask_position, take_position}};
}

}  // namespace stillpoint::setup
