"""The daemon's points and those recomputed from its record agree in every field to the last digit."""

import os
import random
import shutil
import unittest
from pathlib import Path

from harness import ProcessTest, Receiver, log_of

LOGS = Path(os.environ["STILLPOINT_REPLAY_LOGS"])


class Agreement(ProcessTest):
    def test_over_a_day_with_an_outage_a_source_change_and_commands(self):
        shutil.copy(LOGS / "harrowfen-culverts.nmea", self.folder / "day.nmea")
        text = (LOGS / "harrowfen.toml").read_text()
        for old, new in (("../out/", ""), ("harrowfen-culverts.nmea", "day.nmea"), ("pace      = 20 ", "pace      = 40 "), ("harrowfen.gpkg", "trial.gpkg")):
            self.assertIn(old, text)
            text = text.replace(old, new)
        (self.folder / "config.toml").write_text(text)
        daemon = self.start()
        client = self.client()

        def reach(clock):
            client.until(clock, lambda s: (s["time_utc"] or "") >= f"2026-06-03T{clock}")

        for name, start, end in (("CUL-14", "14:01:05", "14:04:25"), ("CUL-15", "14:06:35", "14:10:25"), ("CUL-16", "14:12:45", "14:16:00")):
            reach(start)
            client.call("begin", name=name, code="culvert", note="größer als \"üblich\"")
            reach(end)
            client.call("keep")
        client.call("begin", name="CUL-16", again=True)
        client.until("a second visit", lambda s: s["occupation"] is None or s["occupation"]["accepted"] >= 5)
        self.assertEqual(daemon.stop()[0], 0)
        again = self.recompute(self.folder / "config.toml")
        self.start()
        live = self.listed(self.client())
        self.assert_agree(live, again, 4)
        self.assertEqual(live[3]["status"], "held")
        self.assertIn("interrupted", live[3]["reasons"])

    def test_over_a_live_link_that_is_cut(self):
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        daemon = self.start()
        client = self.client()
        chance = random.Random(7)
        first = 0
        for name in ("HF-1", "HF-2", "HF-3"):
            client.call("begin", name=name)
            with receiver.accept() as link:
                log = log_of(20, first=first)
                while log:
                    size = chance.randint(1, 400)
                    link.sendall(log[:size])
                    log = log[size:]
                    client.call("status")
                client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 10)
                if name == "HF-2":
                    client.call("keep")
                link.sendall(log_of(1, first=first + 20)[:50])
            client.until("the point", lambda s: s["occupation"] is None)
            first += 30
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        live = self.listed(client)
        self.assertEqual(daemon.stop()[0], 0)
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 3)

    def test_over_an_antenna_that_was_changed(self):
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        daemon = self.start()
        client = self.client()
        with receiver.accept() as link:
            client.call("begin", name="HF-1")
            link.sendall(log_of(20))
            client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 10)
            self.assertEqual(client.refusal("antenna", height_m=2.0)["code"], -32602)
            self.assertEqual(client.refusal("antenna", height_m=1.871, reason="none")["code"], 1)
            self.assertIn("4.1 mm", client.refusal("antenna", height_m=2.0, measured_ft=6.575, reason="x")["message"])
            self.assertIn("1.871 m became 2.000 m", client.call("antenna", height_m=2.0, measured_ft=6.562, reason="a section more")["text"])
            client.until("the point", lambda s: s["occupation"] is None)
            client.call("begin", name="HF-2")
            link.sendall(log_of(20, first=20))
            client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 10)
            client.call("keep")
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        live = self.listed(client)
        self.assertEqual(daemon.stop()[0], 0)
        self.assertEqual([p["antenna_height_m"] for p in live], [1.871, 2.0])
        self.assertIn("interrupted", live[0]["reasons"])
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 2)
        self.assertEqual(self.rows("SELECT height_m, reason FROM antenna_setups ORDER BY rowid"), [(1.871, None), (2.0, "a section more")])

    def test_over_a_daemon_that_was_killed_and_started_again(self):
        receiver = Receiver()
        self.cleanup.callback(receiver.close)
        self.configure_tcp(receiver.port)
        for run, name in enumerate(("HF-1", "HF-2")):
            daemon = self.start()
            client = self.client()
            with receiver.accept() as link:
                client.call("begin", name=name)
                link.sendall(log_of(20, first=30 * run))
                client.until("some seconds", lambda s: s["occupation"] is not None and s["occupation"]["accepted"] >= 10)
                if run == 0:
                    client.call("keep")
                    client.until("stored", lambda s: s["store"]["waiting"] == 0)
                    daemon.process.kill()
                    daemon.process.wait()
                else:
                    client.call("keep")
        client.until("stored", lambda s: s["store"]["waiting"] == 0)
        live = self.listed(client)
        self.assertEqual(daemon.stop()[0], 0)
        self.assert_agree(live, self.recompute(self.folder / "config.toml"), 2)


if __name__ == "__main__":
    unittest.main()
