"""Overlap of two discs by numerical integration. Run: python3 make_lens.py"""
import numpy as np
import scipy
from scipy.integrate import dblquad, quad
from toml_rows import Rows

rows = Rows("make_lens.py", "overlap of two discs, and one point seen through two apertures")
V = f"scipy {scipy.__version__}"


def strips(first, second, d):
    """Area and first moment about the first centre, from strips square to the line of centres."""
    low, high = max(-first, d - second), min(first, d + second)
    width = lambda x: 2 * min(np.sqrt(max(first**2 - x * x, 0)), np.sqrt(max(second**2 - (x - d) ** 2, 0)))
    # x = low + (high - low)(1 - cos t)/2 takes the square-root ends away
    half = (high - low) / 2
    place = lambda t: low + half * (1 - np.cos(t))
    cuts = [np.arccos(np.clip(1 - (x - low) / half, -1, 1))
            for x in ([(d * d + first**2 - second**2) / (2 * d)] if d > 0 else []) if low < x < high]
    total = [0.0, 0.0]
    edges = [0.0, *cuts, np.pi]
    for a, b in zip(edges, edges[1:]):
        for k in (0, 1):
            f = lambda t: width(place(t)) * place(t) ** k * half * np.sin(t)
            total[k] += quad(f, a, b, epsabs=0, epsrel=1e-13, limit=400)[0]
    return total[0], total[1] / total[0]


CASES = [
    ("equal discs, half apart", 1.0, 1.0, 1.0), ("pupil of 4 mm, peephole image of 3 mm", 2.0, 1.5, 1.8),
    ("small first disc", 0.7, 2.4, 2.1), ("small second disc", 2.4, 0.7, 2.1), ("centre on the rim", 1.0, 2.0, 2.0),
    ("chord beyond the first centre", 1.2, 3.0, 2.0), ("chord beyond the second centre", 3.0, 1.2, 2.0),
    ("nearly tangent from outside", 1.7, 1.1, 2.8 - 1e-3), ("nearly contained, first in second", 1.1, 1.7, 0.6 + 1e-4),
    ("nearly contained, second in first", 1.7, 1.1, 0.6 + 1e-4), ("first wholly in second", 1.0, 3.0, 1.5),
    ("second wholly in first", 3.0, 1.0, 1.5), ("concentric", 2.0, 1.0, 0.0), ("concentric and equal", 1.3, 1.3, 0.0),
    ("very unequal, a wide peephole's rim", 2.0, 500.0, 499.0), ("very unequal, a pinhole on the pupil's rim", 2.0, 0.01, 1.995),
    ("hardly apart, equal", 1.5, 1.5, 1e-3), ("large scale", 20.0, 15.0, 18.0), ("small scale", 0.02, 0.015, 0.018),
]


def tolerances(first, second, d, area):
    """Area and centroid: what rounding does to the closed form (h: half of the common chord)."""
    slip = 1e-12 * area
    if abs(first - second) < d < first + second:
        c = (d * d + first**2 - second**2) / (2 * d)
        h = np.sqrt(first**2 - c * c)
        slip += 4 * 2.0**-53 * (first**3 + second**3) / h
    return [slip, slip * max(d, first) / area]


rng = np.random.default_rng(1)
for i in range(20):
    r, s = rng.uniform(0.5, 4.0, 2).round(3)
    low, high = abs(r - s), r + s
    CASES.append((f"drawn configuration {i + 1}", r, s, round(float(low + (high - low) * rng.uniform(0.03, 0.97)), 4)))
for name, r, s, d in CASES:
    area, centroid = strips(r, s, d)
    if abs(centroid) < 1e-12:
        centroid = 0.0
    rows.add(name, "disc_overlap", "other_program", "numerical integration of the overlap in strips",
             "mm2, mm", tolerances(r, s, d, area),
             "integration to 1e-13 relative; arccos near 1 costs 2^-53 r/h of an angle, r^2 times that of an area",
             {"first": r, "second": s, "distance": d}, [area, centroid],
             f"make_lens.py strips(): scipy.integrate.quad(width, low, high, epsrel=1e-13), {V}")
