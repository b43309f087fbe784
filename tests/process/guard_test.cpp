// What is thrown in one step of the daemon's loop ends that step.

#include "clients/guard.hpp"

#include <doctest/doctest.h>
#include <unistd.h>

#include <boost/asio/post.hpp>
#include <boost/asio/read.hpp>
#include <boost/asio/write.hpp>
#include <filesystem>
#include <new>
#include <stdexcept>
#include <vector>

using namespace stillpoint;
using namespace stillpoint::daemon;

TEST_CASE("what a client's call, a timer or the loop itself throws ends that step and nothing else") {
  boost::asio::io_context io;
  std::vector<std::string> answers;
  Call call;
  call.line = R"({"jsonrpc":"2.0","id":7,"method":"marks"})";
  call.reply = [&answers](std::string text) { answers.push_back(std::move(text)); };
  handle_guarded([](const Call&) { throw std::runtime_error("no UTF-8"); }, call);
  REQUIRE(answers.size() == 1);
  CHECK(answers.front().find(R"("code":-32603)") != std::string::npos);
  CHECK(answers.front().find(R"("id":7)") != std::string::npos);
  CHECK(answers.front().find(R"(failed at \"marks\")") != std::string::npos);
  handle_guarded([](const Call&) { throw 7; }, call);  // nothing that says what it is
  CHECK(answers.size() == 2);

  CHECK_FALSE(guarded("a tick", [] { throw std::bad_alloc(); }));
  int later = 0;
  boost::asio::post(io, [] { throw std::runtime_error("out of a handler"); });
  boost::asio::post(io, [&later] { ++later; });
  run_guarded(io);
  CHECK(later == 1);
}

TEST_CASE("a client whose call threw is answered once, and its next call and the others' are handled") {
  const std::string path = (std::filesystem::temp_directory_path() / ("guard-" + std::to_string(::getpid()))).string();
  boost::asio::io_context io;
  ControlSocket server(io, path);
  REQUIRE(server.listen().has_value());
  int calls = 0;
  server.start([&calls](const Call& call) {
    if (++calls == 1) throw std::runtime_error("once");
    call.reply("answer " + std::to_string(calls));
    call.reply("a second answer");
    if (calls == 3) throw std::runtime_error("behind the answer");
  });
  boost::asio::local::stream_protocol::socket client(io);
  client.connect(path);
  const std::string line = R"({"jsonrpc":"2.0","id":1,"method":"status"})"
                           "\n";
  boost::asio::write(client, boost::asio::buffer(line + line + line));
  client.shutdown(boost::asio::socket_base::shutdown_send);
  std::string got;
  boost::asio::async_read(client, boost::asio::dynamic_buffer(got),
                          [&](const auto&, std::size_t) { server.stop_accepting(); });
  run_guarded(io);
  CHECK(got.find("-32603") != std::string::npos);
  std::filesystem::remove(path + ".lock");
  CHECK(got.ends_with("\nanswer 2\nanswer 3\n"));
}
