#include <doctest/doctest.h>
#include <sys/stat.h>

#include <cstdio>
#include <fstream>
#include <sstream>

#include "client/fake_daemon.hpp"
#include "client/run.hpp"
#include "client/statuses.hpp"
#include "wire/rpc.hpp"

namespace stillpoint::client::test {
namespace {

struct Result {
  int exit = 0;
  std::string out, err;
};

Result call(std::vector<std::string> arguments, const Surroundings& around) {
  std::ostringstream out, err;
  Result result;
  result.exit = run(arguments, around, out, err);
  result.out = out.str();
  result.err = err.str();
  return result;
}

Surroundings at(const std::string& path, int answer_ms = 5000) {
  Surroundings around;
  around.control_variable = path;
  around.answer_ms = answer_ms;
  return around;
}

/// Answers every request with `result`, in its own bytes.
FakeDaemon::Script giving(const std::string& result) {
  return [result](const std::string& line) {
    return R"({"jsonrpc":"2.0","id":)" + nlohmann::json::parse(line)["id"].dump() + R"(,"result":)" + result + "}\n";
  };
}

FakeDaemon::Script refusing(int code, const std::string& why) {
  return [code, why](const std::string& line) {
    return wire::error_response(nlohmann::json::parse(line)["id"], code, why) + "\n";
  };
}

/// A terminal whose user stops the program once these texts have been shown, one behind the other.
class StoppingTerminal : public std::stringbuf {
 public:
  StoppingTerminal(int stop_fd, std::vector<std::string> texts) : stop_fd_(stop_fd), texts_(std::move(texts)) {}

