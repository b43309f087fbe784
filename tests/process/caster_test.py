"""Corrections brought by the daemon: whole and untouched to the receiver, every failure told apart, nothing given away."""

import base64
import json
import os
import socket
import stat
import subprocess
import unittest

from casters import CERTIFICATES, CHUNKED_V2, ICY, PLAIN_V2, Caster, chunk, hangs_up, observations, position, says, silent, streams
from harness import REDUCE, ProcessTest, Receiver, free_port, second

USER, PASSWORD = "invented-crew", "a-password-nobody-uses"
SECRETS = [PASSWORD.encode(), base64.b64encode(f"{USER}:{PASSWORD}".encode())]


class WithCaster(ProcessTest):
    def setUp(self):
        super().setUp()
        self.receiver = Receiver()
        self.cleanup.callback(self.receiver.close)
        self.seconds = 0

    def caster(self, *answers, **options):
        caster = Caster(*answers, **options)
        self.cleanup.callback(caster.close)
        return caster

    def configure_caster(self, port, host="127.0.0.1", login=True, mode=0o600, **keys):
        self.configure_tcp(self.receiver.port)
        keys = {"caster": f"{host}:{port}", "mount": "TEST1", **keys}
        if login:
            path = self.folder / "login"
            path.write_text(f"{USER}\n{PASSWORD}\n")
            path.chmod(mode)
            keys["credentials"] = "login"
        told = {True: "true", False: "false"}
        lines = [f"{key} = {told[value] if isinstance(value, bool) else repr(value) if isinstance(value, int) else chr(34) + value + chr(34)}" for key, value in keys.items()]
        with open(self.folder / "config.toml", "a") as config:
            config.write("\n[corrections]\n" + "\n".join(lines) + "\n")

    def begin(self, *arguments):
        self.daemon = self.start("config.toml", *arguments)
        self.client_ = self.client()
        self.link = self.receiver.accept()
        self.cleanup.callback(self.link.close)
        self.tell(2)

    def tell(self, seconds, **options):
        for _ in range(seconds):
            self.link.sendall(second(self.seconds, **options).encode())
            self.seconds += 1

    def receive(self, size):
        got = b""
        while len(got) < size:
            piece = self.link.recv(65536)
            self.assertTrue(piece, "closed")
            got += piece
        return got

    def until_delivery(self, what, condition):
        return self.client_.until(what, lambda s: s["delivery"] is not None and condition(s["delivery"]))

    def assert_no_secret(self):
        found = []
        for path in self.folder.rglob("*"):
            if path.is_file() and path.name != "login":
                found += [f"{path}: {secret!r}" for secret in SECRETS if secret in path.read_bytes()]
        self.assertEqual(found, [])


