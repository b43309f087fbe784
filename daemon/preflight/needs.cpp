#include "preflight/needs.hpp"

#include <algorithm>

#include "gate/limits.hpp"
#include "preflight/sentences.hpp"

namespace stillpoint::daemon {
namespace {

using config::Source;

/// `A, no B` of the formatters that would do.
std::string none_of(const gate::Limit& limit) {
  return joined(limit.sentences(), ", no ");
}

bool applies(const gate::Limit& limit, const Source& source) {
  return config::value_of(source.gate, *limit.setting).has_value();
}

/// One need for each limit of each source: so a person sees what to change, the receiver's output or the limit.
void add_limit(std::vector<Need>& needs, const gate::Limit& limit, const Source& source) {
  const std::string_view key = limit.setting->key;
  needs.push_back({limit.sentences(), kSayBefore.limit_of(key, source.name),
                   kSayBefore.limit_never_passes(none_of(limit), key, source.name)});
}

/// Of a source whose errors come from the receiver.
void add_errors(std::vector<Need>& needs, const Source& source) {
  for (const gate::Limit& limit : gate::kLimits) {
    if (limit.when_unknown == gate::Reason::error_missing && applies(limit, source)) add_limit(needs, limit, source);
  }
  needs.push_back({{"GST"}, kSayBefore.error_of(source.name), kSayBefore.no_errors(source.name)});
}

void add_source(std::vector<Need>& needs, const Source& source) {
  if (!source.assumed_sigma_m) add_errors(needs, source);
  std::vector<const gate::Limit*> others;
  for (const gate::Limit& limit : gate::kLimits) {
    if (limit.stands_on_its_own() && applies(limit, source)) others.push_back(&limit);
  }
  // What the fewest sentences carry is missing most easily.
  std::stable_sort(others.begin(), others.end(),
                   [](const auto* a, const auto* b) { return a->sentences().size() < b->sentences().size(); });
  for (const gate::Limit* limit : others) add_limit(needs, *limit, source);
}

/// A limit that can be judged without the sentences, only worse: once, whatever the source.
void add_worse(std::vector<Need>& needs, const gate::Limit& limit, const std::vector<Source>& sources) {
  if (std::none_of(sources.begin(), sources.end(), [&](const Source& source) { return applies(limit, source); }))
    return;
  needs.push_back({limit.sentences(), kSayBefore.the_limit(limit.setting->key),
                   kSayBefore.without(none_of(limit), limit.otherwise)});
}

}  // namespace

std::string joined(const std::vector<std::string_view>& words, std::string_view glue) {
  std::string text;
  for (const auto word : words) {
    if (!text.empty()) text += glue;
    text += word;
  }
  return text;
}

std::vector<Need> needs_of(const config::Settings& settings) {
  std::vector<Need> needs;
  needs.push_back({{"GGA", "GNS"}, "positions", kSayBefore.no_positions()});
  needs.push_back({{"RMC", "ZDA"}, kSayBefore.the_date(), kSayBefore.no_dates()});
  for (const Source& source : settings.sources) add_source(needs, source);
  for (const gate::Limit& limit : gate::kLimits) {
    if (!limit.otherwise.empty()) add_worse(needs, limit, settings.sources);
  }
  return needs;
}

}  // namespace stillpoint::daemon
