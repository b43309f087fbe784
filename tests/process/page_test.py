"""The page's server, asked by what no browser of ours would be: other sites, other names, slow and half-open links."""

import json
import os
import re
import select
import socket
import stat
import time
import unittest
from pathlib import Path

from harness import DEADLINE_S, ProcessTest, Receiver, free_port, log_of, second


PAGE = Path(__file__).resolve().parents[2] / "daemon" / "page"


class Answer:
    def __init__(self, raw):
        head, _, self.body = raw.partition(b"\r\n\r\n")
        lines = head.decode("latin-1").split("\r\n")
        self.status = int(lines[0].split()[1]) if lines[0] else 0
        self.headers = {}
        for line in lines[1:]:
            name, _, value = line.partition(":")
            self.headers[name.lower()] = value.strip()


class PageTest(ProcessTest):
    arguments = ()
    listen = address = "127.0.0.1"
    more = ""

    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.port = free_port()
        self.here = f"127.0.0.1:{self.port}"
        self.configure_tcp(self.receiver.port)
        with open(self.folder / "config.toml", "a") as config:
            config.write(f'\n[page]\nlisten = "{self.listen}:{self.port}"\n{self.more}')
        self.daemon = self.start("config.toml", *self.arguments)
        self.client_ = self.client()
        self.link = self.receiver.accept()
        self.cleanup.callback(self.link.close)
        self.key_file = self.folder / "control.page-key"

    def connect(self):
        connection = socket.create_connection((self.address, self.port), timeout=DEADLINE_S)
        self.cleanup.callback(connection.close)
        return connection

    def read_all(self, connection):
        got = b""
        try:
            while piece := connection.recv(65536):
                got += piece
        except ConnectionResetError:
            pass
        return got

    def ask_raw(self, text):
        connection = self.connect()
        try:
            connection.sendall(text.encode("latin-1"))
        except OSError:
            pass  # answered and closed before all was sent
        return Answer(self.read_all(connection))

    def ask(self, method="GET", target="/", body=None, host=None, **headers):
        lines = [f"{method} {target} HTTP/1.1", f"Host: {host or self.here}"]
        lines += [f"{name.replace('_', '-')}: {value}" for name, value in headers.items()]
        if body is not None:
            lines.append(f"Content-Length: {len(body)}")
        return self.ask_raw("\r\n".join(lines) + "\r\n\r\n" + (body or ""))

    def post(self, target, message, **headers):
        words = {"Origin": f"http://{self.here}", "Content_Type": "application/json", "Sec_Fetch_Site": "same-origin"}
        return self.ask("POST", target, json.dumps(message), **{**words, **headers})

    def act(self, method, holder=(None, None), params=None, **headers):
        message = {"jsonrpc": "2.0", "id": 7, "method": method}
        if params:
            message["params"] = params
        cookie, proof = holder
        words = {"Cookie": cookie, "Stillpoint_Proof": proof} if cookie else {}
        return self.post("/control", message, **words, **headers)

    def holder(self):
        answer = self.post("/key", {"key": self.key_file.read_text().strip()})
        self.assertEqual(answer.status, 200, answer.body)
        return answer.headers["set-cookie"].split(";")[0], json.loads(answer.body)["proof"]

    def stream(self):
        connection = self.connect()
        connection.sendall(f"GET /events HTTP/1.1\r\nHost: {self.here}\r\n\r\n".encode())
        reader = connection.makefile("rb")
        self.cleanup.callback(reader.close)
        self.assertIn(b" 200 ", reader.readline())
        return reader

    def until(self, reader, wanted, condition):
        """The data of the first event of this name for which the condition holds."""
        name, deadline = "", time.monotonic() + DEADLINE_S
        for line in reader:
            if time.monotonic() > deadline:
                break  # the stream never falls silent by itself
            if line.startswith(b"event: "):
                name = line[7:].strip().decode()
            if line.startswith(b"data: ") and name == wanted:
                data = json.loads(line[6:])
                if condition(data):
                    return data
        raise AssertionError(f"not seen in time, or the stream ended: {wanted}")

    def occupied(self):
        return self.client_.call("status")["occupation"] is not None


