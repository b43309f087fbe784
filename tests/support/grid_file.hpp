#pragma once
/// A geoid grid of one height everywhere, in a file of the test's own.

#include <unistd.h>

#include <bit>
#include <cstdint>
#include <filesystem>
#include <fstream>
#include <string>

namespace stillpoint::support {

/// A name of this process's own in the temporary folder: other checkouts run the same tests.
inline std::filesystem::path own_file(const std::string& name) {
  return std::filesystem::temp_directory_path() / ("stillpoint-" + std::to_string(::getpid()) + "-" + name);
}

// A small grid in NOAA's GTX format: big-endian header (south, west, steps, rows, columns) and 32-bit heights.
class GridFile {
 public:
  GridFile(const std::string& name, double south_deg, double west_deg, double step_deg, int rows, int columns,
           double geoid_height_m)
      : path_(own_file(name)) {
    std::ofstream out(path_, std::ios::binary);
    for (const double value : {south_deg, west_deg, step_deg, step_deg})
      put(out, std::bit_cast<std::uint64_t>(value), 8);
    for (const int value : {rows, columns}) put(out, static_cast<std::uint64_t>(value), 4);
    for (int i = 0; i < rows * columns; ++i)
      put(out, std::bit_cast<std::uint32_t>(static_cast<float>(geoid_height_m)), 4);
  }
  GridFile(const GridFile&) = delete;
  GridFile& operator=(const GridFile&) = delete;
  ~GridFile() { std::filesystem::remove(path_); }
  std::string path() const { return path_.string(); }

 private:
  static void put(std::ofstream& out, std::uint64_t value, int bytes) {
    for (int shift = 8 * (bytes - 1); shift >= 0; shift -= 8) out.put(static_cast<char>((value >> shift) & 0xFF));
  }
  std::filesystem::path path_;
};

}  // namespace stillpoint::support
