#include "recompute.hpp"

#include <algorithm>
#include <utility>

#include "geodesy/antenna.hpp"
#include "geodesy/frames.hpp"
#include "pointbook/mark_file.hpp"
#include "sentences.hpp"
#include "session/apply.hpp"

namespace stillpoint::reduce {
namespace {

void add(session::Summary& to, const session::Summary& more) {
  to.stream.bytes += more.stream.bytes;
  to.stream.sentences += more.stream.sentences;
  auto& d = to.stream.damage;
  const auto& m = more.stream.damage;
  d.bad_checksum += m.bad_checksum;
  d.no_checksum += m.no_checksum;
  d.oversize += m.oversize;
  d.cut_short += m.cut_short;
  d.malformed += m.malformed;
  d.garbage_bytes += m.garbage_bytes;
  to.epochs += more.epochs;
  to.accepted += more.accepted;
  to.refused += more.refused;
}

constexpr const char* kSafe = "safe";  // no uuid

template <class... Kinds>
bool is_one_of(const record::Command& command) {
  return (std::holds_alternative<Kinds>(command) || ...);
}

/// Whatever is computed: the data broke off there, the pole was another one from there on, or a clock told the time.
bool concerns_all(const record::Command& command) {
  return is_one_of<record::Cut, record::FeedNews, record::SetAntenna, record::Clock, record::Delivery>(command);
}

}  // namespace

pointbook::Identity Recomputation::identity(const std::string& project, bool training, UtcTime now) const {
  pointbook::Identity out{project, frame_, frame_wkt_, projected_, training, now, frame_wkt1_, settings_.project.crew};
  if (const auto& contact = settings_.project.contact) {
    out.contact = {contact->name, contact->organisation, contact->email};
  }
  return out;
}

Result<void> Recomputation::start() {
  if (const auto height_m = geodesy::antenna_height_m(settings_.antenna); !height_m) {
    return tl::unexpected(height_m.error());
  }
  auto frames = geodesy::Frames::open(settings_);
  if (!frames) return tl::unexpected(frames.error());
  frame_ = frames->project_frame();
  frame_wkt_ = frames->project_frame_wkt();
  frame_wkt1_ = frames->project_frame_wkt1();
  projected_ = frames->project_frame_is_projected();
  session_.emplace(settings_, std::move(*frames),
                   session::Options{ask_.keep_epochs, ask_.training, ask_.empty_stays, STILLPOINT_VERSION});
  if (auto done = take_marks(); !done) return done;
  // As the daemon does at a start: what the pointbook has by now is known.
  for (const Row& row : rows_) {
    if (row.left_nothing) continue;
    occupation::Point known = row.newest();
    known.status = row.decided.value_or(known.status);
    session_->know(known);
  }
  if (!ask_.follow_commands) session_->plan(ask_.visits);
  return {};
}

/// A day that is followed knows its marks: failed checks hold points, and checks that are due flag them.
Result<void> Recomputation::take_marks() {
  const std::string& path = settings_.checks.marks;
  if (!ask_.follow_commands || path.empty()) return {};
  auto marks = pointbook::read_mark_file(path);
  if (!marks) return tl::unexpected(marks.error());
  for (const control::Mark& better : ask_.marks) {
    std::erase_if(marks->marks, [&](const control::Mark& mark) { return mark.name == better.name; });
    marks->marks.push_back(better);
  }
  return session_->set_marks(std::move(*marks));
}

void Recomputation::collect(bool cut_off) {
  session::Outputs out = session_->take();
  if (out.is_empty()) return;
  for (session::FinishedPoint& finished : out.points) {
    const std::size_t order = finished.live ? live_++ : finished.planned;
    const bool offset = !finished.point.measures.empty();
    rows_.push_back({order, finished.live && !offset ? opening_ : 0, cut_off, false, false, std::move(finished.point),
                     std::move(finished.epochs)});
    rows_.back().ended = latest_;
    if (offset) rows_.back().made = offset_made_;
  }
  for (session::Reconsidered& earlier : out.reconsidered) {
    Row* const row = row_of({earlier.point.name, earlier.point.visit});
    if (row != nullptr) row->reconsidered = std::move(earlier.point);
  }
  for (session::Event& event : out.events) {
    const bool told = std::find(notes_.begin(), notes_.end(), event.text) != notes_.end();
    if (event.kind == session::kDates && !told) notes_.push_back(std::move(event.text));
  }
  for (session::FinishedCheck& check : out.checks) {
    // A stay of a turn test is no check shot.
    if (check.kind != "turn") checks_.push_back({opening_, std::move(check), latest_});
  }
}

/// By what it is called by now.
Row* Recomputation::row_of(const StayName& who) {
  const auto row = std::find_if(rows_.rbegin(), rows_.rend(), [&](const Row& r) {
    return r.newest().name == who.first && r.newest().visit == who.second;
  });
  return row == rows_.rend() ? nullptr : &*row;
}

/// The open point was amended in the session itself.
void Recomputation::amend(const record::Amend& amend) {
  Row* const row = amend.made.empty() ? nullptr : row_of({amend.name, amend.visit});
  if (row == nullptr) return;
  if (!row->unamended) row->unamended = row->newest();
  row->amended_as = amend.made;
  occupation::Point point = row->newest();
  occupation::Called{amend.called(), amend.called_visit(), amend.code, amend.note}.give(point);
  row->reconsidered = std::move(point);
}

/// What a hand decided is told by nobody but the pointbook, and known to the runs that follow.
void Recomputation::decide(const record::Resolve& resolve) {
  using occupation::PointStatus;
  Row* const row = row_of({resolve.name, resolve.visit});
  if (row != nullptr) row->decided = resolve.accept ? PointStatus::accepted : PointStatus::rejected;
}

/// The rows that are there already; the stay that ends with the command is the session's.
void Recomputation::hold_for_antenna(const record::SetAntenna& antenna) {
  if (!antenna.since) return;
  for (Row& row : rows_) {
    occupation::Point point = row.newest();
    if (!occupation::hold_for_antenna(point, antenna.height_m, *antenna.since)) continue;
    row.reconsidered = std::move(point);
    if (row.decided == occupation::PointStatus::accepted) row.decided.reset();
  }
}

void Recomputation::note_safe(const std::string& made) {
  if (made == made_) made_ = kSafe;
  for (Row& row : rows_) {
    if (row.amended_as == made) row.unamended.reset();
    if (row.made == made) row.made.clear();
  }
}

/// The next run knows a point as it was before a version that was never on the disk.
void Recomputation::take_back_unsafe() {
  for (Row& row : rows_) {
    if (auto before = std::exchange(row.unamended, std::nullopt); before && !stopped_) row.reconsidered = *before;
  }
}

/// What ended just before a run broke off, and nothing was begun after it, had perhaps no answer yet: unless the record
/// says that it was safe. A stay further back had one, or somebody waited for it in vain and was told so.
void Recomputation::end_run() {
  take_back_unsafe();
  const auto just_ended = [this](const auto& one) {
    return !stopped_ && latest_.ms - one.ended.ms <= record::kLongestAnswerMs;
  };
  for (Row& row : rows_) {
    if (!std::exchange(row.made, "").empty()) row.unanswered = just_ended(row);
  }
  if (made_ == kSafe) return;
  const auto mark = [&](auto& one) {
    if (one.opening != 0) one.unanswered = one.opening == opening_ && just_ended(one);
  };
  const auto [rows, checks] = before_run_;
  std::for_each(rows_.begin() + static_cast<std::ptrdiff_t>(rows), rows_.end(), mark);
  std::for_each(checks_.begin() + static_cast<std::ptrdiff_t>(checks), checks_.end(), mark);
}

/// The next run knew nothing of it: its name and visit were free, and no later visit is weighed against it.
void Recomputation::note_what_left_nothing() {
  if (!ask_.stored) return;
  for (std::size_t i = before_run_.first; i < rows_.size(); ++i) {
    Row& row = rows_[i];
    row.left_nothing = (row.cut_off || row.unanswered) && !ask_.stored->contains(StayBegun::of(row.point));
  }
}

std::optional<session::Again> Recomputation::anew() const {
  const auto at = ask_.computed_anew.find(opening_);
  return at == ask_.computed_anew.end() ? std::nullopt : std::optional(at->second);
}

void Recomputation::apply(const record::Command& command, SteadyTime given) {
  if (!ask_.follow_commands && !concerns_all(command)) return;
  stopped_ |= is_one_of<record::Stopped>(command);
  if (const auto* keep = std::get_if<record::Keep>(&command)) made_ = keep->made;
  if (const auto* safe = std::get_if<record::Safe>(&command)) note_safe(safe->made);
  if (const auto* offset = std::get_if<record::Offset>(&command)) offset_made_ = offset->made;
  const bool opens = is_one_of<record::Occupy, record::Check>(command);
  opening_ += opens ? 1U : 0U;
  const auto* const amended = std::get_if<record::Amend>(&command);
  if (amended != nullptr) amend(*amended);
  if (const auto* antenna = std::get_if<record::SetAntenna>(&command)) hold_for_antenna(*antenna);
  if (const auto* resolve = std::get_if<record::Resolve>(&command)) decide(*resolve);
  const auto taken = session::apply(*session_, command, given, opens ? anew() : std::nullopt);
  if (const auto* close = std::get_if<record::CloseDay>(&command)) closings_.push_back(close->closed_utc);
  if (taken.done) return;
  if (is_one_of<record::Check>(command)) refused_checks_[opening_] = taken.text;
  // Under other settings a stay may have nothing to keep; it must not stand in the way of the next one.
  if (is_one_of<record::Keep>(command)) session_->drop();
}

void Recomputation::command(const std::string& line, SteadyTime given) {
  latest_ = given;
  session_->advance(given);
  collect();
  const auto entry = record::from_line(line);
  if (entry) {
    apply(entry->what, given);
  } else {
    complaint_ = entry.error().text;
  }
  collect();
}

void Recomputation::bytes(std::string_view bytes, SteadyTime arrived) {
  latest_ = arrived;
  session_->push(bytes, arrived);
  collect();
  if (watch) watch(*session_);
}

void Recomputation::untimed(std::string_view bytes, record::SentenceClock& clock) {
  session_->push(bytes, [&clock](const nmea::Sentence& sentence, const nmea::Decoded& decoded) {
    return clock.hear(sentence, decoded);
  });
  collect();
}

bool Recomputation::restart(SteadyTime last) {
  if (!ask_.follow_commands) {  // planned visits go on over a restart, as over any gap
    session_->cut(last);
    // The daemon read its configuration again: so did the antenna height.
    if (const auto height_m = geodesy::antenna_height_m(settings_.antenna)) {
      session_->set_antenna(*height_m, kSay.height_after_restart());
    }
    collect();
    return false;
  }
  end_run();
  session_->finish();
  collect(true);
  note_what_left_nothing();
  before_run_ = {rows_.size(), checks_.size()};
  stopped_ = false;
  add(before_, session_->summary());
  if (auto again = start(); !again) complaint_ = again.error().text;
  return true;
}

Result<void> Recomputation::play(Stream& stream) {
  Sink sink;
  sink.bytes = [this](std::string_view piece, SteadyTime arrived) { bytes(piece, arrived); };
  sink.untimed = [this](std::string_view piece, record::SentenceClock& clock) { untimed(piece, clock); };
  sink.command = [this](const std::string& json, SteadyTime given) { command(json, given); };
  sink.corrections = [this](std::string_view passed, bool lost, SteadyTime arrived) {
    session::hear_corrections(*session_, passed, lost, arrived);
    collect();
  };
  sink.clock = [this](SteadyTime at, std::optional<UtcTime> said) { session_->set_clock(at, said); };
  sink.restart = [this](SteadyTime last) { return restart(last); };
  if (auto played = stream.play(sink); !played) return played;
  end_run();
  session_->finish();
  collect(true);
  note_what_left_nothing();
  if (complaint_) return fail(*complaint_);
  return {};
}

const std::vector<Row>& Recomputation::rows() {
  std::stable_sort(rows_.begin(), rows_.end(), [](const Row& a, const Row& b) { return a.order < b.order; });
  return rows_;
}

occupation::Point Recomputation::delivered(const occupation::Point& point) const {
  if (!ask_.follow_commands) return point;
  pointbook::Closings closings;
  for (const UtcTime at : closings_) closings.close(at);
  return closings.delivered(point);
}

session::Summary Recomputation::total() const {
  session::Summary out = before_;
  add(out, session_->summary());
  return out;
}

std::vector<occupation::Combined> Recomputation::combined() {
  std::vector<const occupation::Point*> points;
  for (const Row& row : rows()) points.push_back(&row.newest());
  return session::combined(*session_, points);
}

}  // namespace stillpoint::reduce
