#include "pointbook/spool.hpp"

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <utility>

#include "base/identity.hpp"
#include "base/number.hpp"
#include "pointbook/own_file.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

constexpr std::string_view kFileHead = "stillpoint-spool 1\n";
constexpr std::string_view kEntryMark = "SP1 ";
constexpr std::size_t kHeadSize = 99;  // mark 4, kind 1, space, length 10, space, SHA-256 64, space, check 16, LF
constexpr std::size_t kCheckedSize = 81;
constexpr std::size_t kCheckDigits = 16;
constexpr std::uint64_t kMostBytes = 9'999'999'999;

enum class Kind : char { point = 'P', shot = 'C', settled = 'S' };

std::string entry(Kind kind, std::string_view body) {
  std::string length = std::to_string(body.size());
  length.insert(0, 10 - length.size(), '0');
  std::string out(kEntryMark);
  out.push_back(static_cast<char>(kind));
  out += " " + length + " " + sha256_hex(body);
  out += " " + sha256_hex(out).substr(0, kCheckDigits) + "\n";
  return out.append(body).append("\n");
}

struct Head {
  Kind kind = Kind::point;
  std::size_t length = 0;
  std::string_view sha256;
};

std::optional<Head> read_head(std::string_view bytes) {
  if (bytes.size() < kHeadSize || bytes.substr(0, kEntryMark.size()) != kEntryMark) return std::nullopt;
  const std::string_view check = bytes.substr(kCheckedSize + 1, kCheckDigits);
  if (bytes[kCheckedSize] != ' ' || bytes[kHeadSize - 1] != '\n') return std::nullopt;
  if (sha256_hex(bytes.substr(0, kCheckedSize)).compare(0, kCheckDigits, check) != 0) return std::nullopt;
  const char kind = bytes[4];
  const auto length = parse_integer(bytes.substr(6, 10));
  if (!length || *length < 0 || (kind != 'P' && kind != 'C' && kind != 'S')) return std::nullopt;
  return Head{static_cast<Kind>(kind), static_cast<std::size_t>(*length), bytes.substr(17, 64)};
}

bool has_file_head(std::string_view bytes) {
  return bytes.substr(0, kFileHead.size()) == kFileHead;
}

/// Where damaged bytes are kept: the same bytes always have the same name.
std::string aside_name(const std::string& path, std::string_view bytes) {
  return path + ".damaged-" + sha256_hex(bytes).substr(0, 8);
}

template <class Row>
bool waits(const std::vector<Row>& rows, std::string_view uuid) {
  return std::any_of(rows.begin(), rows.end(), [uuid](const Row& row) { return row.uuid == uuid; });
}

template <class Row>
bool forget(std::vector<Row>& rows, std::string_view uuid) {
  return std::erase_if(rows, [uuid](const Row& row) { return row.uuid == uuid; }) > 0;
}

/// What a spool file says.
struct Contents {
  std::vector<occupation::StoredPoint> waiting;
  std::vector<CheckShot> shots;
  std::vector<std::string> damage;
  std::uint64_t end = 0;  ///< where the next entry goes
};

class Scan {
 public:
  Scan(std::string_view bytes, const std::string& path) : bytes_(bytes), path_(path), aside_(aside_name(path, bytes)) {}

  Contents run() {
    std::size_t at = has_file_head(bytes_) ? kFileHead.size() : 0;
    contents_.end = at;
    while (at < bytes_.size()) {
      if (const std::size_t next = take_entry(at); next != 0) {
        at = contents_.end = next;
        continue;
      }
      const std::size_t next = find_entry(at + 1);
      // Fewer bytes than an entry needs, at the very end: it was being written when the power went.
      const bool torn = next == bytes_.size() && (contents_.end == 0 || is_cut_short(at));
      if (!torn) report(at, kSay.bytes_unreadable(std::to_string(next - at)));
      if (torn && contents_.end != 0 && !only_settles(at)) report_torn(bytes_.size() - at);
      at = next;
    }
    return std::move(contents_);
  }

