#pragma once
/// What a step that can fail returns: a value, or one plain sentence saying what is wrong and what to do.

#include <string>
#include <tl/expected.hpp>
#include <utility>

namespace stillpoint {

/// One plain sentence for people. No trailing newline, no code.
struct Error {
  std::string text;
};

template <class T>
using Result = tl::expected<T, Error>;

inline tl::unexpected<Error> fail(std::string sentence) {
  return tl::unexpected<Error>(Error{std::move(sentence)});
}

}  // namespace stillpoint
