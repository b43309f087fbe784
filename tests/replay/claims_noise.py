"""Errors of known nature, and the bytes of a receiver that has them: what the studies of coverage draw their stays from.

Errors are drawn in claimed sigmas. A series is a function of a source of random numbers and of the times of its epochs
(seconds from the stay's first), and gives one value an epoch.
"""

import math
from datetime import datetime, timedelta, timezone

LAT, LON, ALT, SEPARATION = 47.6, -87.4, 184.5, -36.2
# Metres a degree at 47.6 N and 150 m: radii of curvature of the GRS 80 ellipsoid, to 1e-6.
M_LAT, M_LON = 111178.6, 75193.4
CLAIM_M, CLAIM_UP_M = 0.020, 0.030
AWAY_S = 20  # between two stays: a gap
START = datetime(2026, 6, 3, tzinfo=timezone.utc)



class Markov:
    """Gauss-Markov of variance 1, asked at rising times."""

    def __init__(self, draw, lasting_s):
        self.draw, self.lasting_s = draw, lasting_s
        self.now, self.at_s = draw.gauss(0, 1), None

    def at(self, time_s):
        if self.at_s is not None:
            keep = math.exp(-(time_s - self.at_s) / self.lasting_s)
            self.now = keep * self.now + math.sqrt(1 - keep * keep) * self.draw.gauss(0, 1)
        self.at_s = time_s
        return self.now


def white(draw, times):
    return [draw.gauss(0, 1) for _ in times]


def markov(lasting_s):
    def series(draw, times):
        process = Markov(draw, lasting_s)
        return [process.at(t) for t in times]

    return series


def constant(draw, times):
    return [draw.gauss(0, 1)] * len(times)


def summed(*parts):
    """Of independent series, each with its share of the variance."""
    def series(draw, times):
        drawn = [(math.sqrt(share), part(draw, times)) for share, part in parts]
        return [sum(size * values[i] for size, values in drawn) for i in range(len(times))]

    return series


mixed = summed((0.35, white), (0.5, markov(30)), (0.15, constant))


def flicker(longest):
    """1/f: equal parts that last 1, 4, 16 … 4^longest s."""
    return summed(*((1 / (longest + 1), markov(4**k)) for k in range(longest + 1)))


def random_walk(draw, times):
    """Its variance through the stay and where it begins together are the claim's."""
    steps, at = [], 0.0
    for _ in times:
        steps.append(at)
        at += draw.gauss(0, 1)
    size = math.sqrt(len(times) / 2)  # root mean square over the stay
    begin = draw.gauss(0, math.sqrt(0.5))
    return [begin + math.sqrt(0.5) * s / size for s in steps]


def random_ramp(draw, times):
    """A fifth of the variance is a slope of random size about the middle of the stay, the rest where that lies."""
    slope, middle = draw.gauss(0, math.sqrt(0.2)), draw.gauss(0, math.sqrt(0.8))
    n = len(times)
    return [middle + slope * math.sqrt(12) * ((i + 0.5) / n - 0.5) for i in range(n)]


def swing(draw, times):
    """A sine of 60 to 600 s."""
    period_s, phase = draw.uniform(60, 600), draw.uniform(0, 2 * math.pi)
    return [math.sqrt(2) * math.sin(phase + 2 * math.pi * t / period_s) for t in times]


sine = summed((0.7, swing), (0.2, white), (0.1, constant))


def levels(every_s):
    """A new level at random times."""
    def series(draw, times):
        level, out = draw.gauss(0, 1), []
        for i, t in enumerate(times):
            if i > 0 and draw.random() < (t - times[i - 1]) / every_s:
                level = draw.gauss(0, 1)
            out.append(level)
        return out

    return series


satellite_sets = summed((0.5, markov(60)), (0.5, levels(90)))


def t4(draw, times):
    """Student's t of four degrees, of variance 1."""
    return [draw.gauss(0, 1) * math.sqrt(2 / sum(draw.gauss(0, 1) ** 2 for _ in range(4))) for _ in times]


