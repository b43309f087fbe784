"""stillpoint-frames as a crew runs it: the real program, its text, its exit status.

The program's path comes in STILLPOINT_FRAMES.
"""

import os
import pathlib
import re
import socket
import subprocess
import sys
import tempfile
import threading
import unittest

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "process"))
import casters  # noqa: E402

PROGRAM = os.environ["STILLPOINT_FRAMES"]

CONFIG = """
[project]
name = "Harrowfen culvert inventory"
crew = "A"
frame = "EPSG:6319"
coordinate_epoch = "observation"
height = "ellipsoid"
pointbook = "harrowfen.gpkg"
record = "record"

[[feed]]
kind = "replay"
file = "alder-cut.nmea"

[antenna]
vertical_parts_m = { pole = 1.800 }

[[source]]
name = "county network"
match = { station = ["417"] }
frame = "EPSG:6319"
coordinate_epoch = 2010.0
evidence = "invented"
[source.gate]
quality = ["rtk-fixed"]
fresh_age_s = 3.0
max_age_s = 10.0

[[source]]
name = "sbas"
match = { quality = ["sbas"], station = ["blank"] }
frame = "SBAS_FRAME"
coordinate_epoch = "observation"
evidence = "invented"
[source.gate]
quality = ["sbas"]
fresh_age_s = 30.0
max_age_s = 1200.0
"""

LAKE = ["--at", "47.6", "-87.4", "--date", "2026-05-27"]  # decimal year 2026.40


def run(*arguments):
    done = subprocess.run([PROGRAM, *arguments], capture_output=True, text=True, timeout=60)
    return done.returncode, done.stdout, done.stderr


def row(text, name):
    """The last three numbers of the table row that starts with a name."""
    for line in text.splitlines():
        if line.startswith(name + " "):
            numbers = re.findall(r"[+-]?\d+\.\d{3}(?!\d)", line)
            if len(numbers) >= 3:
                return [float(number) for number in numbers[-3:]]
    raise AssertionError(f"no row for {name} in:\n{text}")


class WithoutConfiguration(unittest.TestCase):
    def test_shift_on_the_lake_is_the_one_computed_from_the_published_parameters(self):
        # EPSG parameters at 47.6 N 87.4 W, 2026.40: E +1.038 N -0.988 U +0.906.
        status, out, err = run(*LAKE)
        self.assertEqual((status, err), (0, ""))
        for found, expected in zip(row(out, "NAD83(2011)"), (1.038, -0.988, 0.906)):
            self.assertAlmostEqual(found, expected, delta=0.0021)
        self.assertEqual(row(out, "ITRF2020"), [0.0, 0.0, 0.0])

    def test_only_frames_whose_area_holds_the_place_are_listed(self):
        _, paris, _ = run("--at", "48.8566", "2.3522", "--date", "2026-06-03")
        self.assertIn("ETRF2000", paris)
        self.assertNotIn("NAD83", paris)
        self.assertNotIn("GDA2020", paris)

    def test_a_frame_whose_box_only_happens_to_hold_the_place_is_to_be_looked_at_first(self):
        # EPSG areas: NAD83(2011) names every state but Hawaii, NAD83(PA11) names it.
        _, honolulu, _ = run("--at", "21.31", "-157.86", "--date", "2026-06-03")
        flat = " ".join(honolulu.split())
        self.assertEqual(flat.count("look first: the area of NAD83(2011) is only a box"), 1)
        self.assertIn("in Hawaii, for which EPSG:6321 NAD83(PA11) is made", flat)
        _, lake, _ = run(*LAKE)
        self.assertNotIn("look first: the area of NAD83(2011)", " ".join(lake.split()))

    def test_a_frame_that_cannot_be_reached_is_listed_with_its_reason_and_no_numbers(self):
        status, out, _ = run("--at", "35.68", "139.76", "--date", "2026-06-03")
        self.assertEqual(status, 0)
        line = next(line for line in out.splitlines() if line.startswith("JGD2011 "))
        self.assertIn("no answer, see below", line)
        self.assertIn("no honest way from EPSG:9989 ITRF2020 to EPSG:6667 JGD2011", " ".join(out.split()))

    def test_no_line_is_wider_than_80_columns(self):
        for place in (("47.6", "-87.4"), ("35.68", "139.76"), ("-41.3", "174.8"), ("90", "0"), ("-90", "-180")):
            _, out, _ = run("--at", *place, "--date", "2026-06-03")
            self.assertLessEqual(max(len(line) for line in out.splitlines()), 80)

    def test_the_date_matters(self):
        _, now, _ = run(*LAKE)
        _, before, _ = run("--at", "47.6", "-87.4", "--date", "2025-05-27")
        moved = [a - b for a, b in zip(row(now, "NAD83(2011)"), row(before, "NAD83(2011)"))]
        length = sum(part * part for part in moved) ** 0.5
        self.assertGreater(length, 0.011)
        self.assertLess(length, 0.022)


