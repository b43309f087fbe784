#include "stream.hpp"

#include <array>
#include <filesystem>

#include "base/number.hpp"
#include "base/plain_file.hpp"
#include "record/command.hpp"
#include "record/log_kind.hpp"
#include "sentences.hpp"

namespace stillpoint::reduce {
namespace {

constexpr std::size_t kChunk = 1U << 16U;
constexpr std::int64_t kRestartMs = 60000;  // longer than any silence limit: a restart is a gap

Result<void> check_log(const std::string& path) {
  const auto fault = plain_file_fault(path);
  if (!fault) return {};
  if (fault->what == FileTrouble::missing) return fail(kSay.no_log(path));
  if (fault->what == FileTrouble::folder) return fail(kSay.is_folder(path));
  if (fault->what == FileTrouble::no_file) return fail(kSay.save_first(path, fault->words));
  return fail(kSay.bad_log(path, fault->words));
}

/// What is no log is told before anything of the day is computed. Bytes that the daemon recorded are what came.
Result<void> check_kind(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::array<char, record::kLogHead> head{};
  in.read(head.data(), head.size());
  const auto why = record::why_no_log({head.data(), static_cast<std::size_t>(in.gcount())});
  if (why) return fail(path + " " + *why);
  return {};
}

bool has_tags(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  std::array<char, record::kTagHead> head{};
  in.read(head.data(), head.size());
  return record::begins_with_tag({head.data(), static_cast<std::size_t>(in.gcount())});
}

bool begins_a_run(const record::Journal& journal) {
  if (journal.lines.empty() || journal.lines.front().command.empty()) return false;
  const auto entry = record::from_line(journal.lines.front().command);
  return entry && std::holds_alternative<record::Started>(entry->what);
}

/// A line that cannot be read may be one too; whoever follows it says so.
bool has_occupied(const record::JournalLine& line) {
  if (line.command.empty()) return false;
  const auto entry = record::from_line(line.command);
  return !entry || std::holds_alternative<record::Occupy>(entry->what);
}

/// Reads exactly `count` bytes in pieces; false when the file ends before.
template <class Take>
bool read_bytes(std::ifstream& in, std::uint64_t count, std::vector<char>& buffer, Take&& take) {
  while (count > 0) {
    const auto want = static_cast<std::streamsize>(std::min<std::uint64_t>(count, buffer.size()));
    in.read(buffer.data(), want);
    if (in.gcount() <= 0) return false;
    take(std::string_view(buffer.data(), static_cast<std::size_t>(in.gcount())));
    count -= static_cast<std::uint64_t>(in.gcount());
  }
  return true;
}

}  // namespace

Result<Stream> Stream::open(const std::vector<std::string>& logs) {
  Stream out;
  for (const std::string& path : logs) {
    if (auto readable = check_log(path); !readable) return tl::unexpected(readable.error());
    Log log{path, {}};
    const std::string beside = record::journal_path_of(path);
    std::error_code unknown;
    // Whatever has the name is no missing journal, a link that leads nowhere neither.
    if (std::filesystem::exists(std::filesystem::symlink_status(beside, unknown))) {
      const auto taken = out.take_journal(beside, log);
      if (!taken) return tl::unexpected(taken.error());
      if (!*taken) continue;
    } else {
      if (auto readable = check_kind(path); !readable) return tl::unexpected(readable.error());
      out.plain_ = true;
    }
    out.logs_.push_back(std::move(log));
  }
  return out;
}

Result<bool> Stream::take_journal(const std::string& beside, Log& log) {
  const auto text = read_named_file(kSay.the_journal(), beside, kMostJournalBytes);
  if (!text) return tl::unexpected(text.error());
  if (record::has_torn_head(*text)) {
    std::error_code unknown;
    const auto bytes = std::filesystem::file_size(log.path, unknown);
    cut_.push_back(kSay.no_first_line(
        beside, bytes == 0 || unknown ? kSay.nothing_in_pair() : kSay.bytes_left_out(counted(bytes, "byte"))));
    return false;
  }
  auto journal = record::parse_journal(*text);
  if (!journal) return fail(beside + ": " + journal.error().text);
  if (!journal->cut.empty()) cut_.push_back(beside + " " + journal->cut);
  for (const auto& line : journal->lines) has_commands_ |= has_occupied(line);
  log.journal = std::move(*journal);
  return true;
}

Result<void> Stream::play(const Sink& sink) {
  for (std::size_t i = 0; i < logs_.size(); ++i) {
    const Log& log = logs_[i];
    const auto* const next = i + 1 < logs_.size() ? &logs_[i + 1].journal : nullptr;
    const bool ends_a_run = next == nullptr || (*next && begins_a_run(**next));
    const auto played = log.journal ? play_journal(log, ends_a_run, sink) : play_plain(log, sink);
    if (!played) return played;
  }
  return {};
}

bool Stream::play_command(const record::JournalLine& line, SteadyTime at, Corrections& beside, const Sink& sink) {
  constexpr std::string_view kBegins = R"({"event":"corrections")";
  if (!line.command.starts_with(kBegins)) {
    sink.command(line.command, at);
    return true;
  }
  const auto entry = record::from_line(line.command);
  const auto* passed = entry ? std::get_if<record::Corrections>(&entry->what) : nullptr;
  if (passed == nullptr) {
    sink.command(line.command, at);
    return true;
  }
  if (beside.over || passed->to < beside.offset) return false;
  std::vector<char> buffer(kChunk);
  const bool whole = read_bytes(beside.in, passed->to - beside.offset, buffer, [&](std::string_view bytes) {
    if (sink.corrections) sink.corrections(bytes, passed->lost, at);
  });
  beside.offset = passed->to;
  beside.over = !whole;
  return whole;
}

/// Power lost between the syncs of the two files leaves a journal that says more than its bytes: what it says of bytes
/// that are not there never happened as far as anybody can prove. In the middle of a run nothing but damage does that.
Result<void> Stream::play_journal(const Log& log, bool ends_a_run, const Sink& sink) {
  std::ifstream in(log.path, std::ios::binary);
  std::vector<char> buffer(kChunk);
  const auto shifted = [this](SteadyTime t) { return SteadyTime{t.ms + shift_ms_}; };
  // A new hour of the same run goes on; a new start of the daemon says so, and after a reboot steady time begins anew.
  const bool earlier = last_ && log.journal->head.steady < *last_;
  if (last_ && (earlier || begins_a_run(*log.journal))) {
    const bool fresh = sink.restart(shifted(*last_));
    if (fresh) shift_ms_ = 0;
    if (!fresh && earlier) shift_ms_ += last_->ms - log.journal->head.steady.ms + kRestartMs;
  }
  const record::JournalHead& head = log.journal->head;
  if (head.by_clock && (!last_ || earlier || begins_a_run(*log.journal))) sink.clock(shifted(head.steady), head.utc);
  last_ = head.steady;
  std::uint64_t offset = 0;
  Corrections beside{std::ifstream(record::corrections_path_of(log.path), std::ios::binary), 0, false};
  bool corrections_whole = true;
  for (const record::JournalLine& line : log.journal->lines) {
    last_ = line.arrived;
    const bool whole = read_bytes(in, line.offset - offset, buffer,
                                  [&](std::string_view bytes) { sink.bytes(bytes, shifted(line.arrived)); });
    if (!whole && !ends_a_run) return fail(kSay.record_cut(log.path));
    if (!whole) {
      cut_.push_back(kSay.power_lost(log.path));
      return {};
    }
    offset = line.offset;
    if (!line.command.empty()) corrections_whole &= play_command(line, shifted(line.arrived), beside, sink);
  }
  if (!corrections_whole) cut_.push_back(kSay.corrections_cut(record::corrections_path_of(log.path)));
  // What was written without its line never reached the session, or not for long: nothing was promised about it.
  std::uint64_t behind = 0;
  read_bytes(in, ~std::uint64_t{0}, buffer, [&behind](std::string_view bytes) { behind += bytes.size(); });
  if (behind > 0) {
    cut_.push_back(kSay.longer_than_journal(log.path, counted(behind, "byte")));
  }
  return {};
}

Result<void> Stream::play_plain(const Log& log, const Sink& sink) {
  std::ifstream in(log.path, std::ios::binary);
  if (has_tags(log.path)) sink.clock({}, {});
  std::vector<char> buffer(kChunk);
  read_bytes(in, ~std::uint64_t{0}, buffer, [&](std::string_view bytes) { sink.untimed(bytes, clock_); });
  if (in.bad()) return fail(kSay.half_way(log.path));
  return {};
}

std::vector<std::string> Stream::notes() const {
  std::vector<std::string> out = cut_;
  if (plain_ && clock_.source() != record::TimeSource::tag) {
    out.emplace_back(kSay.no_journal());
  }
  return out;
}

}  // namespace stillpoint::reduce