class Requests(PageTest):
    arguments = ("--timer-speed", "10")  # waits are ten times shorter: half a second for a request

    def test_the_page_and_its_files_come_whole_with_strict_rules(self):
        page = self.ask(Sec_Fetch_Site="none")
        self.assertEqual(page.status, 200)
        rules = page.headers["content-security-policy"]
        for rule in ("default-src 'none'", "script-src 'self'", "frame-ancestors 'none'", "form-action 'none'"):
            self.assertIn(rule, rules)
        self.assertNotIn("unsafe", rules)
        self.assertEqual(page.headers["cache-control"], "no-store")
        folder = re.search(rb'"(/[0-9a-f]{12}/)main\.js"', page.body).group(1).decode()
        scripts = sorted(path.name for path in PAGE.glob("*.js"))
        self.assertGreater(len(scripts), 10)
        styles = sorted(path.name for path in PAGE.glob("*.css"))
        for name, kind in [*((each, "text/css") for each in styles), *((each, "text/javascript") for each in scripts)]:
            file = self.ask(target=folder + name)
            self.assertEqual((file.status, file.headers["content-type"].split(";")[0]), (200, kind))
            self.assertIn("immutable", file.headers["cache-control"])
            self.assertEqual(len(file.body), int(file.headers["content-length"]))
            self.assertEqual(file.headers["x-content-type-options"], "nosniff")

    def test_another_sites_page_can_neither_read_nor_act(self):
        holder = self.holder()
        rebound = f"rebound.example:{self.port}"
        for target in ("/", "/events", "/points", "/marks", "/plan", "/antenna"):
            for words in ({"host": rebound}, {"Origin": "http://other.example"}, {"Sec_Fetch_Site": "cross-site"}, {"Origin": "null"}, {"Sec_Fetch_Site": "same-site"}):
                answer = self.ask(target=target, **words)
                self.assertEqual(answer.status, 403, (target, words))
                self.assertNotIn("access-control-allow-origin", answer.headers)
        point = {"name": "HF-1"}
        for words in ({"Origin": "http://other.example"}, {"Sec_Fetch_Site": "cross-site"}, {"Origin": f"http://127.0.0.1:{self.port + 1}"}, {"host": rebound, "Origin": f"http://{rebound}"}):
            self.assertEqual(self.act("begin", holder, point, **words).status, 403, words)
        self.assertEqual(self.act("begin", holder, point, Content_Type="text/plain").status, 415)
        self.assertEqual(self.ask("OPTIONS", "/control", Origin="http://other.example").status, 403)
        self.assertFalse(self.occupied())

    def test_acting_takes_a_key_of_the_daemons_user_that_is_good_once(self):
        self.assertEqual(stat.S_IMODE(os.stat(self.key_file).st_mode), 0o640)
        self.assertEqual(self.act("begin", params={"name": "HF-1"}).status, 403)
        key = self.key_file.read_text().strip()
        answer = self.post("/key", {"key": key.lower()})
        self.assertEqual(answer.status, 200)
        for word in ("HttpOnly", "SameSite=Strict", "Path=/"):
            self.assertIn(word, answer.headers["set-cookie"])
        self.assertNotEqual(self.key_file.read_text().strip(), key)
        self.assertEqual(self.post("/key", {"key": key}).status, 403)
        self.assertEqual(self.post("/key", {"key": key}).status, 429)
        holder = answer.headers["set-cookie"].split(";")[0], json.loads(answer.body)["proof"]
        self.assertEqual(self.act("begin", (holder[0], "x"), {"name": "HF-1"}).status, 403)
        self.assertFalse(self.occupied())
        done = self.act("begin", holder, {"name": "HF-1"})
        self.assertEqual((done.status, json.loads(done.body)["id"]), (200, 7))
        self.assertTrue(self.occupied())
        self.assertIn("error", json.loads(self.act("begin", holder, {"name": "HF-2"}).body))
        for method in ("status", "follow", "points", "marks", "nonsense"):
            self.assertEqual(self.act(method, holder).status, 403, method)
        self.assertEqual(self.act("discard", holder).status, 200)
        self.assertFalse(self.occupied())
        self.assertEqual([command["command"] for command in self.journal_commands() if command.get("command") in ("occupy", "drop")], ["occupy", "drop"])

    def test_keep_and_drop_mean_the_stay_that_was_looked_at(self):
        holder = self.holder()
        self.client_.call("begin", name="HF-2")
        for method in ("keep", "discard"):
            for meant, sentence in (({"name": "HF-1"}, "HF-2 visit 1 is open now, not HF-1; nothing was changed"), ({"name": "HF-2", "visit": 2}, "HF-2 visit 1 is open now, not HF-2 visit 2; nothing was changed")):
                error = json.loads(self.act(method, holder, meant).body)["error"]
                self.assertEqual(error["message"], sentence)
        self.assertTrue(self.occupied())
        self.assertIn("result", json.loads(self.act("discard", holder, {"name": "HF-2", "visit": 1}).body))
        error = json.loads(self.act("discard", holder, {"name": "HF-2", "visit": 1}).body)["error"]
        self.assertEqual(error["message"], "no stay is open now, not HF-2 visit 1; nothing was changed")

    def test_the_head_of_a_file_comes_without_the_file(self):
        whole, head = self.ask(), self.ask("HEAD")
        self.assertEqual((head.status, head.body), (200, b""))
        self.assertEqual(head.headers, whole.headers)
        for target, status in (("/events", 405), ("/points", 405), ("/marks", 405), ("/antenna", 405), ("/control", 405), ("/nothing", 404)):
            refused = self.ask("HEAD", target)
            self.assertEqual((refused.status, refused.body), (status, b""), target)

    def test_only_a_refusal_for_want_of_the_key_says_so(self):
        self.assertEqual(self.act("begin", params={"name": "HF-1"}).headers["stillpoint-key"], "needed")
        refused = self.act("follow", self.holder())
        self.assertEqual(refused.status, 403)
        self.assertNotIn("stillpoint-key", refused.headers)

    def test_bytes_behind_a_request_that_waits_for_the_disk_are_not_read(self):
        holder = self.holder()
        self.client_.call("begin", name="HF-1")
        for i in range(12):
            self.link.sendall(second(i).encode())
        self.client_.until("enough", lambda s: s["occupation"]["enough"])
        body = json.dumps({"jsonrpc": "2.0", "id": 7, "method": "keep"})
        head = [f"POST /control HTTP/1.1", f"Host: {self.here}", f"Origin: http://{self.here}", "Content-Type: application/json",
                f"Cookie: {holder[0]}", f"Stillpoint-Proof: {holder[1]}", f"Content-Length: {len(body)}"]
        connection = self.connect()
        connection.sendall(("\r\n".join(head) + "\r\n\r\n" + body).encode())
        connection.sendall(b"\x00 not a request at all")
        answer = Answer(self.read_all(connection))
        self.assertEqual((answer.status, json.loads(answer.body)["result"]["point"]["status"]), (200, "accepted"))

    def test_a_broken_or_oversized_request_is_answered_and_closed(self):
        rows = {
            "no request": ("\x16\x03\x01\x02\x00\x01\r\n\r\n", 400),
            "no host": ("GET / HTTP/1.1\r\n\r\n", 400),
            "two hosts": (f"GET / HTTP/1.1\r\nHost: {self.here}\r\nHost: {self.here}\r\n\r\n", 400),
            "a head that is too long": (f"GET / HTTP/1.1\r\nHost: {self.here}\r\nX: {'a' * 20000}\r\n\r\n", 431),
            "a body that is too long": (f"POST /control HTTP/1.1\r\nHost: {self.here}\r\nContent-Length: 5000\r\n\r\n", 413),
            "a body that grows too long": (f"POST /control HTTP/1.1\r\nHost: {self.here}\r\nTransfer-Encoding: chunked\r\n\r\n1388\r\n{'a' * 5000}\r\n", 413),
            "a length that is none": (f"POST /control HTTP/1.1\r\nHost: {self.here}\r\nContent-Length: -1\r\n\r\n", 400),
            "two lengths": (f"POST /control HTTP/1.1\r\nHost: {self.here}\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\nab", 400),
            "another method": (f"DELETE / HTTP/1.1\r\nHost: {self.here}\r\n\r\n", 405),
        }
        for name, (text, status) in rows.items():
            self.assertEqual(self.ask_raw(text).status, status, name)
        self.assertEqual(self.ask().status, 200)

    def test_half_open_links_are_closed_and_of_pipelined_requests_only_the_first_is_taken(self):
        began = time.monotonic()
        self.assertEqual(self.ask_raw(f"GET / HTTP/1.1\r\nHost: {self.here}\r\n").status, 408)
        self.assertEqual(self.ask_raw("").status, 408)
        self.assertLess(time.monotonic() - began, 10)
        answers = self.ask_raw(f"GET / HTTP/1.1\r\nHost: {self.here}\r\n\r\n" * 3)
        self.assertEqual(answers.status, 200)
        self.assertNotIn(b"HTTP/1.1", answers.body)
        slow = self.connect()
        answer = b""
        for letter in f"GET / HTTP/1.1\r\nHost: {self.here}\r\n" * 100:  # a letter at a time never comes to an end
            try:
                slow.sendall(letter.encode())
            except OSError:
                break
            if select.select([slow], [], [], 0.02)[0]:
                answer = slow.recv(100)
                break
        self.assertTrue(answer.startswith(b"HTTP/1.1 408") or answer == b"")

    def test_a_page_of_an_address_that_is_taken_is_a_sentence_and_stopping_takes_the_key_away(self):
        (self.folder / "second").mkdir()
        text = (self.folder / "config.toml").read_text().replace("trial.gpkg", "second/trial.gpkg").replace('"control"', '"second/control"').replace('"record"', '"second/record"')
        (self.folder / "second.toml").write_text(text)
        refused = self.run_config(config="second.toml")
        self.assertEqual(refused.returncode, 3)
        self.assertIn("The page cannot listen on", refused.stderr)
        status, took = self.daemon.stop()
        self.assertEqual(status, 0)
        self.assertLess(took, 2)
        self.assertFalse(self.key_file.exists())


