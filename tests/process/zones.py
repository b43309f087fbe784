"""State plane zones by the formulas of the handbooks, in metres: what deliveries in feet are held against.

Lambert conformal conic with two standard parallels: J. P. Snyder, Map Projections: A Working Manual, USGS Professional
Paper 1395 (1987), equations 15-1 to 15-10 and 14-15. Transverse Mercator: L. Krueger's series in the third flattening as
in C. F. F. Karney, Transverse Mercator with an accuracy of a few nanometers, Journal of Geodesy 85 (2011), equations 7, 9
and 35, to the fourth order (below 1 mm by far inside a zone). The numbers of the zones are those of J. E. Stem, State
Plane Coordinate System of 1983, NOAA Manual NOS NGS 5 (1989), appendix A, written down from memory.
"""
import math

A, F = 6378137.0, 1 / 298.257222101  # GRS 80
E = math.sqrt(F * (2 - F))


def dm(degrees, minutes=0):
    return math.copysign(abs(degrees) + minutes / 60, degrees)


def lambert(lat, lon, south, north, origin, meridian, false_east, false_north):
    def m(phi):
        return math.cos(phi) / math.sqrt(1 - (E * math.sin(phi)) ** 2)

    def t(phi):
        s = E * math.sin(phi)
        return math.tan(math.pi / 4 - phi / 2) / ((1 - s) / (1 + s)) ** (E / 2)

    phi, phi1, phi2, phi0 = (math.radians(v) for v in (lat, south, north, origin))
    n = (math.log(m(phi1)) - math.log(m(phi2))) / (math.log(t(phi1)) - math.log(t(phi2)))
    scale = A * m(phi1) / (n * t(phi1) ** n)
    rho, rho0, theta = scale * t(phi) ** n, scale * t(phi0) ** n, n * math.radians(lon - meridian)
    return false_east + rho * math.sin(theta), false_north + rho0 - rho * math.cos(theta)


N = F / (2 - F)
ALPHA = (N / 2 - 2 * N**2 / 3 + 5 * N**3 / 16 + 41 * N**4 / 180, 13 * N**2 / 48 - 3 * N**3 / 5 + 557 * N**4 / 1440,
         61 * N**3 / 240 - 103 * N**4 / 140, 49561 * N**4 / 161280)
RADIUS = A / (1 + N) * (1 + N**2 / 4 + N**4 / 64)


def mercator(lat, lon, origin, meridian, scale, false_east, false_north):
    def series(phi, lam):
        tau = math.tan(phi)
        sigma = math.sinh(E * math.atanh(E * tau / math.hypot(1, tau)))
        conformal = tau * math.hypot(1, sigma) - sigma * math.hypot(1, tau)
        xi = math.atan2(conformal, math.cos(lam))
        eta = math.asinh(math.sin(lam) / math.hypot(conformal, math.cos(lam)))
        terms = list(enumerate(ALPHA, 1))
        return (xi + sum(a * math.sin(2 * j * xi) * math.cosh(2 * j * eta) for j, a in terms),
                eta + sum(a * math.cos(2 * j * xi) * math.sinh(2 * j * eta) for j, a in terms))

    xi, eta = series(math.radians(lat), math.radians(lon - meridian))
    xi0, _ = series(math.radians(origin), 0)
    return false_east + scale * RADIUS * eta, false_north + scale * RADIUS * (xi - xi0)


FOOT, SURVEY_FOOT = 0.3048, 1200 / 3937
# name, code, unit word, metres in it, a place in the zone, east and north of it in metres
ZONES = (
    ("Michigan North (ft)", "EPSG:6496", "ft", FOOT, (47.6, -87.4),
     lambda lat, lon: lambert(lat, lon, dm(45, 29), dm(47, 5), dm(44, 47), -87, 8000000, 0)),
    ("Texas Central (ftUS)", "EPSG:6578", "ft-us", SURVEY_FOOT, (30.8, -98.4),
     lambda lat, lon: lambert(lat, lon, dm(30, 7), dm(31, 53), dm(29, 40), dm(-100, 20), 700000, 3000000)),
    ("Illinois East (ftUS)", "EPSG:6455", "ft-us", SURVEY_FOOT, (42.2, -87.6),
     lambda lat, lon: mercator(lat, lon, dm(36, 40), dm(-88, 20), 1 - 1 / 40000, 300000, 0)),
    ("Arizona Central (ft)", "EPSG:6405", "ft", FOOT, (33.67, -111.15),
     lambda lat, lon: mercator(lat, lon, 31, dm(-111, 55), 1 - 1 / 10000, 213360, 0)),
)
