#include "control/frame_vectors.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>

#include "control/sentences.hpp"
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

  /// Takes the coordinates of this place for ones in `from`, and tells how far they move on the way to the project
  /// frame.
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
    return said.before + " " + said.real + (others.empty() ? "" : kSay.or_within(others)) + said.after;
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
              {kSay.source_really_in(), out.name(real), kSay.and_not_in(out.name(question.source_frame)),
               kSay.ask_the_operator()});
    }
  }
  out.add(FrameMistake::shifted_twice, *declared,
          {kSay.already_shifted(out.name(question.project_frame)), "", "", kSay.receiver_transforms()});
  out.add(FrameMistake::shifted_twice, scaled(*declared, -2),
          {kSay.shifted_wrong_way(), "", "", kSay.frames_exchanged()});
}

void add_mark(Collection& out, const FrameQuestion& question, const std::set<std::string>& frames) {
  const auto declared = out.shift(question.mark_frame);
  if (!declared) return;
  for (const std::string& real : newest_first(frames)) {
    if (real == question.mark_frame) continue;
    if (const auto right = out.shift(real)) {
      out.add(FrameMistake::mark_frame, difference(*right, *declared),
              {kSay.mark_really_in(), out.name(real), kSay.and_not_in(out.name(question.mark_frame)),
               kSay.read_frame_again()});
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