class WithConfiguration(unittest.TestCase):
    def setUp(self):
        self.folder = tempfile.TemporaryDirectory()
        self.addCleanup(self.folder.cleanup)

    def config(self, sbas_frame):
        path = pathlib.Path(self.folder.name) / "day.toml"
        path.write_text(CONFIG.replace("SBAS_FRAME", sbas_frame))
        return str(path)

    def test_each_source_stands_against_the_project_frame(self):
        status, out, err = run(*LAKE, "--config", self.config("ITRF2020"))
        self.assertEqual((status, err), (0, ""))
        self.assertEqual(row(out, "county network"), [0.0, 0.0, 0.0])
        for found, expected in zip(row(out, "sbas"), (1.038, -0.988, 0.906)):
            self.assertAlmostEqual(found, expected, delta=0.0021)
        flat = " ".join(out.split())
        self.assertIn("Inverse of ITRF2014 to ITRF2020 (1) + ITRF2014 to NAD83(2011) (1)", flat)
        self.assertIn("stated accuracy 0.001 m", flat)
        # 1.433 m is the length of (1.038, -0.988).
        self.assertRegex(flat, r'Taking "county network" for "sbas" would put points off by 1\.43\d m horizontally')
        self.assertIn('"county network" to 2010.00, "sbas" to 2026.40', flat)

    def test_a_source_in_doubt_has_no_numbers_until_somebody_has_looked_at_its_area(self):
        mexico = ["--at", "19.43", "-99.13", "--date", "2026-06-03", "--config"]
        path = self.config("ITRF2020")
        status, out, _ = run(*mexico, path)
        self.assertEqual(status, 0)
        self.assertEqual(out.count("no answer, see below"), 2)
        self.assertIn('write area_looked_at = ["Mexico"] under [project]', " ".join(out.split()))
        text = pathlib.Path(path).read_text()
        pathlib.Path(path).write_text(text.replace('crew = "A"', 'crew = "A"\narea_looked_at = ["Mexico"]'))
        status, out, _ = run(*mexico, path)
        self.assertEqual((status, out.count("no answer, see below")), (0, 0))

    def test_a_place_that_a_source_does_not_serve_has_no_numbers(self):
        status, out, _ = run("--at", "48.8566", "2.3522", "--date", "2026-06-03", "--config", self.config("ITRF2020"))
        self.assertEqual(status, 0)
        self.assertEqual(out.count("no answer, see below"), 2)
        self.assertIn("not here: 48.856600 N 2.352200 E is outside the area of use", " ".join(out.split()))

    def test_a_configuration_that_cannot_be_right_ends_with_2_and_one_sentence(self):
        status, out, err = run(*LAKE, "--config", self.config("WGS 84"))
        self.assertEqual((status, out), (2, ""))
        self.assertEqual(err.count("\n"), 1)
        self.assertIn('"WGS 84" does not say which realization', err)

    def test_a_configuration_that_is_not_there_ends_with_2(self):
        status, out, err = run(*LAKE, "--config", "/nowhere/day.toml")
        self.assertEqual((status, out), (2, ""))
        self.assertIn("/nowhere/day.toml", err)


class Usage(unittest.TestCase):
    def test_wrong_arguments_end_with_2_and_one_sentence(self):
        rows = [
            ([], "--at is required"),
            (["--at", "47.6", "--date", "2026-06-03"], "--at"),
            (["--at", "47.6", "-87.4"], "--date is required"),
            (["--at", "91", "0", "--date", "2026-06-03"], "latitude 91 is not between -90 and 90"),
            (["--at", "0", "181", "--date", "2026-06-03"], "longitude 181 is not between -180 and 180"),
            (["--at", "47.6N", "-87.4", "--date", "2026-06-03"], "decimal degrees"),
            (["--at", "nan", "0", "--date", "2026-06-03"], "decimal degrees"),
            (["--at", "47.6", "-87.4", "--date", "2026-02-30"], 'got "2026-02-30"'),
            (["--at", "47.6", "-87.4", "--date", "1980-06-03"], "is not between 1980 and 2100"),
            (["--at", "47.6", "-87.4", "--date", "today"], 'got "today"'),
            ([*LAKE, "--nonsense"], "--nonsense"),
        ]
        for arguments, says in rows:
            with self.subTest(arguments=arguments):
                status, out, err = run(*arguments)
                self.assertEqual((status, out), (2, ""))
                self.assertIn(says, err)
                self.assertEqual(err.count("\n"), 1)

    def test_help_and_version(self):
        status, out, err = run("--help")
        self.assertEqual((status, err), (0, ""))
        self.assertIn("--at", out)
        status, out, err = run("--version")
        self.assertEqual((status, err), (0, ""))
        self.assertRegex(out, r"^stillpoint-frames \d+\.\d+\.\d+\n$")



