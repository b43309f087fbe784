#pragma once
/// The page's own files, built into the program. The names of script and style carry a part of their SHA-256, so that a
/// browser may keep them for good and never mixes two versions.
///
/// Threads: made once, then only read.

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::daemon {

struct PageFile {
  std::string path;  ///< `/`, `/page.0123456789ab.js`
  std::string_view type;
  std::string text;
  bool lasts = false;  ///< its name changes with its content
};

const std::vector<PageFile>& page_files();

}  // namespace stillpoint::daemon
