#pragma once
/// Texts inside XML. A text of a pointbook is UTF-8 without control characters but for line breaks; what XML 1.0 forbids
/// all the same is left out.
///
/// Threads: pure. Errors: none.

#include <string>
#include <string_view>

namespace stillpoint::pointbook {

inline std::string in_xml(std::string_view text) {
  std::string out;
  for (const char c : text) {
    const auto byte = static_cast<unsigned char>(c);
    if (c == '&') {
      out += "&amp;";
    } else if (c == '<') {
      out += "&lt;";
    } else if (c == '>') {
      out += "&gt;";
    } else if (c == '"') {
      out += "&quot;";
    } else if (byte >= 0x20U || c == '\n' || c == '\t') {
      out.push_back(c);
    }
  }
  return out;
}

/// `<name>text</name>`
inline std::string element(std::string_view name, std::string_view text) {
  const std::string tag(name);
  return "<" + tag + ">" + in_xml(text) + "</" + tag + ">";
}

}  // namespace stillpoint::pointbook