class Streams(PageTest):
    def test_links_and_streams_are_limited_and_the_daemon_works_on(self):
        streams = [self.stream() for _ in range(32)]
        self.assertEqual(self.ask(target="/events").status, 503)
        idle = [self.connect() for _ in range(900)]
        self.assertEqual(self.ask().status, 200)
        self.assertEqual(self.post("/key", {"key": "no key"}).status, 403)
        self.holder()
        self.assertEqual(self.client_.call("status")["training"], False)
        for each in idle:
            each.close()
        self.until(streams[0], "status", lambda data: True)

    @unittest.skipIf(os.geteuid() != 0, "only root can be somebody else")
    def test_another_user_of_this_machine_shuts_nobody_out(self):
        os.seteuid(65534)
        try:
            strangers = [self.stream() for _ in range(32)]
            self.assertEqual(self.ask(target="/events").status, 503)
        finally:
            os.seteuid(0)
        self.until(self.stream(), "status", lambda data: True)
        self.look_until("one of theirs ends", lambda: any(select.select([each], [], [], 0)[0] and not each.read1(65536) for each in strangers))

    def test_the_stream_brings_what_the_socket_brings_and_the_seconds_of_the_stay(self):
        reader = self.stream()
        first = self.until(reader, "status", lambda data: True)
        self.assertEqual(set(first["status"]), set(self.client_.call("status")))
        self.assertEqual(first["situation"]["tone"], "refused")
        self.client_.call("begin", name="HF-1")
        for i in range(20):
            self.link.sendall(second(i).encode())
        shown = self.until(reader, "status", lambda data: data["status"]["verdict"]["accepted"] and data["status"]["occupation"]["accepted"] > 3)
        self.assertEqual(shown["situation"]["tone"], "counts")
        # The trail is worked out once a second at most, so that it may come with a later status.
        trail = self.until(self.stream(), "stay", lambda data: data and len(data["seconds"]) > 3)
        self.assertEqual(trail["name"], "HF-1")
        self.assertEqual(len(trail["mean_ellipse"]), 3)

    def test_the_first_who_looks_during_a_stay_gets_the_head_and_then_the_stay(self):
        self.client_.call("begin", name="HF-1")
        for i in range(6):
            self.link.sendall(second(i).encode())
        self.client_.until("seconds that count", lambda s: s["occupation"]["accepted"] > 3)
        reader = self.stream()  # reads the head
        self.assertEqual(self.until(reader, "stay", lambda data: True)["name"], "HF-1")

    def test_a_reader_that_does_not_read_is_dropped(self):
        silent = socket.socket()
        self.cleanup.callback(silent.close)
        silent.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
        silent.connect(("127.0.0.1", self.port))
        silent.sendall(f"GET /events HTTP/1.1\r\nHost: {self.here}\r\n\r\n".encode())
        # Every second makes a frame; the other stream tells how far the daemon is.
        reader = self.stream()
        gone = f":{silent.getsockname()[1]:04X}"
        for i in range(600):
            self.link.sendall(second(i).encode())
            self.until(reader, "status", lambda data: (data["status"]["epoch"] or {}).get("utc", "") >= f"2026-06-03T14:{i // 60:02d}:{i % 60:02d}Z" or i < 2)
            with open("/proc/net/tcp") as table:
                if not any(line.split()[2].endswith(gone) and line.split()[3] == "01" for line in table.readlines()[1:]):
                    break
        else:
            self.fail("the silent reader is still there")
        self.assertEqual(self.ask().status, 200)


