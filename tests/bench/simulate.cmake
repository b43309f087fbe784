# simulate_bench: epochs a second that a scenario gives. Target: at least 100,000.
add_executable(simulate_bench ${CMAKE_CURRENT_LIST_DIR}/simulate_bench.cpp)
target_compile_definitions(simulate_bench PRIVATE STILLPOINT_REPLAY_LOGS="${PROJECT_SOURCE_DIR}/replay_logs")
target_link_libraries(simulate_bench PRIVATE stillpoint::simulate benchmark::benchmark_main stillpoint_build)
