#pragma once
/// Reads the TOML configuration into validated `Settings`.
///
/// Errors:  every error is one sentence that names file, line, key, the value found and the allowed range.
///          All errors of a file are returned, in file order. Unknown keys are errors.

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"
#include "config/settings.hpp"

namespace stillpoint::config {

struct Loaded {
  Settings settings;  ///< meaningful only when `errors` is empty
  std::vector<Error> errors;
  std::vector<std::string> notes;  ///< limits that are absent and so not applied, one sentence each
};

/// `path` is used for messages and to resolve relative paths; the file itself is not opened.
Loaded parse(std::string_view toml_text, const std::string& path);

/// Reads the file, then parses it.
Loaded load(const std::string& path);

/// Every key with its default (or a marked example where it is required), as valid TOML with comments.
std::string defaults_text();

}  // namespace stillpoint::config
