#include "keeping/pair_catalogue.hpp"

#include <fcntl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <filesystem>
#include <iterator>
#include <set>
#include <sstream>

#include "keeping/sentences.hpp"
#include "pointbook/disk.hpp"
#include "pointbook/own_file.hpp"

namespace stillpoint::daemon {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t kHour_ms = 3'600'000;
constexpr std::string_view kUnknown = "-";

/// When a pair was begun, by its name `20260603T140000Z-01`.
std::optional<UtcTime> begun_by_name(const std::string& name) {
  if (name.size() < 16) return std::nullopt;
  return parse_utc(name.substr(0, 4) + "-" + name.substr(4, 2) + "-" + name.substr(6, 5) + ":" + name.substr(11, 2) +
                   ":" + name.substr(13, 3));
}

std::string or_unknown(const std::string& text) {
  return text.empty() ? std::string(kUnknown) : text;
}

std::string known(const std::string& word) {
  return word == kUnknown ? std::string() : word;
}

std::string sealed_line(const RecordedPair& pair) {
  return "sealed " + pair.name + " " + or_unknown(pair.until ? to_text(*pair.until) : "") + " " +
         or_unknown(pair.nmea_sha256) + " " + or_unknown(pair.journal_sha256) + "\n";
}

std::vector<RecordedPair>::iterator find(std::vector<RecordedPair>& pairs, const std::string& name) {
  return std::find_if(pairs.begin(), pairs.end(), [&name](const RecordedPair& pair) { return pair.name == name; });
}

/// False: the line says nothing that can be understood.
bool take_line(const std::string& line, std::vector<RecordedPair>& pairs) {
  std::istringstream words(line);
  std::string what, name, until, nmea, journal;
  words >> what >> name >> until >> nmea >> journal;
  if (name.empty() || name.find('/') != std::string::npos) return false;
  if (what == "begun") {
    pairs.push_back({name, {}, {}, {}});
    return true;
  }
  const auto at = find(pairs, name);
  if (what == "closed" && at != pairs.end()) {
    pairs.erase(pairs.begin(), at);
    return true;
  }
  if (what != "sealed" || journal.empty()) return false;
  if (at != pairs.end()) *at = {name, parse_utc(until), known(nmea), known(journal)};
  return true;
}

std::set<std::string> names_in(const std::string& text) {
  std::set<std::string> out;
  std::istringstream lines(text);
  for (std::string line, what, name; std::getline(lines, line);) {
    if (std::istringstream(line) >> what >> name) out.insert(name);
  }
  return out;
}

/// What an older program left: when a pair ended can only be guessed from its name.
std::string lines_of_folder(const std::string& folder, const std::set<std::string>& known) {
  std::set<std::string> names;
  std::error_code none;
  for (const auto& entry : fs::directory_iterator(folder, none)) {
    const std::string name = entry.path().stem().string();
    if (entry.path().extension() == ".nmea" && !known.contains(name)) names.insert(name);
  }
  std::string out;
  for (const std::string& name : names) {
    const auto begun = begun_by_name(name);
    out += "begun " + name + "\n";
    if (begun) out += sealed_line({name, UtcTime{begun->ms + kHour_ms}, {}, {}});
  }
  return out;
}

}  // namespace

PairList read_pairs(std::string_view text) {
  PairList out;
  std::istringstream lines{std::string(text)};
  std::size_t number = 0, damaged = 0;
  for (std::string line; std::getline(lines, line);) {
    ++number;
    if (!take_line(line, out.pairs) && damaged == 0) damaged = number;
  }
  if (damaged > 0) out.faults.push_back(kSayOfRecord.line_damaged(std::to_string(damaged)));
  return out;
}

std::vector<RecordedPair> pairs_of_day(const std::vector<RecordedPair>& pairs, const std::string& current,
                                       UtcTime now) {
  std::vector<RecordedPair> out;
  std::copy_if(pairs.begin(), pairs.end(), std::back_inserter(out), [&](const RecordedPair& pair) {
    return pair.name != current && !(pair.until && now.ms - pair.until->ms > kDayBack_ms);
  });
  return out;
}

Result<void> PairCatalogue::open() {
  const std::lock_guard lock(mutex_);
  const int opened = pointbook::open_own_file(path());
  if (opened < 0) return fail(kSayOfRecord.list_not_opened(path(), errno_text(-opened)));
  fd_ = Fd(opened);
  auto text = read_all(fd_.get(), path());
  if (!text) return tl::unexpected(text.error());
  // The power may have gone in the middle of the last line: what it was to say lies in the folder or nowhere.
  text_ = text->substr(0, text->rfind('\n') + 1);
  if (!at_end()) return fail(kSayOfRecord.list_not_written(path(), errno_text(errno)));
  const std::string older = lines_of_folder(folder_, names_in(text_));
  return older.empty() ? Result<void>{} : append(older);
}

/// Behind the last whole line, with nothing after it.
bool PairCatalogue::at_end() {
  const auto size = static_cast<off_t>(text_.size());
  return ::ftruncate(fd_.get(), size) == 0 && ::lseek(fd_.get(), size, SEEK_SET) == size;
}

Result<void> PairCatalogue::append(const std::string& line) {
  auto done = write_all(fd_.get(), line);
  if (done && ::fdatasync(fd_.get()) != 0) done = fail(errno_text(errno));
  if (done) {
    text_ += line;
    return {};
  }
  at_end();  // a half line would spoil the next one
  return fail(kSayOfRecord.of_list(done.error().text));
}

Result<void> PairCatalogue::begun(const std::string& name) {
  const std::lock_guard lock(mutex_);
  // A name is given a second time only within its second, and only when the files of the first were removed.
  if (names_in(text_).contains(name)) lost_.push_back(kSayOfRecord.pair_gone(name));
  return append("begun " + name + "\n");
}

Result<void> PairCatalogue::sealed(const RecordedPair& pair) {
  const std::lock_guard lock(mutex_);
  return append(sealed_line(pair));
}

Result<void> PairCatalogue::closed(const std::string& next) {
  const std::lock_guard lock(mutex_);
  lost_.clear();
  return append("closed " + next + "\n");
}

PairList PairCatalogue::list() const {
  const std::lock_guard lock(mutex_);
  PairList out = read_pairs(text_);
  out.faults.insert(out.faults.end(), lost_.begin(), lost_.end());
  if (pointbook::look_for(pointbook::system_disk(), fd_.get(), path()) != 0)
    out.faults.push_back(kSayOfRecord.list_gone());
  return out;
}

}  // namespace stillpoint::daemon
