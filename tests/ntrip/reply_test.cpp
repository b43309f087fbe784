// What casters answer, as fixed bytes. The lines of version 1 and 2 are RTCM 10410's, from memory; chunks are those of
// RFC 9112, section 7.1; codes those of RFC 9110, section 15.

#include "ntrip/reply.hpp"

#include <doctest/doctest.h>

#include <string>
#include <vector>

namespace stillpoint::ntrip {
namespace {

const std::string kFrame(
    "\xD3\x00\x13\x3E\xD7\xD3\x02\x02\x98\x0E\xDE\xEF\x34\xB4\xBD\x62\xAC\x09\x41\x98\x6F\x33\x36\x0B\x98", 25);
const std::string kTable =
    "CAS;caster.example;2101;Vellin;Vellin County;0;XVC;45.10;-86.60;0.0.0.0;0;misc\r\n"
    "STR;VELLIN0;Harrowfen;RTCM 3.2;1005(10),1077(1);2;GPS;VCN;XVC;45.10;-86.60;0;0;none;none;B;N;9600;\r\n";

struct Read {
  Outcome outcome = Outcome::waiting;
  std::string corrections, table, fault;
  bool has_ended = false;
  bool operator==(const Read&) const = default;
};

/// Read in pieces of so many bytes.
Read read(std::string_view bytes, std::size_t piece, bool asked_for_table = false) {
  Reply reply;
  Read out;
  for (std::size_t at = 0; at < bytes.size(); at += piece) reply.push(bytes.substr(at, piece), out.corrections);
  out.outcome = reply.outcome();
  out.table = reply.table();
  out.fault = reply.fault(asked_for_table);
  out.has_ended = reply.has_ended();
  return out;
}

struct Row {
  const char* name;
  std::string bytes;
  Outcome outcome;
  std::string corrections;
  std::string fault_part;
};

const std::string kLong(600, 'x');

const std::vector<Row> kRows{
    {"version 1", "ICY 200 OK\r\n\r\n" + kFrame, Outcome::corrections, kFrame, ""},
    {"version 1 without the blank line", "ICY 200 OK\r\n" + kFrame, Outcome::corrections, kFrame, ""},
    {"version 1 with header lines", "ICY 200 OK\r\nServer: Vellin/1.0\r\nDate: Wed\r\n\r\n" + kFrame,
     Outcome::corrections, kFrame, ""},
    {"version 1 with bare line feeds", "ICY 200 OK\n\n" + kFrame, Outcome::corrections, kFrame, ""},
    {"version 1 whose corrections begin with letters and no colon", "ICY 200 OK\r\nabc" + kFrame, Outcome::corrections,
     "abc" + kFrame, ""},
    {"version 1 whose corrections begin like a header line and go on otherwise", "ICY 200 OK\r\nab: c\x01" + kFrame,
     Outcome::corrections, "ab: c\x01" + kFrame, ""},
    {"version 1, a carriage return alone is a correction byte", "ICY 200 OK\r\n\r" + kFrame, Outcome::corrections,
     "\r" + kFrame, ""},
    {"version 2 without chunks", "HTTP/1.1 200 OK\r\nContent-Type: gnss/data\r\n\r\n" + kFrame, Outcome::corrections,
     kFrame, ""},
    {"version 2 in chunks",
     "HTTP/1.1 200 OK\r\nNtrip-Version: Ntrip/2.0\r\nTransfer-Encoding: chunked\r\n\r\n5\r\n" + kFrame.substr(0, 5) +
         "\r\n14;note=1\r\n" + kFrame.substr(5) + "\r\n0\r\n\r\n",
     Outcome::corrections, kFrame, ""},
    {"a note before the answer", "HTTP/1.1 100 Continue\r\n\r\nHTTP/1.1 200 OK\r\n\r\n" + kFrame, Outcome::corrections,
     kFrame, ""},
    {"unknown stream, version 1", "SOURCETABLE 200 OK\r\nServer: x\r\n\r\n" + kTable + "ENDSOURCETABLE\r\n",
     Outcome::table, "", "sends its table"},
    {"unknown stream, version 2", "HTTP/1.1 404 Not Found\r\n\r\n", Outcome::mount_unknown, "", "404 Not Found"},
    {"refused", "HTTP/1.1 401 Unauthorized\r\nWWW-Authenticate: Basic\r\n\r\n", Outcome::login_refused, "",
     "401 Unauthorized"},
    {"forbidden", "HTTP/1.1 403 Forbidden\r\n\r\n", Outcome::login_refused, "", "403"},
    {"refused as in version 1", "ERROR - Bad Password\r\n", Outcome::login_refused, "", "Bad Password"},
    {"refused by ICY", "ICY 401 Unauthorized\r\n", Outcome::login_refused, "", "ICY 401"},
    {"full", "HTTP/1.1 503 Service Unavailable\r\n\r\n", Outcome::caster_error, "", "503"},
    {"moved", "HTTP/1.1 302 Found\r\nLocation: http://x/\r\n\r\n", Outcome::caster_error, "", "302"},
    {"an error in words", "ERROR - Mount taken\r\n", Outcome::caster_error, "", "Mount taken"},
    {"another protocol", "SSH-2.0-x\r\n", Outcome::no_caster, "", "SSH-2.0-x"},
    {"what a terminal would obey", "\x1b[2J\"\xC3\x28 200\r\n", Outcome::no_caster, "", "(it says \"?[2J"},
    {"a first line without an end", kLong, Outcome::no_caster, "", "no caster"},
    {"a header without an end", "HTTP/1.1 200 OK\r\n" + std::string(9000, 'h'), Outcome::damaged, "",
     "breaks its own rules"},
    {"a chunk that is none", "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", Outcome::damaged, "",
     "breaks"},
    {"a chunk of more bytes than there are", "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\nffffffffffff\r\n",
     Outcome::damaged, "", "breaks"},
    {"a chunk that is longer than it says", "HTTP/1.1 200 OK\r\nTransfer-Encoding: chunked\r\n\r\n1\r\nabc\r\n",
     Outcome::damaged, "a", "breaks"},
    {"the beginning of an answer", "HTTP/1.1 20", Outcome::waiting, "", ""},
};

TEST_CASE("each answer is told apart, and the corrections come out untouched however they are cut") {
  for (const Row& row : kRows) {
    CAPTURE(row.name);
    const Read whole = read(row.bytes, row.bytes.size());
    CHECK(whole.outcome == row.outcome);
    CHECK(whole.corrections == row.corrections);
    CHECK(whole.fault.empty() == row.fault_part.empty());
    CHECK_MESSAGE(whole.fault.find(row.fault_part) != std::string::npos, whole.fault);
    for (const std::size_t piece : {1U, 2U, 3U, 7U, 64U}) CHECK(read(row.bytes, piece) == whole);
  }
}

TEST_CASE("a table that was asked for is no fault, and ends where it says so") {
  for (const std::string& head : {std::string("SOURCETABLE 200 OK\r\nContent-Length: 9\r\n\r\n"),
                                  std::string("HTTP/1.1 200 OK\r\nContent-Type: gnss/sourcetable\r\n\r\n")}) {
    const Read done = read(head + kTable + "ENDSOURCETABLE\r\n", 5, true);
    CHECK(done.outcome == Outcome::table);
    CHECK(done.fault.empty());
    CHECK(done.table == kTable);
    CHECK(done.has_ended);
    CHECK_FALSE(read(head + kTable, 5, true).has_ended);
    // The word within a line ends nothing.
    CHECK_FALSE(read(head + "STR;ENDSOURCETABLE;x\r\n", 5, true).has_ended);
    for (const std::size_t size : {1U, 5U, 4096U}) {
      CAPTURE(size);
      CHECK(read(head + "STR;ENDSOURCETABLE;x\r\nENDSOURCETABLE\r\n", size, true).has_ended);
    }
  }
}

TEST_CASE("a table without an end stops at its limit") {
  Reply reply;
  std::string corrections;
  reply.push("SOURCETABLE 200 OK\r\n\r\n", corrections);
  const std::string line(64, 'x');
  for (std::size_t sent = 0; sent <= Reply::kLongestTable; sent += line.size()) reply.push(line, corrections);
  CHECK(reply.outcome() == Outcome::damaged);
  CHECK(reply.table().size() <= Reply::kLongestTable);
  CHECK(corrections.empty());
}

}  // namespace
}  // namespace stillpoint::ntrip
