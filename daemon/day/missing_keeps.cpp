#include "day/missing_keeps.hpp"

#include <spdlog/spdlog.h>

#include "common/sentences.hpp"

namespace stillpoint::daemon {

using session::Severity;

void MissingKeeps::find(const Known& known) {
  std::erase_if(missing_, [&known](const JournaledKeep& keep) { return known.has(keep); });
}

void MissingKeeps::tell() {
  const auto keeps = std::exchange(missing_, {});
  for (const std::string& sentence : unanswered_keeps(keeps, {})) {
    spdlog::warn("{}", sentence);
    alerts_.raise("keep-unanswered", Severity::notice, {sentence, kSayBriefly.keep_unanswered()});
  }
  const auto missing = missing_keeps(keeps, {});
  for (const std::string& sentence : missing) spdlog::error("{}", sentence);
  if (missing.empty()) return;
  const std::string more = missing.size() > 1 ? ", and " + std::to_string(missing.size() - 1) + " more" : "";
  alerts_.raise("points-missing", Severity::stop_work,
                {kSay.keeps_missing(missing.front() + more, pointbook_), kSayBriefly.points_missing()});
}

}  // namespace stillpoint::daemon
