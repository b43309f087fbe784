#include "pointbook/plan_file.hpp"

#include "base/plain_file.hpp"
#include "pointbook/point_layer.hpp"
#include "pointbook/sentences.hpp"

namespace stillpoint::pointbook {
namespace {

Result<control::Plan> read(const std::string& path, const control::PlanFrame& used) {
  if (is_database(path)) {
    const auto layer = read_layer(path, "plan");
    if (!layer) return tl::unexpected<Error>(layer.error());
    return control::plan_from(*layer, used);
  }
  const auto text = read_named_file(kSay.the_plan_file(), path, kMostTableBytes);
  if (!text) return tl::unexpected<Error>(text.error());
  const auto table = control::parse_table(*text, path);
  if (!table) return tl::unexpected<Error>(table.error());
  return control::plan_from(*table, used);
}

}  // namespace

Result<control::Plan> read_plan_file(const std::string& path, const control::PlanFrame& used) {
  auto plan = read(path, used);
  if (!plan || !plan->points.empty()) return plan;
  if (plan->errors.empty()) return fail(kSay.nothing_planned(path));
  std::string all;
  for (const std::string& error : plan->errors) all += (all.empty() ? "" : "\n") + error;
  return fail(std::move(all));
}

}  // namespace stillpoint::pointbook
