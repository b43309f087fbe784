#pragma once
/// Which keys each table of the configuration may hold. A key that is not listed here is an error.
///
/// Threads: constants.

#include <array>
#include <span>
#include <string>
#include <string_view>

namespace stillpoint::config {

struct KeyTable {
  std::string_view name;  ///< `source.gate`; empty for the top of the file
  std::span<const std::string_view> keys;
};

enum class TableId : unsigned char {
  top,
  project,
  velocity,
  geoid,
  feed,
  antenna,
  slant,
  source,
  match,
  error_floor,
  assumed_sigma,
  gate,
  occupation,
  finish,
  relay,
  alerts,
  page,
  control,
  checks,
  check_limit,
  scale_evidence,
  wanted_error,
  corrections,
  contact,
};

const KeyTable& key_table(TableId id) noexcept;
std::span<const KeyTable> key_tables() noexcept;

/// What to do about an unknown key: the nearest key of the table, the table it belongs in, or the list of keys.
std::string advice_for_unknown(std::string_view key, const KeyTable& table);

}  // namespace stillpoint::config
