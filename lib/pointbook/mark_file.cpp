#include "pointbook/mark_file.hpp"

#include <string>

#include "base/plain_file.hpp"
#include "control/layer.hpp"
#include "pointbook/point_layer.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

Result<control::Marks> read(const std::string& path) {
  if (is_database(path)) {
    const auto layer = read_layer(path, "marks");
    if (!layer) return tl::unexpected<Error>(layer.error());
    return control::marks_from(*layer);
  }
  const auto text = read_named_file(kSay.the_marks_file(), path, kMostTableBytes);
  if (!text) return tl::unexpected<Error>(text.error());
  return control::parse_marks(*text, path);
}

}  // namespace

Result<control::Marks> read_mark_file(const std::string& path) {
  auto marks = read(path);
  if (!marks) return marks;
  *marks = control::in_known_frames(std::move(*marks));
  if (!marks->marks.empty()) return marks;
  if (marks->errors.empty()) return fail(kSay.no_mark(path));
  std::string all;
  for (const std::string& error : marks->errors) all += (all.empty() ? "" : "\n") + error;
  return fail(std::move(all));
}

}  // namespace stillpoint::pointbook