def smoothed(seconds):
    """White noise that the receiver smoothed over so many seconds; for several epochs a second."""
    def series(draw, times):
        width = max(1, round(seconds / (times[1] - times[0])))
        raw = [draw.gauss(0, 1) for _ in range(len(times) + width)]
        window, out = sum(raw[:width]), []
        for i in range(len(times)):
            out.append(window / math.sqrt(width))
            window += raw[i + width] - raw[i]
        return out

    return series


def telegraph(draw, times):
    """Up and down by one sigma, at random times, 45 s apart in the mean."""
    side, out = draw.choice((-1, 1)), []
    for i, t in enumerate(times):
        if i > 0 and draw.random() < (t - times[i - 1]) / 45:
            side = -side
        out.append(side)
    return out


def bursts(draw, times):
    """Ten seconds in forty are three times as noisy as the others; errors last 5 s. The claim is that of all of them."""
    process, phase = Markov(draw, 5), draw.uniform(0, 40)
    quiet = 1 / math.sqrt((30 + 10 * 9) / 40)
    return [process.at(t) * quiet * (3 if (t + phase) % 40 < 10 else 1) for t in times]


def skewed(draw, times):
    """One-sided, as reflections are: the square of an error that lasts 30 s."""
    process = Markov(draw, 30)
    return [(process.at(t) ** 2 - 1) / math.sqrt(2) for t in times]


def ringing(draw, times):
    """A swing of 40 s that loses its phase within 60 s."""
    a, b = Markov(draw, 60), Markov(draw, 60)
    return [a.at(t) * math.cos(2 * math.pi * t / 40) + b.at(t) * math.sin(2 * math.pi * t / 40) for t in times]


def scaled(factor, base):
    return lambda draw, times: [factor * v for v in base(draw, times)]


def reflections(draw, times):
    """Slow reflections of 1 to 5 minutes at twice the claim."""
    return scaled(2, markov(draw.uniform(60, 300)))(draw, times)


def also(base, path):
    """`path` of the share of the stay that is over, added to one side or the other."""
    def series(draw, times):
        errors, side, n = base(draw, times), draw.choice((-1, 1)), len(times)
        return [e + side * path((i + 0.5) / n) for i, e in enumerate(errors)]

    return series


def falsely(share, sigmas, base=markov(5), last=False):
    """Another level over a part of the stay, at a random place or at its end."""
    def series(draw, times):
        n = len(times)
        length = round(share * n)
        begin = n - length if last else draw.randrange(n - length + 1)
        errors, side = base(draw, times), draw.choice((-1, 1))
        return [e + (side * sigmas if begin <= i < begin + length else 0) for i, e in enumerate(errors)]

    return series


def goes_wrong(sigmas):
    """True for a quarter of the stay, drifts through the next, false for the half."""
    return lambda u: sigmas * min(1.0, max(0.0, (u - 0.25) / 0.25))


def away_and_back(sigmas):
    """Through the middle half of the stay."""
    return lambda u: sigmas * max(0.0, 1 - abs(u - 0.5) / 0.25)


class Kind:
    """`plan` and `up` draw errors in claimed sigmas; `drift` is added along a random direction in plan.

    Bounds: the least share of stays that the 95 % holds, in plan and in height, with the scale verified and not (None:
    none can be given); the most that may be held, and the least that must be called drifting, verified and not.
    """

    def __init__(self, name, plan, verified, unproven, held=1.0, up=None, drift=0, claim_m=CLAIM_M, claim_up_m=CLAIM_UP_M,
                 decimals=8, up_decimals=4, late_s=None, rate_hz=1, narrow=1, caught=(0, 0)):
        self.name, self.plan, self.up = name, plan, up or plan
        self.verified, self.unproven, self.held, self.caught = verified, unproven, held, caught
        self.drift, self.claim_m, self.claim_up_m = drift, claim_m, claim_up_m
        self.decimals, self.up_decimals, self.late_s, self.rate_hz = decimals, up_decimals, late_s, rate_hz
        self.narrow = narrow  # north over east, of the error and of the claim


