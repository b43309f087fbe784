#pragma once
// A disk in memory whose power can go at any operation, and which then forgets what was not synced: bytes written,
// lengths changed, names made and names removed. It can also run full.

#include <cstdint>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "pointbook/disk.hpp"

namespace stillpoint::samples {

/// What a full disk still does: a real one overwrites what is there; the worst one refuses every write.
enum class Full { refuses_growth, refuses_all };

/// What a power cut does to everything that was not synced.
enum class Loss { all, nothing, some };

using Files = std::map<std::string, std::string>;

class ForgetfulStore {
 public:
  struct Change {
    bool is_truncate = false;
    std::uint64_t at = 0;
    std::string bytes;
  };
  struct Node {
    std::string current, durable;
    std::vector<Change> unsynced;
    std::vector<std::unique_ptr<char[]>> shared_memory;
  };
  using NodePtr = std::shared_ptr<Node>;

  ForgetfulStore() = default;
  explicit ForgetfulStore(const Files& files);

  /// The power goes at the operation with this number, counted from 1; that operation may or may not have happened.
  void cut_power_at(std::uint64_t operation) { cut_at_ = operation; }
  bool power_is_off() const { return off_; }
  std::uint64_t operations() const { return operations_; }
  /// Writes that a full disk refuses fail from the one with this number on, counted from 1 since this call; 0: never.
  void fill_at_write(std::uint64_t write, Full kind = Full::refuses_growth);

  // Each answers false when there is no power (any more).
  bool write(Node& node, std::string_view bytes, std::uint64_t at);
  bool truncate(Node& node, std::uint64_t size);
  bool sync(Node& node);
  bool sync_names();
  bool remove(const std::string& name);
  bool rename(const std::string& from, const std::string& to);
  NodePtr create(const std::string& name);

  /// To be asked once before each write.
  bool is_full_for(const Node& node, std::uint64_t end);
  NodePtr find(const std::string& name) const;
  std::uint64_t names_of(const NodePtr& node) const;

  /// The files that are found when the power is back.
  Files after_power_cut(Loss loss, std::uint64_t seed) const;

 private:
  struct NameChange {
    std::string name;
    NodePtr node;  ///< none: the name was removed
    std::string replaces;
  };
  bool step();

  std::map<std::string, NodePtr> names_, durable_names_;
  std::vector<NameChange> unsynced_names_;
  std::uint64_t operations_ = 0, cut_at_ = 0, writes_ = 0, full_at_ = 0;
  Full full_ = Full::refuses_growth;
  bool off_ = false;
};

/// The spool's file operations on such a store.
class ForgetfulDisk final : public pointbook::Disk {
 public:
  explicit ForgetfulDisk(ForgetfulStore& store) : store_(store) {}
  int open(const std::string& path) override;
  int create(const std::string& path) override;
  void close(int) override {}
  int rename(const std::string& from, const std::string& to) override;
  int remove(const std::string& path) override;
  int lock(int) override { return 0; }
  std::int64_t size(int fd) override;
  int identify(int fd, pointbook::FileIdentity& out) override;
  int identify(const std::string& path, pointbook::FileIdentity& out) override;
  std::int64_t read_at(int fd, char* into, std::size_t size, std::uint64_t at) override;
  std::int64_t write_at(int fd, const char* from, std::size_t size, std::uint64_t at) override;
  int truncate(int fd, std::uint64_t size) override;
  int sync_data(int fd) override;
  int sync_folder(const std::string& folder) override;

 private:
  ForgetfulStore::Node& node(int fd) { return *open_.at(static_cast<std::size_t>(fd)); }
  ForgetfulStore& store_;
  std::vector<ForgetfulStore::NodePtr> open_;
};

/// A SQLite VFS on such a store, registered under `name` while it lives.
class ForgetfulVfs {
 public:
  explicit ForgetfulVfs(ForgetfulStore& store);
  ~ForgetfulVfs();
  ForgetfulVfs(const ForgetfulVfs&) = delete;
  ForgetfulVfs& operator=(const ForgetfulVfs&) = delete;
  const std::string& name() const;

 private:
  struct State;
  std::unique_ptr<State> state_;
};

}  // namespace stillpoint::samples
