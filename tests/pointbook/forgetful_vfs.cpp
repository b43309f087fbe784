#include <sqlite3.h>

#include <algorithm>
#include <cstring>
#include <new>

#include "pointbook/forgetful.hpp"

namespace stillpoint::samples {
namespace {

using Node = ForgetfulStore::Node;

struct Inside {
  ForgetfulStore* store = nullptr;
  ForgetfulStore::NodePtr node;
  /// As on a Unix machine, the first sync of a new journal or log also syncs the folder, and no other sync does.
  bool sync_names_too = false;
};

// SQLite owns the memory; `sqlite3_file` comes first.
struct File {
  sqlite3_file base;
  Inside* inside;
};

Inside& inside(sqlite3_file* file) {
  return *static_cast<File*>(static_cast<void*>(file))->inside;
}

int close_file(sqlite3_file* file) {
  delete &inside(file);
  return SQLITE_OK;
}

int read_file_at(sqlite3_file* file, void* into, int size, sqlite3_int64 at) {
  Inside& f = inside(file);
  if (f.store->power_is_off()) return SQLITE_IOERR_READ;
  const auto wanted = static_cast<std::size_t>(size);
  const std::string& content = f.node->current;
  const auto from = std::min(static_cast<std::size_t>(at), content.size());
  const std::size_t have = std::min(wanted, content.size() - from);
  std::memcpy(into, content.data() + from, have);
  std::memset(static_cast<char*>(into) + have, 0, wanted - have);
  return have == wanted ? SQLITE_OK : SQLITE_IOERR_SHORT_READ;
}

int write_file_at(sqlite3_file* file, const void* from, int size, sqlite3_int64 at) {
  Inside& f = inside(file);
  const std::string_view bytes(static_cast<const char*>(from), static_cast<std::size_t>(size));
  if (f.store->is_full_for(*f.node, static_cast<std::uint64_t>(at) + bytes.size())) return SQLITE_FULL;
  return f.store->write(*f.node, bytes, static_cast<std::uint64_t>(at)) ? SQLITE_OK : SQLITE_IOERR_WRITE;
}

int truncate_file(sqlite3_file* file, sqlite3_int64 size) {
  Inside& f = inside(file);
  return f.store->truncate(*f.node, static_cast<std::uint64_t>(size)) ? SQLITE_OK : SQLITE_IOERR_TRUNCATE;
}

int sync_file(sqlite3_file* file, int) {
  Inside& f = inside(file);
  if (!f.store->sync(*f.node)) return SQLITE_IOERR_FSYNC;
  if (!f.sync_names_too) return SQLITE_OK;
  f.sync_names_too = false;
  return f.store->sync_names() ? SQLITE_OK : SQLITE_IOERR_DIR_FSYNC;
}

int size_of_file(sqlite3_file* file, sqlite3_int64* size) {
  *size = static_cast<sqlite3_int64>(inside(file).node->current.size());
  return SQLITE_OK;
}

// One connection at a time uses a store: locks always succeed.
int lock(sqlite3_file*, int) {
  return SQLITE_OK;
}
int is_reserved(sqlite3_file*, int* answer) {
  *answer = 0;
  return SQLITE_OK;
}
int control(sqlite3_file*, int, void*) {
  return SQLITE_NOTFOUND;
}
int sector_size(sqlite3_file*) {
  return 4096;
}
int characteristics(sqlite3_file*) {
  return SQLITE_IOCAP_POWERSAFE_OVERWRITE;
}

int map_shared(sqlite3_file* file, int region, int size, int extend, void volatile** out) {
  auto& regions = inside(file).node->shared_memory;
  const auto index = static_cast<std::size_t>(region);
  *out = nullptr;
  if (index >= regions.size() && extend == 0) return SQLITE_OK;
  while (regions.size() <= index) regions.push_back(std::make_unique<char[]>(static_cast<std::size_t>(size)));
  *out = regions[index].get();
  return SQLITE_OK;
}
int lock_shared(sqlite3_file*, int, int, int) {
  return SQLITE_OK;
}
void barrier(sqlite3_file*) {}
int unmap_shared(sqlite3_file* file, int remove) {
  if (remove != 0) inside(file).node->shared_memory.clear();
  return SQLITE_OK;
}

const sqlite3_io_methods* methods() {
  static const sqlite3_io_methods all = [] {
    sqlite3_io_methods m{};
    m.iVersion = 2;
    m.xClose = close_file;
    m.xRead = read_file_at;
    m.xWrite = write_file_at;
    m.xTruncate = truncate_file;
    m.xSync = sync_file;
    m.xFileSize = size_of_file;
    m.xLock = lock;
    m.xUnlock = lock;
    m.xCheckReservedLock = is_reserved;
    m.xFileControl = control;
    m.xSectorSize = sector_size;
    m.xDeviceCharacteristics = characteristics;
    m.xShmMap = map_shared;
    m.xShmLock = lock_shared;
    m.xShmBarrier = barrier;
    m.xShmUnmap = unmap_shared;
    return m;
  }();
  return &all;
}

ForgetfulStore& store_of(sqlite3_vfs* vfs) {
  return *static_cast<ForgetfulStore*>(vfs->pAppData);
}

int open_file(sqlite3_vfs* vfs, const char* name, sqlite3_file* out, int flags, int* out_flags) {
  ForgetfulStore& store = store_of(vfs);
  auto* file = static_cast<File*>(static_cast<void*>(out));
  file->base.pMethods = nullptr;
  auto node = name == nullptr ? std::make_shared<Node>() : store.find(name);
  if (node == nullptr && (flags & SQLITE_OPEN_CREATE) == 0) return SQLITE_CANTOPEN;
  if (node == nullptr) node = store.create(name);
  if (node == nullptr) return SQLITE_IOERR;
  const int journals = SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_SUPER_JOURNAL | SQLITE_OPEN_WAL;
  const bool sync_names = (flags & SQLITE_OPEN_CREATE) != 0 && (flags & journals) != 0;
  file->inside = new Inside{&store, node, sync_names};
  file->base.pMethods = methods();
  if (out_flags != nullptr) *out_flags = flags;
  return SQLITE_OK;
}

int delete_file(sqlite3_vfs* vfs, const char* name, int sync_names) {
  ForgetfulStore& store = store_of(vfs);
  if (store.find(name) == nullptr) return SQLITE_IOERR_DELETE_NOENT;
  if (!store.remove(name)) return SQLITE_IOERR_DELETE;
  if (sync_names == 0) return SQLITE_OK;
  return store.sync_names() ? SQLITE_OK : SQLITE_IOERR_DIR_FSYNC;
}

int access_file(sqlite3_vfs* vfs, const char* name, int, int* answer) {
  const auto node = store_of(vfs).find(name);
  *answer = node != nullptr ? 1 : 0;
  return SQLITE_OK;
}

int full_path(sqlite3_vfs*, const char* name, int size, char* out) {
  sqlite3_snprintf(size, out, "%s", name);
  return SQLITE_OK;
}

}  // namespace

struct ForgetfulVfs::State {
  sqlite3_vfs vfs{};
  std::string name = "forgetful";
};

ForgetfulVfs::ForgetfulVfs(ForgetfulStore& store) : state_(std::make_unique<State>()) {
  const sqlite3_vfs* system = sqlite3_vfs_find(nullptr);
  state_->vfs = *system;  // time, randomness and the rest are the machine's
  sqlite3_vfs& vfs = state_->vfs;
  vfs.szOsFile = sizeof(File);
  vfs.zName = state_->name.c_str();
  vfs.pNext = nullptr;
  vfs.pAppData = &store;
  vfs.xOpen = open_file;
  vfs.xDelete = delete_file;
  vfs.xAccess = access_file;
  vfs.xFullPathname = full_path;
  sqlite3_vfs_register(&vfs, 0);
}

ForgetfulVfs::~ForgetfulVfs() {
  sqlite3_vfs_unregister(&state_->vfs);
}
const std::string& ForgetfulVfs::name() const {
  return state_->name;
}

}  // namespace stillpoint::samples
