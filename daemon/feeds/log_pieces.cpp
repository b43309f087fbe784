#include "feeds/log_pieces.hpp"

#include <unistd.h>

#include <cerrno>
#include <deque>
#include <utility>

#include "base/plain_file.hpp"
#include "common/file.hpp"
#include "epoch/assembler.hpp"
#include "feeds/sentences.hpp"
#include "nmea/decode.hpp"
#include "nmea/framer.hpp"
#include "record/log_clock.hpp"
#include "record/log_kind.hpp"

namespace stillpoint::daemon {
namespace {

constexpr std::size_t kChunk = 64 * 1024;
constexpr std::size_t kAnchorSearch = 256 * 1024;

/// Up to `most` bytes; an empty text at the end of the file.
std::string read_chunk(int fd, std::size_t most) {
  std::string bytes(most, '\0');
  ssize_t n = 0;
  do n = ::read(fd, bytes.data(), bytes.size());
  while (n < 0 && errno == EINTR);
  bytes.resize(n > 0 ? static_cast<std::size_t>(n) : 0);
  return bytes;
}

/// The first bytes, read without moving on in the file.
std::string head_of(int fd, std::size_t most = record::kLogHead) {
  std::string bytes(most, '\0');
  const ssize_t n = ::pread(fd, bytes.data(), bytes.size(), 0);
  bytes.resize(n > 0 ? static_cast<std::size_t>(n) : 0);
  return bytes;
}

/// What of a journal's line belongs to the stream and not to the day on which it was recorded.
std::optional<Piece> piece_of(const record::JournalLine& line) {
  if (line.command.empty()) return std::nullopt;
  const auto entry = record::from_line(line.command);
  if (!entry) return std::nullopt;
  if (std::holds_alternative<record::Cut>(entry->what)) return Piece{"", line.arrived, true};
  if (const auto* delivery = std::get_if<record::Delivery>(&entry->what)) {
    Piece piece{"", line.arrived};
    piece.delivery = *delivery;
    return piece;
  }
  const auto* clock = std::get_if<record::Clock>(&entry->what);
  return clock != nullptr ? std::optional(Piece{"", line.arrived, false, *clock}) : std::nullopt;
}

}  // namespace

struct LogPieces::Source {
  virtual ~Source() = default;
  virtual std::optional<Piece> next() = 0;
  virtual std::string about() const = 0;
  virtual std::optional<record::JournalHead> head() const { return std::nullopt; }
};

namespace {

class ClockedLog final : public LogPieces::Source {
 public:
  explicit ClockedLog(Fd fd) : fd_(std::move(fd)) {
    if (record::begins_with_tag(head_of(fd_.get(), record::kTagHead))) {
      pieces_.push_back({"", FeedTime{}, false, record::Clock{}});
    }
  }

  std::optional<Piece> next() override {
    while (pieces_.empty() && !over_) refill();
    if (pieces_.empty()) return std::nullopt;
    Piece piece = std::move(pieces_.front());
    pieces_.pop_front();
    return piece;
  }

  std::string about() const override {
    if (bytes_ == 0) return kSayOfFeeds.log_empty();
    switch (clock_.source()) {
      case record::TimeSource::tag:
        return kSayOfFeeds.by_tag();
      case record::TimeSource::utc:
        return kSayOfFeeds.by_utc();
      case record::TimeSource::none:
        break;
    }
    return kSayOfFeeds.no_times();
  }

 private:
  void refill() {
    const auto keep = [this](std::string_view bytes, FeedTime arrived) {
      if (!bytes.empty()) pieces_.push_back({std::string(bytes), arrived, false});
    };
    const std::string bytes = read_chunk(fd_.get(), kChunk);
    bytes_ += bytes.size();
    over_ = bytes.empty();
    if (over_) {
      clock_.finish(keep);
    } else {
      clock_.push(bytes, keep);
    }
  }

  Fd fd_;
  record::LogClock clock_;
  std::deque<Piece> pieces_;
  std::uint64_t bytes_ = 0;
  bool over_ = false;
};

class JournaledLog final : public LogPieces::Source {
 public:
  JournaledLog(Fd fd, Fd corrections, record::Journal journal)
      : fd_(std::move(fd)), corrections_(std::move(corrections)), journal_(std::move(journal)) {
    last_ = journal_.head.steady;
    tells_clock_ = journal_.head.by_clock;
  }

  std::optional<Piece> next() override {
    if (std::exchange(tells_clock_, false)) return Piece{"", last_, false, record::Clock{journal_.head.utc}};
    while (line_ < journal_.lines.size()) {
      const record::JournalLine& line = journal_.lines[line_];
      if (line.offset > offset_) {
        if (auto piece = read(std::min<std::uint64_t>(line.offset - offset_, kChunk), line.arrived)) return piece;
        line_ = journal_.lines.size();
        return std::nullopt;
      }
      ++line_;
      last_ = line.arrived;
      if (auto piece = corrections_of(line)) return piece;
      if (auto piece = piece_of(line)) return piece;
    }
    return std::nullopt;  // bytes behind the journal's end have no time: the session of the day never judged them
  }