 private:
  /// The position after a whole, sound entry at `at`; 0 when there is none.
  std::size_t take_entry(std::size_t at) {
    const auto head = read_head(bytes_.substr(at));
    if (!head) return 0;
    const std::size_t body_at = at + kHeadSize;
    if (head->length >= bytes_.size() - body_at) return 0;
    const std::string_view body = bytes_.substr(body_at, head->length);
    if (bytes_[body_at + head->length] != '\n' || sha256_hex(body) != head->sha256) return 0;
    use(head->kind, body, at);
    return body_at + head->length + 1;
  }

  void use(Kind kind, std::string_view body, std::size_t at) {
    switch (kind) {
      case Kind::settled:
        forget(contents_.waiting, body);
        forget(contents_.shots, body);
        return;
      case Kind::point:
        return keep(decode_stored_point(body), contents_.waiting, at, "point");
      case Kind::shot:
        return keep(decode_check_shot(body), contents_.shots, at, kSay.a_check_shot());
    }
  }

  template <class Row>
  void keep(Result<Row> row, std::vector<Row>& waiting, std::size_t at, const std::string& what) {
    if (!row) return report(at, kSay.kind_unreadable(what));
    if (!waits(waiting, row->uuid)) waiting.push_back(std::move(*row));
  }

  bool is_cut_short(std::size_t at) const {
    if (bytes_.size() - at < kHeadSize) return true;
    const auto head = read_head(bytes_.substr(at));
    return head && head->length >= bytes_.size() - at - kHeadSize;
  }

  void report(std::size_t at, const std::string& what) {
    contents_.damage.push_back(kSay.spool_damaged(path_, std::to_string(at), what, aside_));
  }

  /// True when the entry that was cut short is a settlement. Then nothing is missing: the pointbook has the point.
  bool only_settles(std::size_t at) const {
    const std::string_view rest = bytes_.substr(at);
    return rest.starts_with(kEntryMark) && rest.size() > kEntryMark.size() &&
           rest[kEntryMark.size()] == static_cast<char>(Kind::settled);
  }

  /// Reports an entry that was cut short. Most often it was never acknowledged, but something else may have cut the
  /// file.
  void report_torn(std::size_t size) {
    contents_.damage.push_back(kSay.spool_torn(path_, std::to_string(size), aside_));
  }

  /// The next sound line from `at` on, or the end of the bytes.
  std::size_t find_entry(std::size_t at) const {
    while (true) {
      at = std::min(bytes_.find(kEntryMark, at), bytes_.size());
      if (at == bytes_.size() || read_head(bytes_.substr(at))) return at;
      ++at;
    }
  }

  std::string_view bytes_;
  const std::string& path_;
  std::string aside_;
  Contents contents_;
};

class OpenFile {
 public:
  OpenFile(Disk& disk, int fd) noexcept : disk_(&disk), fd_(fd) {}
  OpenFile(OpenFile&& other) noexcept : disk_(other.disk_), fd_(std::exchange(other.fd_, -1)) {}
  OpenFile& operator=(OpenFile&& other) noexcept {
    std::swap(disk_, other.disk_);
    std::swap(fd_, other.fd_);
    return *this;
  }
  ~OpenFile() {
    if (fd_ >= 0) disk_->close(fd_);
  }
  Disk& disk() const noexcept { return *disk_; }
  int fd() const noexcept { return fd_; }

 private:
  Disk* disk_;
  int fd_;
};

/// A file that holds nothing yet but perhaps a torn head.
int write_file_head(OpenFile& file) {
  int code = truncate(file.disk(), file.fd(), 0);
  if (code == 0) code = write_all(file.disk(), file.fd(), kFileHead, 0);
  return code == 0 ? sync_data(file.disk(), file.fd()) : code;
}

