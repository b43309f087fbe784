"""Published stations through the whole way: a one-epoch NMEA log, the real stillpoint-reduce, the printed point.

The program's path comes in STILLPOINT_REDUCE. Every row names its publication. The input is moved with its published
velocity to the output epoch, written as GGA, GST and RMC with nine decimals of a minute, and transformed there by the
program; the printed latitude, longitude and height go back to X-Y-Z by the closed formula below.
"""

import json
import math
import os
import pathlib
import subprocess
import tempfile
import unittest

PROGRAM = os.environ["STILLPOINT_REDUCE"]

A = 6378137.0
E2 = (1 / 298.257222101) * (2 - 1 / 298.257222101)

# name, from, to, input X-Y-Z, input epoch, velocity, output epoch, output X-Y-Z (None: not in the stored excerpt), m
STATIONS = [
    ("UAAG, NGS uaag.pv, 16 Nov 2007", "ITRF2000", "NAD83(CORS96)", (-2663934.32, -1548947.592, 5565691.862), 1997.0,
     (-0.0139, -0.0003, 0.0), 2003.0, (-2663933.619, -1548948.643, 5565691.476), 0.003),
    ("WMTS, NGS wmts.pv, Mar 2006", "ITRF2000", "NAD83(CORS96)", (1521430.995, -4458448.174, 4285377.687), 1997.0,
     (-0.0173, -0.0019, 0.0045), 2002.0, (1521431.544, -4458449.625, 4285377.798), 0.003),
    ("ALLG, NGS, 10 Apr 2006", "ITRF2000", "NAD83(CORS96)", (960972.827, -4822645.3, 4048582.118), 1997.0,
     (-0.0166, -0.0017, -0.0022), 2002.0, (960973.367, -4822646.75, 4048582.226), 0.003),
    ("MEGO, NGS, 5 Apr 2019", "IGS08", "NAD83(2011)", (1545935.577, -4353759.673, 4382599.591), 2005.0,
     (-0.0157, -0.0016, 0.004), 2010.0, (1545936.281, -4353761.106, None), 0.003),
    ("TTCD, NGS ttcd_14, 28 Mar 2025", "ITRF2014", "NAD83(2011)", (1097053.13, -4897222.404, 3923142.59), 2010.0,
     (0, 0, 0), 2010.0, (1097053.884, -4897223.864, None), 0.003),
    ("IOGP 373-7-2, methods 1053 and 1056", "ITRF2008", "GDA94", (-3789470.71, 4841770.404, -1690893.952), 2013.9,
     (0, 0, 0), 2013.9, (-3789470.004, 4841770.686, -1690895.108), 0.001),
    ("ALIC, ICSM GDA2020 Technical Manual 1.0", "ITRF2014", "GDA2020", (-4052052.6588, 4212835.9938, -2545104.6946),
     2018.0, (0, 0, 0), 2018.0, (-4052052.7373, 4212835.9835, -2545104.5867), 0.0001),
    ("MALA00ESP, EPN C2235, 22 Feb 2023", "ETRF2000", "ETRF2014", (5103282.405, -392096.768, 3793146.874), 2010.0,
     (0, 0, 0), 2010.0, (5103282.356, -392096.809, 3793146.918), 0.0015),
    ("Alice Springs, ICSM GDA2020 Technical Manual 1.0", "GDA94", "GDA2020",
     (-4052051.7643, 4212836.2017, -2545106.0245), 2020.0, (0, 0, 0), 2020.0,
     (-4052052.7379, 4212835.9897, -2545104.5898), 0.0001),
]
PRINTED_M = 0.0001  # heights are printed to at least four decimals

