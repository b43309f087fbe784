#pragma once
// Invented points for the pointbook's tests, and a folder that goes away.

#include <filesystem>
#include <string>

#include "pointbook/book.hpp"

namespace stillpoint::samples {

/// Different for every number; every field has a value.
occupation::StoredPoint point(int number, std::size_t epochs = 3);
/// A check shot with its own uuid, different from every point's.
pointbook::CheckShot shot(int number);
/// The same with what came with version 3.
pointbook::CheckShot claiming_shot(int number);
std::string uuid(int number);
std::string shot_uuid(int number);

/// NAD83(2011), geographic 3D, with the WKT 2 that PROJ 9.1 prints for it.
pointbook::Identity geographic();
/// NAD83(2011) / Texas Central (ftUS): a frame that counts in US survey feet.
pointbook::Identity projected_in_feet();

class Folder {
 public:
  /// In memory where the machine has such a place: thousands of synced writes then cost nothing.
  Folder();
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  std::string file(const std::string& name) const { return (path_ / name).string(); }
  std::string path() const { return path_.string(); }

 private:
  std::filesystem::path path_;
};

void write_file(const std::string& path, std::string_view bytes);
std::string read_file(const std::string& path);

}  // namespace stillpoint::samples
