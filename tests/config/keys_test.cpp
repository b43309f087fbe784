#include "config/keys.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <array>
#include <random>
#include <string>

namespace stillpoint::config {
namespace {

constexpr std::array<std::string_view, 2> kTwo{"frozen", "age"};
constexpr KeyTable kTable{"invented", kTwo};

/// Single-character edits with swaps of neighbours, by the definition: the last characters are equal, changed, added,
/// removed or swapped. (Optimal string alignment; exponential, for short words.)
std::size_t plain_distance(std::string_view a, std::string_view b) {
  if (a.empty() || b.empty()) return a.size() + b.size();
  const auto without = [](std::string_view word, std::size_t n) { return word.substr(0, word.size() - n); };
  std::size_t least = plain_distance(without(a, 1), without(b, 1)) + (a.back() == b.back() ? 0 : 1);
  least = std::min({least, plain_distance(without(a, 1), b) + 1, plain_distance(a, without(b, 1)) + 1});
  if (a.size() > 1 && b.size() > 1 && a.back() == b[b.size() - 2] && a[a.size() - 2] == b.back()) {
    least = std::min(least, plain_distance(without(a, 2), without(b, 2)) + 1);
  }
  return least;
}

std::string guess_for(const std::string& key) {
  const std::string advice = advice_for_unknown(key, kTable);
  return advice.starts_with("did you mean ") ? advice.substr(13) : "";
}

}  // namespace

TEST_CASE("a key is guessed within two edits or a third of its length, a swap of neighbours counted as one") {
  struct Row {
    const char* key;
    const char* guess;
  };
  const Row rows[] = {
      {"frozne", "frozen?"},
      {"rfozne", "frozen?"},
      {"rfzone", ""},
      {"forzen", "frozen?"},
      {"froz", "frozen?"},
      {"fro", ""},
      {"frozenxy", "frozen?"},
      {"xfrozenxy", "frozen?"},  // three of nine
      {"xfrozenx", "frozen?"},
      {"xfrozexy", ""},  // three of eight
      {"ag", "age?"},
      {"a", "age?"},
      {"x", ""},
      {"gae", "age?"},
  };
  for (const Row& row : rows) {
    CAPTURE(std::string(row.key));
    CHECK(guess_for(row.key) == row.guess);
  }
  CHECK(guess_for(std::string(65, 'x')).empty());
}

TEST_CASE("the guess agrees with the distance by its definition") {
  std::mt19937 dice(20261129);
  const std::string letters = "frozenag";
  for (int i = 0; i < 400; ++i) {
    std::string key = i % 2 == 0 ? "frozen" : "age";
    for (int edits = 0; edits < 4; ++edits) {
      const std::size_t at = dice() % key.size();
      switch (dice() % 4) {
        case 0:
          key[at] = letters[dice() % letters.size()];
          break;
        case 1:
          key.insert(at, 1, letters[dice() % letters.size()]);
          break;
        case 2:
          if (key.size() > 1) key.erase(at, 1);
          break;
        default:
          if (at + 1 < key.size()) std::swap(key[at], key[at + 1]);
      }
    }
    CAPTURE(key);
    const std::size_t most = std::max<std::size_t>(2, key.size() / 3);
    const std::size_t frozen = plain_distance(key, "frozen"), age = plain_distance(key, "age");
    std::string expected;
    if (age <= most && age < 3) expected = "age?";
    if (frozen <= most && (expected.empty() || frozen <= age)) expected = "frozen?";
    if (std::find(kTwo.begin(), kTwo.end(), key) == kTwo.end()) CHECK(guess_for(key) == expected);
  }
}

}  // namespace stillpoint::config
