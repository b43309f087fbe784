#include "redo_checks.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/number.hpp"
#include "control/compare.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "pointbook/compare.hpp"
#include "pointbook/happened.hpp"
#include "pointbook/reader.hpp"
#include "sentences.hpp"

namespace stillpoint::office {
namespace {

std::string text_of(const pointbook::CheckShot& shot) {
  return kSay.shot_off(shot.mark, with_sign(shot.off_east_m, 3), with_sign(shot.off_north_m, 3),
                       shot.off_up_m ? ", " + with_sign(*shot.off_up_m, 3) + " m up" : "",
                       fixed(shot.limit_horizontal_m, 3),
                       shot.limit_vertical_m ? kSay.and_in_height(fixed(*shot.limit_vertical_m, 3)) : "");
}

void judge(pointbook::CheckShot& shot) {
  const bool plan = std::hypot(shot.off_east_m, shot.off_north_m) <= shot.limit_horizontal_m;
  const bool height = !shot.off_up_m || !shot.limit_vertical_m || std::abs(*shot.off_up_m) <= *shot.limit_vertical_m;
  shot.passed = plan && height;
  shot.text = text_of(shot) + (shot.passed ? ": passed" : kSay.and_not_passed());
  shot.forget_diagnosis();
}

void no_longer(RevisedShot& revised, const std::string& why) {
  revised.compared = false;
  pointbook::CheckShot& shot = revised.shot;
  shot.passed = false;
  shot.text = why + std::string(pointbook::kOldNumbers);
  shot.forget_diagnosis();
}

/// The mark stays where it was, the shot moves.
void move_shot(pointbook::CheckShot& shot, const occupation::Point& point) {
  const occupation::Coordinates& to = *point.at;
  const geodesy::LocalFrame before(occupation::place_of(shot.at));
  const auto mark = before.to_geographic({-shot.off_east_m, -shot.off_north_m, -shot.off_up_m.value_or(0)});
  const auto off = geodesy::LocalFrame(mark).to_enu(occupation::place_of(to));
  shot.at = to;
  shot.off_east_m = off.east_m;
  shot.off_north_m = off.north_m;
  if (shot.off_up_m) shot.off_up_m = off.up_m;
  shot.antenna_height_m = point.antenna_height_m;
  shot.source = point.source;
  if (shot.error_scale) shot.tell_claim(point);
}

Result<void> move_mark(pointbook::CheckShot& shot, const control::Mark& mark, geodesy::Transfers& transfers) {
  const auto off = control::residual(transfers, mark, shot.frame, shot.at);
  if (!off) return fail("mark " + mark.name + ": " + off.error().text);
  shot.off_east_m = off->east_m;
  shot.off_north_m = off->north_m;
  shot.off_up_m = off->up_m;
  if (shot.error_scale) shot.tell_mark(mark.sigma_horizontal_m, mark.sigma_vertical_m);
  if (!off->up_m) shot.limit_vertical_m.reset();
  if (off->up_m && !shot.limit_vertical_m) {
    shot.limit_vertical_m = control::judge(mark.name, *off, {}, {}).limit_vertical_m;
  }
  return {};
}

/// A shot that was made from a point, after its point or its mark changed. Whether it comes out otherwise.
Result<bool> correct(RevisedShot& revised, const occupation::Point* point, const control::Mark* mark,
                     geodesy::Transfers& transfers) {
  pointbook::CheckShot& shot = revised.shot;
  const pointbook::CheckShot before = shot;
  const bool proved_nothing = !std::exchange(revised.compared, true);
  if (point != nullptr && !point->at) {
    no_longer(revised, kSay.point_without_place(point->name));
    return !proved_nothing;
  }
  if (point != nullptr) move_shot(shot, *point);
  if (mark != nullptr) {
    if (auto done = move_mark(shot, *mark, transfers); !done) return tl::unexpected(done.error());
  }
  const bool same = pointbook::differences(pointbook::exact_fields(before), pointbook::exact_fields(shot)).empty();
  const bool proves_again = proved_nothing && point != nullptr;
  // The words are made anew only when a number is another one, or counts again.
  if (same && !proves_again) return false;
  if (proved_nothing && point == nullptr) return true;
  judge(shot);
  return true;
}

/// Redos of before said it in the shot's sentence alone.
bool was_compared(const pointbook::Contents& book, const pointbook::CheckShot& shot) {
  for (const pointbook::Event& event : book.events) {
    const auto redone = pointbook::redone_of(event);
    if (!redone) continue;
    for (const pointbook::RedoneCheck& check : redone->checks) {
      if (check.uuid == shot.uuid && check.compared) return *check.compared;
    }
  }
  return !pointbook::says_no_longer_compared(shot);
}

const pointbook::CheckShot& newest_of(const pointbook::Contents& book, const pointbook::CheckShot& first) {
  const pointbook::CheckShot* newest = &first;
  for (bool later = true; later;) {
    const auto next = std::find_if(book.checks.begin(), book.checks.end(),
                                   [&](const auto& shot) { return shot.supersedes == newest->uuid; });
    later = next != book.checks.end();
    if (later) newest = &*next;
  }
  return *newest;
}

/// Shots that only a redo knows, by their opening: checks that did not count on the day.
std::map<std::size_t, const pointbook::CheckShot*> first_by_redo(const pointbook::Contents& book) {
  std::map<std::size_t, const pointbook::CheckShot*> out;
  for (const pointbook::Event& event : book.events) {
    const auto redone = pointbook::redone_of(event);
    if (!redone) continue;
    for (const pointbook::RedoneCheck& check : redone->checks) {
      for (const pointbook::CheckShot& shot : book.checks) {
        if (shot.version == 1 && check.uuid == shot.uuid) out[check.opening] = &shot;
      }
    }
  }
  return out;
}

/// The shot as it comes out now; nothing when it never was one.
std::optional<RevisedShot> next_of(const pointbook::CheckShot* newest, const CheckRow* after,
                                   const std::string& refused) {
  if (after != nullptr && after->check.residual) return RevisedShot{session::shot_of(after->check)};
  if (newest == nullptr) return std::nullopt;
  RevisedShot out{*newest};
  no_longer(out, after != nullptr ? after->check.verdict.text : refused);
  return out;
}

/// The words aside, which a redo signs.
bool same_numbers(const pointbook::CheckShot& one, pointbook::CheckShot other) {
  other.text = one.text;
  return pointbook::differences(one, std::move(other)).empty();
}

bool came_out_alike(const CheckRow& before, const CheckRow* after) {
  if (after == nullptr || before.check.residual.has_value() != after->check.residual.has_value()) return false;
  const auto one = session::shot_of(before.check), other = session::shot_of(after->check);
  return pointbook::differences(pointbook::exact_fields(one), pointbook::exact_fields(other)).empty();
}

}  // namespace

std::vector<RevisedShot> revised_shots(const pointbook::Contents& book, const FieldDay& field,
                                       const Recomputation& again) {
  std::map<std::size_t, const pointbook::CheckShot*> first = first_by_redo(book);
  for (const ComparedShot& pair : field.compare_shots()) {
    if (pair.field != nullptr && pair.again != nullptr) first[pair.again->opening] = pair.field;
  }
  std::map<std::size_t, const CheckRow*> given;
  for (const CheckRow& row : again.checks()) given[row.opening] = &row;
  std::vector<RevisedShot> out;
  for (const CheckRow& before : field.day().checks()) {
    const auto at = first.find(before.opening);
    const pointbook::CheckShot* newest = at == first.end() ? nullptr : &newest_of(book, *at->second);
    const auto found = given.find(before.opening);
    const CheckRow* after = found == given.end() ? nullptr : found->second;
    const auto refused = again.refused_checks().find(before.opening);
    const bool touched = !came_out_alike(before, after) || (newest != nullptr && made_by_redo(book, newest->uuid));
    auto next = next_of(newest, after, refused == again.refused_checks().end() ? "" : refused->second);
    if (!touched || !next) continue;
    pointbook::CheckShot& shot = next->shot;
    if (newest != nullptr && same_numbers(*newest, shot) && newest->text.starts_with(shot.text)) continue;
    shot.version = newest == nullptr ? 1 : newest->version + 1;
    shot.supersedes = newest == nullptr ? "" : newest->uuid;
    shot.uuid.clear();
    shot.point_uuid.clear();
    next->opening = before.opening;
    out.push_back(std::move(*next));
  }
  return out;
}

Result<std::vector<control::Mark>> corrected_marks(std::span<const config::Redo> redos) {
  std::vector<control::Mark> out;
  for (const config::Redo& redo : redos) {
    for (const config::MarkCorrection& given : redo.marks) {
      control::Table table{redo.path, "line", {}, {{given.line, {}}}, {}};
      for (const auto& [column, cell] : given.columns) {
        table.columns.push_back(column);
        table.rows.front().cells.push_back(cell);
      }
      const control::Marks marks = control::marks_from(table);
      if (!marks.errors.empty()) return fail(marks.errors.front());
      if (marks.marks.empty()) return fail(kSay.no_mark(redo.path, std::to_string(given.line)));
      std::erase_if(out, [&](const control::Mark& mark) { return mark.name == marks.marks.front().name; });
      out.push_back(marks.marks.front());
    }
  }
  return out;
}

Result<std::vector<RevisedShot>> corrected_shots(const pointbook::Contents& book,
                                                 const std::map<std::string, const occupation::Point*>& moved,
                                                 const std::vector<control::Mark>& marks) {
  std::vector<RevisedShot> out;
  if (book.checks.empty()) return out;
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  for (const pointbook::CheckShot& before : pointbook::newest_checks(book.checks)) {
    if (before.point_uuid.empty()) continue;
    RevisedShot revised{before, 0, was_compared(book, before)};
    pointbook::CheckShot& shot = revised.shot;
    const auto point = moved.find(shot.point_uuid);
    const auto mark =
        std::find_if(marks.begin(), marks.end(), [&](const control::Mark& m) { return m.name == shot.mark; });
    const auto done = correct(revised, point == moved.end() ? nullptr : point->second,
                              mark == marks.end() ? nullptr : &*mark, *transfers);
    if (!done) return tl::unexpected(done.error());
    if (!*done) continue;
    shot.version += 1;
    shot.supersedes = before.uuid;
    shot.uuid.clear();
    out.push_back(std::move(revised));
  }
  return out;
}

}  // namespace stillpoint::office
