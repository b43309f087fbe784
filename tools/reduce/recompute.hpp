#pragma once
/// One recomputation of recorded bytes: the stream through the session, the points out in their order.
///
/// Time:    the record's own.
/// Threads: one recomputation, one thread; the settings must outlive it.
/// Errors:  a configuration that cannot be computed with, a log that breaks off, a journal that cannot be followed: one
///          sentence each.

#include <map>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "config/settings.hpp"
#include "session/session.hpp"
#include "stream.hpp"

namespace stillpoint::reduce {

using StayName = std::pair<std::string, int>;  ///< name and visit

struct Ask {
  bool follow_commands = false;  ///< of the journal; otherwise `visits` are computed
  std::vector<session::PlannedVisit> visits{};
  bool keep_epochs = true;
  bool training = false;
  bool empty_stays = true;                             ///< points of status `none` too
  std::map<StayName, session::Again> computed_anew{};  ///< what differs from the day, by stay
};

/// A finished point waiting for its place in the output.
struct Row {
  std::size_t order = 0;
  occupation::Point point;
  std::vector<occupation::EpochRecord> epochs;
};

class Recomputation {
 public:
  Recomputation(const config::Settings& settings, Ask ask) : settings_(settings), ask_(std::move(ask)) {}

  Result<void> start();
  Result<void> play(Stream& stream);

  const std::vector<Row>& rows();
  session::Summary total() const;
  std::vector<occupation::Combined> combined();
  const std::string& frame() const { return frame_; }
  const std::string& frame_wkt() const { return frame_wkt_; }
  bool projected() const { return projected_; }
  /// Called after every piece of bytes.
  std::function<void(const session::Session&)> watch;

 private:
  void bytes(std::string_view bytes, SteadyTime arrived);
  void command(const std::string& json, SteadyTime given);
  bool restart(SteadyTime last);
  void apply(const nlohmann::json& what, SteadyTime given);
  void occupy(const nlohmann::json& what);
  void keep();
  Result<void> take_marks();
  void collect();

  const config::Settings& settings_;
  Ask ask_;
  std::optional<session::Session> session_;
  std::vector<Row> rows_;
  std::size_t live_ = 0;
  session::Summary before_;  ///< of earlier starts of the daemon
  std::string frame_, frame_wkt_;
  bool projected_ = false;
  std::optional<std::string> complaint_;
};

}  // namespace stillpoint::reduce