  std::string about() const override {
    return journal_.cut.empty() ? kSayOfFeeds.by_journal() : kSayOfFeeds.by_cut_journal(journal_.cut);
  }
  std::optional<record::JournalHead> head() const override { return journal_.head; }

 private:
  std::optional<Piece> read(std::uint64_t most, FeedTime arrived) {
    std::string bytes = read_chunk(fd_.get(), static_cast<std::size_t>(most));
    if (bytes.empty()) return std::nullopt;
    offset_ += bytes.size();
    return Piece{std::move(bytes), arrived, false};
  }

  /// What passed to the receiver, as far as it is on the disk.
  std::optional<Piece> corrections_of(const record::JournalLine& line) {
    if (!corrections_ || !line.command.starts_with(R"({"event":"corrections")")) return std::nullopt;
    const auto entry = record::from_line(line.command);
    const auto* passed = entry ? std::get_if<record::Corrections>(&entry->what) : nullptr;
    if (passed == nullptr || passed->to <= passed_ || passed->to - passed_ > kMostPassed) return std::nullopt;
    std::string bytes = read_chunk(corrections_.get(), static_cast<std::size_t>(passed->to - passed_));
    passed_ = passed->to;
    if (bytes.empty()) return std::nullopt;
    Piece piece{std::move(bytes), line.arrived};
    piece.to = passed->lost ? Piece::To::nobody : Piece::To::receiver;
    return piece;
  }

  static constexpr std::uint64_t kMostPassed = 1U << 20U;  // far more than is read at once
  Fd fd_, corrections_;
  std::uint64_t passed_ = 0;  ///< how far the corrections were read
  record::Journal journal_;
  bool tells_clock_ = false;  ///< what the head says of it, before the first bytes
  std::size_t line_ = 0;
  std::uint64_t offset_ = 0;
  FeedTime last_;
};

}  // namespace

LogPieces::LogPieces(std::unique_ptr<Source> source) noexcept : source_(std::move(source)) {}
LogPieces::LogPieces(LogPieces&&) noexcept = default;
LogPieces& LogPieces::operator=(LogPieces&&) noexcept = default;
LogPieces::~LogPieces() = default;

Result<LogPieces> LogPieces::open(const std::string& path) {
  const auto opened = open_plain_file(path);
  if (!opened) return fail(kSayOfFeeds.log_not_opened(path, opened.error().words));
  Fd fd(*opened);
  const std::string journal_path = record::journal_path_of(path);
  if (::access(journal_path.c_str(), F_OK) != 0) {
    if (const auto why = record::why_no_log(head_of(fd.get()))) {
      return fail(kSayOfFeeds.no_log(path, *why));
    }
    return LogPieces(std::make_unique<ClockedLog>(std::move(fd)));
  }
  auto text = read_file(journal_path);
  if (!text) return tl::unexpected(text.error());
  auto journal = record::parse_journal(*text);
  if (!journal) return fail(kSayOfFeeds.journal_unusable(journal_path, journal.error().text));
  const auto corrections = open_plain_file(record::corrections_path_of(path));
  return LogPieces(
      std::make_unique<JournaledLog>(std::move(fd), corrections ? Fd(*corrections) : Fd(), std::move(*journal)));
}

std::optional<Piece> LogPieces::next() {
  return source_->next();
}
std::string LogPieces::about() const {
  return source_->about();
}
std::optional<record::JournalHead> LogPieces::head() const {
  return source_->head();
}

std::optional<record::JournalHead> find_anchor(const std::string& path) {
  auto pieces = LogPieces::open(path);
  if (!pieces) return std::nullopt;
  if (auto head = pieces->head()) return record::JournalHead{head->utc, head->steady, false};
  nmea::Framer framer;
  epoch::Assembler assembler;
  std::optional<record::JournalHead> found;
  std::size_t bytes = 0;
  while (!found && bytes < kAnchorSearch) {
    const auto piece = pieces->next();
    if (!piece) break;
    if (piece->to != Piece::To::session) continue;
    bytes += piece->bytes.size();
    framer.push(piece->bytes, [&](const nmea::Sentence& sentence) {
      const epoch::Epoch* epoch = assembler.push(nmea::decode(sentence.body), piece->arrived);
      if (epoch && epoch->utc && !found) found = record::JournalHead{*epoch->utc, epoch->last_arrival, false};
    });
  }
  return found;
}

}  // namespace stillpoint::daemon