/// Keeps damaged bytes for whoever wants to look: the spool itself is emptied sooner or later.
int keep_aside(Disk& disk, const std::string& path, std::string_view bytes) {
  const int fd = disk.open(path);
  if (fd < 0) return fd;
  OpenFile file(disk, fd);
  int code = truncate(disk, fd, 0);
  if (code == 0) code = write_all(disk, fd, bytes, 0);
  if (code == 0) code = sync_data(disk, fd);
  return code == 0 ? disk.sync_folder(folder_of(path)) : code;
}

}  // namespace

struct Spool::State {
  OpenFile file;
  std::string path;
  Contents contents;
  bool tail_dirty = false;  ///< bytes of an entry that failed may lie past the end
  bool gone = false;        ///< the file was found deleted or replaced

  Result<void> failed(const std::string& what, int code) const {
    return fail(kSay.spool_failed(what, path, disk_words(code)));
  }
  int drop_tail() {
    const int code = truncate(file.disk(), file.fd(), contents.end);
    tail_dirty = code != 0;
    return code;
  }
  int put(std::string_view bytes) {
    if (tail_dirty) {
      if (const int code = drop_tail(); code != 0) return code;
    }
    const int code = write_all(file.disk(), file.fd(), bytes, contents.end);
    if (code != 0) drop_tail();
    return code;
  }
  Result<void> make_ready(std::string_view bytes);
  Result<void> look();
  Result<void> make_anew();
  int write_waiting(OpenFile& fresh, std::uint64_t& end) const;
  template <class Row>
  Result<void> append(Kind kind, const Row& row, std::vector<Row>& waiting);
};

template <class Row>
Result<void> Spool::State::append(Kind kind, const Row& row, std::vector<Row>& waiting) {
  if (waits(waiting, row.uuid)) return {};
  if (auto there = look(); !there) return there;
  const std::string body = encode(row);
  if (body.size() > kMostBytes) return failed("write", -EFBIG);
  const std::string bytes = entry(kind, body);
  int code = put(bytes);
  if (code != 0) return failed("write", code);
  code = sync_data(file.disk(), file.fd());
  if (code != 0) {
    // Nobody knows now whether these bytes are on the disk: they are taken back and written anew at the next try.
    drop_tail();
    return failed("sync", code);
  }
  contents.end += bytes.size();
  waiting.push_back(row);
  return {};
}

/// Checks that the open file still has its name: bytes in a file without a name are lost when it is closed.
Result<void> Spool::State::look() {
  const int code = look_for(file.disk(), file.fd(), path);
  if (code == 0) gone = false;
  if (code == 0) return {};
  if (code != -ENOENT && code != -ESTALE) return failed(kSay.look_for(), code);
  if (std::exchange(gone, true)) return make_anew();
  return fail(kSay.spool_gone(path));
}

Result<void> Spool::State::make_anew() {
  Disk& disk = file.disk();
  const int fd = disk.open(path);
  if (fd < 0) return failed(kSay.make_anew(), fd);
  OpenFile fresh(disk, fd);
  if (disk.lock(fd) != 0 || disk.size(fd) != 0) {
    return fail(kSay.spool_replaced(path));
  }
  std::uint64_t end = 0;
  if (const int code = write_waiting(fresh, end); code != 0) {
    (void)truncate(disk, fd, 0);  // else the next try takes it for another's
    return failed(kSay.make_anew(), code);
  }
  file = std::move(fresh);
  contents.end = end;
  tail_dirty = gone = false;
  contents.damage.push_back(
      kSay.spool_made_anew(path, counted(contents.waiting.size() + contents.shots.size(), "entry", "entries")));
  return {};
}

int Spool::State::write_waiting(OpenFile& fresh, std::uint64_t& end) const {
  std::string bytes(kFileHead);
  for (const auto& point : contents.waiting) bytes += entry(Kind::point, encode(point));
  for (const auto& shot : contents.shots) bytes += entry(Kind::shot, encode(shot));
  end = bytes.size();
  int code = write_all(fresh.disk(), fresh.fd(), bytes, 0);
  if (code == 0) code = sync_data(fresh.disk(), fresh.fd());
  return code == 0 ? fresh.disk().sync_folder(folder_of(path)) : code;
}