class Brought(WithCaster):
    def test_bytes_go_to_the_receiver_as_they_came_whatever_the_version_and_the_chunks(self):
        for head, wrap, version in ((ICY, bytes, 1), (PLAIN_V2, bytes, 2), (CHUNKED_V2, chunk, 2), (ICY[:-2], bytes, 1)):
            with self.subTest(head=head):
                self.setUp()
                caster = self.caster(streams(head))
                self.configure_caster(caster.port, version=version)
                self.begin()
                self.client_.until("heard", lambda s: s["epoch"] is not None)
                self.look_until("a request", lambda: caster.requests)
                sent = b"".join(observations(7) + b"noise\x00\xd3" + position(7) for _ in range(20))
                for at in range(0, len(sent), 7):
                    caster.send(wrap(sent[at : at + 7]))
                self.assertEqual(self.receive(len(sent)), sent)
                status = self.until_delivery("running", lambda d: d["state"] == "running" and d["last_frame_utc"])
                self.assertEqual(status["base"]["station"], 7)
                self.assertEqual(status["base"]["ecef_m"], [1114104.5999, -4850729.7108, 3975521.4643])
                self.assertEqual(self.daemon.stop()[0], 0)
                recorded = b"".join(path.read_bytes() for path in sorted((self.folder / "record").glob("*.rtcm")))
                self.assertTrue(sent.endswith(recorded), "what was recorded is the end of what passed")
                self.assertTrue(recorded)
                self.assert_no_secret()
                self.cleanup.close()

    def test_the_request_names_the_mount_and_the_login_as_the_version_wants(self):
        caster = self.caster(streams(PLAIN_V2))
        self.configure_caster(caster.port)
        self.begin()
        self.look_until("a request", lambda: caster.requests)
        lines = caster.requests[0].split("\r\n")
        self.assertEqual(lines[0], "GET /TEST1 HTTP/1.1")
        self.assertIn("Ntrip-Version: Ntrip/2.0", lines)
        self.assertIn("Authorization: Basic " + SECRETS[1].decode(), lines)
        self.assertFalse([line for line in lines if line.startswith("Ntrip-GGA")])

    def test_a_caster_of_the_first_version_is_found_by_itself(self):
        caster = self.caster(hangs_up, streams(ICY))
        self.configure_caster(caster.port)
        self.begin("--timer-speed", "20")
        self.until_delivery("running", lambda d: d["state"] == "running" and caster.connections == 2)
        self.assertTrue(caster.requests[-1].startswith("GET /TEST1 HTTP/1.0"))

    def test_a_hundred_drops_leave_nothing_open(self):
        caster = self.caster(says(ICY + observations(7)))
        self.configure_caster(caster.port, version=1)
        self.begin("--timer-speed", "500")
        self.client_.until("heard", lambda s: s["epoch"] is not None)
        descriptors = lambda: len(os.listdir(f"/proc/{self.daemon.process.pid}/fd"))
        self.look_until("the first ones", lambda: caster.connections >= 10)
        before = descriptors()
        self.look_until("a hundred more", lambda: caster.connections >= 110)
        self.assertLessEqual(descriptors(), before + 2)

    def test_the_relays_program_writes_only_while_the_caster_brings_nothing(self):
        caster = self.caster(streams(ICY))
        relay = free_port()
        self.configure_caster(caster.port, version=1)
        with open(self.folder / "config.toml", "a") as config:
            config.write(f'\n[relay]\nlisten = "127.0.0.1:{relay}"\n')
        self.begin()
        self.look_until("a request", lambda: caster.requests)
        caster.send(observations(7))
        self.receive(len(observations(7)))
        program = socket.create_connection(("127.0.0.1", relay), timeout=60)
        self.cleanup.callback(program.close)
        program.sendall(b"of another program")
        self.client_.until("refused", lambda s: s["counters"].get("relay_bytes_refused") == 18)
        caster.send(observations(7))
        self.assertEqual(self.receive(len(observations(7))), observations(7))

    def test_what_a_program_on_the_relay_brings_is_watched_and_recorded_too(self):
        relay = free_port()
        self.configure_tcp(self.receiver.port)
        with open(self.folder / "config.toml", "a") as config:
            config.write(f'\n[relay]\nlisten = "127.0.0.1:{relay}"\n')
        self.begin()
        self.client_.until("heard", lambda s: s["epoch"] is not None)
        program = socket.create_connection(("127.0.0.1", relay), timeout=60)
        self.cleanup.callback(program.close)
        sent = observations(9) + position(9)
        program.sendall(sent)
        self.assertEqual(self.receive(len(sent)), sent)
        status = self.until_delivery("running", lambda d: d["state"] == "running")
        self.assertEqual(status["base"]["station"], 9)
        self.daemon.stop()
        recorded = b"".join(path.read_bytes() for path in (self.folder / "record").glob("*.rtcm"))
        self.assertEqual(recorded, sent)


