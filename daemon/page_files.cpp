#include "page_files.hpp"

#include "base/identity.hpp"

// The three files as they are, between two labels each.
#define STILLPOINT_EMBED(name, file)               \
  __asm__(                                         \
      ".pushsection .rodata\n"                     \
      ".global stillpoint_page_" #name             \
      "\n"                                         \
      ".global stillpoint_page_" #name             \
      "_end\n"                                     \
      "stillpoint_page_" #name                     \
      ":\n"                                        \
      ".incbin \"" STILLPOINT_PAGE_FOLDER "/" file \
      "\"\n"                                       \
      "stillpoint_page_" #name                     \
      "_end:\n"                                    \
      ".popsection\n");                            \
  extern "C" const char stillpoint_page_##name[];  \
  extern "C" const char stillpoint_page_##name##_end[]

STILLPOINT_EMBED(html, "page.html");
STILLPOINT_EMBED(css, "page.css");
STILLPOINT_EMBED(js, "page.js");

namespace stillpoint::daemon {
namespace {

std::string text_between(const char* begin, const char* end) {
  return {begin, end};
}

PageFile lasting(std::string_view name, std::string_view end, std::string_view type, std::string text) {
  constexpr std::size_t kDigits = 12;
  std::string path = "/" + std::string(name) + "." + sha256_hex(text).substr(0, kDigits) + std::string(end);
  return {std::move(path), type, std::move(text), true};
}

void put(std::string& text, std::string_view mark, std::string_view value) {
  if (const auto at = text.find(mark); at != std::string::npos) text.replace(at, mark.size(), value);
}

std::vector<PageFile> make_files() {
  PageFile style =
      lasting("page", ".css", "text/css; charset=utf-8", text_between(stillpoint_page_css, stillpoint_page_css_end));
  PageFile script = lasting("page", ".js", "text/javascript; charset=utf-8",
                            text_between(stillpoint_page_js, stillpoint_page_js_end));
  std::string shell = text_between(stillpoint_page_html, stillpoint_page_html_end);
  put(shell, "/page.css", style.path);
  put(shell, "/page.js", script.path);
  return {{"/", "text/html; charset=utf-8", std::move(shell), false}, std::move(style), std::move(script)};
}

}  // namespace

const std::vector<PageFile>& page_files() {
  static const std::vector<PageFile> kFiles = make_files();
  return kFiles;
}

}  // namespace stillpoint::daemon
