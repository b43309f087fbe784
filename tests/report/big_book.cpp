// Writes a pointbook of 500 points with 300 seconds each, to measure the report with: report_big_book FILE.gpkg

#include <cstdio>

#include "pointbook/samples.hpp"

int main(int argc, char** argv) {
  using namespace stillpoint;
  constexpr int kPoints = 500;
  constexpr std::size_t kSeconds = 300;
  if (argc != 2) return std::fputs("report_big_book FILE.gpkg\n", stderr), 2;
  auto book = pointbook::Book::open(argv[1], samples::geographic());
  if (!book) return std::fprintf(stderr, "%s\n", book.error().text.c_str()), 1;
  pointbook::Batch batch;
  for (int i = 1; i <= kPoints; ++i) batch.points.push_back(samples::point(i, kSeconds));
  const auto stored = book->append(batch);
  if (!stored) return std::fprintf(stderr, "%s\n", stored.error().text.c_str()), 1;
  return 0;
}
