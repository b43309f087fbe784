// How long a point takes to become safe, on the disk that holds the given folder.
//
//   pointbook_measure FOLDER [POINTS] [EPOCHS]

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <filesystem>

#include "pointbook/samples.hpp"
#include "pointbook/spool.hpp"

namespace {

using namespace stillpoint;

template <class Work>
double milliseconds(Work work) {
  const auto start = std::chrono::steady_clock::now();
  work();
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
}

void report(const char* what, std::vector<double> times_ms) {
  std::sort(times_ms.begin(), times_ms.end());
  const auto at = [&](double part) {
    return times_ms[static_cast<std::size_t>(part * static_cast<double>(times_ms.size() - 1))];
  };
  std::printf("%-44s p50 %7.2f ms   p99 %7.2f ms   worst %7.2f ms\n", what, at(0.5), at(0.99), at(1));
}

}  // namespace

int main(int count, char** words) {
  if (count < 2) return 2;
  const int points = count > 2 ? std::atoi(words[2]) : 200;
  const auto epochs = static_cast<std::size_t>(count > 3 ? std::atoi(words[3]) : 600);
  const std::string file = std::string(words[1]) + "/measured.gpkg";
  if (std::filesystem::exists(file)) return 2;
  auto book = pointbook::Book::open(file, samples::geographic());
  auto spool = pointbook::Spool::open(file);
  if (!book || !spool || points < 1) return 1;
  std::vector<double> spooled, stored, settled;
  bool good = true;
  for (int i = 1; i <= points; ++i) {
    const auto point = samples::point(i, epochs);
    spooled.push_back(milliseconds([&] { good = good && spool->append(point).has_value(); }));
    stored.push_back(milliseconds([&] { good = good && book->append(point).has_value(); }));
    settled.push_back(milliseconds([&] { good = good && spool->settle(point.uuid).has_value(); }));
  }
  std::printf("%d points of %zu epochs, %s\n", points, epochs, good ? "all stored" : "SOME FAILED");
  report("to the spool (acknowledged)", spooled);
  report("to the pointbook (stored)", stored);
  report("settled in the spool", settled);
  report("reading every current point", {milliseconds([&] { good = good && book->current().size() > 0; })});
  std::printf("%.1f kB a point\n", static_cast<double>(std::filesystem::file_size(file)) / 1000.0 / points);
  return good ? 0 : 1;
}
