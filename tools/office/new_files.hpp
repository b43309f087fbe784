#pragma once
/// Files that appear in a folder whole or not at all: they are made in a folder of their own inside it, synced, and get
/// their names when all of them are good. Nothing that is there is ever replaced.
///
/// Rule:    the last file to get its name is the one that tells of the others: while it is missing, nothing is whole.
/// Threads: one. Errors: one sentence. Left behind by a kill or a power cut: a hidden folder `.stillpoint-XXXXXX`.

#include <string>
#include <string_view>
#include <vector>

#include "base/result.hpp"

namespace stillpoint::office {

class NewFiles {
 public:
  /// Makes `folder` where it is not there.
  static Result<NewFiles> open(const std::string& folder);
  NewFiles(NewFiles&& other) noexcept;
  NewFiles& operator=(NewFiles&&) = delete;
  ~NewFiles();

  /// Where they are made.
  const std::string& workshop() const noexcept { return workshop_; }
  std::string path(const std::string& name) const { return workshop_ + '/' + name; }
  Result<void> write(const std::string& name, std::string_view bytes) const;
  /// The first of these names that something in the folder has; empty: none.
  std::string taken(const std::vector<std::string>& names) const;
  /// Gives them their names, in this order; when one cannot have it, none does.
  Result<void> publish(const std::vector<std::string>& names);
  /// One of them under another name.
  Result<void> publish_as(const std::string& made, const std::string& name);
  /// All that was made, as one folder.
  Result<void> publish_whole(const std::string& name);

 private:
  NewFiles(std::string folder, std::string workshop, bool made)
      : folder_(std::move(folder)), workshop_(std::move(workshop)), made_folder_(made) {}
  std::string folder_, workshop_;
  bool made_folder_ = false;
};

/// All of it to an open file. Zero, or the error.
int write_all(int fd, std::string_view bytes);
/// Writes a file that is not there yet, and syncs it; how it went wrong, in the system's words, or nothing.
std::string write_new_file(const std::string& path, std::string_view bytes);
/// On the disk, names included.
bool sync_path(const std::string& path);

}  // namespace stillpoint::office
