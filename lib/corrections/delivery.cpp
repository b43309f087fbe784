#include "corrections/delivery.hpp"

#include <algorithm>
#include <array>

#include "base/utf8.hpp"
#include "corrections/sentences.hpp"

namespace stillpoint::corrections {
namespace {

struct Words {
  std::string_view word;
  const Sentence<0>* text;
  const Sentence<0>* brief;
};

// In the order of `Stop`.
constexpr std::array<Words, 18> kWords{{
    {"none", &kSayOfStop.none, &kSayOfStopBriefly.none},
    {"no-name", &kSayOfStop.no_name, &kSayOfStopBriefly.no_name},
    {"refused", &kSayOfStop.refused, &kSayOfStopBriefly.refused},
    {"timed-out", &kSayOfStop.timed_out, &kSayOfStopBriefly.timed_out},
    {"reset", &kSayOfStop.reset, &kSayOfStopBriefly.reset},
    {"closed", &kSayOfStop.closed, &kSayOfStopBriefly.closed},
    {"tls", &kSayOfStop.tls, &kSayOfStopBriefly.tls},
    {"login-file", &kSayOfStop.login_file, &kSayOfStopBriefly.login_file},
    {"login-refused", &kSayOfStop.login_refused, &kSayOfStopBriefly.login_refused},
    {"mount-unknown", &kSayOfStop.mount_unknown, &kSayOfStopBriefly.mount_unknown},
    {"caster-error", &kSayOfStop.caster_error, &kSayOfStopBriefly.caster_error},
    {"no-caster", &kSayOfStop.no_caster, &kSayOfStopBriefly.no_caster},
    {"caster-silent", &kSayOfStop.caster_silent, &kSayOfStopBriefly.caster_silent},
    {"mount-silent", &kSayOfStop.mount_silent, &kSayOfStopBriefly.mount_silent},
    {"damaged", &kSayOfStop.damaged, &kSayOfStopBriefly.damaged},
    {"receiver-stalled", &kSayOfStop.receiver_stalled, &kSayOfStopBriefly.receiver_stalled},
    {"receiver-gone", &kSayOfStop.receiver_gone, &kSayOfStopBriefly.receiver_gone},
    {"program-silent", &kSayOfStop.program_silent, &kSayOfStopBriefly.program_silent},
}};
constexpr std::array<std::string_view, 4> kStates{"none", "connecting", "running", "stopped"};

}  // namespace

std::string_view to_word(Stop stop) noexcept {
  return kWords[static_cast<std::size_t>(stop)].word;
}

std::optional<Stop> stop_from_word(std::string_view word) noexcept {
  const auto at = std::find_if(kWords.begin(), kWords.end(), [&](const Words& each) { return each.word == word; });
  if (at == kWords.end()) return std::nullopt;
  return static_cast<Stop>(at - kWords.begin());
}

bool is_refusal(Stop stop) noexcept {
  return stop == Stop::tls || stop == Stop::login_file || stop == Stop::login_refused || stop == Stop::mount_unknown ||
         stop == Stop::no_caster;
}

std::string why_text(Stop stop, const std::string& detail) {
  std::string text = (*kWords[static_cast<std::size_t>(stop)].text)();
  return detail.empty() ? text : kSayOfStop.with_detail(text, shown(detail, kLongestDetail));
}

std::string why_briefly(Stop stop) {
  return (*kWords[static_cast<std::size_t>(stop)].brief)();
}

std::string_view to_word(LinkState state) noexcept {
  return kStates[static_cast<std::size_t>(state)];
}

std::optional<LinkState> link_state_from_word(std::string_view word) noexcept {
  const auto at = std::find(kStates.begin(), kStates.end(), word);
  if (at == kStates.end()) return std::nullopt;
  return static_cast<LinkState>(at - kStates.begin());
}

}  // namespace stillpoint::corrections
