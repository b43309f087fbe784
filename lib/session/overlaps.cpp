#include "session/overlaps.hpp"

#include "session/sentences.hpp"

namespace stillpoint::session {
namespace {

std::string names_of(const std::set<std::string>& sources) {
  std::string out;
  for (const std::string& source : sources) out += (out.empty() ? "\"" : " or \"") + source + "\"";
  return out;
}

}  // namespace

void Overlaps::keep(const std::string& source) {
  if (tied_.empty() && !source.empty()) tied_.insert(source);
}

std::string Overlaps::due(const std::string& source) const {
  if (source.empty() || tied_.empty() || tied_.contains(source)) return {};
  if (const auto at = disagrees_.find(source); at != disagrees_.end()) return at->second;
  return kSay.no_overlap(source, names_of(tied_));
}

/// A source is tied to the day's own when one mark was shot under both and the step is one that both explain.
std::vector<control::Overlap> Overlaps::pass(const std::string& mark, const control::SourceShot& shot) {
  std::vector<control::Overlap> found;
  passed_[{mark, shot.source}] = shot;
  if (tied_.empty()) tied_.insert(shot.source);
  const bool is_tied = tied_.contains(shot.source);
  for (const auto& [key, other] : passed_) {
    if (key.first != mark || tied_.contains(other.source) == is_tied) continue;
    const control::SourceShot& own = is_tied ? shot : other;
    const control::SourceShot& joining = is_tied ? other : shot;
    const control::Overlap& overlap = found.emplace_back(control::compare_overlap(mark, own, joining));
    disagrees_.erase(joining.source);
    if (!overlap.agrees) {
      disagrees_[joining.source] = overlap.text;
      continue;
    }
    tied_.insert(joining.source);
    if (!is_tied) break;
  }
  return found;
}

}  // namespace stillpoint::session
