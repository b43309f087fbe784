#include "pointbook/forgetful.hpp"

#include <algorithm>
#include <cerrno>
#include <random>

namespace stillpoint::samples {
namespace {

constexpr std::size_t kSector = 512;

void make_change(std::string& content, const ForgetfulStore::Change& change) {
  if (change.is_truncate) {
    content.resize(change.at, '\0');
    return;
  }
  content.resize(std::max<std::size_t>(content.size(), change.at + change.bytes.size()), '\0');
  content.replace(change.at, change.bytes.size(), change.bytes);
}

/// Some of the sectors of a write reach the disk, others do not; the rest of the file is as it was.
void apply_some(std::string& content, const ForgetfulStore::Change& change, std::mt19937_64& random) {
  if (change.is_truncate) {
    if (random() % 2 == 0) make_change(content, change);
    return;
  }
  for (std::size_t from = 0; from < change.bytes.size();) {
    const std::size_t to_boundary = kSector - (change.at + from) % kSector;
    const std::size_t size = std::min(to_boundary, change.bytes.size() - from);
    if (random() % 2 == 0) make_change(content, {false, change.at + from, change.bytes.substr(from, size)});
    from += size;
  }
}

}  // namespace

ForgetfulStore::ForgetfulStore(const Files& files) {
  for (const auto& [name, content] : files) {
    auto node = std::make_shared<Node>();
    node->current = node->durable = content;
    names_[name] = durable_names_[name] = node;
  }
}

bool ForgetfulStore::step() {
  ++operations_;
  if (operations_ == cut_at_) off_ = true;
  return !off_;
}

void ForgetfulStore::fill_at_write(std::uint64_t write, Full kind) {
  full_at_ = write;
  full_ = kind;
  writes_ = 0;
}

bool ForgetfulStore::is_full_for(const Node& node, std::uint64_t end) {
  if (full_ == Full::refuses_growth && end <= node.current.size()) return false;
  ++writes_;
  return full_at_ != 0 && writes_ >= full_at_;
}

// The operation during which the power goes is among the unsynced ones: `Loss` decides what became of it.

bool ForgetfulStore::write(Node& node, std::string_view bytes, std::uint64_t at) {
  if (off_) return false;
  node.unsynced.push_back({false, at, std::string(bytes)});
  make_change(node.current, node.unsynced.back());
  return step();
}

bool ForgetfulStore::truncate(Node& node, std::uint64_t size) {
  if (off_) return false;
  node.unsynced.push_back({true, size, {}});
  make_change(node.current, node.unsynced.back());
  return step();
}

bool ForgetfulStore::sync(Node& node) {
  if (off_ || !step()) return false;
  node.durable = node.current;
  node.unsynced.clear();
  return true;
}

bool ForgetfulStore::sync_names() {
  if (off_ || !step()) return false;
  durable_names_ = names_;
  unsynced_names_.clear();
  return true;
}

bool ForgetfulStore::remove(const std::string& name) {
  if (off_) return false;
  names_.erase(name);
  unsynced_names_.push_back({name, nullptr, ""});
  return step();
}

bool ForgetfulStore::rename(const std::string& from, const std::string& to) {
  if (off_) return false;
  const NodePtr node = names_.at(from);
  names_.erase(from);
  names_[to] = node;
  // One change: the old name goes with the new one's coming.
  unsynced_names_.push_back({to, node, from});
  return step();
}

ForgetfulStore::NodePtr ForgetfulStore::create(const std::string& name) {
  if (off_) return nullptr;
  auto node = std::make_shared<Node>();
  names_[name] = node;
  unsynced_names_.push_back({name, node, ""});
  return step() ? node : nullptr;
}

std::uint64_t ForgetfulStore::names_of(const NodePtr& node) const {
  return static_cast<std::uint64_t>(
      std::count_if(names_.begin(), names_.end(), [&](const auto& one) { return one.second == node; }));
}

ForgetfulStore::NodePtr ForgetfulStore::find(const std::string& name) const {
  const auto at = names_.find(name);
  return at == names_.end() ? nullptr : at->second;
}

Files ForgetfulStore::after_power_cut(Loss loss, std::uint64_t seed) const {
  std::mt19937_64 random(seed);
  auto names = loss == Loss::nothing ? names_ : durable_names_;
  for (const NameChange& change : unsynced_names_) {
    if (loss != Loss::some || random() % 2 == 0) continue;
    if (change.node != nullptr) names[change.name] = change.node;
    if (change.node == nullptr) names.erase(change.name);
    if (!change.replaces.empty()) names.erase(change.replaces);
  }
  Files files;
  for (const auto& [name, node] : names) {
    std::string content = loss == Loss::nothing ? node->current : node->durable;
    for (const Change& change : node->unsynced) {
      if (loss == Loss::some) apply_some(content, change, random);
    }
    files[name] = content;
  }
  return files;
}

int ForgetfulDisk::open(const std::string& path) {
  auto node = store_.find(path);
  if (node == nullptr) node = store_.create(path);
  if (node == nullptr) return -EIO;
  open_.push_back(node);
  return static_cast<int>(open_.size()) - 1;
}

int ForgetfulDisk::create(const std::string& path) {
  return store_.find(path) ? -EEXIST : open(path);
}

int ForgetfulDisk::rename(const std::string& from, const std::string& to) {
  return store_.find(from) == nullptr ? -ENOENT : store_.rename(from, to) ? 0 : -EIO;
}

int ForgetfulDisk::remove(const std::string& path) {
  return store_.find(path) == nullptr ? -ENOENT : store_.remove(path) ? 0 : -EIO;
}

std::int64_t ForgetfulDisk::size(int fd) {
  return static_cast<std::int64_t>(node(fd).current.size());
}

int ForgetfulDisk::identify(int fd, pointbook::FileIdentity& out) {
  const auto& node = open_.at(static_cast<std::size_t>(fd));
  out = {1, reinterpret_cast<std::uintptr_t>(node.get()), store_.names_of(node)};
  return 0;
}

int ForgetfulDisk::identify(const std::string& path, pointbook::FileIdentity& out) {
  const auto node = store_.find(path);
  if (node == nullptr) return -ENOENT;
  out = {1, reinterpret_cast<std::uintptr_t>(node.get()), store_.names_of(node)};
  return 0;
}

std::int64_t ForgetfulDisk::read_at(int fd, char* into, std::size_t size, std::uint64_t at) {
  if (store_.power_is_off()) return -EIO;
  const std::string& content = node(fd).current;
  if (at >= content.size()) return 0;
  return static_cast<std::int64_t>(content.copy(into, size, at));
}

std::int64_t ForgetfulDisk::write_at(int fd, const char* from, std::size_t size, std::uint64_t at) {
  if (store_.is_full_for(node(fd), at + size)) return -ENOSPC;
  return store_.write(node(fd), {from, size}, at) ? static_cast<std::int64_t>(size) : -EIO;
}

int ForgetfulDisk::truncate(int fd, std::uint64_t size) {
  return store_.truncate(node(fd), size) ? 0 : -EIO;
}
int ForgetfulDisk::sync_data(int fd) {
  return store_.sync(node(fd)) ? 0 : -EIO;
}
int ForgetfulDisk::sync_folder(const std::string&) {
  return store_.sync_names() ? 0 : -EIO;
}

}  // namespace stillpoint::samples