CONFIG = """
[project]
name = "Published stations"
crew = "A"
frame = "{to}"
coordinate_epoch = {project_epoch}
height = "ellipsoid"
pointbook = "stations.gpkg"
record = "record"
{velocity}

[[feed]]
kind = "replay"
file = "station.nmea"

[antenna]
vertical_parts_m = {{ pole = {antenna} }}

[[source]]
name = "network"
match = {{ station = ["417"] }}
frame = "{source}"
coordinate_epoch = {epoch}
evidence = "published"
[source.gate]
quality = ["rtk-fixed"]
fresh_age_s = 3.0
max_age_s = 10.0
"""


def to_xyz(latitude_deg, longitude_deg, height_m):
    latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
    normal = A / math.sqrt(1 - E2 * math.sin(latitude) ** 2)
    return ((normal + height_m) * math.cos(latitude) * math.cos(longitude),
            (normal + height_m) * math.cos(latitude) * math.sin(longitude),
            (normal * (1 - E2) + height_m) * math.sin(latitude))


def to_llh(x, y, z):
    """Plain iteration of the latitude; converges to the last digit in a dozen rounds."""
    across = math.hypot(x, y)
    latitude = math.atan2(z, across * (1 - E2))
    for _ in range(20):
        normal = A / math.sqrt(1 - E2 * math.sin(latitude) ** 2)
        latitude = math.atan2(z + E2 * normal * math.sin(latitude), across)
    normal = A / math.sqrt(1 - E2 * math.sin(latitude) ** 2)
    height = across * math.cos(latitude) + z * math.sin(latitude) - A * A / normal
    return math.degrees(latitude), math.degrees(math.atan2(y, x)), height


def sentence(body):
    check = 0
    for byte in body.encode("ascii"):
        check ^= byte
    return f"${body}*{check:02X}\r\n"


def minutes(value_deg, digits, letters):
    whole, rest = divmod(round(abs(value_deg) * 60 * 10**9), 60 * 10**9)
    return f"{whole:0{digits}d}{rest // 10**9:02d}.{rest % 10**9:09d},{letters[value_deg < 0]}"


def log_of(latitude_deg, longitude_deg, height_m, date):
    place = minutes(latitude_deg, 2, "NS") + "," + minutes(longitude_deg, 3, "EW")
    separation_m = -30.5
    return (sentence(f"GNGGA,120000.00,{place},4,12,0.70,{height_m - separation_m:.5f},M,{separation_m},M,1.0,0417")
            + sentence("GNGST,120000.00,0.5,0.010,0.010,0.0,0.010,0.010,0.020")
            + sentence(f"GNRMC,120000.00,A,{place},0.0,,{date},,,R,V"))


def reduced(source, to, epoch, llh, date="030626", antenna_m=0.0, project_epoch='"observation"', velocity=""):
    with tempfile.TemporaryDirectory() as folder:
        config, log = pathlib.Path(folder, "day.toml"), pathlib.Path(folder, "station.nmea")
        config.write_text(CONFIG.format(to=to, source=source, epoch=epoch, antenna=antenna_m,
                                        project_epoch=project_epoch, velocity=velocity), encoding="utf-8")
        log.write_bytes(log_of(*llh, date).encode("ascii"))
        run = subprocess.run([PROGRAM, "--config", config, "--log", log, "--epochs"], capture_output=True, text=True,
                             timeout=60)
        lines = [json.loads(line) for line in run.stdout.splitlines()]
        return run, lines


