#include "clients/page_files.hpp"

#include <array>
#include <utility>

#include "base/identity.hpp"

// The files as they are, each between two labels.
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

// The modules of the script.
// clang-format off
#define STILLPOINT_PAGE_MODULES(X) \
  X(acts) X(alerts) X(answer) X(control) X(courses) X(day) X(dialog) X(dom) X(drawings) X(drop) X(ear) \
  X(kept) X(link) X(main) X(message) X(paper) X(scatter) X(size) X(sound) X(tables) X(values) X(words)
// clang-format on

STILLPOINT_EMBED(html, "page.html");
STILLPOINT_EMBED(css, "page.css");
#define STILLPOINT_EMBED_MODULE(name) STILLPOINT_EMBED(name, #name ".js");
STILLPOINT_PAGE_MODULES(STILLPOINT_EMBED_MODULE)

namespace stillpoint::daemon {
namespace {

constexpr std::string_view kStyleType = "text/css; charset=utf-8", kScriptType = "text/javascript; charset=utf-8";

std::string text_between(const char* begin, const char* end) {
  return {begin, end};
}

/// Style and modules, with their names as paths.
std::vector<PageFile> parts() {
  std::vector<PageFile> files;
  files.push_back({"page.css", kStyleType, text_between(stillpoint_page_css, stillpoint_page_css_end), true});
#define STILLPOINT_PAGE_PART(name) \
  files.push_back({#name ".js", kScriptType, text_between(stillpoint_page_##name, stillpoint_page_##name##_end), true});
  STILLPOINT_PAGE_MODULES(STILLPOINT_PAGE_PART)
  return files;
}

void put(std::string& text, std::string_view mark, std::string_view value) {
  if (const auto at = text.find(mark); at != std::string::npos) text.replace(at, mark.size(), value);
}

/// All parts lie in one folder that is named by the content of all: a module finds its neighbours beside it.
std::vector<PageFile> make_files() {
  constexpr std::size_t kDigits = 12;
  std::vector<PageFile> files = parts();
  std::string all;
  for (const PageFile& file : files) all += file.path + '\n' + file.text;
  const std::string folder = "/" + sha256_hex(all).substr(0, kDigits) + "/";
  for (PageFile& file : files) file.path = folder + file.path;
  std::string shell = text_between(stillpoint_page_html, stillpoint_page_html_end);
  put(shell, "/page.css", folder + "page.css");
  put(shell, "/main.js", folder + "main.js");
  files.insert(files.begin(), {"/", "text/html; charset=utf-8", std::move(shell), false});
  return files;
}

}  // namespace

const std::vector<PageFile>& page_files() {
  static const std::vector<PageFile> kFiles = make_files();
  return kFiles;
}

}  // namespace stillpoint::daemon
