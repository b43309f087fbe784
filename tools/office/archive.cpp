#include "archive.hpp"

#include <archive.h>
#include <archive_entry.h>
#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <filesystem>
#include <memory>
#include <set>
#include <sstream>
#include <system_error>

#include "base/identity.hpp"
#include "base/plain_file.hpp"
#include "base/utf8.hpp"
#include "delivery_sentences.hpp"
#include "new_files.hpp"

namespace stillpoint::office {
namespace {

namespace fs = std::filesystem;

constexpr const char* kMagic = "stillpoint-day 1";
constexpr const char* kLeftOut = "left-out ";
constexpr std::size_t kMostFiles = 20'000, kMostManifestBytes = 4U << 20U, kLongestName = 120, kDigits = 64;

struct Closer {
  void operator()(archive* open) const noexcept { archive_free(open); }
  void operator()(archive_entry* entry) const noexcept { archive_entry_free(entry); }
};
using ArchivePtr = std::unique_ptr<archive, Closer>;
using EntryPtr = std::unique_ptr<archive_entry, Closer>;

class OpenFile {
 public:
  explicit OpenFile(int fd) noexcept : fd_(fd) {}
  OpenFile(const OpenFile&) = delete;
  OpenFile& operator=(const OpenFile&) = delete;
  ~OpenFile() {
    if (fd_ >= 0) ::close(fd_);
  }
  int get() const noexcept { return fd_; }

 private:
  int fd_;
};

std::string words_of(archive* open) {
  const char* words = archive_error_string(open);
  return words == nullptr ? kSayOfDelivery.said_nothing() : shown(words);
}

bool is_sum(const std::string& text) {
  return text.size() == kDigits && text.find_first_not_of("0123456789abcdef") == std::string::npos;
}

/// PART/FILE
bool is_entry_name(const std::string& name) {
  const std::size_t slash = name.find('/');
  return slash != std::string::npos && is_archive_name(name.substr(slash + 1)) &&
         std::ranges::find(kParts, name.substr(0, slash)) != std::end(kParts);
}

// --- writing -----------------------------------------------------------------------------------------------------

class ArchiveWriter {
 public:
  ArchiveWriter(std::string path, std::string top, UtcTime time)
      : path_(std::move(path)), top_(std::move(top)), time_(time), archive_(archive_write_new()) {}

  Result<void> open() {
    const bool good = archive_write_set_format_pax_restricted(archive_.get()) == ARCHIVE_OK &&
                      archive_write_add_filter_none(archive_.get()) == ARCHIVE_OK &&
                      archive_write_open_filename(archive_.get(), path_.c_str()) == ARCHIVE_OK;
    return good ? Result<void>{} : failed();
  }
  Result<void> add_text(const std::string& name, const std::string& text) {
    if (auto done = begin(name, static_cast<std::int64_t>(text.size())); !done) return done;
    return add(text);
  }
  /// The file as it was summed, or a failure.
  Result<void> add_file(const ArchivedFile& file) {
    const auto opened = open_plain_file(file.path);
    if (!opened) return fail(kSayOfDelivery.cannot_pack(file.path, opened.error().words));
    const OpenFile from(*opened);
    std::error_code none;
    const auto size = static_cast<std::int64_t>(fs::file_size(file.path, none));
    if (auto done = begin(file.name, size); !done) return done;
    Sha256 sum;
    std::vector<char> buffer(1U << 20U);
    for (std::int64_t left = size; left > 0;) {
      const ssize_t got = ::read(from.get(), buffer.data(), std::min(buffer.size(), static_cast<std::size_t>(left)));
      if (got < 0 && errno == EINTR) continue;
      if (got <= 0) return fail(kSayOfDelivery.changed_meanwhile(file.path));
      const std::string_view piece(buffer.data(), static_cast<std::size_t>(got));
      sum.add(piece);
      if (auto done = add(piece); !done) return done;
      left -= got;
    }
    if (sum.hex() != file.sha256) return fail(kSayOfDelivery.changed_meanwhile(file.path));
    return {};
  }
  Result<void> close() {
    if (archive_write_close(archive_.get()) != ARCHIVE_OK) return failed();
    return {};
  }

 private:
  tl::unexpected<Error> failed() { return fail(kSayOfDelivery.cannot_write_archive(path_, words_of(archive_.get()))); }
  Result<void> begin(const std::string& name, std::int64_t size) {
    const EntryPtr entry(archive_entry_new());
    archive_entry_set_pathname(entry.get(), (top_ + '/' + name).c_str());
    archive_entry_set_filetype(entry.get(), AE_IFREG);
    archive_entry_set_perm(entry.get(), 0644);
    archive_entry_set_size(entry.get(), size);
    archive_entry_set_mtime(entry.get(), static_cast<time_t>(time_.ms / 1000), 0);
    if (archive_write_header(archive_.get(), entry.get()) != ARCHIVE_OK) return failed();
    return {};
  }
  Result<void> add(std::string_view bytes) {
    while (!bytes.empty()) {
      const la_ssize_t n = archive_write_data(archive_.get(), bytes.data(), bytes.size());
      if (n <= 0) return failed();
      bytes.remove_prefix(static_cast<std::size_t>(n));
    }
    return {};
  }

