#include "gate/limits.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <string>

#include "support/epochs.hpp"

namespace stillpoint::gate {

TEST_CASE("every limit of the configuration that may be absent is judged, by one row") {
  for (const config::Limit& known : config::kLimits) {
    CAPTURE(known.key);
    const auto rows =
        std::count_if(kLimits.begin(), kLimits.end(), [&](const Limit& limit) { return limit.setting == &known; });
    CHECK(rows == (config::may_be_absent(known) ? 1 : 0));
  }
}

TEST_CASE("a value equal to its limit passes, the next number on the wrong side and no number do not") {
  for (const Limit& limit : kLimits) {
    CAPTURE(limit.setting->key);
    const double bound = 3.5, wrong = limit.is_least() ? 0 : 9;
    CHECK(limit.allowed(bound).holds(bound));
    CHECK(limit.allowed(bound).holds(std::nextafter(bound, 9 - wrong)));
    CHECK_FALSE(limit.allowed(bound).holds(std::nextafter(bound, wrong)));
    CHECK_FALSE(limit.allowed(bound).holds(std::nan("")));
  }
}

TEST_CASE("each limit has a reason of its own and says where its value comes from") {
  std::set<Reason> reasons;
  for (const Limit& limit : kLimits) {
    CAPTURE(limit.setting->key);
    CHECK(reasons.insert(limit.reason).second);
    CHECK_FALSE(limit.wording.name.empty());
    CHECK((limit.otherwise.empty() || !limit.sentences().empty()));
    Judged nothing;
    CHECK_FALSE(limit.value(nothing).has_value());
  }
}

TEST_CASE("a reason has a contract word and short words that no other has") {
  std::set<std::string> words, short_words;
  for (const ReasonWords& row : kReasons) {
    CAPTURE(row.word);
    CHECK(words.insert(std::string(row.word)).second);
    CHECK(short_words.insert(std::string(row.short_words)).second);
    CHECK(row.word.find_first_not_of("abcdefghijklmnopqrstuvwxyz-") == std::string_view::npos);
    CHECK(reason_from_word(row.word) == row.reason);
  }
  CHECK_FALSE(reason_from_word("").has_value());
  CHECK_FALSE(reason_from_word("brand-new-reason").has_value());
}

}  // namespace stillpoint::gate