def transverse_mercator(latitude_deg, longitude_deg, a, f, origin_deg, meridian_deg, scale, false_m):
    """Krueger's series in the third flattening to its sixth power, as Karney gives it (Journal of Geodesy 85, 2011,
    equation 35; coefficients from memory, held to a printed example below)."""
    n = f / (2 - f)
    e = math.sqrt(f * (2 - f))
    alpha = [
        n / 2 - 2 * n**2 / 3 + 5 * n**3 / 16 + 41 * n**4 / 180,
        13 * n**2 / 48 - 3 * n**3 / 5 + 557 * n**4 / 1440,
        61 * n**3 / 240 - 103 * n**4 / 140,
        49561 * n**4 / 161280,
    ]
    radius = a / (1 + n) * (1 + n**2 / 4 + n**4 / 64)

    def plane(latitude, from_meridian):
        tau = math.tan(latitude)
        sigma = math.sinh(e * math.atanh(e * math.sin(latitude)))
        conformal = tau * math.hypot(1, sigma) - sigma * math.hypot(1, tau)
        xi = math.atan2(conformal, math.cos(from_meridian))
        eta = math.asinh(math.sin(from_meridian) / math.hypot(conformal, math.cos(from_meridian)))
        north = xi + sum(c * math.sin(2 * j * xi) * math.cosh(2 * j * eta) for j, c in enumerate(alpha, 1))
        east = eta + sum(c * math.cos(2 * j * xi) * math.sinh(2 * j * eta) for j, c in enumerate(alpha, 1))
        return scale * radius * east, scale * radius * north

    east, north = plane(math.radians(latitude_deg), math.radians(longitude_deg - meridian_deg))
    return false_m[0] + east, false_m[1] + north - plane(math.radians(origin_deg), 0.0)[1]


def conic(latitude_deg, longitude_deg, parallels_deg, origin_deg, meridian_deg, false_m):
    """Lambert's conformal conic with two parallels in closed form (Snyder, USGS Professional Paper 1395, page 108)."""
    e = math.sqrt(E2)

    def m(latitude):
        return math.cos(latitude) / math.sqrt(1 - E2 * math.sin(latitude) ** 2)

    def t(latitude):
        s = e * math.sin(latitude)
        return math.tan(math.pi / 4 - latitude / 2) / ((1 - s) / (1 + s)) ** (e / 2)

    first, second = map(math.radians, parallels_deg)
    n = (math.log(m(first)) - math.log(m(second))) / (math.log(t(first)) - math.log(t(second)))
    f = m(first) / (n * t(first) ** n)
    rho, rho0 = (A * f * t(math.radians(latitude)) ** n for latitude in (latitude_deg, origin_deg))
    theta = n * math.radians(longitude_deg - meridian_deg)
    return false_m[0] + rho * math.sin(theta), false_m[1] + rho0 - rho * math.cos(theta)


FT_US_M = 1200 / 3937
# The stored excerpt of TTCD has X, Y and the latitude in NAD83(2011); they fix the longitude and the height.
TTCD_LATITUDE_DEG = 38 + 12 / 60 + 8.50548 / 3600
TTCD_LONGITUDE_DEG = math.degrees(math.atan2(-4897223.864, 1097053.884))
TTCD_HEIGHT_M = math.hypot(1097053.884, 4897223.864) / math.cos(math.radians(TTCD_LATITUDE_DEG)) - A / math.sqrt(
    1 - E2 * math.sin(math.radians(TTCD_LATITUDE_DEG)) ** 2)
GRS80_F = 1 / 298.257222101
# Zone constants of Virginia North from memory of NOAA Manual NOS NGS 5; its false origin is rounded to 0.001 ft.
PROJECTED = [
    ("UTM zone 18N in metres", "EPSG:6347",
     transverse_mercator(TTCD_LATITUDE_DEG, TTCD_LONGITUDE_DEG, A, GRS80_F, 0.0, -75.0, 0.9996, (500000.0, 0.0))),
    ("state plane counted in US survey feet", "EPSG:6593",
     conic(TTCD_LATITUDE_DEG, TTCD_LONGITUDE_DEG, (38 + 2 / 60, 39 + 12 / 60), 37 + 40 / 60, -78.5,
           (11482916.667 * FT_US_M, 6561666.667 * FT_US_M))),
]


