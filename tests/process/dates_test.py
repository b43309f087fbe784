"""Dates and arrivals that cannot be right: what the computer's clock says of them live, what a record says of them
later, and that live, replay and recomputation agree."""

import datetime
import json
import os
import re
import subprocess
import unittest

from harness import DEADLINE_S, ProcessTest, Receiver, log_of, sentence

REDUCE = os.environ["STILLPOINT_REDUCE"]
OFFICE = os.environ["STILLPOINT_OFFICE"]
ROLLOVER = datetime.timedelta(days=7168)
LIFTED = "7168 days too early and were put right by"


def dated(log, day):
    """The same log on another day."""
    def changed(found):
        return sentence(found[1].decode() + day.strftime("%d%m%y") + found[2].decode()).encode()
    return re.sub(rb"\$(GNRMC(?:,[^,*]*){8},)\d{6}(,[^*]*)\*..\r\n", changed, log)


def tagged(log, late_from, late_s):
    """Every sentence behind a TAG block with its arrival, from that second on so much later; and what waited comes first."""
    out, start = b"", int(datetime.datetime(2026, 6, 3, 14, tzinfo=datetime.timezone.utc).timestamp())
    second = -1
    for line in log.splitlines(keepends=True):
        second += line.startswith(b"$GNRMC")
        arrived = start + second + (late_s if second >= late_from else 0)
        body = f"c:{arrived}".encode()
        checksum = 0
        for byte in body:
            checksum ^= byte
        out += b"\\" + body + b"*%02X\\" % checksum + line
    return out