def right_kinds():
    """The claim is right."""
    return [
        Kind("white", white, 0.98, 0.99, 0.01),
        Kind("lasting 5 s", markov(5), 0.95, 0.98, 0.01),
        Kind("lasting 20 s", markov(20), 0.95, 0.98, 0.01),
        Kind("lasting 60 s", markov(60), 0.95, 0.98, 0.01),
        Kind("lasting 300 s", markov(300), 0.94, 0.98, 0.01),
        Kind("lasting 1000 s", markov(1000), 0.94, 0.98, 0.01),
        Kind("ellipse of 3:1, lasting 60 s", markov(60), 0.94, 0.98, 0.01, narrow=3),
        Kind("white, 10 % bias", summed((0.9, white), (0.1, constant)), 0.95, 0.98, 0.01),
        Kind("white, 30 % bias", summed((0.7, white), (0.3, constant)), 0.95, 0.98, 0.01),
        Kind("mixed with a bias", mixed, 0.95, 0.98, 0.01),
        Kind("flicker of an hour", flicker(6), 0.95, 0.98, 0.01),
        Kind("flicker of a day", flicker(8), 0.94, 0.98, 0.01),
        Kind("flicker with white", summed((0.5, flicker(6)), (0.5, white)), 0.95, 0.98, 0.01),
        Kind("random walk", random_walk, 0.94, 0.98, 0.02),
        Kind("random ramp", random_ramp, 0.94, 0.98, 0.02),
        Kind("sine with a bias", sine, 0.95, 0.98, 0.03),
        Kind("satellite sets", satellite_sets, 0.94, 0.98, 0.02),
        Kind("t4 tails, lasting 60 s", summed((0.5, t4), (0.5, markov(60))), 0.95, 0.98, 0.01),
        Kind("10 Hz smoothed over 2 s", summed((0.6, smoothed(2)), (0.3, markov(60)), (0.1, constant)), 0.95, 0.98, 0.01,
             rate_hz=10),
        Kind("telegraph", telegraph, 0.94, 0.98, 0.02),
        Kind("skewed", skewed, 0.90, 0.95, 0.03),
        Kind("ringing", ringing, 0.95, 0.98, 0.02),
        Kind("claim twice too large", scaled(0.5, markov(60)), 0.98, 0.99, 0.01),
        Kind("claim late by 30 s", white, 0.90, 0.97, late_s=30),
        Kind("claim late by 100 s", white, 0.90, 0.97, late_s=100),
        Kind("altitude to 0.1 m at 12 mm", mixed, 0.93, 0.97, 0.02, claim_up_m=0.012, up_decimals=1),
        Kind("altitude to 0.1 m at 50 mm", mixed, 0.93, 0.97, 0.02, claim_up_m=0.050, up_decimals=1),
        Kind("five decimals at 6 mm", mixed, 0.94, 0.97, 0.02, claim_m=0.006, decimals=5),
        Kind("four decimals at 20 mm", mixed, 0.94, 0.97, 0.02, decimals=4),
    ]


def wrong_kinds():
    """The claim is too small, or the stay is wrong. No bound where a scale that was verified has become wrong."""
    steady = markov(60)
    return [
        Kind("bursts of noise, claim the mean", bursts, 0.94, 0.98),
        Kind("claim 1.5 times too small", scaled(1.5, steady), None, 0.96),
        Kind("claim 2 times too small", scaled(2, steady), None, 0.92),
        Kind("claim 3 times too small", scaled(3, steady), None, 0.88),
        Kind("slow reflections, twice the claim", reflections, None, 0.85),
        Kind("drift by 3 sigma", steady, 0.92, 0.97, drift=3),
        Kind("drift by 5 sigma", steady, 0.94, 0.97, drift=5, caught=(0.45, 0)),
        Kind("drift by 8 sigma", steady, 0.95, 0.98, drift=8, caught=(0.95, 0.5)),
        Kind("drift by 10 sigma", steady, 0.97, 0.98, drift=10, caught=(0.98, 0.9)),
        Kind("drift by 20 sigma", steady, 0.97, 0.98, drift=20, caught=(0.99, 0.99)),
        Kind("goes wrong by 5 sigma", also(steady, goes_wrong(5)), 0.94, 0.97, up=steady),
        Kind("goes wrong by 20 sigma", also(steady, goes_wrong(20)), 0.94, 0.97, up=steady),
        Kind("away by 3 sigma and back", also(steady, away_and_back(3)), 0.85, 0.97, up=steady),
        Kind("away by 5 sigma and back", also(steady, away_and_back(5)), 0.90, 0.97, up=steady),
        Kind("away by 20 sigma and back", also(steady, away_and_back(20)), 0.94, 0.97, up=steady),
        Kind("false fix, 10 % at 5 sigma", falsely(0.1, 5), 0.90, 0.97, up=markov(5)),
        Kind("false fix, 30 % at 5 sigma", falsely(0.3, 5), 0.90, 0.97, up=markov(5)),
        Kind("false fix, 50 % at 4 sigma", falsely(0.5, 4, steady), 0.80, 0.97, up=steady),
        Kind("false fix, the last 90 % at 3 sigma", falsely(0.9, 3, steady, last=True), None, 0.85, up=steady),
        Kind("false fix, the last 90 % at 5 sigma", falsely(0.9, 5, steady, last=True), None, 0.85, up=steady),
    ]


