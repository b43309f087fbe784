"""The control socket: bad messages, too many clients, clients that leave or do not read."""

import json
import os
import socket
import stat
import time
import unittest

from harness import Client, ProcessTest, log_of


NOBODY = 65534


class Rights(ProcessTest):
    def test_the_socket_is_for_its_user_and_group_and_a_folder_made_for_it_too(self):
        self.configure_replay(log_of(600), pace="10", socket="run/control")
        self.start()
        mode = lambda path: stat.S_IMODE(os.stat(path).st_mode)
        self.assertEqual(mode(self.folder / "run" / "control"), 0o660)
        self.assertEqual(mode(self.folder / "run"), 0o750)

    @unittest.skipUnless(os.geteuid() == 0, "only root can connect as another user")
    def test_a_user_outside_the_group_looks_but_changes_nothing(self):
        self.configure_replay(log_of(600), pace="10")
        self.start()
        os.chmod(self.folder, 0o755)
        os.chmod(self.folder / "control", 0o666)  # as a careless administrator might
        reading, writing = os.pipe()
        child = os.fork()
        if child == 0:
            os.setgroups([])
            os.setgid(NOBODY)
            os.setuid(NOBODY)
            client = Client(self.folder / "control")
            answers = [client.request(*call) for call in (("status",), ("points",), ("alerts",))]
            refused = [client.request("begin", name="HF-1"), client.request("alerts", seen=True), client.request("keep")]
            os.write(writing, json.dumps([["result" in a for a in answers], [r["error"]["message"] for r in refused]]).encode())
            os._exit(0)
        os.waitpid(child, 0)
        looked, refused = json.loads(os.read(reading, 65536))
        self.assertEqual(looked, [True, True, True])
        for sentence in refused:
            self.assertIn("may look but change nothing", sentence)
        self.client().call("begin", name="HF-1")