class Dates(ProcessTest):
    def live(self, day, name="HF-1"):
        """A stay over a live link whose dates are of that day; the client, when it has counted or never will."""
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        self.daemon = self.start()
        client = self.client()
        link = self.cleanup.enter_context(receiver.accept())
        link.sendall(dated(log_of(8), day))
        client.until("the first seconds", lambda s: s["counters"]["epochs"] >= 7)
        client.call("begin", name=name)
        link.sendall(dated(log_of(20, first=8), day))
        client.until("the rest", lambda s: s["counters"]["epochs"] >= 27)
        return client

    def verify(self):
        return subprocess.run([OFFICE, "verify", "--config", self.folder / "config.toml", "--pointbook", self.folder / "trial.gpkg"],
                              capture_output=True, text=True, timeout=DEADLINE_S)

    def reduce(self, *more):
        done = subprocess.run([REDUCE, "--config", self.folder / "config.toml", "--log", self.folder / "day.nmea", *more],
                              capture_output=True, text=True, timeout=DEADLINE_S)
        self.assertIn(done.returncode, (0, 1), done.stderr)
        return [p for p in map(json.loads, done.stdout.splitlines()) if "point" in p], done.stderr

    def replay(self, name="HF-1"):
        """What a daemon makes of day.nmea, and what comes out of its record."""
        daemon = self.start()
        client = self.client()
        client.until("the end", lambda s: s["feed"]["state"] == "ended")
        status = client.call("status")
        alerts = [(a["key"], a["severity"]) for a in client.call("alerts")["alerts"]]
        client.close()
        self.assertEqual(daemon.stop()[0], 0)
        return status, alerts, daemon.log_text()

    def test_a_live_date_days_after_the_clock_counts_for_nothing(self):
        today = datetime.datetime.now(datetime.timezone.utc).date()
        client = self.live(today + datetime.timedelta(days=9))
        verdict = client.call("status")["verdict"]
        self.assertFalse(verdict["accepted"])
        self.assertIn("date-contradicted", [r["code"] for r in verdict["reasons"]])
        # The stream says 14:00, whatever the hour of the test.
        self.assertRegex(verdict["reasons"][-1]["text"], "stands (9|10) days after this computer's clock")
        self.assertIn(("date-contradicted", "stop-work"), [(a["key"], a["severity"]) for a in client.call("alerts")["alerts"]])
        self.assertIn("no second has counted", client.refusal("keep")["message"])

    def test_a_live_date_of_1024_weeks_ago_is_put_right_and_said_everywhere(self):
        today = datetime.datetime.now(datetime.timezone.utc).date()
        client = self.live(today - ROLLOVER)
        point = client.call("keep")["point"]
        self.assertEqual(point["status"], "accepted")
        self.assertIn("week-rollover", point["flags"])
        self.assertEqual(point["started_utc"][:10], str(today))
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(self.daemon.stop()[0], 0)
        self.assertIn(LIFTED + " this computer's clock", self.daemon.log_text())
        (said,) = [c for c in self.journal_commands() if c.get("event") == "dates"]
        self.assertIn(LIFTED, said["text"])
        verified = self.verify()
        self.assertEqual(verified.returncode, 0, verified.stdout + verified.stderr)
        self.assertIn("to the last bit (1 point)", verified.stdout)
        self.assertIn(LIFTED, verified.stderr)

    def test_a_replay_of_a_live_record_takes_its_dates_as_the_day_did(self):
        today = datetime.datetime.now(datetime.timezone.utc).date()
        client = self.live(today - ROLLOVER)
        live = client.call("keep")["point"]
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        self.assertEqual(self.daemon.stop()[0], 0)
        (log,) = (self.folder / "record").glob("*.nmea")
        log.rename(self.folder / "day.nmea")
        log.with_suffix(".journal").rename(self.folder / "day.journal")
        for file in (log.with_suffix(".sha256"), self.folder / "trial.gpkg", self.folder / "trial.gpkg.spool"):
            file.unlink(missing_ok=True)
        again, _ = self.reduce()
        self.assertEqual([(p["point"], p["started_utc"], p["flags"]) for p in again], [("HF-1", live["started_utc"], live["flags"])])
        self.configure('kind = "replay"\nfile = "day.nmea"\npace = "max"\nsilence_s = 3.0', record="again")
        status, alerts, log_text = self.replay()
        self.assertEqual(status["epoch"]["utc"][:10], str(today))
        self.assertIn(LIFTED, log_text)
        (begun,) = (self.folder / "again").glob("*.journal")
        self.assertIn('{"event":"clock","said":', begun.read_text())

    def test_a_recorded_log_is_taken_as_dated_unless_the_configuration_knows_better(self):
        day = datetime.date(2006, 10, 18)
        for archive, year, flags in (("as-recorded", "2006", []), ("rolled-over", "2026", ["week-rollover"])):
            with self.subTest(archive):
                self.configure_replay(dated(log_of(30), day))
                config = self.folder / "config.toml"
                config.write_text(config.read_text().replace("[project]", f'[project]\narchive_dates = "{archive}"'))
                points, said = self.reduce()
                self.assertEqual([p["started_utc"][:4] for p in points], [year])
                self.assertEqual([f for f in points[0]["flags"] if f in ("week-rollover", "date-behind-clock")], flags)
                self.assertEqual(LIFTED + " archive_dates" in said, bool(flags), said)
                status, alerts, log_text = self.replay()
                self.assertEqual(status["epoch"]["utc"][:4], year)
                self.assertEqual(alerts, [])
                self.assertEqual(LIFTED in log_text, bool(flags))

    def test_a_visits_file_of_another_day_is_told_with_the_days(self):
        self.configure_replay(dated(log_of(30), datetime.date(2006, 10, 18)))
        visits = self.folder / "visits.csv"
        visits.write_text("name,start_utc,end_utc,code\nHF-1,2026-06-03T14:00:05Z,2026-06-03T14:00:25Z,\n")
        points, said = self.reduce("--visits", visits)
        self.assertEqual([p["status"] for p in points], ["none"])
        self.assertIn("1 visit lies 7168 days after the log, which is of 2006-10-18 to 2006-10-18", said)

    def test_a_link_that_stalls_and_goes_on_late_counts_nothing_and_comes_out_so_again(self):
        for late_s, accepted in ((8, False), (3, True)):
            with self.subTest(late_s):
                self.configure_replay(tagged(log_of(60), 30, late_s))
                status, alerts, _ = self.replay()
                # At its end a replay judges nothing; what was said of the last seconds stands in its alerts.
                self.assertEqual(("feed-late", "stop-work") in alerts, not accepted, alerts)
                points, _ = self.reduce()
                self.assertEqual([p["refused"].get("late", 0) for p in points], [0 if accepted else 30])
                record = [p for p in self.recompute(self.folder / "config.toml")]
                self.assertEqual([p["refused"].get("late", 0) for p in record if p["point"] != "HF-1"][-1:], [0 if accepted else 30])
                for file in (self.folder / "record").iterdir():
                    file.unlink()


if __name__ == "__main__":
    unittest.main()
