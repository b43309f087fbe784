#include "pointbook/versions.hpp"

#include <algorithm>
#include <map>
#include <string>
#include <utility>

namespace stillpoint::pointbook {
namespace {

using Visit = std::pair<std::string, int>;

Visit visit_of(const occupation::StoredPoint& stored) {
  return {stored.point.name, stored.point.visit};
}

bool is_older(const occupation::StoredPoint* a, const occupation::StoredPoint* b) {
  return a->version < b->version;
}

}  // namespace

std::vector<Versions> points_of(const std::vector<occupation::StoredPoint>& all) {
  std::vector<Versions> out;
  std::map<std::string, std::size_t> by_uuid;
  std::map<Visit, std::size_t> by_visit;
  for (const occupation::StoredPoint& stored : all) {
    const auto before = by_uuid.find(stored.supersedes);
    const auto same =
        before != by_uuid.end() ? before->second : by_visit.try_emplace(visit_of(stored), out.size()).first->second;
    if (same == out.size()) out.emplace_back();
    by_uuid[stored.uuid] = by_visit[visit_of(stored)] = same;
    out[same].push_back(&stored);
  }
  for (Versions& point : out) std::stable_sort(point.begin(), point.end(), is_older);
  return out;
}

std::vector<occupation::StoredPoint> newest_of_each(const std::vector<occupation::StoredPoint>& all) {
  std::vector<occupation::StoredPoint> out;
  for (const Versions& point : points_of(all)) out.push_back(*point.back());
  return out;
}

}  // namespace stillpoint::pointbook
