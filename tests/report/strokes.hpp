#pragma once
// The strokes of an SVG path, as places, so that two ways of writing one shape compare equal.

#include <cctype>
#include <string>
#include <utility>
#include <vector>

namespace stillpoint::samples {

using Stroke = std::vector<std::pair<double, double>>;

/// Of the steps M L H V Z and their relative forms.
inline std::vector<Stroke> strokes_of(const std::string& d) {
  std::vector<Stroke> out;
  double x = 0, y = 0;
  char command = 'M';
  const char* at = d.c_str();
  const auto number = [&] {
    while (*at == ' ' || *at == ',') ++at;
    char* end = nullptr;
    const double value = std::strtod(at, &end);
    at = end;
    return value;
  };
  while (*at != '\0') {
    if (*at == ' ') {
      ++at;
      continue;
    }
    if (std::isalpha(static_cast<unsigned char>(*at)) != 0) command = *at++;
    const bool relative = std::islower(static_cast<unsigned char>(command)) != 0;
    const char kind = static_cast<char>(std::toupper(static_cast<unsigned char>(command)));
    if (kind == 'Z') {
      std::tie(x, y) = out.back().front();
    } else {
      const double first = number();
      if (kind == 'H') x = relative ? x + first : first;
      if (kind == 'V') y = relative ? y + first : first;
      if (kind == 'M' || kind == 'L') x = relative ? x + first : first, y = relative ? y + number() : number();
    }
    if (kind == 'M') out.emplace_back();
    out.back().emplace_back(x, y);
    if (kind == 'M') command = relative ? 'l' : 'L';
  }
  return out;
}

}  // namespace stillpoint::samples
