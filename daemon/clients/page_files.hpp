#pragma once
/// The page's own files, built into the program. Style and script modules lie in a folder whose name is a part of their
/// common SHA-256, so that a browser may keep them for good and never mixes two versions.
///
/// Threads: made once, then only read.

#include <string>
#include <string_view>
#include <vector>

namespace stillpoint::daemon {

struct PageFile {
  std::string path;  ///< `/`, `/0123456789ab/main.js`
  std::string_view type;
  std::string text;
  bool lasts = false;  ///< its name changes with its content
};

/// Of the set-up, served in place of `/` while there is no day.
inline constexpr const char* kSetUpShell = "/setup.html";

const std::vector<PageFile>& page_files();

}  // namespace stillpoint::daemon
