#pragma once
// A listener of a test: what it was told, in order.

#include <string>
#include <vector>

#include "clients/outlet.hpp"

namespace stillpoint::daemon {

class NotingOutlet final : public Outlet {
 public:
  bool is_heard() const override { return heard; }
  void status(const StatusNews& now) override { told.push_back("status " + now.json); }
  void alert(const session::Alert& alert) override { told.push_back("alert " + alert.key); }
  void point(const occupation::StoredPoint& point) override { told.push_back("point " + point.point.name); }

  bool heard = true;
  std::vector<std::string> told;
};

}  // namespace stillpoint::daemon