for name, r, s, d in CASES[:3]:
    inside = lambda x: (-np.sqrt(max(min(r * r - x * x, s * s - (x - d) ** 2), 0)),
                        np.sqrt(max(min(r * r - x * x, s * s - (x - d) ** 2), 0)))
    low, high = max(-r, d - s), min(r, d + s)
    a = dblquad(lambda y, x: 1.0, low, high, lambda x: inside(x)[0], lambda x: inside(x)[1], epsabs=1e-10)[0]
    m = dblquad(lambda y, x: x, low, high, lambda x: inside(x)[0], lambda x: inside(x)[1], epsabs=1e-10)[0]
    rows.add(name + ", by double integral", "disc_overlap", "other_program", "double integral over the overlap",
             "mm2, mm", [1e-6, 1e-6], "dblquad with kinked bounds reaches some 1e-7",
             {"first": r, "second": s, "distance": d}, [a, m / a], f"scipy.integrate.dblquad(..., epsabs=1e-10), {V}")
rows.add("unit discs one apart", "disc_overlap", "closed_form", "lens of two unit circles: 2π/3 − √3/2; by symmetry the centroid is half way",
         "mm2, mm", 1e-14, "double precision", {"first": 1.0, "second": 1.0, "distance": 1.0},
         [2 * np.pi / 3 - np.sqrt(3) / 2, 0.5])


def clear(x, e, p, hole, D):
    """Share of the pupil that the point lights, and the lit part's centroid, by integrating over the pupil in polar form."""
    lam = (x[2] - e[2]) / (x[2] - hole[2])
    c = x[:2] + lam * (hole[:2] - x[:2]) - e[:2]
    R, r = lam * D / 2, p / 2

    def arc(rho, what):
        # angles at which the circle of radius rho about the pupil's centre lies inside the peephole's image
        d = np.hypot(*c)
        if rho + d <= R: half = np.pi
        elif abs(rho - d) >= R: half = 0.0
        else: half = np.arccos(np.clip((rho * rho + d * d - R * R) / (2 * rho * d), -1, 1))
        return 2 * half * rho if what == 0 else 2 * np.sin(half) * rho * rho
    d = np.hypot(*c)
    cuts = [q for q in (abs(R - d), R + d) if 0 < q < r]
    total = [sum(quad(arc, a, b, args=(k,), epsabs=1e-13, epsrel=1e-12, limit=500)[0]
                 for a, b in zip([0, *sorted(cuts)], [*sorted(cuts), r])) for k in (0, 1)]
    a = (c / d if d > 0 else np.zeros(2)) * total[1] / total[0]
    return total[0] / (np.pi * r * r), a


rng = np.random.default_rng(2)
n = 0
while n < 12:
    e = np.array([*rng.normal(0, 0.8, 2), rng.normal(0, 1.0)]).round(3)
    hole = np.array([*rng.normal(0, 0.4, 2), 12 + rng.normal()]).round(3)
    z = rng.uniform(150, 400)
    x = np.array([*(rng.uniform(-0.1, 0.1, 2) * z), z]).round(2)
    p, D, focus = round(rng.uniform(2, 6), 2), round(rng.uniform(1.0, 6), 2), 280.0
    lam = (x[2] - e[2]) / (x[2] - hole[2])
    c = x[:2] + lam * (hole[:2] - x[:2]) - e[:2]
    if not 0.05 < np.hypot(*c) < 0.9 * (p / 2 + lam * D / 2):
        continue
    share, a = clear(x, e, p, hole, D)
    theta = (x[:2] - e[:2] - a) / (x[2] - e[2]) + a / focus
    rows.add(f"one point through pupil and peephole {n + 1}", "see", "other_program",
             "clear share and centroid by integrating over the pupil in rings; the direction by the model's definition",
             "tangents, then a share", [1e-10, 1e-10, 1e-8], "integration error of the rings",
             {"point": x, "eye": e, "pupil": p, "hole": hole, "peephole": D, "focus": focus}, [*theta, share],
             f"make_lens.py clear(): scipy.integrate.quad over rings, {V}")
    n += 1
rows.write("lens.toml")