/// Brings the file into the shape in which entries can be appended.
Result<void> Spool::State::make_ready(std::string_view bytes) {
  if (!contents.damage.empty()) {
    if (const int code = keep_aside(file.disk(), aside_name(path, bytes), bytes); code != 0) {
      return failed(kSay.keep_copy(), code);
    }
  }
  int code = 0;
  if (contents.end == 0) {
    code = write_file_head(file);
    contents.end = kFileHead.size();
  } else if (contents.end < bytes.size()) {
    code = drop_tail();
  }
  if (code == 0 && !has_file_head(bytes)) code = write_all(file.disk(), file.fd(), kFileHead, 0);
  if (code == 0) code = file.disk().sync_folder(folder_of(path));
  return code == 0 ? Result<void>{} : failed("write", code);
}

Spool::Spool(std::unique_ptr<State> state) noexcept : state_(std::move(state)) {}
Spool::Spool(Spool&&) noexcept = default;
Spool& Spool::operator=(Spool&&) noexcept = default;
Spool::~Spool() = default;

Result<Spool> Spool::open(const std::string& path, Disk& disk) {
  const std::string name = real_path(path) + ".spool";
  const int fd = disk.open(name);
  if (fd < 0) return fail(kSay.spool_not_opened(name, disk_words(fd)));
  auto state = std::make_unique<State>(State{OpenFile(disk, fd), name, {}, false, false});
  if (const int code = disk.lock(fd); code != 0) {
    return fail(kSay.spool_in_use(name));
  }
  std::string bytes;
  if (const int code = read_all(disk, fd, bytes); code != 0) {
    return fail(kSay.spool_not_read(name, disk_words(code)));
  }
  state->contents = Scan(bytes, name).run();
  // A torn creation leaves at most a part of the head, or as many bytes that never were written.
  if (state->contents.end == 0 && bytes.size() > kFileHead.size()) {
    return fail(kSay.no_spool(name));
  }
  if (auto ready = state->make_ready(bytes); !ready) return tl::unexpected<Error>(ready.error());
  return Spool(std::move(state));
}

Waiting waiting_in(const std::string& path) {
  const std::string name = real_path(path) + ".spool";
  const int fd = open_own_file_to_read(name);
  if (fd < 0) return {};
  const OpenFile file(system_disk(), fd);
  std::string bytes;
  if (read_all(file.disk(), fd, bytes) != 0) return {};
  Contents contents = Scan(bytes, name).run();
  return {std::move(contents.waiting), std::move(contents.shots)};
}

const std::vector<occupation::StoredPoint>& Spool::waiting() const noexcept {
  return state_->contents.waiting;
}
const std::vector<CheckShot>& Spool::waiting_shots() const noexcept {
  return state_->contents.shots;
}
const std::vector<std::string>& Spool::damage() const noexcept {
  return state_->contents.damage;
}

Result<void> Spool::append(const occupation::StoredPoint& point) {
  return state_->append(Kind::point, point, state_->contents.waiting);
}
Result<void> Spool::append(const CheckShot& shot) {
  return state_->append(Kind::shot, shot, state_->contents.shots);
}

Result<void> Spool::settle(const std::string& uuid) {
  State& state = *state_;
  Contents& contents = state.contents;
  if (!waits(contents.waiting, uuid) && !waits(contents.shots, uuid)) return {};
  if (contents.waiting.size() + contents.shots.size() == 1) {
    const int code = truncate(state.file.disk(), state.file.fd(), kFileHead.size());
    if (code != 0) return state.failed("empty", code);
    contents.end = kFileHead.size();
    state.tail_dirty = false;
  } else {
    const std::string bytes = entry(Kind::settled, uuid);
    if (const int code = state.put(bytes); code != 0) return state.failed("write", code);
    contents.end += bytes.size();
  }
  forget(contents.waiting, uuid);
  forget(contents.shots, uuid);
  return {};
}

}  // namespace stillpoint::pointbook
