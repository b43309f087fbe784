#include "control/frame_vectors.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "geodesy/usual_frames.hpp"

namespace stillpoint::control {
namespace {

using geodesy::Enu;
using geodesy::Geographic;

constexpr double kSmallestM = 0.01;
constexpr double kSameM = 0.03;
constexpr const char* kGlobal = "EPSG:9989";

double length(const Enu& v) {
  return std::sqrt(v.east_m * v.east_m + v.north_m * v.north_m + v.up_m * v.up_m);
}
Enu scaled(const Enu& v, double k) {
  return {k * v.east_m, k * v.north_m, k * v.up_m};
}
Enu difference(const Enu& a, const Enu& b) {
  return {a.east_m - b.east_m, a.north_m - b.north_m, a.up_m - b.up_m};
}

/// One mistake in words: "positions are really in A, not in B"; `real` is A, empty where no frame is in question.
struct Said {
  std::string before, real, after, confirm;
};

/// Collects vectors; equal ones of the same kind of mistake are joined.
class Collection {
 public:
  Collection(geodesy::Transfers& transfers, const FrameQuestion& question)
      : transfers_(transfers), question_(question), here_(question.place) {}

  /// How far the numbers of this place in `from` land from themselves when taken to the project frame.
  std::optional<Enu> shift(const std::string& from) {
    const auto moved = transfers_.move(from, question_.project_frame, question_.place, question_.year);
    if (!moved) return std::nullopt;
    return here_.to_enu(*moved);
  }
  std::string name(const std::string& frame) { return transfers_.label(frame).value_or(frame); }

  void add(FrameMistake mistake, const Enu& vector, Said said) {
    if (length(vector) < kSmallestM) return;
    for (Found& known : found_) {
      if (known.mistake != mistake || length(difference(known.vector, vector)) > kSameM) continue;
      known.alike.push_back(said.real.empty() ? said.before + said.after : said.real);
      return;
    }
    found_.push_back({mistake, vector, std::move(said), {}});
  }
  std::vector<FrameVector> take() const {
    std::vector<FrameVector> out;
    for (const Found& each : found_) out.push_back({each.mistake, each.vector, text_of(each), each.said.confirm});
    return out;
  }

 private:
  geodesy::Transfers& transfers_;
  const FrameQuestion& question_;
  geodesy::LocalFrame here_;
  struct Found {
    FrameMistake mistake = FrameMistake::source_frame;
    Enu vector;
    Said said;
    std::vector<std::string> alike;  ///< what has the same vector, too
  };
  static std::string text_of(const Found& found) {
    const Said& said = found.said;
    std::string others;
    for (const std::string& other : found.alike) others += (others.empty() ? "" : ", ") + other;
    if (said.real.empty()) return said.before + said.after + (others.empty() ? "" : "; or " + others);
    return said.before + said.real + (others.empty() ? "" : " (or one within 3 cm of it here: " + others + ")") +
           said.after;
  }

  std::vector<Found> found_;
};

/// Of frames that cannot be told apart the newest is named first: codes grow with the years.
std::vector<std::string> newest_first(const std::set<std::string>& frames) {
  std::vector<std::string> out(frames.rbegin(), frames.rend());
  std::stable_sort(out.begin(), out.end(), [](const auto& a, const auto& b) { return a.size() > b.size(); });
  return out;
}

void add_source(Collection& out, const FrameQuestion& question, const std::set<std::string>& frames) {
  const auto declared = out.shift(question.source_frame);
  if (!declared) return;
  for (const std::string& real : newest_first(frames)) {
    if (real == question.source_frame || real == question.project_frame) continue;
    if (const auto right = out.shift(real)) {
      out.add(FrameMistake::source_frame, difference(*declared, *right),
              {"the source's positions are really in ", out.name(real), ", not in " + out.name(question.source_frame),
               "ask the operator which frame and epoch the corrections give, and look for a DTM sentence"});
    }
  }
  out.add(FrameMistake::shifted_twice, *declared,
          {"the positions arrive already in " + out.name(question.project_frame) + " and are shifted once more", "", "",
           "look whether the receiver or its app transforms its own output, and switch that off"});
  out.add(FrameMistake::shifted_twice, scaled(*declared, -2),
          {"the shift was made the wrong way round, so it counts twice", "", "",
           "look whether source and project frame are exchanged in the configuration or in the receiver"});
}

void add_mark(Collection& out, const FrameQuestion& question, const std::set<std::string>& frames) {
  const auto declared = out.shift(question.mark_frame);
  if (!declared) return;
  for (const std::string& real : newest_first(frames)) {
    if (real == question.mark_frame) continue;
    if (const auto right = out.shift(real)) {
      out.add(FrameMistake::mark_frame, difference(*right, *declared),
              {"the mark's coordinates are really in ", out.name(real), ", not in " + out.name(question.mark_frame),
               "read the frame again on the mark's data sheet, and check a second mark from another sheet"});
    }
  }
}

}  // namespace

std::vector<FrameVector> frame_vectors(geodesy::Transfers& transfers, const FrameQuestion& asked) {
  FrameQuestion question = asked;
  std::set<std::string> frames;
  for (std::string* frame : {&question.source_frame, &question.project_frame, &question.mark_frame}) {
    if (const auto code = transfers.base_code(*frame)) *frame = *code;
    frames.insert(*frame);
  }
  for (const std::string& other : asked.others) {
    if (const auto code = transfers.base_code(other)) frames.insert(*code);
  }
  for (std::string& code : transfers.serving(asked.place)) frames.insert(std::move(code));
  Collection out(transfers, question);
  add_source(out, question, frames);
  add_mark(out, question, frames);
  return out.take();
}

std::optional<Enu> plate_motion_m_per_year(geodesy::Transfers& transfers, const Geographic& place, double year) {
  constexpr double kSpanYears = 10.0;
  for (const std::string& code : transfers.serving(place)) {
    if (geodesy::is_global_frame(code)) continue;
    const auto now = transfers.move(code, kGlobal, place, year);
    const auto then = transfers.move(code, kGlobal, place, year - kSpanYears);
    if (!now || !then) continue;
    const Enu moved = geodesy::LocalFrame(*then).to_enu(*now);
    if (length(moved) < kSmallestM) continue;
    return scaled(moved, 1 / kSpanYears);
  }
  return std::nullopt;
}

}  // namespace stillpoint::control
