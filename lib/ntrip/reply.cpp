#include "ntrip/reply.hpp"

#include <algorithm>
#include <charconv>

#include "ntrip/sentences.hpp"

namespace stillpoint::ntrip {
namespace {

constexpr std::size_t kQuoted = 80;
constexpr std::size_t kLongestChunkLine = 256;
constexpr std::uint64_t kLargestChunk = 64U << 20U;
constexpr std::string_view kEndOfTable = "ENDSOURCETABLE";

std::string printable(std::string_view text) {
  std::string out(text.substr(0, kQuoted));
  for (char& c : out) {
    if (c < ' ' || c > '~' || c == '"') c = '?';
  }
  return out;
}

std::string lower(std::string_view text) {
  std::string out(text);
  for (char& c : out) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return out;
}

std::string_view trimmed(std::string_view text) noexcept {
  while (!text.empty() && (text.front() == ' ' || text.front() == '\t')) text.remove_prefix(1);
  while (!text.empty() && (text.back() == ' ' || text.back() == '\t')) text.remove_suffix(1);
  return text;
}

/// Where the line that ends a table begins, from `from` on. The same letters inside a line are a stream's own.
std::size_t end_of_table(std::string_view table, std::size_t from) noexcept {
  std::size_t at = table.find(kEndOfTable, from);
  while (at != std::string_view::npos && at > 0 && table[at - 1] != '\n') at = table.find(kEndOfTable, at + 1);
  return at;
}

/// The three digits behind the first blank; 0: there are none.
int code_of(std::string_view line) noexcept {
  const std::size_t blank = line.find(' ');
  if (blank == std::string_view::npos || line.size() < blank + 4) return 0;
  int code = 0;
  const char* const from = line.data() + blank + 1;
  const auto [end, error] = std::from_chars(from, from + 3, code);
  return error == std::errc() && end == from + 3 ? code : 0;
}

bool is_header_letter(char c) noexcept {
  return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-';
}

/// What has come of a line can still become `Name: value`.
bool may_be_header(std::string_view line) noexcept {
  const std::size_t colon = line.find(':');
  const std::string_view name = line.substr(0, colon);
  const std::string_view value = colon == std::string_view::npos ? std::string_view() : line.substr(colon);
  return name.size() <= 40 && (colon != 0) && std::all_of(name.begin(), name.end(), is_header_letter) &&
         std::all_of(value.begin(), value.end(), [](char c) { return (c >= ' ' && c <= '~') || c == '\t'; });
}

}  // namespace

void Reply::push(std::string_view bytes, std::string& corrections) {
  while (!bytes.empty() && part_ != Part::over) bytes.remove_prefix(take(bytes, corrections));
}

/// At least one byte is taken, unless the part has changed.
std::size_t Reply::take(std::string_view bytes, std::string& corrections) {
  switch (part_) {
    case Part::header_of_icy:
      return take_header_of_icy(bytes, corrections);
    case Part::body:
      body(bytes, corrections);
      return bytes.size();
    case Part::chunk:
      return take_chunk(bytes, corrections);
    case Part::over:
      return bytes.size();
    default:
      return take_line(bytes);
  }
}

std::size_t Reply::take_line(std::string_view bytes) {
  const std::size_t end = bytes.find('\n');
  const std::size_t taken = end == std::string_view::npos ? bytes.size() : end + 1;
  const bool in_header = part_ == Part::header || part_ == Part::trailer;
  header_bytes_ += in_header ? taken : 0;
  const std::size_t longest = part_ == Part::chunk_size || part_ == Part::chunk_end ? kLongestChunkLine : kLongestLine;
  if (line_.size() + taken > (in_header ? kLongestHeader : longest) || header_bytes_ > kLongestHeader) {
    end_with(part_ == Part::first_line ? Outcome::no_caster : Outcome::damaged);
    return taken;
  }
  line_.append(bytes.substr(0, taken));
  if (end == std::string_view::npos) return taken;
  line_.pop_back();
  if (!line_.empty() && line_.back() == '\r') line_.pop_back();
  on_line();
  line_.clear();
  return taken;
}

void Reply::on_line() {
  switch (part_) {
    case Part::first_line:
      return on_first_line();
    case Part::header:
      return line_.empty() ? on_header_end() : on_header();
    case Part::chunk_size:
      return on_chunk_size();
    case Part::chunk_end:
      return line_.empty() ? static_cast<void>(part_ = Part::chunk_size) : end_with(Outcome::damaged);
    case Part::trailer:
      if (line_.empty()) part_ = Part::over;
      return;
    default:
      return;
  }
}

void Reply::on_first_line() {
  status_ = printable(line_);
  const std::string start = lower(line_.substr(0, 12));
  code_ = code_of(line_);
  if (start.rfind("icy ", 0) == 0 && code_ == 200) {
    outcome_ = Outcome::corrections;
    part_ = Part::header_of_icy;
  } else if (start == "sourcetable " && code_ == 200) {
    is_table_ = true;
    part_ = Part::header;
  } else if (start.rfind("http/1.", 0) == 0 && code_ >= 100) {
    part_ = Part::header;
  } else if (start.rfind("error", 0) == 0) {
    const bool bad_password = lower(line_).find("password") != std::string::npos;
    end_with(bad_password ? Outcome::login_refused : Outcome::caster_error);
  } else if (start.rfind("icy ", 0) == 0 && code_ >= 100) {
    end_with(code_ == 401 || code_ == 403 ? Outcome::login_refused : Outcome::caster_error);
  } else {
    end_with(Outcome::no_caster);
  }
}

void Reply::on_header() {
  const std::size_t colon = line_.find(':');
  if (colon == std::string::npos) return;
  const std::string name = lower(trimmed(std::string_view(line_).substr(0, colon)));
  const std::string value = lower(trimmed(std::string_view(line_).substr(colon + 1)));
  if (name == "transfer-encoding") is_chunked_ = value.find("chunked") != std::string::npos;
  if (name == "content-type") is_table_ |= value.find("sourcetable") != std::string::npos;
}

void Reply::on_header_end() {
  if (code_ >= 100 && code_ < 200) {  // a note before the answer itself
    part_ = Part::first_line;
    return;
  }
  if (code_ == 401 || code_ == 403 || code_ == 407) return end_with(Outcome::login_refused);
  if (code_ == 404 || code_ == 410) return end_with(Outcome::mount_unknown);
  if (code_ != 200) return end_with(Outcome::caster_error);
  outcome_ = is_table_ ? Outcome::table : Outcome::corrections;
  part_ = is_chunked_ ? Part::chunk_size : Part::body;
}

/// Behind `ICY 200 OK` come header lines and a blank one, or the blank one, or corrections at once. What cannot become a
/// header line is corrections from its first byte.
std::size_t Reply::take_header_of_icy(std::string_view bytes, std::string& corrections) {
  const char c = bytes.front();
  if (c == '\n') {
    if (!line_.empty() && line_.back() == '\r') line_.pop_back();
    part_ = line_.empty() ? Part::body : Part::header_of_icy;
    line_.clear();
    return 1;
  }
  const bool ended = !line_.empty() && line_.back() == '\r';
  const bool goes_on = !ended && header_bytes_ < kLongestHeader &&
                       (c == '\r' ? line_.empty() || line_.find(':') != std::string::npos : may_be_header(line_ + c));
  line_ += c;
  ++header_bytes_;
  if (!goes_on) {
    part_ = Part::body;
    corrections += line_;
    line_.clear();
  }
  return 1;
}

std::size_t Reply::take_chunk(std::string_view bytes, std::string& corrections) {
  const auto taken = static_cast<std::size_t>(std::min<std::uint64_t>(chunk_left_, bytes.size()));
  chunk_left_ -= taken;
  if (chunk_left_ == 0) part_ = Part::chunk_end;
  body(bytes.substr(0, taken), corrections);
  return taken;
}

void Reply::body(std::string_view bytes, std::string& corrections) {
  if (outcome_ == Outcome::corrections) {
    corrections.append(bytes);
    return;
  }
  if (table_.size() + bytes.size() > kLongestTable) return end_with(Outcome::damaged);
  const std::size_t from = table_.size() > kEndOfTable.size() ? table_.size() - kEndOfTable.size() : 0;
  table_.append(bytes);
  const std::size_t end = end_of_table(table_, from);
  if (end == std::string::npos) return;
  table_.resize(end);
  part_ = Part::over;
}

void Reply::on_chunk_size() {
  const std::string_view digits = trimmed(std::string_view(line_).substr(0, line_.find(';')));
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), chunk_left_, 16);
  const bool is_size = error == std::errc() && !digits.empty() && end == digits.data() + digits.size();
  if (!is_size || chunk_left_ > kLargestChunk) return end_with(Outcome::damaged);
  part_ = chunk_left_ == 0 ? Part::trailer : Part::chunk;
  header_bytes_ = 0;
}

void Reply::end_with(Outcome outcome) noexcept {
  outcome_ = outcome;
  part_ = Part::over;
}

std::string Reply::fault(bool asked_for_table) const {
  switch (outcome_) {
    case Outcome::waiting:
    case Outcome::corrections:
      return "";
    case Outcome::table:
      return asked_for_table ? "" : std::string(kSay.table_instead.words());
    case Outcome::login_refused:
      return kSay.refused(status_);
    case Outcome::mount_unknown:
      return kSay.unknown_mount(status_);
    case Outcome::caster_error:
      return kSay.caster_error(status_);
    case Outcome::no_caster:
      return status_.empty() ? std::string(kSay.no_caster_at_all.words()) : kSay.no_caster(status_);
    case Outcome::damaged:
      return std::string(kSay.damaged.words());
  }
  return "";
}

}  // namespace stillpoint::ntrip
