#include "keeping/open_stay.hpp"

#include <cerrno>

#include "base/identity.hpp"
#include "common/file.hpp"
#include "common/sentences.hpp"
#include "pointbook/own_file.hpp"
#include "pointbook/spool.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::string_view kHead = "stillpoint-open 1 ";

/// The stay that the file holds; nothing where the two do not agree.
std::optional<occupation::StoredPoint> whole_stay(std::string_view text) {
  const std::size_t body_at = kHead.size() + 65;
  if (!text.starts_with(kHead) || text.size() <= body_at) return std::nullopt;
  const std::string_view body = text.substr(body_at);
  if (sha256_hex(body) != text.substr(kHead.size(), 64)) return std::nullopt;
  auto point = pointbook::decode_stored_point(body);
  if (!point) return std::nullopt;
  return std::move(*point);
}

}  // namespace

Result<void> OpenStay::save(const occupation::StoredPoint& point) {
  const std::string body = pointbook::encode(point);
  const int code = pointbook::replace_file(disk_, path_, std::string(kHead) + sha256_hex(body) + "\n" + body);
  if (code == 0) return {};
  return fail(kSay.stay_not_saved(path_, pointbook::disk_words(code)));
}

Result<void> OpenStay::forget() {
  const int code = disk_.remove(path_);
  if (code == -ENOENT) return {};
  const int synced = code == 0 ? disk_.sync_folder(folder_of(path_)) : code;
  if (synced == 0) return {};
  return fail(kSay.stay_not_removed(path_, pointbook::disk_words(synced)));
}

std::optional<occupation::StoredPoint> open_stay_in(const std::string& pointbook) {
  const Fd file(pointbook::open_own_file_to_read(pointbook + ".open"));
  if (file.get() < 0) return std::nullopt;
  const auto text = read_all(file.get(), pointbook);
  return text ? whole_stay(*text) : std::nullopt;
}

Result<std::optional<occupation::StoredPoint>> OpenStay::left() const {
  const int opened = pointbook::open_own_file_to_read(path_);
  if (opened == -ENOENT) return std::optional<occupation::StoredPoint>();
  if (opened == -ELOOP || opened == -EINVAL) return set_aside();
  if (opened < 0) return fail(kSay.unreadable(path_, errno_text(-opened)));
  const auto text = read_all(Fd(opened).get(), path_);
  if (!text) return tl::unexpected(text.error());
  if (auto point = whole_stay(*text)) return point;
  return set_aside();
}

tl::unexpected<Error> OpenStay::set_aside() const {
  const std::string aside = path_ + ".damaged";
  if (const int code = disk_.rename(path_, aside); code != 0)
    return fail(kSay.stay_stays_damaged(aside, pointbook::disk_words(code)));
  return fail(kSay.stay_damaged(aside));
}

}  // namespace stillpoint::daemon
