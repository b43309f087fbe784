#pragma once
// What the configuration tests share: a small complete file, and edits of it.

#include <fstream>
#include <sstream>
#include <stdexcept>
#include <string>

#include "config/load.hpp"

namespace stillpoint::config::test {

inline std::string read_data(const std::string& name) {
  std::ifstream in(std::string(STILLPOINT_TEST_DATA) + "/config/data/" + name, std::ios::binary);
  if (!in) throw std::runtime_error("missing test data " + name);
  std::ostringstream out;
  out << in.rdbuf();
  return out.str();
}

/// The shortest configuration that is accepted.
inline const std::string kMinimal = R"([project]
frame = "EPSG:6319"
[[feed]]
kind = "tcp"
host = "localhost"
port = 9001
[antenna]
vertical_parts_m = { pole = 2.0 }
[[source]]
name = "network"
match = { station = [417] }
frame = "EPSG:6319"
coordinate_epoch = 2010.0
evidence = "operator's page"
[source.gate]
quality = ["rtk-fixed"]
fresh_age_s = 3
max_age_s = 10
)";

/// `text` with the one place that says `from` changed into `to`.
inline std::string with(std::string text, const std::string& from, const std::string& to) {
  const auto at = text.find(from);
  if (at == std::string::npos) throw std::runtime_error("the text holds no " + from);
  return text.replace(at, from.size(), to);
}

inline std::string all(const Loaded& loaded) {
  std::string out;
  for (const Error& error : loaded.errors) out += error.text + "\n";
  return out;
}

}  // namespace stillpoint::config::test