class Messages(ProcessTest):
    def setUp(self):
        super().setUp()
        self.configure_replay(log_of(600), pace="10")
        self.start()

    def test_a_method_of_before_is_answered_with_the_name_it_has_now(self):
        client = self.client()
        for old, now in (("occupy", "begin"), ("drop", "discard")):
            with self.subTest(old):
                error = client.refusal(old, name="HF-1")
                self.assertEqual((error["code"], error["message"]), (-32601, f'"{old}" is called "{now}" now'))
        self.assertIsNone(client.call("status")["occupation"])

    def test_bad_lines_are_answered_and_the_next_one_still_works(self):
        rows = [
            ("not JSON", b"status please", -32700),
            ("half an object", b'{"jsonrpc":"2.0","id":1,', -32700),
            ("no method", b'{"jsonrpc":"2.0","id":1}', -32600),
            ("an array of nothing", b"[]", -32600),
            ("unknown method", b'{"jsonrpc":"2.0","id":1,"method":"fly"}', -32601),
            ("unknown parameter", b'{"jsonrpc":"2.0","id":1,"method":"begin","params":{"nam":"HF-1"}}', -32602),
            ("parameter of a wrong kind", b'{"jsonrpc":"2.0","id":1,"method":"begin","params":{"name":7}}', -32602),
            ("bytes that are no UTF-8", b'{"jsonrpc":"2.0","id":1,"method":"\xff\xfe"}', -32700),
            ("refused by the day", b'{"jsonrpc":"2.0","id":1,"method":"keep"}', 1),
        ]
        client = self.client()
        for name, line, code in rows:
            with self.subTest(name):
                client.send_line(line)
                error = client.read_message()["error"]
                self.assertEqual(error["code"], code, error)
                self.assertTrue(error["message"])
                self.assertIn("feed", client.call("status"))

    def test_names_codes_notes_and_reasons_are_what_people_can_see(self):
        client = self.client()
        label, unseen = "must begin with a letter or a digit", "holds a character that cannot be seen (U+202e)"
        rows = [
            ("begin", {"name": "=1+1"}, "the name " + label),
            ("begin", {"name": "-1"}, "the name " + label),
            ("begin", {"name": "HF-1", "code": "@SUM(A1)"}, "the code " + label),
            ("begin", {"name": "HF\u202e-1"}, "the name " + unseen),
            ("begin", {"name": "HF-1", "note": "a\u202eb"}, "the note " + unseen),
            ("begin", {"name": "HF-1", "note": "a\nb"}, "the note holds a character that cannot be seen (U+000a)"),
            ("begin", {"name": "HF-1", "note": "n" * 1001}, "the note is longer than 1000 bytes"),
            ("begin", {"name": "H" * 65}, "the name is longer than 64 bytes"),
            ("antenna", {"height_m": 2.0, "reason": "a\u202eb"}, "the reason " + unseen),
            ("resolve", {"name": "HF-1", "accept": True, "reason": "a\u202eb"}, "the reason " + unseen),
            ("close_day", {"leave_held": "a\u202eb"}, "holds a character that cannot be seen"),
        ]
        for method, parameters, words in rows:
            with self.subTest(method, parameters=parameters):
                self.assertIn(words, client.refusal(method, **parameters)["message"])
        client.call("begin", name="\u00c9tang 1", code="HDW", note="- beside the road")
        self.assertEqual(client.call("status")["occupation"]["name"], "\u00c9tang 1")

    def test_a_message_over_the_limit_is_answered_and_the_client_closed(self):
        client = self.client()
        client.socket.sendall(b"x" * (64 * 1024 + 1))
        self.assertIn("65536", client.read_message()["error"]["message"])
        self.assertIsNone(client.read_message())
        self.client().call("status")

    def test_a_message_of_just_the_limit_is_taken(self):
        line = b'{"jsonrpc":"2.0","id":1,"method":"status"}'
        client = self.client()
        client.send_line(line + b" " * (64 * 1024 - len(line)))
        self.assertIn("result", client.read_message())

    def test_a_client_that_stops_writing_still_gets_its_answers(self):
        client = self.client()
        client.send_line(b'{"jsonrpc":"2.0","id":1,"method":"status"}')
        client.send_line(b'{"jsonrpc":"2.0","id":2,"method":"antenna"}')
        client.socket.shutdown(socket.SHUT_WR)
        self.assertEqual([client.read_message()["id"], client.read_message()["id"]], [1, 2])
        self.assertIsNone(client.read_message())

    def test_the_sixty_fifth_client_is_told_and_a_place_becomes_free(self):
        clients = [self.client() for _ in range(64)]
        for client in clients:
            client.call("antenna")
        refused = self.client()
        self.assertIn("64", refused.read_message()["error"]["message"])
        self.assertIsNone(refused.read_message())
        clients.pop().close()

        def has_place():
            with_luck = Client(self.folder / "control")
            try:
                return "result" in with_luck.request("antenna")
            except (AssertionError, KeyError, BrokenPipeError, ConnectionResetError):
                return False
            finally:
                with_luck.close()

        self.look_until("a free place", has_place)

    def test_a_client_that_asks_without_reading_does_not_hold_up_the_others(self):
        greedy = self.client()
        greedy.socket.setblocking(False)
        request = json.dumps({"jsonrpc": "2.0", "id": 1, "method": "status"}).encode() + b"\n"
        with self.assertRaises(BlockingIOError):
            for _ in range(100_000):
                greedy.socket.send(request)
        client = self.client()
        for _ in range(20):
            client.call("status")

    def test_follow_gives_the_state_at_once_and_every_change(self):
        client = self.client()
        client.call("follow")
        first = client.notifications.pop(0) if client.notifications else client.read_message()
        self.assertEqual(first["method"], "status")
        times = set()
        while len(times) < 5:
            message = client.read_message()
            if message["method"] == "status":
                times.add(message["params"]["time_utc"])

    def test_a_follower_gets_a_status_every_20_ms_at_most_however_fast_things_change(self):
        self.configure_replay(log_of(2000), pace="1000", name="fast.toml", socket="fast", pointbook="fast.gpkg", record="record-fast")
        self.start("fast.toml")
        client = self.client(self.folder / "fast")
        client.call("follow")
        begun, told = time.monotonic(), len(client.notifications)
        state = ""
        while state != "ended":
            message = client.read_message()
            if message["method"] == "status":
                told += 1
                state = message["params"]["feed"]["state"]
        self.assertGreater(told, 20)
        self.assertLess(told, (time.monotonic() - begun) / 0.02 + 5)

    def test_follow_tells_alerts(self):
        self.configure_replay(log_of(60) + log_of(60, first=60, age=45.0), pace="20", name="alert.toml", socket="alert", pointbook="alert.gpkg", record="record-alert")
        self.start("alert.toml")
        client = self.client(self.folder / "alert")
        client.call("follow")
        while True:
            message = client.read_message()
            if message["method"] == "alert":
                break
        self.assertEqual(message["params"]["key"], "corrections-stale")
        self.assertEqual(message["params"]["severity"], "stop-work")

    def test_a_follower_that_never_reads_is_dropped_and_the_others_stay(self):
        # More than a minute apart, so that each is an alert of its own and not one that comes and goes.
        log = b"".join(log_of(12, first=i, age=0.8 if i // 12 % 8 else 45.0) for i in range(0, 24_000, 12))
        self.configure_replay(log, pace="2000", name="alert.toml", socket="alert", pointbook="alert.gpkg", record="record-alert")
        daemon = self.start("alert.toml")
        deaf = self.client(self.folder / "alert")
        deaf.send_line(b'{"jsonrpc":"2.0","id":1,"method":"follow"}')
        client = self.client(self.folder / "alert")
        self.look_until("the drop", lambda: "does not read its alerts" in daemon.log_text())
        while deaf.read_message() is not None:
            pass
        # Raised and over are a frame each, and 64 of them may wait.
        self.assertGreater(len(client.call("alerts")["alerts"]), 32)


if __name__ == "__main__":
    unittest.main()
