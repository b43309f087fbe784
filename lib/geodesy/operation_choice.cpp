#include "geodesy/operation_choice.hpp"

#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "base/number.hpp"
#include "geodesy/frame_names.hpp"
#include "geodesy/sentences.hpp"

namespace stillpoint::geodesy {
namespace {

constexpr double kNothingM = 1e-6;

struct FactoryDeleter {
  void operator()(PJ_OPERATION_FACTORY_CONTEXT* factory) const noexcept {
    proj_operation_factory_context_destroy(factory);
  }
};

std::vector<PjPtr> candidates(PJ_CONTEXT* context, const PJ* from, const PJ* to) {
  const std::unique_ptr<PJ_OPERATION_FACTORY_CONTEXT, FactoryDeleter> factory(
      proj_create_operation_factory_context(context, nullptr));
  std::vector<PjPtr> out;
  if (!factory) return out;
  proj_operation_factory_context_set_spatial_criterion(context, factory.get(),
                                                       PROJ_SPATIAL_CRITERION_PARTIAL_INTERSECTION);
  proj_operation_factory_context_set_grid_availability_use(context, factory.get(),
                                                           PROJ_GRID_AVAILABILITY_USED_FOR_SORTING);
  proj_operation_factory_context_set_allow_ballpark_transformations(context, factory.get(), 0);
  const ListPtr list(proj_create_operations(context, from, to, factory.get()));
  for (int i = 0; list && i < proj_list_get_count(list.get()); ++i) {
    if (PjPtr operation{proj_list_get(context, list.get(), i)}) out.push_back(std::move(operation));
  }
  return out;
}

/// The steps of a chain, or the operation itself, without pure changes of coordinate kind.
std::vector<PjPtr> moving_steps(PJ_CONTEXT* context, const PJ* operation) {
  std::vector<PjPtr> steps;
  if (proj_get_type(operation) == PJ_TYPE_CONCATENATED_OPERATION) {
    for (int i = 0; i < proj_concatoperation_get_step_count(context, operation); ++i) {
      if (PjPtr step{proj_concatoperation_get_step(context, operation, i)}) steps.push_back(std::move(step));
    }
  } else if (PjPtr only{proj_clone(context, operation)}) {
    steps.push_back(std::move(only));
  }
  std::erase_if(steps, [](const PjPtr& step) { return proj_get_type(step.get()) == PJ_TYPE_CONVERSION; });
  return steps;
}

/// PROJ's own words, the changes between longitude-latitude and X-Y-Z left out.
std::string describe(const std::vector<PjPtr>& steps) {
  std::string text;
  for (const PjPtr& step : steps) text += (text.empty() ? "" : " + ") + name_of(step.get());
  return text;
}

bool is_ensemble(PJ_CONTEXT* context, const PJ* crs) {
  const PjPtr ensemble(crs == nullptr ? nullptr : proj_crs_get_datum_ensemble(context, crs));
  return ensemble != nullptr;
}

/// Every parameter that moves something is zero. The reference epochs (EPSG 1047, 1049) move nothing by themselves.
bool moves_nothing(PJ_CONTEXT* context, const PJ* step) {
  if (proj_coordoperation_get_grid_used_count(context, step) > 0) return false;
  const int count = proj_coordoperation_get_param_count(context, step);
  for (int i = 0; i < count; ++i) {
    const char* code = nullptr;
    const char* file = nullptr;
    double value = 0.0;
    if (proj_coordoperation_get_param(context, step, i, nullptr, nullptr, &code, &value, &file, nullptr, nullptr,
                                      nullptr, nullptr, nullptr) == 0) {
      return false;
    }
    const std::string parameter = code == nullptr ? std::string() : std::string(code);
    if (parameter == "1047" || parameter == "1049") continue;
    if (value != 0.0 || (file != nullptr && *file != '\0')) return false;
  }
  return true;
}

/// PROJ promotes such a step's frames to 3D without a word, so its pipeline is read as well.
bool leaves_heights(PJ_CONTEXT* context, const PJ* step, const PJ* source, const PJ* target) {
  for (const PJ* crs : {source, target}) {
    if (crs != nullptr && proj_get_type(crs) == PJ_TYPE_GEOGRAPHIC_2D_CRS) return true;
  }
  const char* text = proj_as_proj_string(context, step, PJ_PROJ_5, nullptr);
  const std::string pipeline = text == nullptr ? "" : text;
  return pipeline.find("+proj=hgridshift") != std::string::npos || pipeline.find("+v_3") != std::string::npos;
}

std::optional<std::string> step_fault(PJ_CONTEXT* context, const PJ* step) {
  const std::string name = name_of(step);
  const PjPtr source(proj_get_source_crs(context, step));
  const PjPtr target(proj_get_target_crs(context, step));
  if (is_ensemble(context, source.get()) || is_ensemble(context, target.get())) {
    return kSay.passes_ensemble(name);
  }
  if (moves_nothing(context, step)) {
    return kSay.step_moves_nothing(name);
  }
  if (leaves_heights(context, step, source.get(), target.get())) {
    return kSay.leaves_heights(name);
  }
  return std::nullopt;
}

std::optional<std::string> missing_grid(PJ_CONTEXT* context, const PJ* operation) {
  for (int i = 0; i < proj_coordoperation_get_grid_used_count(context, operation); ++i) {
    const char* name = nullptr;
    int available = 1;
    if (proj_coordoperation_get_grid_used(context, operation, i, &name, nullptr, nullptr, nullptr, nullptr, nullptr,
                                          &available) != 0 &&
        available == 0) {
      return kSay.grid_missing(name == nullptr ? "?" : name);
    }
  }
  return std::nullopt;
}

/// What can be said against an operation without running it.
std::optional<std::string> paper_fault(PJ_CONTEXT* context, const PJ* operation, const std::vector<PjPtr>& steps) {
  if (proj_coordoperation_has_ballpark_transformation(context, operation) != 0) return kSay.only_a_guess();
  for (const PjPtr& step : steps) {
    if (auto fault = step_fault(context, step.get())) return fault;
  }
  // Last among these: installing the grid would not cure the others.
  if (auto fault = missing_grid(context, operation)) return fault;
  if (proj_coordoperation_get_accuracy(context, operation) < 0.0) return kSay.no_accuracy();
  if (!area_of_use(context, operation)) return kSay.no_area();
  return std::nullopt;
}

struct Search {
  PJ_CONTEXT* context;
  const ReferenceFrame& from;
  const ReferenceFrame& to;
  std::optional<double> worst_accuracy_m;
  std::string first_fault;  // PROJ's first choice is the one that people would get elsewhere
};

Area common_area(const ReferenceFrame& from, const ReferenceFrame& to) {
  if (to.area) return *to.area;
  return from.area ? *from.area : Area{};
}

Result<Operation3d> same_frame(const Search& search) {
  const bool one_name = search.from.base_code == search.to.base_code;
  const double accuracy_m = search.from.tie_accuracy_m + search.to.tie_accuracy_m;
  if (!one_name && search.worst_accuracy_m && accuracy_m > *search.worst_accuracy_m) {
    return fail(kSay.same_only_within(search.from.base_name, search.to.base_name, fixed(accuracy_m, 3),
                                      fixed(*search.worst_accuracy_m, 3)));
  }
  std::string description =
      one_name ? kSay.same_frame()
               : kSay.same_by_definition(search.from.base_name, search.to.base_name, search.to.tie_name);
  return Operation3d(std::move(description), one_name ? std::nullopt : std::optional(accuracy_m),
                     common_area(search.from, search.to));
}

std::optional<Operation3d> accept(Search& search, const PJ* candidate, bool inverse) {
  const std::vector<PjPtr> steps = moving_steps(search.context, candidate);
  const std::string name = inverse ? kSay.inverse_of(describe(steps)) : describe(steps);
  const auto refuse = [&](const std::string& fault) {
    if (search.first_fault.empty()) search.first_fault = kSay.offered_but(name, fault);
    return std::nullopt;
  };
  if (const auto fault = paper_fault(search.context, candidate, steps)) return refuse(*fault);
  PjPtr normalized(proj_normalize_for_visualization(search.context, candidate));
  if (!normalized) return refuse(kSay.cannot_carry_out());
  const double accuracy_m = proj_coordoperation_get_accuracy(search.context, candidate) + search.from.tie_accuracy_m +
                            search.to.tie_accuracy_m;
  Operation3d operation(std::move(normalized), inverse, name, accuracy_m, *area_of_use(search.context, candidate));
  const bool shared = share_their_tie(search.from.tie_code, search.to.tie_code);
  if (const auto fault = operation.trial_fault(shared)) return refuse(*fault);
  if (search.worst_accuracy_m && accuracy_m > *search.worst_accuracy_m) {
    return refuse(kSay.accuracy_too_low(fixed(accuracy_m, 3), fixed(*search.worst_accuracy_m, 3)));
  }
  return operation;
}

std::optional<Operation3d> search_one_way(Search& search, const PJ* from, const PJ* to, bool inverse) {
  for (const PjPtr& candidate : candidates(search.context, from, to)) {
    if (auto operation = accept(search, candidate.get(), inverse)) return operation;
  }
  return std::nullopt;
}

std::string why_none(const Search& search) {
  std::string why = search.first_fault;
  if (why.empty()) why = kSay.no_operation(proj_info().version);
  for (const ReferenceFrame* frame : {&search.from, &search.to}) {
    if (const auto because = frozen_because(frame->tie_code)) why += "; " + std::string(*because);
  }
  return why + "; " + kSay.choose_reachable();
}

}  // namespace

Operation3d::Operation3d(std::string description, std::optional<double> accuracy_m, Area area)
    : description_(std::move(description)), accuracy_m_(accuracy_m), area_(std::move(area)) {}

Operation3d::Operation3d(PjPtr normalized, bool inverse, std::string description, double accuracy_m, Area area)
    : pj_(std::move(normalized)),
      inverse_(inverse),
      description_(std::move(description)),
      accuracy_m_(accuracy_m),
      area_(std::move(area)) {}

std::optional<Geographic> Operation3d::transform(const Geographic& position, double year,
                                                 bool backwards) const noexcept {
  if (!pj_) return position;
  proj_errno_reset(pj_.get());
  const PJ_COORD in = proj_coord(position.longitude_deg, position.latitude_deg, position.ellipsoid_height_m, year);
  const PJ_COORD out = proj_trans(pj_.get(), inverse_ != backwards ? PJ_INV : PJ_FWD, in);
  const Geographic result{out.v[1], out.v[0], out.v[2]};
  if (proj_errno(pj_.get()) != 0 || !std::isfinite(result.latitude_deg) || !std::isfinite(result.longitude_deg) ||
      !std::isfinite(result.ellipsoid_height_m)) {
    return std::nullopt;
  }
  return result;
}

std::optional<Geographic> Operation3d::apply(const Geographic& position, double year) const noexcept {
  return transform(position, year, false);
}

std::optional<Geographic> Operation3d::undo(const Geographic& position, double year) const noexcept {
  return transform(position, year, true);
}

// PROJ can list an operation, call it instantiable and still fail on every point, so it is run at a few places.
std::optional<std::string> Operation3d::trial_fault(bool may_move_nothing) {
  constexpr int kPerSide = 5;
  bool moved = false;
  bool answered = false;
  for (int i = 0; i < kPerSide * kPerSide; ++i) {
    const int column = i % kPerSide, row = i / kPerSide;
    const double across = (column + 0.5) / kPerSide;
    const double along = (row + 0.5) / kPerSide;
    const Geographic place{area_.south_deg + along * (area_.north_deg - area_.south_deg),
                           std::remainder(area_.west_deg + across * area_.width_deg(), 360.0), 100.0};
    const auto early = apply(place, 2001.5);
    const auto late = apply(place, 2026.5);
    if (!early || !late) continue;
    answered = true;
    const LocalFrame local(place);
    const Enu a = local.to_enu(*early);
    const Enu b = local.to_enu(*late);
    moved = moved || std::hypot(a.east_m, a.north_m, a.up_m) > kNothingM;
    time_dependent_ =
        time_dependent_ || std::hypot(a.east_m - b.east_m, a.north_m - b.north_m, a.up_m - b.up_m) > kNothingM;
  }
  if (!answered) return kSay.fails_everywhere();
  moves_nothing_ = !moved && !time_dependent_;
  if (moves_nothing_ && !may_move_nothing) {
    return kSay.moves_nothing();
  }
  return std::nullopt;
}

Result<Operation3d> choose_operation(PJ_CONTEXT* context, const ReferenceFrame& from, const ReferenceFrame& to,
                                     std::optional<double> worst_accuracy_m) {
  Search search{context, from, to, worst_accuracy_m, {}};
  if (from.tie_code == to.tie_code) return same_frame(search);
  const PjPtr source(proj_create(context, from.tie_code.c_str()));
  const PjPtr target(proj_create(context, to.tie_code.c_str()));
  if (!source || !target) return fail(kSay.cannot_make(from.tie_code, to.tie_code));
  if (auto there = search_one_way(search, source.get(), target.get(), false)) return std::move(*there);
  // The search is not symmetric: some pairs are only found from the other end.
  if (auto back = search_one_way(search, target.get(), source.get(), true)) return std::move(*back);
  return fail(
      kSay.no_honest_way(from.base_code + ' ' + from.base_name, to.base_code + ' ' + to.base_name, why_none(search)));
}

}  // namespace stillpoint::geodesy
