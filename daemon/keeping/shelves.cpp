#include "keeping/shelves.hpp"

#include <algorithm>
#include <set>

#include "pointbook/reader.hpp"
#include "pointbook/versions.hpp"

namespace stillpoint::daemon {

Result<std::vector<occupation::StoredPoint>> Shelves::versions() const {
  using Points = std::vector<occupation::StoredPoint>;
  auto all = is_unread() ? Result<Points>(Points()) : book_.read_all_versions();
  if (!all) return all;
  // A row may wait in the spool although the book has it, and a later one too.
  std::set<std::string> stored;
  for (const auto& row : *all) stored.insert(row.uuid);
  for (const auto& waiting : spool_.waiting()) {
    if (!stored.contains(waiting.uuid)) all->push_back(waiting);
  }
  return all;
}

Result<std::vector<occupation::StoredPoint>> Shelves::current() const {
  auto all = versions();
  if (!all) return all;
  return pointbook::newest_of_each(*all);
}

Result<std::vector<pointbook::Event>> Shelves::events() const {
  return is_unread() ? Result<std::vector<pointbook::Event>>(std::vector<pointbook::Event>()) : book_.read_events();
}

std::vector<std::string> Shelves::spooled() const {
  std::vector<std::string> uuids;
  for (const auto& waiting : spool_.waiting()) uuids.push_back(waiting.uuid);
  return uuids;
}

std::vector<std::string> Shelves::spooled_shots() const {
  std::vector<std::string> uuids;
  for (const auto& waiting : spool_.waiting_shots()) uuids.push_back(waiting.uuid);
  return uuids;
}

Result<Known> Shelves::known() const {
  Known known;
  if (!is_unread()) {
    const auto stored = book_.read_kept();
    if (!stored) return tl::unexpected(stored.error());
    known = Known(*stored);
  }
  known.add(spool_.waiting(), spool_.waiting_shots());
  return known;
}

std::vector<std::string> Shelves::damage() const {
  std::vector<std::string> out = spool_.damage();
  for (std::string& sentence : book_.unreadable()) out.push_back(std::move(sentence));
  if (std::string note = book_.journal_note(); !note.empty()) out.push_back(std::move(note));
  if (!open_damage_.empty()) out.push_back(open_damage_);
  return out;
}

std::optional<occupation::StoredPoint> Shelves::left_open(const std::vector<occupation::StoredPoint>& known) {
  auto left = open_stay_.left();
  if (!left) {
    open_damage_ = left.error().text;
    return std::nullopt;
  }
  if (!*left) return std::nullopt;
  const occupation::Point& point = (*left)->point;
  const bool is_known = std::any_of(known.begin(), known.end(), [&point](const auto& other) {
    return other.point.name == point.name && other.point.visit == point.visit;
  });
  if (!is_known) return std::move(*left);
  if (const auto forgotten = open_stay_.forget(); !forgotten) open_damage_ = forgotten.error().text;
  return std::nullopt;
}

Result<std::vector<pointbook::CheckShot>> Shelves::checks() const {
  if (is_unread()) return std::vector<pointbook::CheckShot>();
  auto all = book_.read_checks();
  if (!all) return all;
  return pointbook::newest_checks(*all);
}

}  // namespace stillpoint::daemon
