// Who may ask the page for what, and what it draws of a stay: decided without a socket.

#include <doctest/doctest.h>

#include <string>
#include <vector>

#include "clients/page_files.hpp"
#include "clients/page_rules.hpp"
#include "clients/stay_trail.hpp"

using namespace stillpoint;
using namespace stillpoint::daemon;

namespace {

const PageDoor kDoor{page_hosts("127.0.0.1", true, 28100), true};
const std::vector<std::string> kFiles{"/", "/page.0.js"};

PageRequest get(const std::string& target) {
  PageRequest out;
  out.method = "GET";
  out.target = target;
  out.hosts = {"127.0.0.1:28100"};
  return out;
}

PageRequest post(const std::string& target) {
  PageRequest out = get(target);
  out.method = "POST";
  out.origins = {"http://127.0.0.1:28100"};
  out.sites = {"same-origin"};
  out.content_type = "application/json";
  out.body_bytes = 40;
  return out;
}

int status_of(const PageRequest& request, const PageDoor& door = kDoor) {
  const auto task = admit(request, door, kFiles);
  return task ? 200 : task.error().status;
}

}  // namespace

TEST_CASE("the page's own requests are admitted, and everything another site could send is not") {
  struct Row {
    const char* name;
    PageRequest request;
    void (*change)(PageRequest&);
    int status;
  };
  const std::vector<Row> rows{
      {"opened by its address", get("/"), [](PageRequest& r) { r.sites = {"none"}; }, 200},
      {"by a program that says nothing of itself", get("/"), [](PageRequest&) {}, 200},
      {"under the name localhost", get("/events"), [](PageRequest& r) { r.hosts = {"LocalHost:28100"}; }, 200},
      {"its script", get("/page.0.js"), [](PageRequest& r) { r.sites = {"same-origin"}; }, 200},
      {"its stream", get("/events"), [](PageRequest& r) { r.sites = {"same-origin"}; }, 200},
      {"its act", post("/control"), [](PageRequest&) {}, 200},
      {"its act, from a browser without Sec-Fetch-Site", post("/control"), [](PageRequest& r) { r.sites.clear(); },
       200},
      {"the one character set JSON has", post("/key"),
       [](PageRequest& r) { r.content_type = "Application/JSON; charset=UTF-8"; }, 200},
      // A name somebody's DNS points here, and what else stands in Host.
      {"a rebound name", get("/"), [](PageRequest& r) { r.hosts = {"rebound.example:28100"}; }, 403},
      {"a rebound name, stream", get("/events"), [](PageRequest& r) { r.hosts = {"rebound.example:28100"}; }, 403},
      {"a rebound name that the origin agrees with", post("/control"),
       [](PageRequest& r) {
         r.hosts = {"rebound.example:28100"};
         r.origins = {"http://rebound.example:28100"};
       },
       403},
      {"another port", get("/"), [](PageRequest& r) { r.hosts = {"127.0.0.1:8080"}; }, 403},
      {"no port", get("/"), [](PageRequest& r) { r.hosts = {"127.0.0.1"}; }, 403},
      {"another address of this machine", get("/"), [](PageRequest& r) { r.hosts = {"127.0.0.2:28100"}; }, 403},
      {"a dot behind the name", get("/"), [](PageRequest& r) { r.hosts = {"localhost.:28100"}; }, 403},
      {"a name before the address", get("/"), [](PageRequest& r) { r.hosts = {"a@127.0.0.1:28100"}; }, 403},
      {"an address that only begins like it", get("/"), [](PageRequest& r) { r.hosts = {"127.0.0.1:28100.example"}; },
       403},
      {"an empty host", get("/"), [](PageRequest& r) { r.hosts = {""}; }, 403},
      {"no host", get("/"), [](PageRequest& r) { r.hosts.clear(); }, 400},
      {"two hosts", get("/"),
       [](PageRequest& r) {
         r.hosts = {"127.0.0.1:28100", "127.0.0.1:28100"};
       },
       400},
      // Another site's page.
      {"a foreign stream", get("/events"), [](PageRequest& r) { r.origins = {"http://other.example"}; }, 403},
      {"a foreign stream without an origin", get("/events"), [](PageRequest& r) { r.sites = {"cross-site"}; }, 403},
      {"another port of this machine", get("/events"), [](PageRequest& r) { r.sites = {"same-site"}; }, 403},
      {"a foreign link to the page", get("/"), [](PageRequest& r) { r.sites = {"cross-site"}; }, 403},
      {"a stream opened like a page", get("/events"), [](PageRequest& r) { r.sites = {"none"}; }, 403},
      {"a foreign act", post("/control"), [](PageRequest& r) { r.origins = {"http://other.example"}; }, 403},
      {"an act from another port", post("/control"), [](PageRequest& r) { r.origins = {"http://127.0.0.1:8080"}; },
       403},
      {"an act from the other name", post("/control"), [](PageRequest& r) { r.origins = {"http://localhost:28100"}; },
       403},
      {"an act over https", post("/control"), [](PageRequest& r) { r.origins = {"https://127.0.0.1:28100"}; }, 403},
      {"an act from a file", post("/control"), [](PageRequest& r) { r.origins = {"null"}; }, 403},
      {"an act without an origin", post("/control"), [](PageRequest& r) { r.origins.clear(); }, 403},
      {"an act with two origins", post("/control"),
       [](PageRequest& r) {
         r.origins = {"http://127.0.0.1:28100", "http://127.0.0.1:28100"};
       },
       403},
      {"an act whose browser says it is foreign", post("/control"), [](PageRequest& r) { r.sites = {"cross-site"}; },
       403},
      {"two words on where it comes from", post("/control"),
       [](PageRequest& r) {
         r.sites = {"same-origin", "cross-site"};
       },
       403},
      // What forms can send, and what is too much.
      {"a form", post("/control"), [](PageRequest& r) { r.content_type = "application/x-www-form-urlencoded"; }, 415},
      {"a form of plain text", post("/key"), [](PageRequest& r) { r.content_type = "text/plain"; }, 415},
      {"no type", post("/key"), [](PageRequest& r) { r.content_type = ""; }, 415},
      {"a type that only begins so", post("/key"), [](PageRequest& r) { r.content_type = "application/jsonp"; }, 415},
      {"a longer text than is taken", post("/control"), [](PageRequest& r) { r.body_bytes = 4097; }, 413},
      {"an act by GET", post("/control"), [](PageRequest& r) { r.method = "GET"; }, 405},
      {"a stream by POST", post("/events"), [](PageRequest&) {}, 405},
      {"a question before a foreign act", post("/control"), [](PageRequest& r) { r.method = "OPTIONS"; }, 405},
      {"TRACE", get("/"), [](PageRequest& r) { r.method = "TRACE"; }, 405},
      {"a text with a GET", get("/"), [](PageRequest& r) { r.body_bytes = 1; }, 400},
      {"a path that is none", get("/../etc/passwd"), [](PageRequest&) {}, 404},
      {"a whole address as the path", get("http://127.0.0.1:28100/"), [](PageRequest&) {}, 404},
      {"a question behind the path", get("/?a=b"), [](PageRequest&) {}, 404},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    PageRequest request = row.request;
    row.change(request);
    CHECK(status_of(request) == row.status);
  }
}