class Projected(unittest.TestCase):
    def test_the_series_gives_the_printed_example_of_the_transverse_mercator(self):
        # IOGP 373-7-2, method 9807: Airy 1830, British National Grid, 50 30 N 0 30 E; values from memory.
        east, north = transverse_mercator(50.5, 0.5, 6377563.396, 1 / 299.32496, 49.0, -2.0, 0.9996012717,
                                          (400000.0, -100000.0))
        self.assertAlmostEqual(east, 577274.99, delta=0.01)
        self.assertAlmostEqual(north, 69740.50, delta=0.01)

    def test_a_published_station_has_its_easting_and_northing_in_metres(self):
        _, source, _, xyz, _, _, until, _, tolerance = STATIONS[4]
        for name, to, (east_m, north_m) in PROJECTED:
            with self.subTest(name):
                run, lines = reduced(source, to, until, to_llh(*xyz))
                points = [line for line in lines if "point" in line]
                self.assertEqual(len(points), 1, run.stderr + run.stdout)
                self.assertEqual(points[0]["frame"], to)
                self.assertAlmostEqual(points[0]["easting_m"], east_m, delta=tolerance + PRINTED_M)
                self.assertAlmostEqual(points[0]["northing_m"], north_m, delta=tolerance + PRINTED_M)
                self.assertAlmostEqual(points[0]["ellipsoid_height_m"], TTCD_HEIGHT_M, delta=tolerance + PRINTED_M)

    def test_a_geographic_project_has_no_easting(self):
        _, source, to, xyz, _, _, until, _, _ = STATIONS[4]
        _, lines = reduced(source, to, until, to_llh(*xyz))
        point = next(line for line in lines if "point" in line)
        self.assertIsNone(point["easting_m"])
        self.assertIsNone(point["northing_m"])


class PointMotion(unittest.TestCase):
    # IOGP 373-7-2, method 1064: X-Y-Z and velocity in metres a year, 2005.0 to 2010.0, printed to 0.1 mm.
    START = (2845456.0813, 2160954.2453, 5265993.2296)
    VELOCITY = (-0.0212, 0.0124, 0.0072)
    EXPECTED = (2845455.9753, 2160954.3073, 5265993.2656)

    def velocity_line(self):
        latitude_deg, longitude_deg, _ = to_llh(*self.START)
        latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
        x, y, z = (1000 * v for v in self.VELOCITY)
        across = math.cos(longitude) * x + math.sin(longitude) * y
        east = -math.sin(longitude) * x + math.cos(longitude) * y
        north = -math.sin(latitude) * across + math.cos(latitude) * z
        up = math.cos(latitude) * across + math.sin(latitude) * z
        return f"site_velocity_mm_per_year = {{ east = {east:.9f}, north = {north:.9f}, up = {up:.9f} }}"

    def test_the_example_of_method_1064_comes_out(self):
        run, lines = reduced("ITRF2000", "ITRF2000", 2005.0, to_llh(*self.START), project_epoch=2010.0,
                             velocity=self.velocity_line())
        points = [line for line in lines if "point" in line]
        self.assertEqual(len(points), 1, run.stderr + run.stdout)
        self.assertEqual(points[0]["coordinate_epoch"], 2010.0)
        found = to_xyz(points[0]["latitude_deg"], points[0]["longitude_deg"], points[0]["ellipsoid_height_m"])
        for got, want in zip(found, self.EXPECTED):
            self.assertAlmostEqual(got, want, delta=5e-5 + PRINTED_M)

    def test_a_project_epoch_without_a_velocity_stops_the_run(self):
        run, lines = reduced("ITRF2000", "ITRF2000", 2005.0, to_llh(*self.START), project_epoch=2010.0)
        self.assertEqual((run.returncode, lines), (2, []))
        self.assertIn("site_velocity_mm_per_year is required", run.stderr)


