#pragma once
// While it lives every wait is shorter, and the log is a text.

#include <spdlog/sinks/ostream_sink.h>
#include <spdlog/spdlog.h>

#include <memory>
#include <sstream>
#include <utility>

#include "common/timers.hpp"

namespace stillpoint::daemon {

class Quick {
 public:
  Quick() : before_(std::exchange(timer_speed, 1000.0)), logger_(spdlog::default_logger()) {
    spdlog::set_default_logger(
        std::make_shared<spdlog::logger>("test", std::make_shared<spdlog::sinks::ostream_sink_mt>(log_)));
  }
  Quick(const Quick&) = delete;
  Quick& operator=(const Quick&) = delete;
  ~Quick() {
    timer_speed = before_;
    spdlog::set_default_logger(logger_);
  }
  /// When nothing writes to it any more.
  std::string log() const { return log_.str(); }

 private:
  double before_;
  std::shared_ptr<spdlog::logger> logger_;
  std::ostringstream log_;
};

}  // namespace stillpoint::daemon