  std::string path_, top_;
  UtcTime time_;
  ArchivePtr archive_;
};

// --- reading -----------------------------------------------------------------------------------------------------

class ArchiveOpener {
 public:
  ArchiveOpener(std::string path, std::string folder) : path_(std::move(path)), folder_(std::move(folder)) {}
  Result<Unpacked> unpack();

 private:
  template <class... Values>
  tl::unexpected<Error> refuse(const Values&... values) const {
    return fail(kSayOfDelivery.archive_refused(path_, values...));
  }
  Result<void> open(int fd);
  Result<bool> next();
  Result<void> look_at(archive_entry* entry);
  Result<void> read_manifest(archive_entry* entry);
  Result<void> take_file(archive_entry* entry);
  Result<std::string> copy_data(const std::string& to);
  ArchivedFile* listed(const std::string& name);

  std::string path_, folder_;
  std::uint64_t size_ = 0, taken_ = 0;
  ArchivePtr archive_;
  archive_entry* entry_ = nullptr;
  std::string name_;  ///< of the entry, without the top folder
  std::set<std::string> seen_;
  Unpacked out_;
};

Result<void> ArchiveOpener::open(int fd) {
  archive_.reset(archive_read_new());
  // Tar alone, and no compression: what is unpacked can then be no larger than what came.
  const bool good = archive_read_support_format_tar(archive_.get()) == ARCHIVE_OK &&
                    archive_read_open_fd(archive_.get(), fd, 1U << 16U) == ARCHIVE_OK;
  if (!good) return refuse(words_of(archive_.get()));
  return {};
}

Result<bool> ArchiveOpener::next() {
  const int code = archive_read_next_header(archive_.get(), &entry_);
  if (code == ARCHIVE_EOF) return false;
  if (code != ARCHIVE_OK) return refuse(words_of(archive_.get()));
  return true;
}

/// What every entry must be, before anything of it is written.
Result<void> ArchiveOpener::look_at(archive_entry* entry) {
  const char* raw = archive_entry_pathname(entry);
  const std::string whole = raw == nullptr ? "" : raw;
  const std::string told = '"' + shown(whole.substr(0, kLongestName)) + '"';
  const std::size_t slash = whole.find('/');
  const std::string top = whole.substr(0, slash);
  name_ = slash == std::string::npos ? "" : whole.substr(slash + 1);
  const bool named = is_archive_name(top) && (name_ == kManifest || is_entry_name(name_));
  if (!named) return refuse(kSayOfDelivery.strange_name(told));
  if (out_.top.empty()) out_.top = top;
  if (top != out_.top) return refuse(kSayOfDelivery.strange_name(told));
  if (!seen_.insert(name_).second) return refuse(kSayOfDelivery.name_twice(told));
  if (archive_entry_filetype(entry) != AE_IFREG || archive_entry_hardlink(entry) != nullptr) {
    return refuse(kSayOfDelivery.no_plain_entry(told));
  }
  const std::int64_t size = archive_entry_size(entry);
  if (size < 0 || archive_entry_sparse_count(entry) > 0 || static_cast<std::uint64_t>(size) > size_ - taken_) {
    return refuse(kSayOfDelivery.larger_than_it(told));
  }
  taken_ += static_cast<std::uint64_t>(size);
  return {};
}

Result<void> ArchiveOpener::read_manifest(archive_entry* entry) {
  if (name_ != kManifest) return refuse(kSayOfDelivery.manifest_first());
  if (archive_entry_size(entry) > static_cast<std::int64_t>(kMostManifestBytes)) {
    return refuse(kSayOfDelivery.manifest_too_large());
  }
  std::string text(static_cast<std::size_t>(archive_entry_size(entry)), '\0');
  if (archive_read_data(archive_.get(), text.data(), text.size()) != static_cast<la_ssize_t>(text.size())) {
    return refuse(words_of(archive_.get()));
  }
  auto manifest = manifest_of(text);
  if (!manifest) return refuse(manifest.error().text);
  out_.manifest = *std::move(manifest);
  std::error_code error;
  for (const char* part : kParts) fs::create_directory(fs::path(folder_) / part, error);
  if (const std::string why = write_new_file((fs::path(folder_) / kManifest).string(), text); !why.empty()) {
    return fail(kSayOfDelivery.cannot_unpack(kManifest, why));
  }
  return {};
}

ArchivedFile* ArchiveOpener::listed(const std::string& name) {
  const auto at = std::ranges::find_if(out_.manifest.files, [&](const auto& file) { return file.name == name; });
  return at == out_.manifest.files.end() ? nullptr : &*at;
}

/// Its SHA-256.
Result<std::string> ArchiveOpener::copy_data(const std::string& to) {
  const OpenFile out(::open(to.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC, 0644));
  const auto cannot = [&](int code) {
    return fail(kSayOfDelivery.cannot_unpack(name_, std::generic_category().message(code)));
  };
  if (out.get() < 0) return cannot(errno);
  Sha256 sum;
  std::vector<char> buffer(1U << 20U);
  for (;;) {
    const la_ssize_t got = archive_read_data(archive_.get(), buffer.data(), buffer.size());
    if (got < 0) return refuse(words_of(archive_.get()));
    if (got == 0) break;
    const std::string_view piece(buffer.data(), static_cast<std::size_t>(got));
    sum.add(piece);
    if (const int failed = write_all(out.get(), piece); failed != 0) return cannot(failed);
  }
  if (::fsync(out.get()) != 0) return cannot(errno);
  return sum.hex();
}

Result<void> ArchiveOpener::take_file(archive_entry* entry) {
  ArchivedFile* file = listed(name_);
  const std::string told = '"' + name_ + '"';
  if (file == nullptr || archive_entry_pathname(entry) == nullptr) return refuse(kSayOfDelivery.not_listed(told));
  file->path = (fs::path(folder_) / name_).string();
  const auto sum = copy_data(file->path);
  if (!sum) return tl::unexpected(sum.error());
  if (*sum != file->sha256) return refuse(kSayOfDelivery.other_sum(told));
  return {};
}

Result<Unpacked> ArchiveOpener::unpack() {
  const auto opened = open_plain_file(path_);
  if (!opened) return refuse(opened.error().words);
  const OpenFile fd(*opened);
  std::error_code error;
  size_ = fs::file_size(path_, error);
  if (auto done = open(fd.get()); !done) return tl::unexpected(done.error());
  for (bool first = true;; first = false) {
    const auto there = next();
    if (!there) return tl::unexpected(there.error());
    if (!*there) break;
    if (auto done = look_at(entry_); !done) return tl::unexpected(done.error());
    if (auto done = first ? read_manifest(entry_) : take_file(entry_); !done) return tl::unexpected(done.error());
  }
  if (out_.top.empty()) return refuse(kSayOfDelivery.manifest_first());
  for (const ArchivedFile& file : out_.manifest.files) {
    if (file.path.empty()) return refuse(kSayOfDelivery.file_missing('"' + file.name + '"'));
  }
  return std::move(out_);
}

}  // namespace

bool is_archive_name(const std::string& name) noexcept {
  return !name.empty() && name.size() <= kLongestName && name.front() != '.' && name.front() != '-' &&
         std::ranges::all_of(name, [](char c) {
           return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || c == '.' || c == '_' ||
                  c == '+' || c == '-';
         });
}

std::string to_text(const Manifest& manifest) {
  std::string out = std::string(kMagic) + '\n';
  for (const std::string& what : manifest.left_out) out += kLeftOut + what + '\n';
  out += '\n';
  for (const ArchivedFile& file : manifest.files) out += file.sha256 + "  " + file.name + '\n';
  return out;
}

Result<Manifest> manifest_of(const std::string& text) {
  Manifest out;
  std::istringstream in(text);
  std::string line;
  if (!std::getline(in, line) || line != kMagic) return fail(kSayOfDelivery.no_manifest());
  std::set<std::string> names;
  for (bool heads = true; std::getline(in, line);) {
    if (heads && line.empty()) {
      heads = false;
    } else if (heads && line.starts_with(kLeftOut) && is_utf8(line)) {
      out.left_out.push_back(shown(line.substr(std::string_view(kLeftOut).size())));
    } else if (heads || line.size() < kDigits + 2 || !is_sum(line.substr(0, kDigits)) ||
               !is_entry_name(line.substr(kDigits + 2)) || line.substr(kDigits, 2) != "  ") {
      return fail(kSayOfDelivery.bad_line(shown(line.substr(0, kLongestName))));
    } else {
      out.files.push_back({line.substr(kDigits + 2), {}, line.substr(0, kDigits)});
      if (!names.insert(out.files.back().name).second) return fail(kSayOfDelivery.name_twice(out.files.back().name));
    }
    if (out.files.size() > kMostFiles) return fail(kSayOfDelivery.manifest_too_large());
  }
  return out;
}

Result<void> write_archive(const std::string& path, const std::string& top, UtcTime time, Manifest manifest) {
  for (ArchivedFile& file : manifest.files) {
    auto sum = sha256_file(file.path);
    if (!sum) return tl::unexpected(sum.error());
    file.sha256 = *std::move(sum);
  }
  ArchiveWriter writer(path, top, time);
  if (auto done = writer.open(); !done) return done;
  if (auto done = writer.add_text(kManifest, to_text(manifest)); !done) return done;
  for (const ArchivedFile& file : manifest.files) {
    if (auto done = writer.add_file(file); !done) return done;
  }
  return writer.close();
}

Result<Unpacked> unpack_archive(const std::string& path, const std::string& folder) {
  return ArchiveOpener(path, folder).unpack();
}

}  // namespace stillpoint::office
