#include "redo_checks.hpp"

#include <algorithm>
#include <cmath>

#include "base/number.hpp"
#include "control/compare.hpp"
#include "geodesy/local.hpp"
#include "occupation/place.hpp"
#include "pointbook/compare.hpp"
#include "pointbook/reader.hpp"

namespace stillpoint::reduce {
namespace {

std::string text_of(const pointbook::CheckShot& shot) {
  return shot.mark + ": " + with_sign(shot.off_east_m, 3) + " m east, " + with_sign(shot.off_north_m, 3) + " m north" +
         (shot.off_up_m ? ", " + with_sign(*shot.off_up_m, 3) + " m up" : "") + ", limit " +
         fixed(shot.limit_horizontal_m, 3) + " m in plan" +
         (shot.limit_vertical_m ? " and " + fixed(*shot.limit_vertical_m, 3) + " m in height" : "");
}

void judge(pointbook::CheckShot& shot) {
  const bool plan = std::hypot(shot.off_east_m, shot.off_north_m) <= shot.limit_horizontal_m;
  const bool height = !shot.off_up_m || !shot.limit_vertical_m || std::abs(*shot.off_up_m) <= *shot.limit_vertical_m;
  shot.passed = plan && height;
  shot.text = text_of(shot) + (shot.passed ? ": passed" : ": NOT passed");
  // What the old numbers looked like says nothing about the new ones.
  shot.diagnosis.clear();
}

/// The mark stays where it was, the shot moves.
void move_shot(pointbook::CheckShot& shot, const occupation::Coordinates& to) {
  const geodesy::LocalFrame before(occupation::place_of(shot.at));
  const auto mark = before.to_geographic({-shot.off_east_m, -shot.off_north_m, -shot.off_up_m.value_or(0)});
  const auto off = geodesy::LocalFrame(mark).to_enu(occupation::place_of(to));
  shot.at = to;
  shot.off_east_m = off.east_m;
  shot.off_north_m = off.north_m;
  if (shot.off_up_m) shot.off_up_m = off.up_m;
}

Result<void> move_mark(pointbook::CheckShot& shot, const control::Mark& mark, geodesy::Transfers& transfers) {
  const auto off = control::residual(transfers, mark, shot.frame, shot.at);
  if (!off) return fail("mark " + mark.name + ": " + off.error().text);
  shot.off_east_m = off->east_m;
  shot.off_north_m = off->north_m;
  shot.off_up_m = off->up_m;
  if (!off->up_m) shot.limit_vertical_m.reset();
  if (off->up_m && !shot.limit_vertical_m) {
    shot.limit_vertical_m = control::judge(mark.name, *off, {}, {}).limit_vertical_m;
  }
  return {};
}

}  // namespace

Result<std::vector<control::Mark>> corrected_marks(std::span<const config::Redo> redos) {
  std::vector<control::Mark> out;
  for (const config::Redo& redo : redos) {
    for (const config::MarkCorrection& given : redo.marks) {
      control::Table table{redo.path, {}, {{given.line, {}}}};
      for (const auto& [column, cell] : given.columns) {
        table.columns.push_back(column);
        table.rows.front().cells.push_back(cell);
      }
      const control::Marks marks = control::marks_from(table);
      if (!marks.errors.empty()) return fail(marks.errors.front());
      if (marks.marks.empty()) return fail(redo.path + ", line " + std::to_string(given.line) + ": no mark in it");
      std::erase_if(out, [&](const control::Mark& mark) { return mark.name == marks.marks.front().name; });
      out.push_back(marks.marks.front());
    }
  }
  return out;
}

Result<std::vector<pointbook::CheckShot>> corrected_shots(const pointbook::Contents& book,
                                                          const std::map<std::string, occupation::Coordinates>& moved,
                                                          const std::vector<control::Mark>& marks) {
  std::vector<pointbook::CheckShot> out;
  if (book.checks.empty()) return out;
  auto transfers = geodesy::Transfers::open();
  if (!transfers) return tl::unexpected(transfers.error());
  for (const pointbook::CheckShot& before : pointbook::newest_checks(book.checks)) {
    pointbook::CheckShot shot = before;
    if (const auto at = moved.find(shot.point_uuid); at != moved.end()) move_shot(shot, at->second);
    const auto mark =
        std::find_if(marks.begin(), marks.end(), [&](const control::Mark& m) { return m.name == shot.mark; });
    if (mark != marks.end()) {
      if (auto done = move_mark(shot, *mark, *transfers); !done) return tl::unexpected(done.error());
    }
    // The words are made anew only when a number is another one.
    if (pointbook::differences(exact_fields(before), exact_fields(shot)).empty()) continue;
    judge(shot);
    shot.version += 1;
    shot.supersedes = before.uuid;
    shot.uuid.clear();
    out.push_back(std::move(shot));
  }
  return out;
}

}  // namespace stillpoint::reduce
