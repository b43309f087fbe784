#include "pointbook/compare.hpp"

#include <algorithm>

#include "pointbook/fields.hpp"

namespace stillpoint::pointbook {
namespace {

struct Exact {
  Fields out;
  template <class Value>
  void operator()(const Field& field, const Value& value) {
    if (field.compared) out.emplace_back(field.name, exact_text(field, value));
  }
};

}  // namespace

Fields exact_fields(const occupation::Point& point) {
  Exact to;
  occupation::point_fields(to, point);
  return std::move(to.out);
}

Fields exact_fields(const occupation::EpochRecord& epoch) {
  Exact to;
  occupation::epoch_fields(to, epoch);
  return std::move(to.out);
}

Fields exact_fields(const CheckShot& shot) {
  Exact to;
  shot_fields(to, shot);
  return std::move(to.out);
}

std::vector<Difference> differences(const Fields& one, const Fields& other) {
  std::vector<Difference> out;
  for (std::size_t i = 0; i < std::min(one.size(), other.size()); ++i) {
    if (one[i].second != other[i].second) out.push_back({one[i].first, one[i].second, other[i].second});
  }
  return out;
}

std::vector<Difference> differences(const CheckShot& stored, CheckShot again) {
  if (!stored.error_scale) {
    again.error_scale = stored.error_scale;
    again.claim_plan_m2 = stored.claim_plan_m2, again.claim_up_m2 = stored.claim_up_m2;
    again.scatter_plan_m2 = stored.scatter_plan_m2, again.scatter_up_m2 = stored.scatter_up_m2;
    again.mark_sigma_plan_m = stored.mark_sigma_plan_m, again.mark_sigma_up_m = stored.mark_sigma_up_m;
  }
  if (stored.suspect.empty()) again.suspect.clear();
  return differences(exact_fields(stored), exact_fields(again));
}

std::vector<Difference> differences(const occupation::Point& one, const std::vector<occupation::EpochRecord>& epochs,
                                    const occupation::Point& other,
                                    const std::vector<occupation::EpochRecord>& other_epochs) {
  auto out = differences(exact_fields(one), exact_fields(other));
  if (epochs.size() != other_epochs.size()) {
    out.push_back({"epochs", std::to_string(epochs.size()), std::to_string(other_epochs.size())});
  }
  const std::size_t both = std::min(epochs.size(), other_epochs.size());
  for (std::size_t i = 0; i < both; ++i) {
    for (Difference& found : differences(exact_fields(epochs[i]), exact_fields(other_epochs[i]))) {
      found.field = "epoch " + std::to_string(i + 1) + " of " + std::to_string(both) + ": " + found.field;
      out.push_back(std::move(found));
    }
  }
  return out;
}

}  // namespace stillpoint::pointbook
