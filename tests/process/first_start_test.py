"""The first start: without a configuration the daemon's page asks for one, and then the day begins in the same process."""

import contextlib
import http.client
import json
import os
import select
import subprocess
import threading
import time
import unittest

from casters import Caster
from harness import DEADLINE_S, Daemon, ProcessTest, Receiver, free_port, log_of

ANSWERS = {"project": "Harrowfen", "crew": "A", "network-frame": "1", "network-epoch": "2010.0", "evidence": "operator, 2026-05-02", "pole": "1.800 m", "adapter": "71 mm"}
TABLE = "".join(f"STR;{name};Vellin;RTCM 3.2;1005(10);2;GPS;VELLIN;USA;{latitude};-87.40;{gga};0;x;none;B;N;4800;\r\n" for name, latitude, gga in (("FAR", "46.00", 0), ("NEAR", "47.61", 1)))


class Browser:
    """What the set-up's script asks, with the words that a browser adds."""

    def __init__(self, port, key_file):
        self.port, self.words = port, {}
        status, reply, heads = self.post("/key", {"key": key_file.read_text()})
        assert status == 200, reply
        self.words = {"Cookie": heads["Set-Cookie"].split(";")[0], "Stillpoint-Proof": json.loads(reply)["proof"]}

    def post(self, path, message):
        link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=DEADLINE_S)
        heads = {"Content-Type": "application/json", "Origin": f"http://127.0.0.1:{self.port}", **self.words}
        link.request("POST", path, json.dumps(message), heads)
        response = link.getresponse()
        out = response.status, response.read().decode(), dict(response.getheaders())
        link.close()
        return out

    def call(self, method, **params):
        status, reply, _ = self.post("/control", {"jsonrpc": "2.0", "id": 1, "method": method, "params": params})
        assert status == 200, reply
        return json.loads(reply)

    def setup(self, **params):
        """How it stands, once it listens no more."""
        standing = self.call("setup", **params)["result"]
        deadline = time.monotonic() + DEADLINE_S
        while standing["stage"] == "busy":
            assert time.monotonic() < deadline, standing
            time.sleep(0.05)
            standing = self.call("setup")["result"]
        return standing


