#include "setup/typed.hpp"

#include <algorithm>
#include <array>

#include "base/number.hpp"
#include "base/typed.hpp"
#include "base/units.hpp"
#include "setup/sentences.hpp"

namespace stillpoint::setup {
namespace {

using std::string;
using std::string_view;

constexpr std::size_t kLongestText = 200;
constexpr double kMillimetre = 0.001;
constexpr int kLeastBaud = 300, kMostBaud = 4000000;

struct TypedUnit {
  string_view word;
  double metres;
  Unit unit;
};
constexpr std::array<TypedUnit, 5> kUnits{{{"", 1.0, Unit::metre},
                                           {"m", 1.0, Unit::metre},
                                           {"mm", kMillimetre, Unit::metre},
                                           {"ft", kFootM, Unit::foot},
                                           {"ft-us", kSurveyFootM, Unit::survey_foot}}};

/// A host and a port; empty: it is none.
std::pair<string, int> host_and_port(string_view typed) {
  const std::size_t colon = typed.rfind(':');
  const auto port = colon == string_view::npos ? std::nullopt : parse_integer(typed.substr(colon + 1));
  if (!port || *port < 1 || *port > 65535 || colon == 0) return {};
  return {string(typed.substr(0, colon)), static_cast<int>(*port)};
}

/// A device, and the rate where one was typed.
Result<Link> device_of(const std::vector<string_view>& words) {
  Link out;
  out.device = string(words[0]);
  if (words.size() == 1) return out;
  const auto baud = parse_integer(words[1]);
  if (words.size() > 2 || !baud || *baud < kLeastBaud || *baud > kMostBaud) return fail(kSay.no_rate(words[1]));
  out.baud = static_cast<int>(*baud);
  return out;
}

/// As the configuration wants a caster's host: a URL may hold a login.
bool is_plain_host(string_view host) noexcept {
  return !host.empty() && std::all_of(host.begin(), host.end(), [](char c) {
    return c > ' ' && c <= '~' && c != '/' && c != '@' && c != '?' && c != '#';
  });
}

}  // namespace

string_view to_word(Unit unit) noexcept {
  return unit == Unit::foot ? "ft" : unit == Unit::survey_foot ? "ft-us" : "m";
}

string_view trimmed(string_view text) noexcept {
  const auto is_blank = [](char c) { return c == ' ' || c == '\t' || c == '\r' || c == '\n'; };
  while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
  return text;
}

std::vector<string_view> words_of(string_view text) {
  std::vector<string_view> out;
  for (text = trimmed(text); !text.empty(); text = trimmed(text)) {
    out.push_back(text.substr(0, text.find_first_of(" \t")));
    text.remove_prefix(out.back().size());
  }
  return out;
}

Result<Length> length_of(string_view typed) {
  typed = trimmed(typed);
  if (typed.find(',') != string_view::npos) return fail(kSay.comma(typed));
  const std::size_t end = std::min(typed.find_first_not_of("0123456789.-"), typed.size());
  const auto value = parse_decimal(trimmed(typed.substr(0, end)));
  const string_view word = trimmed(typed.substr(end));
  const auto* unit =
      std::find_if(kUnits.begin(), kUnits.end(), [&](const TypedUnit& each) { return each.word == word; });
  if (!value || unit == kUnits.end()) return fail(kSay.no_length(typed));
  return Length{*value * unit->metres, unit->unit, false};
}

Result<Link> link_of(string_view typed) {
  typed = trimmed(typed);
  Link out;
  if (typed == kUnknown) {
    out.device = kUnknown;
    return out;
  }
  if (typed.starts_with('/')) return device_of(words_of(typed));
  auto [host, port] = host_and_port(typed);
  if (host.empty()) return fail(kSay.no_link(typed));
  out.host = std::move(host);
  out.port = port;
  return out;
}

Result<CasterAsked> caster_of(string_view typed) {
  const auto words = words_of(typed);
  CasterAsked out;
  if (!words.empty()) std::tie(out.host, out.port) = host_and_port(words[0]);
  out.tls = words.size() == 2 && words[1] == "tls";
  if (words.size() > (out.tls ? 2U : 1U) || !is_plain_host(out.host)) return fail(kSay.no_caster(typed));
  return out;
}

Result<void> take_text(string_view typed, string& out) {
  if (string fault = typed_fault(kSay.the_answer(), typed, kLongestText); !fault.empty()) {
    return fail(kSay.not_taken(fault));
  }
  out = string(typed);
  return {};
}

}  // namespace stillpoint::setup
