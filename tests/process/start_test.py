"""Starting, refusing to start, and the questions answered without starting."""

import contextlib
import gzip
import os
import socket
import sqlite3
import stat
import tomllib
import unittest

from harness import ProcessTest, Receiver, log_of


class Starting(ProcessTest):
    def test_ready_line_names_the_socket_and_status_answers(self):
        self.configure_replay(log_of(20), pace="1")
        from harness import Daemon

        daemon = Daemon(self.folder)
        self.cleanup.callback(daemon.close)
        self.assertEqual(daemon.ready(), str(self.folder / "control"))
        status = self.client().call("status")
        self.assertIn(status["feed"]["state"], ("waiting", "open"))
        self.assertEqual(status["store"], {"spooled": 0, "stored": 0, "waiting": 0})

    def test_socket_is_for_owner_and_group(self):
        self.configure_replay(log_of(2))
        self.start()
        self.assertEqual(stat.S_IMODE(os.stat(self.folder / "control").st_mode), 0o660)

    def test_folders_of_socket_and_record_are_made(self):
        self.configure_replay(log_of(2), socket="run/control")
        self.start()
        self.assertTrue((self.folder / "run" / "control").is_socket())
        self.assertTrue((self.folder / "record").is_dir())

    def test_left_over_socket_is_replaced(self):
        self.configure_replay(log_of(2))
        with socket.socket(socket.AF_UNIX) as left_over:
            left_over.bind(str(self.folder / "control"))
        self.start()
        self.client().call("status")

    def test_log_without_bytes_or_sentences_ends_with_a_sentence(self):
        rows = [
            ("an empty log", b"", "the log is empty"),
            ("a log of noise", bytes((i * 7919 + 13) % 256 for i in range(50000)), "no sentence with a time"),
            ("a log cut in a sentence", log_of(5)[:-20], "end of the log"),
        ]
        for name, log, words in rows:
            with self.subTest(name):
                self.configure_replay(log)
                daemon = self.start()
                client = self.client()
                status = client.until("the end", lambda s: s["feed"]["state"] == "ended")
                self.assertIn(words, status["feed"]["what"])
                client.close()
                self.assertEqual(daemon.stop()[0], 0)


