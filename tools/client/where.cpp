#include "client/where.hpp"

#include <filesystem>
#include <system_error>

namespace stillpoint::client {

std::string socket_path(const std::string& given, const Surroundings& around) {
  if (!given.empty()) return given;
  if (!around.control_variable.empty()) return around.control_variable;
  if (around.runtime_folder.empty()) return around.service_socket;
  const std::string own = around.runtime_folder + "/stillpoint/control";
  std::error_code failed;
  return std::filesystem::exists(own, failed) ? own : around.service_socket;
}

}  // namespace stillpoint::client
