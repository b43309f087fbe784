#include "preflight/feed_trial.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>
#include <boost/asio/steady_timer.hpp>
#include <iostream>
#include <memory>
#include <set>

#include "base/number.hpp"
#include "common/exit.hpp"
#include "feeds/feed.hpp"
#include "nmea/kind.hpp"
#include "preflight/configuration.hpp"
#include "preflight/needs.hpp"
#include "preflight/sentences.hpp"
#include "record/log_kind.hpp"

namespace stillpoint::daemon {
namespace {

std::string share(std::uint64_t part, std::uint64_t whole) {
  return kSayBefore.part(std::to_string(part), std::to_string(whole));
}

}  // namespace

FeedTrial::FeedTrial(const config::Settings& settings)
    : settings_(settings), matcher_(settings.sources), counting_(settings), matched_(settings.sources.size(), 0) {}

void FeedTrial::push(std::string_view bytes, FeedTime arrived) {
  if (!first_) first_ = arrived;
  last_ = arrived;
  if (const auto* closed = assembler_.tick(arrived)) take(*closed);
  framer_.push(bytes, [&](const nmea::Sentence& sentence) {
    const nmea::Decoded decoded = nmea::decode(sentence.body);
    if (std::holds_alternative<nmea::Malformed>(decoded.content)) {
      ++framer_.damage().malformed;
      return;
    }
    const std::string kind = nmea::kind_of(decoded);
    ++kinds_[kind];
    habits_.hear(kind, decoded);
    counting_.hear(sentence.body);
    if (const auto* closed = assembler_.push(decoded, arrived)) take(*closed);
  });
}

void FeedTrial::finish() {
  if (const auto* closed = assembler_.finish()) take(*closed);
  framer_.finish();
}

double FeedTrial::heard_s() const noexcept {
  return first_ && last_ ? seconds_between(*first_, *last_) : 0.0;
}

void FeedTrial::take(const epoch::Epoch& epoch) {
  ++epochs_.all;
  ++qualities_[static_cast<std::size_t>(epoch.quality)];
  ++stations_[epoch.station ? std::to_string(*epoch.station) : "blank"];
  epochs_.positions += epoch.position.has_value();
  epochs_.dated += epoch.utc.has_value();
  epochs_.heights += epoch.ellipsoid_height_m().has_value();
  epochs_.ages += epoch.age.has_value();
  epochs_.errors += epoch.error.has_value();
  count_values(epoch);
  habits_.take(epoch);
  const gate::Match match = matcher_.match(epoch);
  counting_.take(epoch, match);
  if (match.source) {
    ++matched_[*match.source];
  } else if (may_have_source(epoch.quality)) {
    ++unmatched_;
  }
}

void FeedTrial::count_values(const epoch::Epoch& epoch) {
  gate::Judged judged;  // with what an epoch says by itself
  judged.epoch = epoch;
  for (std::size_t i = 0; i < given_.size(); ++i) given_[i] += gate::kLimits[i].value(judged).has_value();
}

void FeedTrial::tell_arrivals(std::ostream& out) const {
  const nmea::Counters& counters = framer_.counters();
  out << kSayBefore.heard(fixed(heard_s(), 1), std::to_string(counters.bytes), std::to_string(counters.sentences),
                          std::to_string(epochs_.all))
      << '\n';
  for (const auto& [kind, count] : kinds_) {
    out << "  " << kind << "  " << count;
    if (heard_s() > 0) out << kSayBefore.a_second(fixed(static_cast<double>(count) / heard_s(), 2));
    out << '\n';
  }
  const nmea::Damage& damage = counters.damage;
  out << "  "
      << kSayBefore.damaged(std::to_string(damage.bad_checksum), std::to_string(damage.no_checksum),
                            std::to_string(damage.cut_short), std::to_string(damage.oversize),
                            std::to_string(damage.malformed), std::to_string(damage.garbage_bytes))
      << '\n';
}

void FeedTrial::tell_epochs(std::ostream& out) const {
  if (epochs_.all == 0) return;
  const auto tell_share = [&](const std::string_view name, std::uint64_t part) {
    out << "  " << kSayBefore.heard_in(name, share(part, epochs_.all)) << '\n';
  };
  out << "qualities\n";
  for (std::size_t i = 0; i < qualities_.size(); ++i) {
    if (qualities_[i] > 0) tell_share(to_word(static_cast<Quality>(i)), qualities_[i]);
  }
  out << "stations\n";
  for (const auto& [station, count] : stations_) tell_share(station, count);
  out << "sources\n";
  for (std::size_t i = 0; i < matched_.size(); ++i) {
    tell_share('"' + settings_.sources[i].name + '"', matched_[i]);
  }
  habits_.tell_periods(out, settings_);
  habits_.tell_digits(out);
  counting_.tell(out);
}

bool FeedTrial::has_any(const std::vector<std::string_view>& kinds) const {
  return std::any_of(kinds.begin(), kinds.end(),
                     [this](std::string_view kind) { return kinds_.contains(std::string(kind)); });
}

void FeedTrial::missing_for(const config::Source& source, std::uint64_t epochs, std::vector<std::string>& out) const {
  const std::string of = kSayBefore.of_this_source(source.name);
  const config::Gate& gate = source.gate;
  if (gate.age_missing == config::AgeMissing::refuse && epochs_.ages == 0) {
    out.push_back(kSayBefore.no_age(of));
  }
  if (gate.age_missing == config::AgeMissing::allow && epochs_.ages == 0) {
    out.push_back(kSayBefore.own_clock(fixed(gate.max_age_s, 0), of));
  }
  for (const std::string& line : habits_.too_coarse(gate)) out.push_back(line + of);
  for (std::size_t i = 0; i < given_.size(); ++i) {
    const gate::Limit& limit = gate::kLimits[i];
    const auto kinds = limit.sentences();
    // When none of the sentences came, that is told instead.
    if (!limit.stands_on_its_own() || !config::value_of(gate, *limit.setting) || given_[i] > 0 || !has_any(kinds))
      continue;
    out.push_back(kSayBefore.no_value(
        limit.wording.name, kinds.size() == 1 ? kinds[0] : kSayBefore.any_sentence.words(), limit.setting->key, of));
  }
  if (!source.assumed_sigma_m && epochs_.errors == 0 && kinds_.contains("GST")) {
    out.push_back(kSayBefore.error_without_time(of));
  }
  if (epochs == 0) out.push_back(kSayBefore.nothing_from(source.name));
}

void FeedTrial::missing_fields(std::vector<std::string>& out) const {
  if (epochs_.all == 0) return;
  if (epochs_.positions == 0) out.push_back(kSayBefore.no_position_yet());
  if (epochs_.positions > 0 && epochs_.heights == 0) out.push_back(kSayBefore.no_separation());
  if (epochs_.dated == 0 && (kinds_.contains("RMC") || kinds_.contains("ZDA"))) {
    out.push_back(kSayBefore.no_date());
  }
  for (std::size_t i = 0; i < matched_.size(); ++i) missing_for(settings_.sources[i], matched_[i], out);
  if (unmatched_ > 0) out.push_back(kSayBefore.no_source(share(unmatched_, epochs_.all)));
}

std::vector<std::string> FeedTrial::missing() const {
  std::vector<std::string> out;
  if (framer_.counters().bytes == 0) return {kSayBefore.nothing_arrived()};
  if (framer_.counters().sentences == 0) {
    const std::string why = record::why_no_sentence(framer_.counters());
    const bool rate_is_right = framer_.counters().damage.no_checksum > 0;
    return {rate_is_right ? kSayBefore.no_sentence(why) : kSayBefore.no_sentence_at_rate(why)};
  }
  for (const Need& need : needs_of(settings_)) {
    if (!has_any(need.any_of)) out.push_back(need.missing);
  }
  missing_fields(out);
  return out;
}

void FeedTrial::tell(std::ostream& out) const {
  tell_arrivals(out);
  tell_epochs(out);
  const auto lines = missing();
  out << (lines.empty() ? kSayBefore.nothing_missing() : kSayBefore.missing()) << '\n';
  for (const std::string& line : lines) out << "  " << line << '\n';
}

int check_feed(std::ostream& out, const config::Settings& settings, double seconds) {
  asio::io_context io(1);
  auto feed = open_feed(io, settings.feeds.front(), {.as_fast_as_possible = true});
  if (!feed) {
    std::cerr << feed.error().text << '\n';
    return kExitCannotStart;
  }
  const bool is_log = settings.feeds.front().kind == config::FeedKind::replay;
  FeedTrial check(settings);
  std::string last_word;
  asio::steady_timer timer(io);
  const auto stop = [&] {
    (*feed)->stop();
    timer.cancel();
  };
  FeedEvents events;
  events.bytes = [&](std::string_view bytes, FeedTime arrived) {
    check.push(bytes, arrived);
    if (is_log && check.heard_s() >= seconds) stop();
  };
  events.state = [&](session::FeedState state, const std::string& what, FeedTime) {
    last_word = what;
    if (state == session::FeedState::ended) stop();
  };
  events.cut = [](FeedTime) {};
  std::set<std::string> of_senders;
  events.sender_changed = [&](const std::string& text) { of_senders.insert(text); };
  (*feed)->start(std::move(events));
  if (!is_log) {
    timer.expires_after(std::chrono::milliseconds(static_cast<std::int64_t>(seconds * 1000.0)));
    timer.async_wait([&](const boost::system::error_code& error) {
      if (!error) stop();
    });
  }
  io.run();
  check.finish();
  // A link is told of when something comes over it, or when it breaks.
  out << kSayBefore.feed_is(last_word.empty() ? kSayBefore.nothing_came() : last_word) << '\n';
  if (!is_log && check.heard_s() == 0) out << kSayBefore.listened(fixed(seconds, 1)) << '\n';
  for (const std::string& text : of_senders) out << text << '\n';
  check.tell(out);
  return check.can_count() ? kExitClean : kExitNothingCounts;
}

}  // namespace stillpoint::daemon