class Refusing(ProcessTest):
    def refuses(self, code, words, config="config.toml"):
        done = self.run_config(config=config)
        self.assertEqual(done.returncode, code, done.stderr)
        self.assertIn(words, done.stderr)
        self.assertEqual(done.stdout, "")
        return done.stderr

    def test_second_daemon_on_the_same_socket(self):
        self.configure_replay(log_of(2))
        self.start()
        self.configure_replay(log_of(2), name="second.toml", pointbook="other.gpkg")
        self.refuses(3, "already answers", "second.toml")
        self.client().call("status")

    def test_second_daemon_on_the_same_pointbook(self):
        self.configure_replay(log_of(2))
        self.start()
        self.configure_replay(log_of(2), name="second.toml", socket="other")
        path = self.folder / "second.toml"
        path.write_text(path.read_text().replace('record           = "record"', 'record           = "apart"'))
        self.refuses(3, "trial.gpkg", "second.toml")
        self.client().call("status")

    def test_a_pipe_or_a_device_in_place_of_a_file_is_refused_and_not_waited_for(self):
        self.configure_replay(log_of(2))
        with (self.folder / "config.toml").open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        good = (self.folder / "config.toml").read_text()
        marks = "name,frame,coordinate_epoch,latitude_deg,longitude_deg,sigma_horizontal_m\nVM-11,EPSG:6319,2010.0,47.6,-87.4,0.005\n"
        rows = [("the configuration", "config.toml", 2), ("the marks", "marks.csv", 3), ("the log", "day.nmea", 3), ("the pointbook", "trial.gpkg", 3)]
        for name, file, status in rows:
            for kind in ("pipe", "device"):
                with self.subTest(name, kind=kind):
                    (self.folder / "marks.csv").write_text(marks)
                    (self.folder / "config.toml").write_text(good)
                    (self.folder / file).unlink(missing_ok=True)
                    if kind == "pipe":
                        os.mkfifo(self.folder / file)
                    else:
                        os.symlink("/dev/zero", self.folder / file)
                    try:
                        said = self.refuses(status, "is no file but a pipe or a device")
                        self.assertIn(file if file != "trial.gpkg" or kind == "pipe" else "/dev/zero", said)
                    finally:
                        (self.folder / file).unlink()
                        (self.folder / "day.nmea").write_bytes(log_of(2))

    def test_second_daemon_in_the_same_record_folder(self):
        self.configure_replay(log_of(2))
        self.start()
        self.configure_replay(log_of(2), name="second.toml", socket="other", pointbook="other.gpkg")
        self.assertIn("(process ", self.refuses(3, "already writes to the record folder", "second.toml"))
        os.symlink(self.folder / "record", self.folder / "link")
        path = self.folder / "second.toml"
        path.write_text(path.read_text().replace('record           = "record"', 'record           = "link"'))
        self.refuses(3, "already writes to the record folder", "second.toml")
        self.client().call("status")

    def test_second_daemon_on_a_hard_link_to_the_same_pointbook(self):
        self.configure_replay(log_of(2))
        self.start()
        (self.folder / "apart").mkdir()
        os.link(self.folder / "trial.gpkg", self.folder / "apart" / "other.gpkg")
        self.configure_replay(log_of(2), name="second.toml", socket="other", pointbook="apart/other.gpkg")
        path = self.folder / "second.toml"
        path.write_text(path.read_text().replace('record           = "record"', 'record           = "apart"'))
        self.assertIn("(process ", self.refuses(3, "by another name of the same file", "second.toml"))
        self.client().call("status")

    def test_no_such_log(self):
        self.configure('kind = "replay"\nfile = "nowhere.nmea"\npace = 1')
        self.refuses(3, "nowhere.nmea")

    def test_pointbook_that_cannot_be_written(self):
        self.configure_replay(log_of(2), pointbook="nowhere/trial.gpkg")
        self.refuses(3, "nowhere does not exist")

    def test_pointbook_of_another_frame(self):
        self.configure_replay(log_of(2))
        self.start().stop()
        self.configure_replay(log_of(2), frame="EPSG:8254")
        self.assertIn("EPSG:8254", self.refuses(3, "EPSG:6319"))

    def test_something_else_at_the_path_of_the_socket(self):
        self.configure_replay(log_of(2))
        (self.folder / "control").write_text("a letter")
        self.refuses(3, "is no socket")
        self.assertEqual((self.folder / "control").read_text(), "a letter")

    def test_socket_path_over_the_limit_of_the_system(self):
        self.configure_replay(log_of(2), socket="s" * 120)
        self.refuses(2, "107")

    def test_every_error_of_the_configuration(self):
        self.configure_replay(log_of(2))
        path = self.folder / "config.toml"
        path.write_text(path.read_text().replace("min_epochs     = 5", "min_epochs = -5\nmin_epoch = 5").replace('"A"', "7"))
        done = self.run_config()
        self.assertEqual(done.returncode, 2)
        self.assertGreaterEqual(len(done.stderr.strip().splitlines()), 3, done.stderr)
        for word in ("min_epochs", "min_epoch", "crew"):
            self.assertIn(word, done.stderr)

    def test_unknown_option_and_no_configuration(self):
        self.assertEqual(self.run_daemon("--colour").returncode, 2)
        self.assertEqual(self.run_daemon().returncode, 2)
        self.assertEqual(self.run_daemon("--config", self.folder / "none.toml").returncode, 2)


