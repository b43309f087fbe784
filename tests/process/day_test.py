"""Observing: begin, keep, discard, resolve; the record and the pointbook afterwards."""

import json
import sys
import time
import unittest

from harness import ProcessTest, log_of


def enough(status):
    return status["occupation"] is not None and status["occupation"]["enough"]


def counted(n):
    return lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= n


class Observing(ProcessTest):
    def test_a_kept_point_is_in_the_pointbook_and_in_the_list(self):
        self.configure_replay(log_of(600), pace="20")
        self.start()
        client = self.client()
        client.until("a second that counts", lambda s: s["verdict"]["accepted"])
        self.assertEqual(client.call("begin", name="HF-1", code="culvert", note="east end")["visit"], 1)
        client.until("enough", enough)
        kept = client.call("keep")
        self.assertEqual(kept["storage"], "spooled")
        point = kept["point"]
        self.assertEqual((point["point"], point["visit"], point["status"]), ("HF-1", 1, "accepted"), point)
        self.assertEqual(point["source"], "county network")
        # 184.500 above sea level less 36.200 of separation, less the antenna's 1.871.
        self.assertAlmostEqual(point["ellipsoid_height_m"], 184.5 - 36.2 - 1.871, places=3)
        self.assertAlmostEqual(point["latitude_deg"], 47.6, delta=1e-7)
        client.until("stored", lambda s: s["store"] == {"spooled": 1, "stored": 1, "waiting": 0})
        self.assertEqual(self.rows("SELECT name, visit, status FROM points"), [("HF-1", 1, "accepted")])
        self.assertEqual(self.rows("SELECT count(*) FROM epochs")[0][0], point["epochs_used"] + point["epochs_refused"])
        listed = client.call("points")["points"]
        self.assertEqual([(p["point"], p["version"], p["storage"]) for p in listed], [("HF-1", 1, "stored")])

    def test_names_are_not_given_twice_also_after_a_restart(self):
        self.configure_replay(log_of(600), pace="20")
        daemon = self.start()
        client = self.client()
        client.call("begin", name="HF-1")
        client.until("enough", enough)
        self.assertEqual(client.refusal("begin", name="HF-2")["code"], 1)
        client.call("keep")
        self.assertEqual(daemon.stop()[0], 0)
        self.start()
        client = self.client()
        error = client.refusal("begin", name="HF-1")
        self.assertEqual(error["code"], 1)
        self.assertIn("HF-1", error["message"])
        self.assertEqual(client.call("begin", name="HF-1", again=True)["visit"], 2)

    def test_a_discarded_occupation_leaves_nothing(self):
        self.configure_replay(log_of(600), pace="20")
        self.start()
        client = self.client()
        client.call("begin", name="HF-1")
        client.until("some seconds", counted(3))
        client.call("discard")
        self.assertEqual(client.refusal("keep")["code"], 1)
        self.assertEqual(client.refusal("discard")["code"], 1)
        self.assertEqual(client.call("points")["points"], [])
        self.assertEqual(client.call("begin", name="HF-1")["visit"], 1)

    def test_a_held_point_is_resolved_by_a_new_version(self):
        self.configure_replay(log_of(600), pace="5")
        daemon = self.start()
        client = self.client()
        client.call("begin", name="HF-1")
        client.until("one second", counted(1))
        point = client.call("keep")["point"]
        self.assertEqual((point["status"], "too-few-epochs" in point["reasons"]), ("held", True), point)
        self.assertEqual(client.refusal("resolve", name="HF-9", accept=True, reason="x")["code"], 1)
        self.assertEqual(client.refusal("resolve", name="HF-1", accept=True, reason="")["code"], 1)
        self.assertEqual(client.refusal("resolve", name="HF-1", reason="x")["code"], -32602)
        done = client.call("resolve", name="HF-1", accept=True, reason="agrees with HF-2")
        self.assertEqual(done["point"]["status"], "accepted")
        self.assertIn("accepted", client.refusal("resolve", name="HF-1", accept=True, reason="x")["message"])
        self.assertEqual(daemon.stop()[0], 0)
        self.assertEqual(self.rows("SELECT version, status FROM points ORDER BY version"), [(1, "held"), (2, "accepted")])
        self.assertEqual(self.rows("SELECT version, change_reason FROM current_points"), [(2, "agrees with HF-2")])
        for kind in ("occupy", "kept", "resolved"):  # every act by hand names who did it
            (values,) = self.rows(f"SELECT * FROM events WHERE kind = '{kind}'")
            self.assertIn('"by":"', str(values), kind)
        first, second = self.rows("SELECT uuid, supersedes FROM points ORDER BY version")
        self.assertEqual(second[1], first[0])

    def test_the_record_holds_the_bytes_and_the_commands(self):
        log = log_of(120)
        self.configure_replay(log, pace="20")
        daemon = self.start()
        client = self.client()
        client.call("begin", name="HF-1", code="culvert")
        client.until("enough", enough)
        client.call("keep")
        self.assertEqual(client.refusal("keep")["code"], 1)
        client.until("the end", lambda s: s["feed"]["state"] == "ended")
        daemon.stop()
        self.assertEqual(sorted(p.name for p in (self.folder / "record").iterdir() if not p.name.startswith("2")), [".lock", "pairs.txt"])
        record = sorted((self.folder / "record").glob("2*"))
        self.assertEqual([p.name for p in record], [f"20260603T140000Z-01.{kind}" for kind in ("journal", "nmea", "sha256")])
        self.assertEqual(record[1].read_bytes(), log)
        head, *lines = record[0].read_text().splitlines()
        self.assertEqual(head, "stillpoint-journal 1 utc 2026-06-03T14:00:00.000Z steady 0 by log")
        self.assertEqual(int(lines[-1].split()[0]), len(log))
        commands = [c for c in self.journal_commands() if "command" in c]
        self.assertEqual([c["command"] for c in commands], ["occupy", "keep"])
        self.assertEqual((commands[0]["name"], commands[0]["visit"], commands[0]["code"]), ("HF-1", 1, "culvert"))
        self.assertEqual(self.journal_commands()[-1], {"event": "stopped"})

    def test_the_record_changes_files_with_the_hour(self):
        log = log_of(20, first=3590)
        self.configure_replay(log)
        daemon = self.start()
        self.client().until("the end", lambda s: s["feed"]["state"] == "ended")
        daemon.stop()
        files = sorted((self.folder / "record").glob("*.nmea"))
        self.assertEqual([p.name for p in files], ["20260603T145950Z-01.nmea", "20260603T150000Z-01.nmea"])
        self.assertEqual(b"".join(p.read_bytes() for p in files), log)

    def test_a_record_is_replayed_to_the_same_seconds(self):
        self.configure_replay(log_of(100))
        daemon = self.start()
        ended = lambda s: s["feed"]["state"] == "ended"
        first = self.client().until("the end", ended)
        daemon.stop()
        recorded = next((self.folder / "record").glob("*.nmea"))
        self.configure(f'kind = "replay"\nfile = "{recorded}"\npace = "max"')
        self.start()
        again = self.client().until("the end", ended)
        self.assertIn("journal", again["feed"]["what"])
        for key in ("counters", "epoch", "correction"):
            self.assertEqual(first[key], again[key], key)

    def test_nobody_waits_for_hours_without_a_byte(self):
        """As when a receiver learns the time only after a while, or the crew had its lunch: 324 s at this pace."""
        self.configure_replay(log_of(5) + log_of(10, first=5 + 9 * 3600), pace="100")
        daemon = self.start()
        began = time.monotonic()
        self.client().until("the end", lambda s: s["feed"]["state"] == "ended")
        self.assertLess(time.monotonic() - began, 30)
        self.assertIn("no byte for 32401 s of the log; 60 s of them are waited for", daemon.log_text())

    def test_the_pace_changes_nothing(self):
        seen = []
        for pace in ('"max"', "100"):
            self.configure_replay(log_of(200), pace=pace)
            daemon = self.start()
            status = self.client().until("the end", lambda s: s["feed"]["state"] == "ended")
            seen.append((status["counters"], status["epoch"], status["correction"]))
            daemon.stop()
        self.assertEqual(seen[0], seen[1])

    def test_an_alert_runs_the_program_without_a_shell(self):
        told = self.folder / "told.json"
        program = "import json, sys; open(sys.argv[1], 'w').write(json.dumps(sys.argv[2:]))"
        run = [sys.executable, "-c", program, str(told), "{key}", "{severity}", "$(id) {text};"]
        log = log_of(20) + log_of(60, first=20, age=45.0)
        self.configure_replay(log, pace="20", run=run)
        self.start()
        key, severity, text = self.look_until("the program's words", lambda: told.exists() and told.read_text() and json.loads(told.read_text()))
        self.assertEqual((key, severity), ("corrections-stale", "stop-work"))
        self.assertTrue(text.startswith("$(id) ") and text.endswith(";"), text)

    def test_alerts_are_listed_and_marked_as_seen(self):
        self.configure_replay(log_of(20) + log_of(60, first=20, age=45.0))
        self.start()
        client = self.client()
        client.until("the end", lambda s: s["feed"]["state"] == "ended")
        alerts = client.call("alerts")["alerts"]
        self.assertEqual([(a["key"], a["seen"]) for a in alerts], [("corrections-stale", False)])
        self.assertTrue(client.call("alerts", seen=True)["alerts"][0]["seen"])

    def test_the_antenna_is_told_with_its_parts(self):
        self.configure_replay(log_of(2))
        self.start()
        antenna = self.client().call("antenna")
        self.assertAlmostEqual(antenna["height_m"], 1.871)
        self.assertEqual(antenna["parts"], {"pole": 1.8, "adapter_to_phase_centre": 0.071})


if __name__ == "__main__":
    unittest.main()