class Caster(unittest.TestCase):
    """What a caster offers, from a table that this test serves."""

    TABLE = (b"CAS;caster.example;2101;Example;None;0;USA;47.0;-87.0;0.0.0.0;0;none\r\n"
             b"STR;FAR;Elsewhere;RTCM 3.2;1005(10),1077(1);2;GPS;NET;USA;48.60;-87.40;0;0;invented;none;N;N;9600;\r\n"
             b"STR;NEAR;Here;RTCM 3.3;1005(10),1077(1);2;GPS;NET;USA;47.61;-87.40;0;0;invented;none;B;N;9600;\r\n"
             b"STR;VRS32;Everywhere;RTCM 3.2;1005(10),1077(1);2;GPS;NET;USA;47.80;-87.40;1;1;invented;none;B;N;9600;\r\n"
             b"ENDSOURCETABLE\r\n")

    def serve(self, *answers):
        listener = socket.create_server(("127.0.0.1", 0))
        self.addCleanup(listener.close)
        self.requests = []

        def run():
            for answer in answers:
                connection, _ = listener.accept()
                with connection:
                    self.requests.append(connection.recv(4096))
                    connection.sendall(answer)

        threading.Thread(target=run, daemon=True).start()
        return f"127.0.0.1:{listener.getsockname()[1]}"

    def test_the_mounts_stand_by_distance_with_what_they_want(self):
        caster = self.serve(b"HTTP/1.1 200 OK\r\nContent-Type: gnss/sourcetable\r\n\r\n" + self.TABLE)
        status, out, err = run("--at", "47.6", "-87.4", "--caster", caster)
        self.assertEqual((status, err), (0, ""))
        lines = [line.split() for line in out.splitlines() if " km " in line]
        # A degree of latitude has 111.18 km here.
        self.assertEqual([(line[2], line[0]) for line in lines], [("NEAR", "1.1"), ("VRS32", "22.2"), ("FAR", "111.2")])
        self.assertIn("network  wants your position, wants a login", out)
        self.assertIn("offers 3 mounts", out)

    def test_a_caster_of_the_first_version_is_asked_in_its_own(self):
        old = b"SOURCETABLE 200 OK\r\nContent-Type: text/plain\r\n\r\n" + self.TABLE
        caster = self.serve(b"HTTP/1.1 400 Bad Request\r\n\r\n", old)
        status, out, _ = run("--at", "47.6", "-87.4", "--caster", caster)
        self.assertEqual(status, 0)
        self.assertIn("NEAR", out)
        self.assertTrue(self.requests[1].startswith(b"GET / HTTP/1.0"))

    def encrypted(self, certificate):
        """A caster of the process tests that shows this certificate; empty: one that does not encrypt."""
        answer = b"HTTP/1.1 200 OK\r\nContent-Type: gnss/sourcetable\r\n\r\n" + self.TABLE
        caster = casters.Caster(casters.says(answer), certificate=certificate)
        self.addCleanup(caster.close)
        return caster

    def test_with_tls_the_caster_proves_its_name_before_anything_is_sent(self):
        authority = ("--authority", str(casters.CERTIFICATES / "authority.pem"))
        rows = [("good", "localhost", authority, ""), ("good", "127.0.0.1", authority, ""),
                ("good", "localhost", ("--tls",), "unable to get local issuer certificate"),
                ("other", "localhost", authority, "hostname mismatch"), ("expired", "localhost", authority, "certificate has expired"),
                ("good", "localhost", ("--authority", "/nowhere.pem"), "the certificates /nowhere.pem cannot be read: No such file or directory")]
        for certificate, host, options, why in rows:
            with self.subTest(certificate=certificate, host=host, options=options):
                caster = self.encrypted(certificate)
                status, out, err = run("--at", "47.6", "-87.4", "--caster", f"{host}:{caster.port}", *options)
                self.assertEqual((status, "NEAR" in out), (2, False) if why else (0, True), err)
                self.assertIn(why, err)
                if why:
                    self.assertEqual(caster.requests, [])
        status, out, err = run("--at", "47.6", "-87.4", "--tls")
        self.assertEqual((status, out), (2, ""))
        self.assertIn("--tls and --authority go with --caster", err)

    def test_what_is_no_caster_is_said_in_one_sentence(self):
        for name in ("caster.example", "caster.example:0", ":2101"):
            status, out, err = run("--at", "47.6", "-87.4", "--caster", name)
            self.assertEqual((status, out), (2, ""))
            self.assertIn("is no caster; give host and port", err)
        status, out, err = run("--at", "47.6", "-87.4")
        self.assertEqual(status, 2)
        self.assertIn("--date is required, unless --caster", err)


if __name__ == "__main__":
    unittest.main()
