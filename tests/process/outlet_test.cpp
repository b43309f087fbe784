// Whatever listens to the day is told the same, and one more listener is one file and one line of wiring.

#include <doctest/doctest.h>
#include <stdlib.h>  // mkdtemp

#include <algorithm>
#include <boost/asio/local/stream_protocol.hpp>
#include <boost/asio/read_until.hpp>
#include <boost/asio/streambuf.hpp>
#include <boost/asio/write.hpp>
#include <filesystem>
#include <istream>
#include <string>
#include <vector>

#include "clients/control_socket.hpp"
#include "clients/page_answers.hpp"
#include "clients/publisher.hpp"
#include "noting_outlet.hpp"
#include "wire/json.hpp"
#include "wire/situation.hpp"

namespace {

using namespace stillpoint;
using namespace stillpoint::daemon;
using Words = std::vector<std::string>;

session::Alert alert_of(const std::string& key) {
  session::Alert out;
  out.key = key;
  return out;
}

occupation::StoredPoint point_of(const std::string& name) {
  occupation::StoredPoint out;
  out.point.name = name;
  return out;
}

session::Status status_of(const std::string& project) {
  session::Status out;
  out.project = project;
  return out;
}

/// The control socket with a program that follows.
class Followed {
 public:
  explicit Followed(boost::asio::io_context& io) : io_(io), path_(folder()), socket_(io, path_), client_(io) {
    REQUIRE(socket_.listen());
    socket_.start([](const Call& call) { call.follow("{}"); });
    client_.connect(boost::asio::local::stream_protocol::endpoint(path_));
    boost::asio::write(client_, boost::asio::buffer(std::string("follow\n")));
    REQUIRE(line() == R"({"jsonrpc":"2.0","method":"status","params":{}})");
  }
  ~Followed() {
    std::error_code ignored;
    std::filesystem::remove_all(std::filesystem::path(path_).parent_path(), ignored);
  }
  Outlet& outlet() { return socket_; }
  std::string line() {
    bool came = false;
    boost::asio::async_read_until(client_, bytes_, '\n', [&](const auto& error, std::size_t) { came = !error; });
    while (!came) io_.run_one();
    std::string out;
    std::istream(&bytes_) >> std::ws;
    std::istream in(&bytes_);
    std::getline(in, out);
    return out;
  }

 private:
  static std::string folder() {
    std::string name = (std::filesystem::temp_directory_path() / "stillpoint-outlet-XXXXXX").string();
    REQUIRE(::mkdtemp(name.data()) != nullptr);
    return name + "/control";
  }
  boost::asio::io_context& io_;
  std::string path_;
  ControlSocket socket_;
  boost::asio::local::stream_protocol::socket client_;
  boost::asio::streambuf bytes_;
};

}  // namespace

TEST_CASE("a listener that is added hears of status, alerts and points what the others hear") {
  boost::asio::io_context io;
  Followed socket(io);
  NotingOutlet third;
  Publisher publisher(io, [] { return status_of("Harrowfen Trail"); });
  publisher.add(socket.outlet());
  publisher.add(third);

  publisher.alert(alert_of("disk-low"));
  CHECK(socket.line().find(R"({"jsonrpc":"2.0","method":"alert","params":{"key":"disk-low")") == 0);
  publisher.point(point_of("HF-1"));
  publisher.status_changed();
  const std::string status = wire::to_json(status_of("Harrowfen Trail"));
  CHECK(socket.line() == R"({"jsonrpc":"2.0","method":"status","params":)" + status + "}");
  CHECK(third.told == Words{"alert disk-low", "point HF-1", "status " + status});
}

TEST_CASE("the status is worked out once for all who listen, and for nobody when none does") {
  boost::asio::io_context io;
  NotingOutlet one, other;
  int asked = 0;
  Publisher publisher(io, [&asked] {
    ++asked;
    return status_of("Vellin County");
  });
  publisher.add(one);
  publisher.add(other);
  publisher.status_changed();
  publisher.status_changed();
  io.run();
  CHECK(asked == 1);
  CHECK(one.told == other.told);
  CHECK(one.told.size() == 1);
  one.heard = other.heard = false;
  publisher.status_changed();
  io.restart();
  io.run();
  CHECK(asked == 1);
  one.heard = true;
  publisher.status_changed();
  io.restart();
  io.run();
  CHECK(asked == 2);
  CHECK(one.told.size() == 2);
  CHECK(other.told.size() == 1);
}

TEST_CASE("what changes while bytes are taken in is published behind them, and nothing after the end") {
  boost::asio::io_context io;
  NotingOutlet outlet;
  Publisher publisher(io, [] { return status_of("Vellin County"); });
  publisher.add(outlet);
  publisher.begin_bytes();
  publisher.status_changed();
  io.run();
  CHECK(outlet.told.empty());
  publisher.end_bytes();
  CHECK(outlet.told.size() == 1);
  publisher.stop();
  publisher.status_changed();
  io.restart();
  io.run();
  CHECK(outlet.told.size() == 1);
}

TEST_CASE("the page's event says the situation of the status beside it") {
  session::Status status = status_of("Vellin County");
  status.feed = session::FeedState::silent;
  const std::string json = wire::to_json(status);
  const std::string event = status_event({status, json}, UtcTime{1'780'495'200'000});
  const std::string begin = "event: status\ndata: ";
  REQUIRE(event.find(begin) == 0);
  const wire::Json told = wire::Json::parse(event.substr(begin.size()));
  const wire::Situation now = wire::situation_of(wire::Json::parse(json), false, true);
  CHECK(told["situation"]["tone"] == "refused");
  CHECK(told["situation"]["what"] == now.what);
  CHECK(told["situation"]["act"] == now.act);
  CHECK(told["situation"]["percent"].is_null());
  CHECK(told["sent_ms"] == 1'780'495'200'000);
  CHECK(told["status"] == wire::Json::parse(json));
}