class Reasons(WithCaster):
    def reason(self, expected, *answers, port=None, host="127.0.0.1", caster_options=None, **keys):
        with self.subTest(reason=expected):
            self.setUp()
            caster = self.caster(*answers, **(caster_options or {})) if answers else None
            self.configure_caster(port or caster.port, host=host, **keys)
            self.begin("--timer-speed", "10")
            self.client_.until("heard", lambda s: s["epoch"] is not None)
            self.look_until(expected, lambda: any(c.get("event") == "delivery" and c["reason"] == expected for c in self.journal_commands()))
            self.daemon.stop()
            self.assert_no_secret()
            self.cleanup.close()
            return caster

    def test_each_reason_is_told_apart(self):
        self.reason("no-name", port=2101, host="no-such-host.invalid")
        self.reason("refused", port=free_port())
        self.reason("caster-silent", silent)
        self.reason("closed", says(ICY + observations(7)), version=1)
        self.reason("login-refused", says(b"HTTP/1.1 401 Unauthorized\r\n\r\n"))
        self.reason("login-refused", says(b"ERROR - Bad Password\r\n"), version=1)
        self.reason("mount-unknown", says(b"HTTP/1.1 404 Not Found\r\n\r\n"))
        self.reason("mount-unknown", says(b"SOURCETABLE 200 OK\r\nContent-Length: 16\r\n\r\nENDSOURCETABLE\r\n"), version=1)
        self.reason("caster-error", says(b"HTTP/1.1 503 Service Unavailable\r\n\r\n"), version=2)
        self.reason("no-caster", says(b"220 mail.example ESMTP\r\n"), version=2)
        self.reason("mount-silent", streams(ICY), version=1)
        self.reason("tls", silent, caster_options={"greeting": b"this is no encryption at all\r\n"}, tls=True, authority=str(CERTIFICATES / "authority.pem"))

    def test_a_wrong_name_and_an_expired_certificate_get_not_a_byte_of_ours(self):
        for certificate in ("other", "expired"):
            caster = self.reason("tls", streams(PLAIN_V2), host="localhost", tls=True, caster_options={"certificate": certificate},
                                 authority=str(CERTIFICATES / "authority.pem"))
            self.assertEqual(caster.requests, [])

    def test_a_certificate_of_the_right_name_is_enough(self):
        caster = self.caster(streams(PLAIN_V2), certificate="good")
        self.configure_caster(caster.port, host="localhost", tls=True, authority=str(CERTIFICATES / "authority.pem"))
        self.begin()
        self.look_until("a request", lambda: caster.requests)
        caster.send(observations(7))
        self.assertEqual(self.receive(len(observations(7))), observations(7))

    def test_a_mount_that_has_answered_is_given_half_a_minute_for_its_first_frame(self):
        caster = self.caster(streams(ICY))
        self.configure_caster(caster.port, version=1)
        self.begin("--timer-speed", "10")

        def told(reason, state):
            lines = [line.split(" ", 2) for journal in (self.folder / "record").glob("*.journal") for line in journal.read_text().splitlines()[1:]]
            events = [(int(ms), json.loads(rest[0])) for _, ms, *rest in lines if rest]
            return [ms for ms, event in events if event.get("event") == "delivery" and (event["state"], event["reason"]) == (state, reason)]

        self.look_until("the silent mount", lambda: told("mount-silent", "stopped"))
        # By the daemon's own clock, at ten times its pace.
        self.assertGreaterEqual(told("mount-silent", "stopped")[0] - told("none", "running")[0], 2900)

    def test_a_refused_login_is_not_repeated_at_once(self):
        caster = self.caster(says(b"HTTP/1.1 401 Unauthorized\r\n\r\n"))
        self.configure_caster(caster.port)
        self.begin("--timer-speed", "10")
        self.until_delivery("refused", lambda d: caster.connections == 1)
        self.tell(30)
        self.client_.until("half a minute of the receiver", lambda s: s["time_utc"] >= "2026-06-03T14:00:30")
        self.assertEqual(caster.connections, 1)


class Position(WithCaster):
    def test_it_goes_up_at_once_with_consent_and_never_without_a_fix(self):
        caster = self.caster(streams(ICY))
        self.configure_caster(caster.port, version=1, send_position=True)
        self.begin("--timer-speed", "10")
        self.tell(3, quality=0)
        self.tell(1)
        self.look_until("a position", lambda: b"GGA" in caster.sent_up)
        lines = caster.sent_up.split(b"\r\n")
        self.assertTrue(all(line == b"" or line.startswith(b"$GNGGA,") and line.split(b",")[6] == b"4" for line in lines), lines)

    def test_none_goes_up_without_consent(self):
        caster = self.caster(streams(ICY))
        self.configure_caster(caster.port, version=1)
        self.begin("--timer-speed", "50")
        self.look_until("a request", lambda: caster.requests)
        self.tell(5)
        caster.send(observations(7))
        self.receive(len(observations(7)))
        self.assertNotIn(b"GGA", caster.sent_up + caster.requests[0].encode())


