# estimate_bench: nanoseconds per epoch of averages and stays.
find_package(benchmark REQUIRED)
add_executable(estimate_bench ${CMAKE_CURRENT_LIST_DIR}/estimate_bench.cpp ${PROJECT_SOURCE_DIR}/tests/estimate/noise.cpp)
target_include_directories(estimate_bench PRIVATE ${PROJECT_SOURCE_DIR}/tests)
target_link_libraries(estimate_bench PRIVATE stillpoint::estimate benchmark::benchmark stillpoint_build)
