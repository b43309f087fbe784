#pragma once
/// A sentence of a catalogue: its words, with a place in braces for each value that is put in.
///
/// Each room keeps what it says in one struct of sentences (`gate/sentences.hpp` …), so that a test can go through all
/// of them and make each with its longest values. The word in the braces says what kind of value stands there.
///
/// Units:   in the sentences. Values come as texts, rounded by who knows to how many digits they are true.
/// Threads: pure functions. Errors: a wrong number of places or values does not compile.

#include <array>
#include <bit>
#include <cstddef>
#include <string>
#include <string_view>
#include <type_traits>
#include <vector>

namespace stillpoint {

/// `text` with the values in place of what stands in braces, from the left.
std::string filled(std::string_view text, const std::string_view* values, std::size_t count);

constexpr std::size_t places_in(std::string_view text) noexcept {
  std::size_t places = 0;
  for (const char c : text) places += c == '{' ? 1 : 0;
  return places;
}

template <std::size_t kValues>
class Sentence {
 public:
  /// Anything but `kValues` pairs of braces does not compile.
  consteval Sentence(const char* words) : text_(words) {  // NOLINT(google-explicit-constructor): it is its words
    if (places_in(text_) != kValues) wrong_number_of_places();
  }
  template <class... Values>
  requires(sizeof...(Values) == kValues && (std::is_convertible_v<const Values&, std::string_view> && ...)) std::string
  operator()(const Values&... values) const {
    const std::array<std::string_view, kValues> texts{std::string_view(values)...};
    return filled(text_, texts.data(), texts.size());
  }
  /// As it stands, of a sentence that takes no value.
  constexpr std::string_view words() const noexcept requires(kValues == 0) { return text_; }

 private:
  static void wrong_number_of_places() {}  // not constexpr: calling it stops the compiler
  std::string_view text_;
};

/// The words of every sentence of a catalogue: a struct that has sentences for members, and nothing else.
template <class Catalogue>
std::vector<std::string_view> sentences_of(const Catalogue& catalogue) {
  static_assert(std::is_standard_layout_v<Catalogue> && std::is_trivially_copyable_v<Catalogue>);
  static_assert(sizeof(Catalogue) % sizeof(Sentence<0>) == 0 && sizeof(Sentence<0>) == sizeof(std::string_view));
  using Texts = std::array<std::string_view, sizeof(Catalogue) / sizeof(std::string_view)>;
  const auto texts = std::bit_cast<Texts>(catalogue);
  return {texts.begin(), texts.end()};
}

}  // namespace stillpoint