TEST_CASE("from another machine the page may be looked at, by its address in figures, and that is all") {
  const PageDoor door{page_hosts("192.168.42.2", false, 28100), false};
  PageRequest look = get("/events"), act = post("/control"), key = post("/key");
  for (PageRequest* each : {&look, &act, &key}) each->hosts = {"192.168.42.2:28100"};
  act.origins = key.origins = {"http://192.168.42.2:28100"};
  CHECK(status_of(look, door) == 200);
  CHECK(status_of(act, door) == 403);
  CHECK(status_of(key, door) == 403);
  look.hosts = {"localhost:28100"};
  CHECK(status_of(look, door) == 403);
  CHECK(page_hosts("::1", true, 80) == std::vector<std::string>{"[::1]:80", "[::1]", "localhost:80", "localhost"});
}

TEST_CASE("a key is good for one exchange, tries are a second apart, and cookie and proof are needed together") {
  int made = 0;
  PageKeys keys([&made] { return key_text(std::string(20, static_cast<char>(made++))); });
  const std::string first = keys.key();
  CHECK(keys.exchange("AAAAA", MachineTime{0}) == PageKeys::Answer::wrong);
  CHECK(keys.exchange("AAAAB", MachineTime{999}) == PageKeys::Answer::too_soon);
  // Whoever tries all the time keeps nobody out.
  CHECK(keys.exchange(" aaaaa-AAAAA aaaaaaaaaa\n", MachineTime{999}) == PageKeys::Answer::given);
  CHECK(keys.key() != first);
  CHECK(keys.exchange(first, MachineTime{5000}) == PageKeys::Answer::wrong);
  const PageKeys::Holder holder = keys.newest();
  const std::string cookie = std::string(kPageCookie) + "=" + holder.cookie;
  struct Row {
    const char* name;
    std::string cookies, proof;
    bool may;
  };
  const std::vector<Row> rows{
      {"both", cookie, holder.proof, true},
      {"among others", "a=b; " + cookie + "; c=d", holder.proof, true},
      {"behind one that somebody else set", std::string(kPageCookie) + "=x; " + cookie, holder.proof, true},
      {"no proof", cookie, "", false},
      {"no cookie", "", holder.proof, false},
      {"the proof as the cookie", std::string(kPageCookie) + "=" + holder.proof, holder.proof, false},
      {"another name", "x" + cookie, holder.proof, false},
      {"a longer name", std::string(kPageCookie) + "x=" + holder.cookie, holder.proof, false},
      {"cut short", cookie.substr(0, cookie.size() - 1), holder.proof, false},
      {"nothing", "", "", false},
      {"empty values", std::string(kPageCookie) + "=", "", false}};
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(keys.may_act(row.cookies, row.proof) == row.may);
  }
  for (std::int64_t i = 0; i < 8; ++i) {
    CHECK(keys.exchange(keys.key(), MachineTime{10'000 + i * 1000}) == PageKeys::Answer::given);
  }
  CHECK_FALSE(keys.may_act(cookie, holder.proof));  // the oldest of more than eight is forgotten
}

TEST_CASE("nobody keeps others from looking, and owners give way to owners only") {
  struct Row {
    const char* name;
    std::vector<PagePeer> streams;
    PagePeer newcomer;
    std::optional<std::size_t> gives_way;
  };
  const PagePeer a{"user 1", false}, b{"user 2", false}, owner{"user 3", true}, other{"user 4", true};
  const Row rows[] = {
      {"one who has them all gives one to a stranger", {a, a, a, a}, b, 0},
      {"and nothing to themselves", {a, a, a, a}, a, {}},
      {"who has most gives first", {b, a, a, a}, other, 1},
      {"an equal share stays", {a, a, b, b}, b, {}},
      {"one more than the newcomer is no reason", {a, a, b}, b, {}},
      {"two more are", {a, a, a, b}, b, 0},
      {"an owner takes the place of a stranger's only stream", {a, owner, owner, owner}, owner, 0},
      {"a stranger never takes an owner's", {owner, owner, owner, owner}, a, {}},
      {"an owner shares with an owner", {owner, owner, owner, owner}, other, 0},
      {"nobody is there", {}, a, {}},
  };
  for (const Row& row : rows) {
    CAPTURE(row.name);
    CHECK(gives_way(row.streams, row.newcomer) == row.gives_way);
  }
}

TEST_CASE("keys are written in letters that nobody takes for others") {
  CHECK(key_text(std::string("\x00\x1f\x20\xff\x08\x0d", 6)) == "A9A9J-P");
  CHECK(same_secret("abc", "abc"));
  CHECK_FALSE(same_secret("abc", "abd"));
  CHECK_FALSE(same_secret("abc", "abcd"));
}

TEST_CASE(
    "the whole page fits in 176 kB, the set-up adds 16, they ask nobody else, and what lasts is in a folder named by "
    "its "
    "content") {
  std::size_t bytes = 0, of_setup = 0;
  for (const PageFile& file : page_files()) {
    (file.path.find("/setup.") != std::string::npos ? of_setup : bytes) += file.text.size();
    CHECK(file.text.find("https://") == std::string::npos);
    if (!file.lasts) continue;
    const std::string folder = file.path.substr(0, file.path.rfind('/') + 1);
    CHECK(folder.size() == 14);
    CHECK(page_files().front().text.find(folder + "main.js") != std::string::npos);
  }
  CHECK(bytes > 10'000);
  CHECK(bytes <= 176'000);
  CHECK(of_setup > 1'000);
  CHECK(of_setup <= 16'000);
  CHECK(page_files().back().path == kSetUpShell);
}

TEST_CASE("a page is told of the seconds that are new or judged anew, and of nothing twice") {
  session::OpenStay open;
  session::FinishedPoint& stay = open.stay;
  stay.point.name = "HF-A-0014";
  stay.point.started_utc = UtcTime{1'780'000'000'000};
  stay.point.at.emplace();
  stay.point.at->latitude_deg = 47.6;
  stay.point.at->longitude_deg = -87.4;
  stay.point.at->covariance_enu_m2 = {4e-6, 0, 1e-6, 1e-6};
  for (int i = 0; i < 4; ++i) {
    occupation::EpochRecord epoch;
    epoch.utc = UtcTime{1'780'000'000'000 + i * 1000};
    epoch.accepted = true;
    epoch.latitude_deg = 47.6 + i * 1e-8;  // 1.11 mm
    epoch.longitude_deg = -87.4;
    epoch.ellipsoid_height_m = 0.002;
    stay.epochs.push_back(epoch);
  }
  StayTrail trail;
  CHECK(trail.whole() == "null");
  CHECK(trail.update(std::nullopt).empty());
  const std::string whole = trail.update(open);
  CHECK(whole.find(R"("mean_ellipse":[4.9,2.4,90.0])") != std::string::npos);
  CHECK(whole.find(R"("from":0,"seconds":[[0.0,0.0,0.0,2.0,0],[1.0,0.0,1.1,2.0,0],[2.0,0.0,2.2,2.0,0],)") !=
        std::string::npos);
  CHECK(trail.whole() == whole);
  CHECK(trail.update(open).empty());
  stay.epochs.push_back(stay.epochs.back());
  stay.epochs.back().accepted = false;
  CHECK(trail.update(open).find(R"("from":4,"seconds":[[3.0,0.0,3.3,2.0,1]])") != std::string::npos);
  stay.epochs[2].accepted = false;
  stay.epochs[2].reasons.set(static_cast<std::size_t>(gate::Reason::outlier));
  CHECK(trail.update(open).find(R"("from":2,"seconds":[[2.0,0.0,2.2,2.0,2],)") != std::string::npos);
  open.on_mark = true;
  open.off_mark = control::Residual{0.030, -0.040, {}, {}};
  CHECK(trail.update(open).find(R"("mark_mm":[-30.0,40.0,0.0],"from":5,"seconds":[])") != std::string::npos);
  CHECK(trail.update(std::nullopt) == "null");
  CHECK(trail.whole() == "null");
}

TEST_CASE("of a very long stay the oldest seconds are forgotten in blocks, so that most changes stay small") {
  session::OpenStay open;
  occupation::Point& point = open.stay.point;
  point.name = "LONG";
  point.started_utc = UtcTime{1'780'000'000'000};
  point.at.emplace();
  point.at->latitude_deg = 47.6;
  point.at->longitude_deg = -87.4;
  const auto observe = [&] {
    occupation::EpochRecord epoch;
    epoch.utc = UtcTime{point.started_utc->ms + static_cast<std::int64_t>(open.stay.epochs.size()) * 100};
    epoch.accepted = true;
    epoch.latitude_deg = 47.6;
    epoch.longitude_deg = -87.4;
    epoch.ellipsoid_height_m = 0;
    open.stay.epochs.push_back(epoch);
  };
  while (open.stay.epochs.size() < StayTrail::kMostSeconds) observe();
  StayTrail trail;
  CHECK(trail.update(open).size() > 20 * StayTrail::kMostSeconds);
  std::size_t long_texts = 0;
  for (int i = 0; i < 40; ++i) {
    for (int k = 0; k < 10; ++k) observe();
    long_texts += trail.update(open).size() > 10'000 ? 1U : 0U;
  }
  CHECK(long_texts == 1);
  observe();
  CHECK(trail.update(open).find(R"("from":19400,)") != std::string::npos);
}
