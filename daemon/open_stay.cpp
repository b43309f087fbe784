#include "open_stay.hpp"

#include <cerrno>

#include "base/identity.hpp"
#include "file.hpp"
#include "pointbook/own_file.hpp"
#include "pointbook/spool.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::string_view kHead = "stillpoint-open 1 ";

}  // namespace

Result<void> OpenStay::save(const occupation::StoredPoint& point) {
  const std::string body = pointbook::encode(point);
  const int code = pointbook::replace_file(disk_, path_, std::string(kHead) + sha256_hex(body) + "\n" + body);
  if (code == 0) return {};
  return fail("the open stay cannot be saved in " + path_ + ": " + pointbook::disk_words(code) +
              "; a crash now would cost it");
}

Result<void> OpenStay::forget() {
  const int code = disk_.remove(path_);
  if (code == -ENOENT) return {};
  const int synced = code == 0 ? disk_.sync_folder(folder_of(path_)) : code;
  if (synced == 0) return {};
  return fail("the open stay of before cannot be removed from " + path_ + ": " + pointbook::disk_words(synced) +
              "; at the next start it would come back");
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
  const std::string what = "The stay that was open when the program ended is damaged";
  const std::string advice = "; recompute it from the record with stillpoint-reduce.";
  if (const int code = disk_.rename(path_, aside); code != 0) {
    return fail(what + " and could not be set aside as " + aside + " (" + pointbook::disk_words(code) + ")" + advice);
  }
  return fail(what + " and was set aside as " + aside + advice);
}

}  // namespace stillpoint::daemon