class LongAnswers(PageTest):
    def test_answers_that_nobody_reads_are_bounded_in_sum_and_those_who_act_still_get_in(self):
        for n in range(400):
            self.client_.call("begin", name=f"HF-{n}")
            self.link.sendall(log_of(9, first=9 * n))
            self.client_.until("enough", lambda s: s["occupation"]["enough"])
            self.client_.call("keep")
        holder = self.holder()
        links = []
        for _ in range(60):
            link = socket.socket()
            self.cleanup.callback(link.close)
            link.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
            link.connect(("127.0.0.1", self.port))
            link.sendall(f"GET /points HTTP/1.1\r\nHost: {self.here}\r\n\r\n".encode())
            links.append(link)
        answers = [link.recv(12) for link in links]
        self.assertIn(b"HTTP/1.1 200", answers)
        self.assertIn(b"HTTP/1.1 503", answers)
        self.assertEqual(self.act("begin", holder, {"name": "HF-next"}).status, 200)


class BothFamilies(PageTest):
    listen = "[::]"
    more = "beyond_this_machine = true\n"

    def test_a_page_that_listens_for_both_families_serves_both_and_acts_from_this_machine(self):
        self.assertEqual(self.ask().status, 200)
        self.assertEqual(self.act("begin", self.holder(), {"name": "HF-1"}).status, 200)
        own = self.own_address()
        if own:  # the machine may have no other address than loopback
            self.assertEqual(self.ask(host=f"{own}:{self.port}").status, 403)  # a name of another door
            self.here, self.address = f"{own}:{self.port}", own
            self.assertEqual(self.act("discard", self.holder()).status, 200)

    def own_address(self):
        probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.cleanup.callback(probe.close)
        try:
            probe.connect(("192.0.2.1", 9))  # sends nothing
            return probe.getsockname()[0]
        except OSError:
            return None


if __name__ == "__main__":
    unittest.main()
