#include "config/stray.hpp"

#include <algorithm>

namespace stillpoint::config {
namespace {

class Scanner {
 public:
  explicit Scanner(std::string_view text) noexcept : text_(text) {
    constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
    if (text.substr(0, kByteOrderMark.size()) == kByteOrderMark) at_ = kByteOrderMark.size();
  }

  std::optional<Stray> run() noexcept {
    while (at_ < text_.size() && !stray_ && !given_up_) step();
    return stray_;
  }

 private:
  char peek() const noexcept { return at_ < text_.size() ? text_[at_] : '\0'; }
  bool beyond_ascii() const noexcept { return static_cast<unsigned char>(peek()) >= 0x80; }

  void step() noexcept {
    const char c = peek();
    if (c == '"' || c == '\'') {
      text_.substr(at_, 3) == std::string_view(c == '"' ? R"(""")" : "'''") ? skip_long_text(c) : skip_text(c);
    } else if (c == '#') {
      at_ = std::min(text_.find('\n', at_), text_.size());
    } else if (beyond_ascii()) {
      stray_ = Stray{at_};
    } else {
      if (c == '[' && depth_ == 0 && begins_line()) return skip_header_begin();
      if (c == '[' || c == '{') ++depth_;
      if ((c == ']' || c == '}') && depth_ > 0) --depth_;
      ++at_;
    }
  }

  bool begins_line() const noexcept {
    const std::string_view before = text_.substr(0, at_);
    const std::size_t last = before.find_last_not_of(" \t");
    return last == std::string_view::npos || before[last] == '\n' || before[last] == '\r' || before[last] == kMarkEnd;
  }

  /// Behind the brackets of a table's header; its name, or what stands in its place.
  void skip_header_begin() noexcept {
    at_ += text_.substr(at_, 2) == "[[" ? 2U : 1U;
    at_ = std::min(text_.find_first_not_of(" \t", at_), text_.size());
    const char c = peek();
    const bool names = c == '"' || c == '\'' || c == '-' || c == '_' || c == ']' || (c >= '0' && c <= '9') ||
                       (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
    if (at_ < text_.size() && !names && !beyond_ascii()) stray_ = Stray{at_, true};
  }

  /// A text that ends on its line; one that does not is the parser's to report.
  void skip_text(char quote) noexcept {
    for (++at_; at_ < text_.size() && peek() != '\n'; ++at_) {
      if (quote == '"' && peek() == '\\') {
        ++at_;
        if (peek() == '\n') break;
        if (beyond_ascii()) {
          stray_ = Stray{at_};
          return;
        }
      } else if (peek() == quote) {
        ++at_;
        return;
      }
    }
    given_up_ = true;
  }

  /// A text between three quotes; up to two more quotes may stand before the closing three.
  void skip_long_text(char quote) noexcept {
    for (at_ += 3; at_ < text_.size() && !stray_;) {
      if (quote == '"' && peek() == '\\') {
        skip_escape();
        continue;
      }
      std::size_t run = 0;
      while (run < 5 && at_ + run < text_.size() && text_[at_ + run] == quote) ++run;
      at_ += std::max<std::size_t>(run, 1);
      if (run >= 3) return;
    }
  }

  /// A backslash and its letter, or the blanks and line ends that a backslash at the end of a line swallows.
  void skip_escape() noexcept {
    ++at_;
    const std::size_t next = std::min(text_.find_first_not_of(" \t\r\n", at_), text_.size());
    at_ = next == at_ && !beyond_ascii() ? at_ + 1 : next;
    if (beyond_ascii()) stray_ = Stray{at_};
  }

  static constexpr char kMarkEnd = '\xBF';  // of a byte order mark; any other such byte is a stray one
  std::string_view text_;
  std::size_t at_ = 0;
  std::size_t depth_ = 0;  ///< of arrays and inline tables
  std::optional<Stray> stray_;
  bool given_up_ = false;
};

}  // namespace

std::optional<Stray> first_stray(std::string_view toml_text) noexcept {
  return Scanner(toml_text).run();
}

}  // namespace stillpoint::config
