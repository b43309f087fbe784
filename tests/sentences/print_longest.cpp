// Prints the sentences of the rooms that are named, made with their longest values: JSON, a list for each room. For the
// tests of the page. What to do about each reason is there as "advice".
//   print_longest NAME ROOM…

#include <algorithm>
#include <iostream>
#include <nlohmann/json.hpp>

#include "gate/limits.hpp"
#include "gate/verdict.hpp"
#include "sentences/longest.hpp"

int main(int argc, char** argv) {
  using namespace stillpoint::test;
  const std::vector<std::string> given(argv + 1, argv + argc);
  if (given.size() < 2) return 2;
  const Longest longest = longest_values(given[0]);
  auto out = nlohmann::json::object();
  for (const Room& room : rooms()) {
    if (std::find(given.begin() + 1, given.end(), room.name) == given.end()) continue;
    for (const std::string_view words : room.sentences) out[room.name].push_back(made(words, longest));
  }
  for (const auto& reason : stillpoint::gate::kReasons) out["advice"].push_back(std::string(reason.advice));
  std::cout << out.dump(1) << "\n";
  return out.size() == given.size() ? 0 : 2;
}