 private:
  int sync() override {
    constexpr int kPatience = 1000;
    const std::string shown = str();
    std::size_t at = 0;
    for (const std::string& text : texts_) at = at == std::string::npos ? at : shown.find(text, at);
    const bool done = at != std::string::npos || ++screens_ == kPatience;
    return done && ::write(stop_fd_, "s", 1) != 1 ? -1 : 0;
  }
  int stop_fd_;
  std::vector<std::string> texts_;
  int screens_ = 0;
};

}  // namespace

TEST_CASE("a command line is sent as the method and parameters of the contract") {
  struct Row {
    const char* name;
    std::vector<std::string> arguments;
    const char* method;
    const char* params;  ///< as JSON text
  };
  const std::vector<Row> rows{
      {"status", {"status", "--json"}, "status", "null"},
      {"begin",
       {"begin", "HF-A-0014", "--code", "CUL-U", "--note", "left bank"},
       "begin",
       R"({"name":"HF-A-0014","again":false,"code":"CUL-U","note":"left bank"})"},
      {"begin a new name",
       {"begin", "HF-A-0014", "--new"},
       "begin",
       R"({"name":"HF-A-0014","again":false,"new":true})"},
      {"begin again", {"begin", "HF-A-0014", "--again"}, "begin", R"({"name":"HF-A-0014","again":true})"},
      {"discard", {"discard"}, "discard", "null"},
      {"points", {"points"}, "points", "null"},
      {"resolve a visit",
       {"resolve", "X", "--accept", "--reason", "two visits agree", "--visit", "2"},
       "resolve",
       R"({"name":"X","accept":true,"reason":"two visits agree","visit":2})"},
      {"reject",
       {"resolve", "X", "--reject", "--reason", "wrong mark"},
       "resolve",
       R"({"name":"X","accept":false,"reason":"wrong mark"})"},
      {"alerts seen", {"alerts", "--seen"}, "alerts", R"({"seen":true})"},
      {"antenna", {"antenna"}, "antenna", "null"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    FakeDaemon daemon(giving(R"({"text":"done"})"));
    const Result result = call(row.arguments, at(daemon.path()));
    CHECK(result.exit == 0);
    CHECK(result.err.empty());
    REQUIRE(daemon.heard().size() == 1);
    const auto request = wire::parse_request(daemon.heard()[0]);
    REQUIRE(request);
    CHECK(request->method == row.method);
    CHECK(request->params == nlohmann::json::parse(row.params));
  }
}

TEST_CASE("--json prints the daemon's own bytes") {
  const std::string result = R"({"points":[{"point":"X","latitude_deg":47.60000000000,"b":1,"a":0.0100}]})";
  FakeDaemon daemon(giving(result));
  const Result answer = call({"points", "--json"}, at(daemon.path()));
  CHECK(answer.exit == 0);
  CHECK(answer.out == result + "\n");
}

TEST_CASE("status prints what the screen says, and what is behind it") {
  FakeDaemon daemon(giving(coasting().dump()));
  const Result answer = call({"status"}, at(daemon.path()));
  CHECK(answer.exit == 0);
  CHECK(answer.out.find("Ready to measure? READY, 12 s until it stops counting\n") != std::string::npos);
  CHECK(answer.out.find("They stop counting in 12 s.") != std::string::npos);
  CHECK(answer.out.find("Points: 3 safe on disk, 2 in the pointbook, 1 waiting\n") != std::string::npos);
}

TEST_CASE("a refusal is its sentence on stderr and exit status 1") {
  FakeDaemon daemon(refusing(1, "nothing is open; start with begin"));
  const Result answer = call({"keep"}, at(daemon.path()));
  CHECK(answer.exit == 1);
  CHECK(answer.out.empty());
  CHECK(answer.err == "stillpoint: nothing is open; start with begin\n");
}

TEST_CASE("an accepted point at keep is done, a held or empty one is printed and fails with its reasons") {
  struct Row {
    const char* name;
    const char* point;
    int exit;
    const char* err;
  };
  const std::vector<Row> rows{
      {"accepted", R"({"point":"X","visit":1,"status":"accepted"})", 0, ""},
      {"held", R"({"point":"X","visit":1,"status":"held","reason_texts":["12 epochs, 30 needed","11 s, 30 s needed"]})",
       1, "stillpoint: X is not accepted: held, 12 epochs, 30 needed; 11 s, 30 s needed\n"},
      {"held, with codes only", R"({"point":"X","visit":1,"status":"held","reasons":["too-few-epochs"]})", 1,
       "stillpoint: X is not accepted: held, too few epochs\n"},
      {"none", R"({"point":"X","visit":1,"status":"none"})", 1, "stillpoint: X is not accepted: no second counted\n"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    FakeDaemon daemon(giving(std::string(R"({"point":)") + row.point + R"(,"storage":"spooled"})"));
    const Result answer = call({"keep"}, at(daemon.path()));
    CHECK(answer.exit == row.exit);
    CHECK(answer.err == row.err);
    CHECK(answer.out.find("X, visit 1: ") == 0);
    CHECK(answer.out.find("Safe on disk") != std::string::npos);
  }
}

TEST_CASE("a rejected point at resolve is done: that was the wish") {
  FakeDaemon daemon(giving(R"({"text":"X visit 1 is rejected by crew","point":{"point":"X","status":"rejected"}})"));
  const Result answer = call({"resolve", "X", "--reject", "--reason", "wrong mark"}, at(daemon.path()));
  CHECK(answer.exit == 0);
  CHECK(answer.out.find("X visit 1 is rejected by crew.\n") == 0);
}

TEST_CASE("a command line that cannot be is exit status 2 and one sentence") {
  struct Row {
    const char* name;
    std::vector<std::string> arguments;
  };
  const std::vector<Row> rows{
      {"no command", {}},
      {"an unknown command", {"explode"}},
      {"a name for close-day", {"close-day", "X"}},
      {"begin without a name", {"begin"}},
      {"resolve without a decision", {"resolve", "X", "--reason", "r"}},
      {"resolve both ways", {"resolve", "X", "--accept", "--reject", "--reason", "r"}},
      {"resolve without a reason", {"resolve", "X", "--accept"}},
      {"a visit of 0", {"resolve", "X", "--accept", "--reason", "r", "--visit", "0"}},
      {"an unknown option", {"status", "--colour"}},
      {"keep with a name", {"keep", "X"}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    const Result answer = call(row.arguments, at("/nonexistent"));
    CHECK(answer.exit == 2);
    CHECK(answer.out.empty());
    CHECK(answer.err.rfind("stillpoint: ", 0) == 0);
    CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
  }
}

TEST_CASE("a verb of before says what it is called now, whatever stands behind it") {
  struct Row {
    std::vector<std::string> arguments;
    const char* sentence;
  };
  const std::vector<Row> rows{
      {{"occupy"}, "occupy is called begin now"},
      {{"occupy", "HF-A-0014", "--code", "CUL-U", "--help"}, "occupy is called begin now"},
      {{"drop"}, "drop is called discard now"},
      {{"drop", "--json"}, "drop is called discard now"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.sentence);
    const Result answer = call(row.arguments, at("/nonexistent"));
    CHECK(answer.exit == 2);
    CHECK(answer.out.empty());
    CHECK(answer.err == "stillpoint: " + std::string(row.sentence) + "; stillpoint --help lists what there is\n");
  }
  const std::string help = call({"--help"}, at("")).out;
  CHECK(help.find("occupy") == std::string::npos);
  CHECK(help.find("drop") == std::string::npos);
}

TEST_CASE("help and version are answers, not errors") {
  for (const std::vector<std::string>& arguments :
       {std::vector<std::string>{"--help"}, {"--version"}, {"status", "--help"}, {"resolve", "--help"}}) {
    CAPTURE(arguments.back());
    const Result answer = call(arguments, at("/nonexistent"));
    CHECK(answer.exit == 0);
    CHECK_FALSE(answer.out.empty());
    CHECK(answer.err.empty());
  }
}

TEST_CASE("the help names every command, the version the program") {
  const Result help = call({"--help"}, at(""));
  for (const char* verb :
       {"status", "begin", "keep", "discard", "points", "resolve", "alerts", "antenna", "--control"}) {
    CAPTURE(verb);
    CHECK(help.out.find(verb) != std::string::npos);
  }
  CHECK(call({"--version"}, at("")).out.rfind("stillpoint ", 0) == 0);
}

TEST_CASE("without a daemon the exit status is 4 and the sentence says what to do") {
  FakeDaemon daemon(giving("{}"));
  const std::string folder = daemon.path().substr(0, daemon.path().rfind('/'));
  const std::string plain = folder + "/plain";
  std::ofstream(plain) << "text";
  struct Row {
    const char* name;
    std::string path, part;
  };
  for (const Row& row :
       {Row{"no socket", folder + "/none", "there is no such socket; start stillpointd"},
        Row{"no socket but a file", plain, "no daemon at "}, Row{"a folder", folder, "no daemon at "}}) {
    CAPTURE(row.name);
    const Result answer = call({"status"}, at(row.path));
    CAPTURE(answer.err);
    CHECK(answer.exit == 4);
    CHECK(answer.err.find(row.part) != std::string::npos);
    CHECK(std::count(answer.err.begin(), answer.err.end(), '\n') == 1);
  }
}

TEST_CASE("a socket path over the system's limit has its own sentence") {
  const std::string path = "/tmp/" + std::string(110, 'x');
  const Result answer = call({"status", "--control", path}, at(""));
  CHECK(answer.exit == 2);
  CHECK(answer.err ==
        "stillpoint: the socket path has 115 bytes, but this system takes at most 107; give a shorter path with "
        "--control: " +
            path + "\n");
}

TEST_CASE("a daemon that hangs is given up after its time") {
  FakeDaemon daemon([](const std::string&) { return std::string(); });
  const Result answer = call({"status"}, at(daemon.path(), 30));
  CHECK(answer.exit == 4);
  CHECK(answer.err.find("did not answer within") != std::string::npos);
  CHECK(answer.err.find("what was asked may still be done") != std::string::npos);
}

TEST_CASE("what is answered only when the disk has it is waited for six times as long") {
  FakeDaemon daemon([](const std::string&) { return std::string(); });
  const Result status = call({"status"}, at(daemon.path(), 170));
  CHECK(status.err.find("within 0 s") != std::string::npos);
  const Result kept = call({"keep"}, at(daemon.path(), 170));
  CHECK(kept.err.find("within 1 s") != std::string::npos);
}

TEST_CASE("a daemon that goes away or talks nonsense is no daemon") {
  struct Row {
    const char* name;
    std::string answer, part;
  };
  const std::vector<Row> rows{
      {"closes the line", FakeDaemon::kClose, "closed the line"},
      {"says hello", "hello\n", "not valid JSON"},
      {"says half an answer and hangs", R"({"jsonrpc":)", "did not answer"},
      {"answers another question",
       R"({"jsonrpc":"2.0","id":99,"result":{}})"
       "\n",
       "did not answer"},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    FakeDaemon daemon([&](const std::string&) { return row.answer; });
    const Result answer = call({"points"}, at(daemon.path(), 50));
    CHECK(answer.exit == 4);
    CHECK(answer.err.find(row.part) != std::string::npos);
  }
}

TEST_CASE("an answer may come in pieces and behind notifications") {
  FakeDaemon daemon([](const std::string& line) {
    return wire::notification("status", nlohmann::json::object()) + "\n" + giving(R"({"text":"late"})")(line);
  });
  const Result answer = call({"discard"}, at(daemon.path()));
  CHECK(answer.exit == 0);
  CHECK(answer.out == "Late.\n");
}

TEST_CASE("the socket is looked for where the contract says, a named one first") {
  FakeDaemon daemon(giving(R"({"text":"done"})"));
  const std::string folder = daemon.path().substr(0, daemon.path().rfind('/'));
  std::filesystem::create_directory(folder + "/stillpoint");
  std::filesystem::create_symlink(daemon.path(), folder + "/stillpoint/control");
  struct Row {
    const char* name;
    std::vector<std::string> arguments;
    std::string variable, runtime, service;
    int exit;
  };
  const std::vector<Row> rows{
      {"--control before the variable", {"--control", daemon.path(), "discard"}, "/none", "", "/none", 0},
      {"--control behind the command", {"discard", "--control", daemon.path()}, "/none", "", "/none", 0},
      {"a named socket that is not there is not replaced", {"--control", "/none", "discard"}, daemon.path(), "", "", 4},
      {"the variable before the runtime folder", {"discard"}, daemon.path(), "/none", "/none", 0},
      {"the runtime folder before the service", {"discard"}, "", folder, "/none", 0},
      {"the service when the runtime folder holds none", {"discard"}, "", folder + "/stillpoint", daemon.path(), 0},
      {"the service without a runtime folder", {"discard"}, "", "", daemon.path(), 0},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    Surroundings around = at(row.variable);
    around.runtime_folder = row.runtime;
    around.service_socket = row.service;
    CHECK(call(row.arguments, around).exit == row.exit);
  }
}

TEST_CASE("following prints each change and ends with status 4 when the daemon goes") {
  FakeDaemon daemon([](const std::string& line) {
    const auto request = nlohmann::json::parse(line);
    if (request["method"] != "follow") return FakeDaemon::kClose;
    const auto told = [](const Json& status) {
      return R"({"jsonrpc":"2.0","method":"status","params":)" + status.dump() + "}\n";
    };
    return giving("{}")(line) + told(fresh()) + told(coasting()) + told(stale());
  });
  Surroundings around = at(daemon.path());
  around.quiet_ms = 1;  // the question whether it is there makes this daemon go
  const Result answer = call({"status", "--follow"}, around);
  CHECK(answer.exit == 4);
  CHECK(answer.err.find("closed the line") != std::string::npos);
  const auto yes = answer.out.find("Ready to measure? READY\n");
  const auto left = answer.out.find("They stop counting in 12 s.");
  const auto no = answer.out.find("Ready to measure? NO\n");
  CHECK(yes < left);
  CHECK(left < no);
  CHECK(no != std::string::npos);
  CHECK(answer.out.find("Stillpoint does not answer") != std::string::npos);
}

TEST_CASE("following as JSON prints one status a line, as the daemon wrote it") {
  const std::string status = R"({"verdict":{"accepted":true},"z":0.0100,"a":1})";
  FakeDaemon daemon([&](const std::string& line) {
    if (nlohmann::json::parse(line)["method"] != "follow") return FakeDaemon::kClose;
    return giving("{}")(line) + R"({"jsonrpc":"2.0","method":"status","params":)" + status + "}\n";
  });
  Surroundings around = at(daemon.path());
  around.quiet_ms = 1;
  const Result answer = call({"status", "--follow", "--json"}, around);
  CHECK(answer.exit == 4);
  CHECK(answer.out == status + "\n");
}

TEST_CASE("following stops with status 0 when the user wants it, and gives the cursor back") {
  FakeDaemon daemon([](const std::string& line) {
    return giving("{}")(line) + R"({"jsonrpc":"2.0","method":"status","params":)" + fresh().dump() + "}\n";
  });
  std::array<int, 2> ends{};
  REQUIRE(::pipe(ends.data()) == 0);
  Surroundings around = at(daemon.path());
  around.terminal = true;
  around.stop_fd = ends[0];
  StoppingTerminal screen(ends[1], {"[M] More"});
  std::ostream out(&screen);
  std::ostringstream err;
  CHECK(run({"status", "--follow"}, around, out, err) == 0);
  ::close(ends[0]);
  ::close(ends[1]);
  CHECK(err.str().empty());
  const std::string end = "\x1b[?1049l\x1b[?25h";
  REQUIRE(screen.str().size() > end.size());
  CHECK(screen.str().substr(screen.str().size() - end.size()) == end);
}

TEST_CASE("on a terminal a lost daemon is shown, waited for, and its next status counts again") {
  int lines = 0;
  FakeDaemon daemon([&lines](const std::string& line) {
    if (++lines == 2) return FakeDaemon::kClose;  // the question whether it is there
    return giving("{}")(line) + R"({"jsonrpc":"2.0","method":"status","params":)" + fresh().dump() + "}\n";
  });
  std::array<int, 2> ends{};
  REQUIRE(::pipe(ends.data()) == 0);
  Surroundings around = at(daemon.path());
  around.terminal = true;
  around.quiet_ms = 1;
  around.retry_ms = 1;
  around.stop_fd = ends[0];
  StoppingTerminal screen(ends[1], {"Stillpoint does not answer", "Fresh corrections: ready."});
  std::ostream out(&screen);
  std::ostringstream err;
  CHECK(run({"status", "--follow"}, around, out, err) == 0);
  ::close(ends[0]);
  ::close(ends[1]);
  const auto lost = screen.str().find("Stillpoint does not answer");
  const auto back = screen.str().find("Fresh corrections: ready.", lost);
  CHECK(lost != std::string::npos);
  CHECK(back != std::string::npos);
}

TEST_CASE("alerts --follow prints the list and then every new alert") {
  FakeDaemon daemon([](const std::string& line) {
    const auto request = nlohmann::json::parse(line);
    if (request["method"] == "follow") return giving("{}")(line);
    return giving(R"({"alerts":[]})")(line) + R"({"jsonrpc":"2.0","method":"alert","params":)" +
           alert("warning", "nothing from the receiver for 10 s").dump() + "}\nnonsense\n";
  });
  const Result answer = call({"alerts", "--follow"}, at(daemon.path()));
  CHECK(answer.exit == 4);
  CHECK(answer.out ==
        "No alerts today.\n10:41:44  until now    WARNING        Nothing from the receiver for 10 s.  NOT SEEN\n");
}

}  // namespace stillpoint::client::test