class Held(ProcessTest):
    def test_a_pointbook_that_another_program_holds_at_the_start_is_no_reason_not_to_start(self):
        self.configure_replay(log_of(3000), pace="10")
        daemon, client = self.start(), self.client()
        self.measure(client, "HF-1")
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        client.close()
        daemon.stop()
        with contextlib.closing(sqlite3.connect(self.folder / "trial.gpkg", isolation_level=None)) as holder:
            holder.execute("BEGIN EXCLUSIVE")
            self.start()
            client = self.client()
            waiting = next(a for a in client.call("status")["alerts"] if a["key"] == "store-waiting")
            self.assertIn("nobody knows what is in it", waiting["text"])
            self.assertEqual(client.call("points")["points"], [])
            asked = client.refusal("begin", name="HF-1")["message"]
            self.assertIn("nobody can tell whether HF-1 was measured before", asked)
            self.assertIn("nobody can tell", client.refusal("begin", name="HF-1", again=True)["message"])
            self.assertIn("nobody knows", client.refusal("resolve", name="HF-1", accept=False, reason="x")["message"])
            self.assertIn("has held the pointbook since the start", client.refusal("close_day")["message"])
            self.measure(client, "HF-2", new=True)
            self.assertEqual([p["storage"] for p in client.call("points")["points"]], ["spooled"])
            holder.execute("ROLLBACK")
        client.until("stored", lambda s: s["store"]["waiting"] == 0 and not any(a["key"] == "store-waiting" and a.get("active", True) for a in s["alerts"]))
        self.look_until("all points", lambda: {p["point"] for p in client.call("points")["points"]} == {"HF-1", "HF-2"})
        self.assertEqual(self.rows("SELECT name, visit FROM points ORDER BY id"), [("HF-1", 1), ("HF-2", 1)])
        self.assertIn("in the pointbook already", client.refusal("begin", name="HF-1")["message"])
        self.assertEqual(client.call("begin", name="HF-1", again=True)["visit"], 2)

    def measure(self, client, name, **words):
        client.call("begin", name=name, **words)
        client.until("enough", lambda s: s["occupation"] and s["occupation"]["enough"])
        client.call("keep")