class FirstStart(ProcessTest):
    def setUp(self):
        super().setUp()
        self.file, self.port = self.folder / "day.toml", free_port()
        receiver = Receiver()
        self.cleanup.callback(receiver.close)

        def send():
            with contextlib.suppress(OSError):
                while True:
                    with receiver.accept() as link:
                        link.sendall(log_of(60))
                        link.recv(1)

        threading.Thread(target=send, daemon=True).start()
        self.link = f"127.0.0.1:{receiver.port}"

    def begin(self):
        """The daemon of a fresh install, and a browser that has its key."""
        self.daemon = Daemon(self.folder, "day.toml", ("--listen", "1", "--first-start", f"127.0.0.1:{self.port}"))
        self.cleanup.callback(self.daemon.close)
        readable, _, _ = select.select([self.daemon.process.stdout], [], [], DEADLINE_S)
        line = self.daemon.process.stdout.readline().decode() if readable else ""
        self.assertTrue(line.startswith("set-up page=http://127.0.0.1:"), line + self.daemon.log_text())
        return Browser(self.port, self.folder / "control.page-key")

    def answer_all(self, browser, answers=ANSWERS):
        standing = browser.setup(answer=self.link)
        while standing["stage"] == "asking" and standing["id"] != "overwrite":
            before = standing["id"]
            standing = browser.setup(answer=answers.get(before, standing["proposed"] or ""))
            self.assertIsNone(standing["wrong"], before)
        return standing

    def test_the_same_answers_give_the_bytes_of_the_terminal_and_the_day_begins_with_the_same_right_to_act(self):
        browser = self.begin()
        standing = self.answer_all(browser)
        self.assertEqual(standing["stage"], "written", standing)
        self.assertEqual(standing["faults"], [])
        self.assertEqual(len(standing["day"]), 3)
        there = self.folder / "other.toml"
        given = [f"{id_} = {typed}" for id_, typed in ANSWERS.items()] + [f"receiver = {self.link}", "wanted = 0.05 m", "frame = 1", "heights = ellipsoid", "marks = none"]
        options = [word for answer in given for word in ("--answer", answer)]
        done = self.run_daemon("--check-feed", "1", "--write", there, *options)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertEqual(self.file.read_text(), there.read_text().replace("127.0.0.1:28100", f"127.0.0.1:{self.port}"))
        self.assertEqual(browser.setup(begin=True)["stage"], "written")
        self.daemon.ready()
        self.client().until("the seconds", lambda s: s["counters"]["epochs"] >= 50)
        self.assertIn("text", browser.call("begin", name="P1")["result"])
        self.assertEqual(browser.call("setup", answer="x")["error"]["code"], -32601)

    def test_without_the_key_nobody_sees_a_question_and_nothing_else_is_served(self):
        browser = self.begin()
        words, browser.words = browser.words, {}
        self.assertEqual(browser.post("/control", {"jsonrpc": "2.0", "id": 1, "method": "setup"})[0], 403)
        browser.words = words
        self.assertEqual(browser.call("begin", name="P1")["error"]["message"], "there is no configuration yet; answer the set-up's questions first")
        for path in ("/events", "/points", "/antenna"):
            link = http.client.HTTPConnection("127.0.0.1", self.port, timeout=DEADLINE_S)
            link.request("GET", path)
            self.assertEqual(link.getresponse().status, 503, path)
            link.close()
        self.assertEqual(self.daemon.stop()[0], 0)
        self.assertFalse(self.file.exists())
        self.assertFalse((self.folder / "control.page-key").exists())

    def test_a_configuration_with_errors_is_named_and_given_up_only_after_a_yes(self):
        old = '[project]\nname = "old"\n[relay]\nlisten = "127.0.0.1:28101"\n'
        self.file.write_text(old)
        browser = self.begin()
        self.assertIn("The configuration that is there cannot be used: ", browser.setup()["said"][0])
        standing = self.answer_all(browser)
        self.assertEqual(standing["id"], "overwrite")
        self.assertEqual(standing["hints"], ["It would lose: relay, relay.listen."])
        self.assertEqual(browser.setup(answer="")["wrong"], "Write yes or no.")
        self.assertEqual(browser.setup(answer="no")["stage"], "left")
        self.assertEqual(self.file.read_text(), old)
        self.assertEqual(browser.setup(back=True)["id"], "people")
        self.assertEqual(browser.setup(answer="")["id"], "overwrite")
        self.assertEqual(browser.setup(answer="yes")["stage"], "written")
        self.assertNotEqual(self.file.read_text(), old)

    def test_what_stays_open_is_named_and_can_be_answered_then(self):
        browser = self.begin()
        standing = self.answer_all(browser, {**ANSWERS, "adapter": "?"})
        self.assertIn("adapter_to_phase_centre", standing["faults"][0])
        self.assertEqual(browser.setup(begin=True)["stage"], "written")
        self.assertIsNone(self.daemon.process.poll())
        browser.setup(back=True)
        self.assertEqual(browser.setup(back=True)["id"], "adapter")
        browser.setup(answer="71 mm")
        self.assertEqual(browser.setup(answer="")["faults"], [])

    def test_a_receiver_that_is_not_there_is_told_and_asked_for_again(self):
        browser = self.begin()
        for link, words in (("127.0.0.1:1", "refused"), ("/dev/no-such-port", "no-such-port")):
            standing = browser.setup(answer=link)
            self.assertEqual(standing["id"], "receiver")
            self.assertIn(words, standing["said"][0])

    def test_a_casters_streams_are_offered_nearest_first(self):
        head = f"HTTP/1.1 200 OK\r\nContent-Type: gnss/sourcetable\r\nContent-Length: {len(TABLE) + 16}\r\n\r\n"
        caster = Caster(lambda _, link: link.sendall((head + TABLE + "ENDSOURCETABLE\r\n").encode()))
        self.cleanup.callback(caster.close)
        browser = self.begin()
        browser.setup(answer=self.link)
        for answer in ("Harrowfen", "A"):
            browser.setup(answer=answer)
        standing = browser.setup(answer=f"127.0.0.1:{caster.port}")
        self.assertEqual(standing["id"], "mount")
        self.assertEqual([choice["typed"] for choice in standing["choices"]], ["NEAR", "FAR"])
        self.assertEqual(browser.setup(answer="NEARER")["wrong"][:9], '"NEARER" ')
        self.assertEqual(browser.setup(answer="NEAR")["id"], "login")
        self.assertEqual(browser.setup(answer="none")["id"], "position")
        self.assertEqual(browser.setup(answer="no")["id"], "wanted")

    def test_a_caster_that_is_not_there_leaves_the_stream_to_be_typed(self):
        browser = self.begin()
        browser.setup(answer=self.link)
        for answer in ("Harrowfen", "A"):
            browser.setup(answer=answer)
        standing = browser.setup(answer="127.0.0.1:1")
        self.assertEqual((standing["id"], standing["choices"]), ("mount", []))

    def test_only_this_machine_is_listened_for(self):
        for address in ("0.0.0.0:28100", "192.168.1.1:28100", "nowhere"):
            done = self.run_daemon("--config", self.file, "--first-start", address)
            self.assertEqual(done.returncode, 2, done.stderr)
            self.assertIn("is no address of this machine alone", done.stderr)

    def test_a_look_at_the_configuration_never_begins_a_set_up(self):
        for option in (("--check",), ("--check-feed", "1")):
            done = self.run_daemon("--config", self.file, "--first-start", f"127.0.0.1:{self.port}", *option)
            self.assertEqual(done.returncode, 2)

    def test_the_usual_address_needs_no_word(self):
        with subprocess.Popen([os.environ["STILLPOINTD"], "--config", self.file, "--first-start"], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL) as daemon:
            try:
                self.assertIn(b"page=http://127.0.0.1:28100/ key=", daemon.stdout.readline())
            finally:
                daemon.terminate()
                self.assertEqual(daemon.wait(DEADLINE_S), 0)


if __name__ == "__main__":
    unittest.main()