class Files(WithCaster):
    def test_a_login_that_others_can_read_is_refused_by_name(self):
        for mode in (0o644, 0o640, 0o602):
            self.configure_caster(free_port(), mode=mode)
            done = self.run_config("--check")
            self.assertEqual(done.returncode, 2)
            self.assertIn(f"Others can read or change the file of credentials {self.folder / 'login'} (mode {mode:04o}); give it mode 0600.", done.stderr)
            self.assertNotIn(PASSWORD, done.stderr + done.stdout)

    def test_the_check_says_where_corrections_come_from_and_what_leaves_this_machine(self):
        (self.folder / "marks.csv").write_text(
            "name,frame,coordinate_epoch,latitude_deg,longitude_deg,height_m,height_kind,sigma_horizontal_m,sigma_vertical_m,status\n"
            "NORTH,EPSG:6319,2010.0,47.6036,-87.4,150.0,ellipsoid,0.003,0.005,base\n")
        self.configure_caster(2101, send_position=True)
        with open(self.folder / "config.toml", "a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        told = self.run_config("--check").stdout
        for sentence in ("127.0.0.1 port 2101, mount TEST1", "not encrypted", "the user name and the password go out unencrypted",
                         "the receiver's position leaves this machine every 5 s", "NORTH is a base: what it sends of itself proves"):
            self.assertIn(sentence, told)
        self.assertNotIn(PASSWORD, told)

    def test_a_stricter_one_is_taken_and_half_a_login_is_not(self):
        self.configure_caster(free_port(), mode=0o400)
        self.assertEqual(self.run_config("--check").returncode, 0, self.run_config("--check").stderr)
        (self.folder / "login").chmod(0o600)
        (self.folder / "login").write_text("a user\nthe password\nmore\n")
        done = self.run_config("--check")
        self.assertEqual(done.returncode, 2)
        self.assertIn("must have the user name on its first line, the password on its second, and no more", done.stderr)
        self.assertNotIn("the password\n", done.stderr)

    @unittest.skipUnless(REDUCE, "needs the reduction")
    def test_a_base_that_changes_ends_the_stay_and_the_record_gives_the_same_point(self):
        caster = self.caster(streams(ICY))
        self.configure_caster(caster.port, version=1)
        self.begin()
        self.look_until("a request", lambda: caster.requests)

        def seconds(count, station):
            for _ in range(count):
                self.tell(1)
                caster.send(observations(station) + position(station))
                self.receive(len(observations(station) + position(station)))

        seconds(10, 7)
        self.client_.until("it counts", lambda s: s["verdict"]["accepted"])
        self.client_.call("begin", name="CUL-14")
        seconds(20, 7)
        self.client_.until("seconds", lambda s: s["occupation"] and s["occupation"]["accepted"] >= 8)
        # Nothing of the first base for more than five seconds, then another one.
        began = self.client_.call("status")["delivery"]["last_frame_utc"]
        caster.drop()
        self.look_until("asked again", lambda: caster.connections == 2 and len(caster.requests) == 2)

        def another():
            caster.send(observations(9) + position(9, (1114204.0, -4850729.7108, 3975521.4643)))
            self.tell(1)
            return any(a["key"] == "base-changed" for a in self.client_.call("status")["alerts"])

        self.look_until("another base", another)
        status = self.client_.until("ended", lambda s: s["occupation"] is None)
        self.assertIsNotNone(began)
        self.assertEqual(status["base"]["station"], 9)
        live = self.listed(self.client_)
        self.assertEqual([(p["point"], p["status"]) for p in live], [("CUL-14", "held")])
        self.assertIn("base-changed", live[0]["reasons"])
        self.daemon.stop()
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 1)
        self.assertEqual(self.rows("SELECT base_station, base_x_m IS NOT NULL FROM points"), [(7, 1)])
        self.assert_no_secret()

    @unittest.skipUnless("STILLPOINT_OFFICE" in os.environ, "needs the office")
    def test_the_corrections_are_summed_like_the_rest_and_a_changed_byte_is_found(self):
        caster = self.caster(streams(ICY))
        self.configure_caster(caster.port, version=1)
        self.begin()
        self.client_.until("heard", lambda s: s["epoch"] is not None)
        self.look_until("a request", lambda: caster.requests)
        caster.send(observations(7))
        self.receive(len(observations(7)))
        self.until_delivery("running", lambda d: d["last_frame_utc"])
        self.daemon.stop()
        log = next((self.folder / "record").glob("*.nmea"))
        verify = lambda: subprocess.run([os.environ["STILLPOINT_OFFICE"], "verify", "--log", str(log)], capture_output=True, text=True)
        done = verify()
        self.assertEqual(done.returncode, 0, done.stdout + done.stderr)
        self.assertIn(".rtcm: unchanged", done.stdout)
        rtcm = log.with_suffix(".rtcm")
        self.assertEqual(stat.S_IMODE(rtcm.stat().st_mode), stat.S_IMODE(log.stat().st_mode))
        rtcm.write_bytes(rtcm.read_bytes()[:-1] + b"\x00")
        self.assertEqual(verify().returncode, 1)


if __name__ == "__main__":
    unittest.main()
