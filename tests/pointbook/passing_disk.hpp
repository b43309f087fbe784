#pragma once
// A disk that hands everything on to another: for those that change one call.

#include "pointbook/disk.hpp"

namespace stillpoint::samples {

class PassingDisk : public pointbook::Disk {
 public:
  explicit PassingDisk(pointbook::Disk& inner = pointbook::system_disk()) : inner_(inner) {}
  int open(const std::string& path) override { return inner_.open(path); }
  int create(const std::string& path) override { return inner_.create(path); }
  void close(int fd) override { inner_.close(fd); }
  int rename(const std::string& from, const std::string& to) override { return inner_.rename(from, to); }
  int remove(const std::string& path) override { return inner_.remove(path); }
  int lock(int fd) override { return inner_.lock(fd); }
  std::int64_t size(int fd) override { return inner_.size(fd); }
  int identify(int fd, pointbook::FileIdentity& out) override { return inner_.identify(fd, out); }
  int identify(const std::string& path, pointbook::FileIdentity& out) override { return inner_.identify(path, out); }
  std::int64_t read_at(int fd, char* into, std::size_t size, std::uint64_t at) override {
    return inner_.read_at(fd, into, size, at);
  }
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override {
    return inner_.write_at(fd, from, size, at);
  }
  int truncate(int fd, std::uint64_t size) override { return inner_.truncate(fd, size); }
  int sync_data(int fd) override { return inner_.sync_data(fd); }
  int sync_folder(const std::string& folder) override { return inner_.sync_folder(folder); }

 private:
  pointbook::Disk& inner_;
};

}  // namespace stillpoint::samples