class PublishedStations(unittest.TestCase):
    def test_each_comes_out_where_its_publication_says(self):
        for name, source, to, xyz, epoch, velocity, until, expected, tolerance in STATIONS:
            with self.subTest(name):
                moved = [c + v * (until - epoch) for c, v in zip(xyz, velocity)]
                run, lines = reduced(source, to, until, to_llh(*moved))
                points = [line for line in lines if "point" in line]
                self.assertEqual(len(points), 1, run.stderr + run.stdout)
                point = points[0]
                self.assertEqual(point["epochs_used"], 1, run.stdout)
                self.assertEqual(point["coordinate_epoch"], until)
                found = to_xyz(point["latitude_deg"], point["longitude_deg"], point["ellipsoid_height_m"])
                for got, want in zip(found, expected):
                    if want is not None:
                        self.assertAlmostEqual(got, want, delta=tolerance + PRINTED_M)

    def test_the_antenna_height_comes_off_at_the_station(self):
        # UAAG's phase centre is 0.071 m above its reference point (uaag.pv); the point must be the reference point.
        _, source, to, xyz, epoch, velocity, until, expected, tolerance = STATIONS[0]
        latitude, longitude, height = to_llh(*[c + v * (until - epoch) for c, v in zip(xyz, velocity)])
        _, lines = reduced(source, to, until, (latitude, longitude, height + 0.071), antenna_m=0.071)
        point = next(line for line in lines if "point" in line)
        self.assertAlmostEqual(point["antenna_height_m"], 0.071, delta=1e-9)
        found = to_xyz(point["latitude_deg"], point["longitude_deg"], point["ellipsoid_height_m"])
        for got, want in zip(found, expected):
            self.assertAlmostEqual(got, want, delta=tolerance + PRINTED_M)

    def test_an_observation_source_is_transformed_at_the_date_of_its_epochs(self):
        # ICSM GDA2020 Technical Manual: the plate moves 7 cm a year at Alice Springs; GDA2020 and ITRF2014 agree at
        # 2020.0, so six and a half years later a position has to come back by the rotation rates' length.
        _, source, to, xyz, *_ = STATIONS[6]
        _, lines = reduced(source, to, '"observation"', to_llh(*xyz))
        point = next(line for line in lines if "point" in line)
        self.assertAlmostEqual(point["coordinate_epoch"], 2026.4205, delta=0.0005)
        found = to_xyz(point["latitude_deg"], point["longitude_deg"], point["ellipsoid_height_m"])
        mas = math.radians(1 / 3600 / 1000)
        rates = [rate * mas for rate in (1.50379, 1.18346, 1.20716)]  # coordinate frame rotation, EPSG:8049
        years = point["coordinate_epoch"] - 2020.0
        expected = [
            xyz[0] + years * (rates[2] * xyz[1] - rates[1] * xyz[2]),
            xyz[1] + years * (-rates[2] * xyz[0] + rates[0] * xyz[2]),
            xyz[2] + years * (rates[1] * xyz[0] - rates[0] * xyz[1]),
        ]
        self.assertGreater(math.dist(found, xyz), 0.4)
        self.assertLess(math.dist(found, expected), 0.0005)

    def test_without_a_date_the_epoch_is_refused(self):
        _, source, to, xyz, *_ = STATIONS[6]
        run, lines = reduced(source, to, '"observation"', to_llh(*xyz), date="")
        epochs = [line for line in lines if "verdict" in line]
        self.assertEqual([epoch["verdict"] for epoch in epochs], ["refused"], run.stdout + run.stderr)
        self.assertIn("no-date", epochs[0]["reasons"])

    def test_on_the_wrong_continent_the_epoch_is_refused(self):
        run, lines = reduced("ITRF2014", "GDA2020", '"observation"', (48.8566, 2.3522, 80.0))
        epochs = [line for line in lines if "verdict" in line]
        self.assertEqual([epoch["verdict"] for epoch in epochs], ["refused"], run.stdout + run.stderr)
        self.assertIn("frame", epochs[0]["reasons"])

    def test_a_source_called_wgs_84_stops_the_run(self):
        run, lines = reduced("WGS 84", "GDA2020", '"observation"', (-23.67, 133.885, 603.0))
        self.assertEqual((run.returncode, lines), (2, []))
        self.assertIn('"WGS 84" does not say which realization', run.stderr)


if __name__ == "__main__":
    unittest.main()
