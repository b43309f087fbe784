// The trial that every operation passes before it is used, on operations made for the purpose.

#include "geodesy/operation_choice.hpp"

#include <doctest/doctest.h>

#include <string>

using namespace stillpoint;
using geodesy::Area;
using geodesy::ContextPtr;
using geodesy::make_context;
using geodesy::Operation3d;
using geodesy::PjPtr;

namespace {

Operation3d made_from(PJ_CONTEXT* context, const char* pipeline, Area area) {
  return Operation3d(PjPtr(proj_create(context, pipeline)), false, pipeline, 0.01, std::move(area));
}

const Area kWorld{};
const Area kFrance{"France", 0.0, 44.0, 5.0, 49.0};
const Area kPacific{"open sea", -160.0, -30.0, -150.0, -20.0};

constexpr const char* kShift =
    "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart "
    "+ellps=GRS80 +step +proj=helmert +x=1 +step +inv +proj=cart +ellps=GRS80 +step "
    "+proj=unitconvert +xy_in=rad +xy_out=deg";
constexpr const char* kDrift =
    "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=cart "
    "+ellps=GRS80 +step +proj=helmert +x=0 +dx=0.01 +t_epoch=2010 +convention=position_vector "
    "+step +inv +proj=cart +ellps=GRS80 +step +proj=unitconvert +xy_in=rad +xy_out=deg";
// A French grid of proj-data: it has no answer in the Pacific.
constexpr const char* kGrid =
    "+proj=pipeline +step +proj=unitconvert +xy_in=deg +xy_out=rad +step +proj=hgridshift "
    "+grids=ntf_r93.gsb +step +proj=unitconvert +xy_in=rad +xy_out=deg";

}  // namespace

TEST_CASE("the trial finds what an operation does and whether it answers at all") {
  const ContextPtr context = make_context();
  struct Row {
    std::string name;
    const char* pipeline;
    Area area;
    bool may_move_nothing;
    std::string fault;  // empty: passes
    bool time_dependent;
  };
  const Row rows[] = {
      {"a constant shift passes", kShift, kWorld, false, "", false},
      {"a drift passes and is seen to depend on the date", kDrift, kWorld, false, "", true},
      {"a null operation is refused", "+proj=noop", kWorld, false, "it moves nothing, yet the two frames", false},
      {"a null operation passes where the frames are one", "+proj=noop", kWorld, true, "", false},
      {"a grid that covers its area passes", kGrid, kFrance, false, "", false},
      {"a grid without an answer in its area is refused", kGrid, kPacific, false, "PROJ fails to carry it out anywhere",
       false},
      {"no answer is no null operation", kGrid, kPacific, true, "PROJ fails to carry it out anywhere", false},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Operation3d operation = made_from(context.get(), row.pipeline, row.area);
    REQUIRE_FALSE(operation.is_identity());
    const auto fault = operation.trial_fault(row.may_move_nothing);
    CHECK(fault.has_value() == !row.fault.empty());
    if (fault) CHECK(fault->find(row.fault) == 0);
    CHECK(operation.is_time_dependent() == row.time_dependent);
  }
}

TEST_CASE("a position without an answer is nothing, never a number") {
  const ContextPtr context = make_context();
  const Operation3d operation = made_from(context.get(), kGrid, kPacific);
  CHECK_FALSE(operation.apply({-25.0, -155.0, 0.0}, 2026.4).has_value());
  CHECK_FALSE(operation.undo({-25.0, -155.0, 0.0}, 2026.4).has_value());
  CHECK(operation.apply({46.0, 2.0, 0.0}, 2026.4).has_value());
}