class Asking(ProcessTest):
    def test_help_version_defaults_and_ports(self):
        self.assertIn("--check-feed", self.run_daemon("--help").stdout)
        self.assertRegex(self.run_daemon("--version").stdout, r"^stillpointd \d+\.\d+\.\d+\n$")
        tomllib.loads(self.run_daemon("--print-defaults").stdout)
        self.assertEqual(self.run_daemon("--list-ports").returncode, 0)

    def test_check_tells_operations_limits_and_sentences(self):
        self.configure_replay(log_of(2))
        path = self.folder / "config.toml"
        path.write_text(path.read_text().replace("max_pdop                 = 4.0\n", ""))
        done = self.run_config("--check")
        self.assertEqual(done.returncode, 0, done.stderr)
        for words in ("county network", "EPSG:6319", "1.871 m", "max_pdop: not applied", "max_speed_mps: 0.1 m/s", "GST for", "RMC or ZDA for the date"):
            self.assertIn(words, done.stdout)
        self.assertNotIn("GSA for the limit max_pdop", done.stdout)

    def test_check_reads_the_marks_the_evening_before(self):
        self.configure_replay(log_of(2))
        with (self.folder / "config.toml").open("a") as config:
            config.write('\n[checks]\nmarks = "marks.csv"\n')
        done = self.run_config("--check")
        self.assertEqual(done.returncode, 2)
        self.assertIn("cannot read the marks file", done.stderr)
        self.assertEqual(done.stdout, "")
        rows = "VM-11,EPSG:6319,2010.0,47.6,-87.4,0.005\nVM-12,,2010.0,47.6,-87.4,0.005\n"
        (self.folder / "marks.csv").write_text("name,frame,coordinate_epoch,latitude_deg,longitude_deg,sigma_horizontal_m\n" + rows)
        done = self.run_config("--check")
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertRegex(done.stdout, r"marks\n  1 from \S+marks.csv\n  not usable: \S+marks.csv, line 3: the frame is missing")

    def test_check_refuses_a_frame_that_cannot_be_right(self):
        self.configure_replay(log_of(2))
        path = self.folder / "config.toml"
        path.write_text(path.read_text().replace('frame            = "EPSG:6319"\ncoordinate_epoch = 2010.0',
                                                 'frame            = "EPSG:4979"\ncoordinate_epoch = 2010.0'))
        done = self.run_config("--check")
        self.assertEqual(done.returncode, 2)
        self.assertIn("4979", done.stderr)

    def test_check_feed_says_what_is_missing(self):
        rows = [
            ("no GST", {"gst": False}, "no GST: the limit max_error95_horizontal_m can never pass"),
            ("no date", {"rmc": False}, "no RMC, no ZDA"),
            ("no GSA", {"gsa": False}, "no GSA: the limit max_pdop can never pass"),
            ("no age", {"age": None}, "no correction age"),
            ("coarse", {"minutes": "36.0000"}, "decimals of minutes, limit 6"),
            ("another station", {"station": "0300"}, "match no source"),
            ("no position sentence", {"gga": False}, "no GGA"),
        ]
        for name, options, words in rows:
            with self.subTest(name):
                self.configure_replay(log_of(30, **options))
                done = self.run_config("--check-feed", 20)
                self.assertEqual(done.returncode, 1, done.stderr)
                self.assertIn(words, done.stdout)
                self.assertRegex(done.stdout, r"0 of \d+ epochs would count|no GGA")

    def test_check_feed_ends_well_where_only_some_seconds_can_count(self):
        self.configure_replay(log_of(10, quality=1, age=None, station="") + log_of(20, first=10))
        done = self.run_config("--check-feed", 25)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("16 of 26 epochs would count", done.stdout)
        self.assertIn("10 of 26 not: quality autonomous: no corrections in use", done.stdout)

    def test_check_feed_says_what_a_log_is_that_is_none(self):
        without = b"".join(line[: line.rindex(b"*")] + b"\r\n" for line in log_of(3).splitlines())
        rows = [
            ("no checksums", without, 1, "12 sentences without a checksum and none with one"),
            ("noise", b"ab" * 40, 1, "80 bytes of something else than NMEA sentences; is the baud rate right?"),
            ("gzip", gzip.compress(log_of(3)), 3, "day.nmea is compressed (gzip); unpack it first"),
            ("UTF-16", log_of(3).decode().encode("utf-16"), 3, "day.nmea is text in UTF-16"),
        ]
        for name, log, code, words in rows:
            with self.subTest(name):
                self.configure_replay(log)
                done = self.run_config("--check-feed", 20)
                self.assertEqual(done.returncode, code, done.stderr)
                self.assertIn(words, done.stdout + done.stderr)

    def test_check_feed_finds_nothing_missing_in_a_complete_stream(self):
        self.configure_replay(log_of(30))
        done = self.run_config("--check-feed", 20)
        self.assertEqual(done.returncode, 0, done.stderr)
        self.assertIn("nothing is missing", done.stdout)
        self.assertIn("heard for 20.0 s", done.stdout)
        self.assertIn("1.0", done.stdout)
        self.assertFalse((self.folder / "trial.gpkg").exists())

    def test_check_feed_of_a_silent_feed(self):
        self.configure_tcp(1)
        done = self.run_config("--check-feed", 1)
        self.assertEqual(done.returncode, 1, done.stderr)
        self.assertIn("nothing arrived", done.stdout)
        self.assertIn("connection refused", done.stdout)

    def test_check_feed_of_a_link_that_is_up_and_silent(self):
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        done = self.run_config("--check-feed", 1)  # the system accepts the link; nobody says anything
        self.assertEqual(done.returncode, 1, done.stderr)
        self.assertIn("feed is up, and nothing has come over it\n", done.stdout)
        self.assertIn("listened for 1.0 s\n", done.stdout)


if __name__ == "__main__":
    unittest.main()