def sentence(body):
    total = 0
    for c in body:
        total ^= ord(c)
    return f"${body}*{total:02X}\r\n"


def angle(value, degrees, decimals):
    value = abs(value)
    whole = int(value)
    minutes = round((value - whole) * 60, decimals)
    return f"{whole:0{degrees}d}{minutes:0{decimals + 3}.{decimals}f}"


class Place:
    """Where a stay is: somewhere within the last digits, so that their phase differs from stay to stay."""

    def __init__(self, draw):
        self.lat, self.lon = LAT + draw.uniform(0, 2) / M_LAT, LON + draw.uniform(0, 2) / M_LON
        self.height = ALT + SEPARATION + draw.uniform(0, 1)


TRUE_GROWTH = 3  # true sigma over the first one, from three tenths of a stay on, where the claim is late


def claimed(u, seconds, late_s):
    """What a claim says of it that follows late; `u`: the share of the stay that is over."""
    since_s = (u - 0.3) * seconds
    return 1 if since_s < 0 else math.sqrt(TRUE_GROWTH**2 - (TRUE_GROWTH**2 - 1) * math.exp(-since_s / late_s))


def write_epoch(out, kind, draw, now, place, east_m, north_m, up_m, claim=1.0):
    clock, date = now.strftime("%H%M%S.") + f"{now.microsecond // 10000:02d}", now.strftime("%d%m%y")
    lat = angle(place.lat + north_m / M_LAT, 2, kind.decimals)
    lon = angle(place.lon + east_m / M_LON, 3, kind.decimals)
    height = f"{place.height + up_m - SEPARATION:.{kind.up_decimals}f}"
    sigma, sigma_up = claim * kind.claim_m, claim * kind.claim_up_m
    out.write(sentence(f"GNGGA,{clock},{lat},N,{lon},W,4,14,0.7,{height},M,{SEPARATION:.4f},M,1.0,0417"))
    # The range residuals change, or a stream of coarse digits would be one that repeats itself.
    residual = f"{draw.uniform(0.3, 0.7):.3f}"
    out.write(sentence(f"GNGST,{clock},{residual},,,,{sigma:.4f},{sigma / kind.narrow:.4f},{sigma_up:.4f}"))
    out.write(sentence(f"GNRMC,{clock},A,{lat},N,{lon},W,0.010,,{date},,,R,V"))


def write_stay(out, kind, draw, at, place, seconds):
    times = [i / kind.rate_hz for i in range(seconds * kind.rate_hz)]
    east, north, up = kind.plan(draw, times), kind.plan(draw, times), kind.up(draw, times)
    direction = draw.uniform(0, 2 * math.pi)
    for i, t in enumerate(times):
        u = (i + 0.5) / len(times)
        size, claim = 1, 1
        if kind.late_s is not None:
            size, claim = TRUE_GROWTH if u >= 0.3 else 1, claimed(u, seconds, kind.late_s)
        along = kind.drift * u
        write_epoch(out, kind, draw, at + timedelta(seconds=t), place,
                    kind.claim_m / kind.narrow * (size * east[i] + along * math.cos(direction)),
                    kind.claim_m * (size * north[i] + along * math.sin(direction)), kind.claim_up_m * size * up[i], claim)
