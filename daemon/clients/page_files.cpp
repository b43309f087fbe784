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

// The modules of the script, and the sheets of the style.
// clang-format off
#define STILLPOINT_PAGE_MODULES(X) \
  X(acts) X(alerts) X(answer) X(ask) X(control) X(courses) X(day) X(dom) X(drawings) X(ear) X(hold) X(kept) X(link) \
  X(lists) X(main) X(map) X(mend) X(message) X(more) X(name) X(offset) X(paper) X(proof) X(scatter) X(setup) X(sheets) X(size) X(sound) \
  X(state) X(tables) X(tones) X(values) X(ways) X(words)
#define STILLPOINT_PAGE_STYLES(X) X(page) X(acts) X(layouts) X(small) X(ask) X(day) X(setup)
// clang-format on

STILLPOINT_EMBED(html, "page.html");
STILLPOINT_EMBED(setup_html, "setup.html");
#define STILLPOINT_EMBED_MODULE(name) STILLPOINT_EMBED(name, #name ".js");
#define STILLPOINT_EMBED_STYLE(name) STILLPOINT_EMBED(style_##name, #name ".css");
STILLPOINT_PAGE_MODULES(STILLPOINT_EMBED_MODULE)
STILLPOINT_PAGE_STYLES(STILLPOINT_EMBED_STYLE)

namespace stillpoint::daemon {
namespace {

constexpr std::string_view kStyleType = "text/css; charset=utf-8", kScriptType = "text/javascript; charset=utf-8";

std::string text_between(const char* begin, const char* end) {
  return {begin, end};
}

/// Style and modules, with their names as paths.
std::vector<PageFile> parts() {
  std::vector<PageFile> files;
#define STILLPOINT_PAGE_STYLE(name)          \
  files.push_back({#name ".css", kStyleType, \
                   text_between(stillpoint_page_style_##name, stillpoint_page_style_##name##_end), true});
#define STILLPOINT_PAGE_PART(name) \
  files.push_back({#name ".js", kScriptType, text_between(stillpoint_page_##name, stillpoint_page_##name##_end), true});
  STILLPOINT_PAGE_STYLES(STILLPOINT_PAGE_STYLE)
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
  std::string shell = text_between(stillpoint_page_html, stillpoint_page_html_end);
  std::string set_up = text_between(stillpoint_page_setup_html, stillpoint_page_setup_html_end);
  for (PageFile& file : files) {
    // A shell names its sheets and its first module; the others are named by their neighbours.
    for (std::string* each : {&shell, &set_up}) put(*each, "\"/" + file.path + "\"", "\"" + folder + file.path + "\"");
    file.path = folder + file.path;
  }
  files.insert(files.begin(), {"/", "text/html; charset=utf-8", std::move(shell), false});
  files.push_back({kSetUpShell, "text/html; charset=utf-8", std::move(set_up), false});
  return files;
}

}  // namespace

const std::vector<PageFile>& page_files() {
  static const std::vector<PageFile> kFiles = make_files();
  return kFiles;
}

}  // namespace stillpoint::daemon
