#include "day.hpp"

#include <algorithm>
#include <filesystem>
#include <iostream>
#include <optional>

#include "base/identity.hpp"
#include "base/plain_file.hpp"
#include "pointbook/book.hpp"
#include "record/log_kind.hpp"
#include "say.hpp"
#include "sentences.hpp"
#include "session/visits.hpp"
#include "wire/json.hpp"

namespace stillpoint::reduce {
namespace {

namespace fs = std::filesystem;

/// UUIDs of recomputed points: from their place in the run, so that the same run gives the same file.
std::string uuid_of(const occupation::Point& point, std::size_t number) {
  const std::string seed = sha256_hex(point.name + "\n" + std::to_string(point.visit) + "\n" + std::to_string(number));
  UuidEntropy entropy{};
  for (std::size_t i = 0; i < entropy.size(); ++i) entropy[i] = static_cast<std::uint8_t>(seed[i]);
  return make_uuid7(point.started_utc.value_or(UtcTime{}), entropy);
}

int write_pointbook(const Options& options, const config::Settings& settings, Recomputation& day) {
  std::error_code unknown;
  if (fs::exists(fs::symlink_status(options.pointbook, unknown))) {
    return complain(kSay.exists_already(options.pointbook), kCannotWrite);
  }
  // The file's date is that of its last point: the same run gives the same file.
  UtcTime made;
  for (const Row& row : day.rows()) made = std::max(made, row.point.finished_utc.value_or(made));
  auto book = pointbook::Book::open(options.pointbook, day.identity(settings.project.name, false, made));
  if (!book) return complain(book.error().text, kCannotWrite);
  // In one transaction, whose metadata record knows all of it.
  pointbook::Batch batch;
  std::size_t number = 0;
  for (const Row& row : day.rows()) {
    occupation::StoredPoint stored;
    stored.uuid = uuid_of(row.point, ++number);
    stored.stored_at = row.point.finished_utc.value_or(UtcTime{});
    stored.point = row.newest();
    stored.epochs = row.epochs;
    batch.points.push_back(std::move(stored));
  }
  for (const UtcTime at : day.closings()) {
    batch.events.push_back({at, std::string(pointbook::kDayClosed), kSay.day_closed(), ""});
  }
  if (auto done = book->append(batch); !done) return complain(done.error().text, kCannotWrite);
  return 0;
}

Result<std::vector<session::PlannedVisit>> visits_of(const Options& options) {
  if (options.visits.empty()) {
    return std::vector<session::PlannedVisit>{{fs::path(options.logs.front()).stem().string(), 1, "", {}, {}}};
  }
  const auto text = read_named_file(kSay.the_visits_file(), options.visits, kMostTableBytes);
  if (!text) return tl::unexpected(text.error());
  return session::parse_visits(*text, options.visits);
}

}  // namespace

Computed compute(const Options& options, const config::Settings& settings, Stream stream, KeepEpochs keep) {
  const auto visits = visits_of(options);
  if (!visits) return {nullptr, false, complain(visits.error().text, kUsage)};
  Ask ask;
  ask.follow_commands = options.visits.empty() && stream.has_commands();
  ask.visits = *visits;
  ask.keep_epochs = keep == KeepEpochs::yes || options.epochs || !options.pointbook.empty();
  auto day = std::make_unique<Recomputation>(settings, std::move(ask));
  if (auto started = day->start(); !started) return {nullptr, false, complain(started.error().text, kUsage)};
  if (auto played = day->play(stream); !played) return {nullptr, false, complain(played.error().text, kCannotRead)};
  for (const std::string& note : stream.notes()) complain("note: " + note, 0);
  for (const std::string& note : day->notes()) complain("note: " + note, 0);
  const nmea::Counters heard = day->total().stream;
  const bool unread = heard.sentences == 0;
  if (unread) complain(kSay.nothing_readable(record::why_no_sentence(heard)), kCannotRead);
  return {std::move(day), unread, 0};
}

bool print_points(const Options& options, Recomputation& day) {
  bool all = !day.rows().empty();
  for (const Row& row : day.rows()) {
    if (options.epochs) {
      for (const auto& epoch : row.epochs) std::cout << wire::to_json(epoch) << '\n';
    }
    std::cout << wire::to_json(day.delivered(row.newest())) << '\n';
    all &= row.newest().status == occupation::PointStatus::accepted;
  }
  for (const auto& combined : day.combined()) std::cout << wire::to_json(combined) << '\n';
  return all;
}

int print_summary(Recomputation& day) {
  std::cout << wire::to_json(day.total(), day.rows().size()) << '\n' << std::flush;
  return std::cout ? 0 : complain(kSay.output_lost(), kCannotWrite);
}

int run(const Options& options, const config::Settings& settings, Stream stream) {
  const Computed computed = compute(options, settings, std::move(stream), KeepEpochs::no);
  if (!computed.day) return computed.failed;
  if (!options.pointbook.empty()) {
    if (const int failed = write_pointbook(options, settings, *computed.day); failed != 0) return failed;
  }
  const bool all = print_points(options, *computed.day);
  if (const int failed = print_summary(*computed.day); failed != 0) return failed;
  if (all) return kAllAccepted;
  return computed.unread ? kCannotRead : kSomeHeld;
}

}  // namespace stillpoint::reduce
