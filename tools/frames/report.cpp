#include "report.hpp"

#include <cmath>
#include <optional>
#include <vector>

#include "base/number.hpp"
#include "geodesy/frames.hpp"
#include "geodesy/here.hpp"
#include "geodesy/typed.hpp"
#include "page.hpp"
#include "sentences.hpp"

namespace stillpoint::frames {
namespace {

using geodesy::Enu;
using geodesy::FrameHere;
using geodesy::Frames;

constexpr std::size_t kName = 22;
constexpr std::size_t kSecond = 22;
constexpr std::size_t kShift = 10;
constexpr int kShiftDecimals = 3;

std::string heading(const Options& options) {
  return "At " + geodesy::place_text(options.place.latitude_deg, options.place.longitude_deg) + " on " + options.date +
         "\n\n";
}

std::string table_head(std::string_view first, std::string_view second) {
  return left(first, kName) + left(second, kSecond) + right("east", kShift) + right("north", kShift) +
         right("up", kShift) + "\n";
}

std::string table_row(std::string_view first, std::string_view second, const std::optional<Enu>& shift) {
  const std::string start = left(std::string(left(first, kName - 2)), kName) + left(second, kSecond);
  if (!shift) return start + right(kSay.no_answer(), 3 * kShift) + "\n";
  return start + right(with_sign(shift->east_m, kShiftDecimals), kShift) +
         right(with_sign(shift->north_m, kShiftDecimals), kShift) +
         right(with_sign(shift->up_m, kShiftDecimals), kShift) + "\n";
}

std::string accuracy_text(const std::optional<double>& accuracy_m) {
  return accuracy_m ? kSay.stated_accuracy(fixed(*accuracy_m, 3)) : std::string("exact");
}

// --- the usual frames --------------------------------------------------------------------------------------------

std::string frame_lines(const std::vector<FrameHere>& frames) {
  std::string out;
  for (const FrameHere& frame : frames) out += table_row(frame.name, frame.code, frame.shift);
  return out;
}

std::string frame_details(const std::vector<FrameHere>& frames) {
  std::string out;
  for (const FrameHere& frame : frames) {
    out += frame.name + "\n";
    out += wrapped(frame.shift ? frame.description + "; " + accuracy_text(frame.accuracy_m) : frame.why_not, "  ");
    if (!frame.doubt.empty()) out += wrapped(kSay.look_first(frame.doubt), "  ");
  }
  return out;
}

// --- the sources of a configuration ------------------------------------------------------------------------------

struct SourceHere {
  std::string name;
  std::string frame;
  std::optional<double> epoch;
  std::optional<Enu> shift;
  std::string why_not;
};

std::vector<SourceHere> sources_here(const Frames& frames, const config::Settings& settings, const Options& options) {
  std::vector<SourceHere> out;
  for (std::size_t i = 0; i < settings.sources.size(); ++i) {
    SourceHere here{settings.sources[i].name, frames.operations()[i].from, {}, {}, {}};
    const auto moved = frames.to_project(i, options.place, options.utc);
    if (const auto doubt = frames.doubt_here(i, options.place.latitude_deg, options.place.longitude_deg)) {
      here.why_not = *doubt;
    } else if (moved) {
      here.epoch = settings.sources[i].coordinate_epoch.value_or(decimal_year(options.utc));
      here.shift = geodesy::LocalFrame(options.place).to_enu(moved->position);
    } else {
      here.why_not = moved.error().text;
    }
    out.push_back(std::move(here));
  }
  return out;
}

std::string source_lines(const std::vector<SourceHere>& sources) {
  std::string out;
  for (const SourceHere& source : sources) {
    const std::string name_only = source.frame.substr(source.frame.find(' ') + 1);
    const std::string second = source.epoch ? left(name_only, 14) + ' ' + fixed(*source.epoch, 2) : name_only;
    out += table_row(source.name, second, source.shift);
  }
  return out;
}

std::string source_details(const Frames& frames, const std::vector<SourceHere>& sources) {
  std::string out;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    const geodesy::Operation& operation = frames.operations()[i];
    out += sources[i].name + ", " + operation.from + "\n";
    out +=
        wrapped(operation.description + (operation.accuracy_m ? "; " + accuracy_text(operation.accuracy_m) : ""), "  ");
    out += wrapped("serves " + operation.area, "  ");
    for (const std::string& note : operation.notes) out += wrapped(note, "  ");
    if (!sources[i].why_not.empty()) out += wrapped(kSay.not_here(sources[i].why_not), "  ");
  }
  return out;
}

std::string mix_ups(const std::vector<SourceHere>& sources) {
  std::string out;
  for (std::size_t i = 0; i < sources.size(); ++i) {
    for (std::size_t j = i + 1; j < sources.size(); ++j) {
      if (!sources[i].shift || !sources[j].shift) continue;
      const Enu& a = *sources[i].shift;
      const Enu& b = *sources[j].shift;
      out += wrapped(kSay.taken_for(sources[i].name, sources[j].name,
                                    fixed(std::hypot(a.east_m - b.east_m, a.north_m - b.north_m), 3),
                                    fixed(std::abs(a.up_m - b.up_m), 3)));
    }
  }
  return out.empty() ? out : "\n" + out;
}

std::string geoid_line(const Frames& frames, const config::Settings& settings, const Options& options) {
  if (!settings.project.geoid) return {};
  const auto delivered = frames.deliver(options.place, decimal_year(options.utc));
  if (!delivered) return "\n" + wrapped("Geoid: " + delivered.error().text + ".");
  // The place has ellipsoid height 0, so its height above the geoid is the geoid height with the other sign.
  const double geoid_m = options.place.ellipsoid_height_m - *delivered->orthometric_height_m;
  return "\n" + wrapped(kSay.geoid_here(delivered->geoid, fixed(std::abs(geoid_m), 3),
                                        geoid_m < 0.0 ? "below" : "above", settings.project.geoid->frame));
}

}  // namespace

Result<std::string> usual_frames(const Options& options) {
  const auto frames = geodesy::frames_here(options.place, options.utc);
  if (!frames) return tl::unexpected(frames.error());
  return heading(options) + wrapped(kSay.from_itrf2020()) + "\n" + table_head("frame", "code") + frame_lines(*frames) +
         "\n" + kSay.how_reached() + "\n" + frame_details(*frames) + "\n" + wrapped(kSay.operator_says());
}

Result<std::string> configured_sources(const Options& options, const config::Settings& settings) {
  const auto frames = Frames::open(settings);
  if (!frames) return fail(settings.path + ": " + frames.error().text);
  const std::vector<SourceHere> sources = sources_here(*frames, settings, options);
  std::string out = heading(options) + wrapped(kSay.points_in(settings.project.name, frames->operations()[0].to)) +
                    "\n" + wrapped(kSay.from_source()) + "\n" + table_head("source", kLaidOut.frame_taken_at()) +
                    source_lines(sources) + "\n" + kSay.how_reached() + "\n" + source_details(*frames, sources) +
                    mix_ups(sources) + geoid_line(*frames, settings, options);
  for (const std::string& note : frames->notes_at(options.place, options.utc)) {
    out += "\n" + wrapped("Note: " + note + ".");
  }
  return out;
}

}  // namespace stillpoint::frames
