#pragma once
/// The log's way to standard error that never waits: whoever reads it may have stopped (Ctrl-S, a hanging link, a full
/// pipe), and the receiver goes on.
///
/// A line that cannot be taken at once is dropped and counted; the first line that can be taken again is preceded by
/// how many were.
///
/// Threads: any; spdlog locks around each line.
/// Errors:  none; a log that fails is no reason to stop.

#include <spdlog/sinks/base_sink.h>

#include <cstdint>
#include <mutex>
#include <string_view>

namespace stillpoint::daemon {

class LogSink : public spdlog::sinks::base_sink<std::mutex> {
 public:
  /// Lines are cut to what a pipe takes whole once it takes anything (PIPE_BUF of POSIX is 512 at least, 4096 on
  /// Linux).
  static constexpr std::size_t kLongestLine = 4096;

  /// `descriptor` stays the caller's.
  explicit LogSink(int descriptor) noexcept : descriptor_(descriptor) {}

 protected:
  void sink_it_(const spdlog::details::log_msg& message) override;
  void flush_() override {}

 private:
  bool takes_now() const noexcept;
  bool write_whole(std::string_view text) const noexcept;

  int descriptor_;
  std::uint64_t dropped_ = 0;
};

}  // namespace stillpoint::daemon
