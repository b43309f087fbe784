#include "open_stay.hpp"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstdio>

#include "base/identity.hpp"
#include "file.hpp"
#include "pointbook/own_file.hpp"
#include "pointbook/spool.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::string_view kHead = "stillpoint-open 1 ";

void sync_folder(const std::string& folder) {
  const Fd fd(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (fd) ::fsync(fd.get());
}

}  // namespace

Result<void> OpenStay::save(const occupation::StoredPoint& point) {
  const std::string body = pointbook::encode(point);
  const std::string fresh = path_ + ".new";
  const int opened = pointbook::create_own_file(fresh);
  if (opened < 0) return fail("The open stay cannot be saved in " + fresh + ": " + errno_text(-opened) + ".");
  const Fd fd(opened);
  auto done = write_all(fd.get(), std::string(kHead) + sha256_hex(body) + "\n" + body);
  if (done && ::fdatasync(fd.get()) != 0) done = fail(errno_text(errno));
  if (done && ::rename(fresh.c_str(), path_.c_str()) != 0) done = fail(errno_text(errno));
  if (!done) {
    ::unlink(fresh.c_str());
    return fail("The open stay cannot be saved in " + path_ + ": " + done.error().text + ".");
  }
  sync_folder(folder_of(path_));
  return {};
}

void OpenStay::forget() {
  if (::unlink(path_.c_str()) == 0) sync_folder(folder_of(path_));
}

Result<std::optional<occupation::StoredPoint>> OpenStay::left() const {
  const int opened = pointbook::open_own_file_to_read(path_);
  if (opened == -ENOENT) return std::optional<occupation::StoredPoint>();
  if (opened == -ELOOP || opened == -EINVAL) return set_aside();
  if (opened < 0) return fail(path_ + " cannot be read: " + errno_text(-opened) + ".");
  const auto text = read_all(Fd(opened).get(), path_);
  if (!text) return tl::unexpected(text.error());
  const std::size_t body_at = kHead.size() + 65;
  const bool whole = text->starts_with(kHead) && text->size() > body_at &&
                     sha256_hex(std::string_view(*text).substr(body_at)) == text->substr(kHead.size(), 64);
  if (whole) {
    auto point = pointbook::decode_stored_point(std::string_view(*text).substr(body_at));
    if (point) return std::optional(std::move(*point));
  }
  return set_aside();
}

tl::unexpected<Error> OpenStay::set_aside() const {
  const std::string aside = path_ + ".damaged";
  std::rename(path_.c_str(), aside.c_str());
  return fail("The stay that was open when the program ended is damaged and was set aside as " + aside +
              "; recompute it from the record with stillpoint-reduce.");
}

}  // namespace stillpoint::daemon
