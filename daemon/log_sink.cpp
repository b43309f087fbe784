#include "log_sink.hpp"

#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <string>

#include "base/number.hpp"
#include "common/sentences.hpp"

namespace stillpoint::daemon {

bool LogSink::takes_now() const noexcept {
  pollfd asked{descriptor_, POLLOUT, 0};
  return ::poll(&asked, 1, 0) == 1 && (asked.revents & POLLOUT) != 0;
}

/// A pipe that takes anything takes so much whole, without waiting.
bool LogSink::write_whole(std::string_view text) const noexcept {
  return takes_now() && ::write(descriptor_, text.data(), text.size()) == static_cast<ssize_t>(text.size());
}

void LogSink::sink_it_(const spdlog::details::log_msg& message) {
  spdlog::memory_buf_t formatted;
  formatter_->format(message, formatted);
  std::string line(formatted.data(), std::min(formatted.size(), kLongestLine));
  line.back() = '\n';
  if (dropped_ > 0) {
    const std::string lines = counted(dropped_, "line");
    const std::string told = (dropped_ == 1 ? kSay.line_lost(lines) : kSay.lines_lost(lines)) + '\n';
    if (!write_whole(told)) {
      ++dropped_;
      return;
    }
    dropped_ = 0;
  }
  if (!write_whole(line)) ++dropped_;
}

}  // namespace stillpoint::daemon
