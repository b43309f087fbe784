# The geodesy rows; included by this folder's CMakeLists.txt, which links benchmark_main.
add_executable(geodesy_bench ${CMAKE_CURRENT_LIST_DIR}/geodesy_bench.cpp)
target_link_libraries(geodesy_bench PRIVATE stillpoint::geodesy PkgConfig::PROJ benchmark::benchmark_main stillpoint_build)
