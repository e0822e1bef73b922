"""Taut lines: sag, load, loss along the threading. Run: python3 make_mechanics.py"""
import numpy as np
import scipy
from scipy.integrate import solve_bvp
from model_check import capstan_shares
from toml_rows import Rows

rows = Rows("make_mechanics.py", "taut lines")
NP, SP = f"numpy {np.__version__}", f"scipy {scipy.__version__}"
HANDBOOK = "civil-engineering handbooks: catenary sag (H/w)(cosh(wL/2H) - 1), parabola w L^2/(8H), valid for sag/span up to 1/20"

rows.add("catenary of a heavy cable", "sag_of_catenary", "closed_form", HANDBOOK, "m", 5e-7, "computed to six decimals",
         {"weight": 10.0, "span": 100.0, "tension": 500.0}, 27.154032)
rows.add("parabola of a heavy cable", "sag_of_parabola", "published", HANDBOOK, "m", 1e-12, "an exact number",
         {"weight": 10.0, "span": 100.0, "tension": 500.0}, 25.0)
w = 1140 * np.pi * 0.0002**2 / 4 * 9.80665                       # N/m
for tension, sag in ((2.0, 0.003512), (5.0, 0.001405)):
    rows.add(f"own weight of 0.20 mm nylon at {tension} N", "sag_of_parabola", "published", HANDBOOK + "; density from a fibre table (specific gravity 1.14)",
             "mm", 5.1e-7, "computed to six decimals", {"weight": w * 1e-3, "span": 400.0, "tension": tension}, sag)
    rows.add(f"own weight of 0.20 mm nylon at {tension} N, catenary", "sag_of_catenary", "closed_form", HANDBOOK,
             "mm", 1e-14, "the taut limit must lose no digits: error of the parabola is 1e-10 relative", {"weight": w * 1e-3, "span": 400.0, "tension": tension},
             w * 1e-3 * 400.0**2 / (8 * tension) * (1 + (w * 0.4 / tension) ** 2 / 48))
from decimal import Decimal, getcontext
getcontext().prec = 50
for share in ("0.01", "0.02", "0.05", "0.0886"):
    # sag/span of the parabola = wL/8H
    x = 8 * Decimal(share)
    cosh = ((x / 2).exp() + (-x / 2).exp()) / 2
    error = 1 - (x / 8) / ((cosh - 1) / x)
    rows.add(f"the parabola's error at sag/span {share}", "parabola_error", "closed_form", HANDBOOK + "; error about (wL/H)^2/48", "share of the sag", 1e-12,
             "double precision; 50 decimal digits in the script", {"sag_share": float(share)}, float(error))
rows.add("largest sag that the taut-line formula is used for", "largest_sag_share", "published", HANDBOOK, "sag/span", 1e-15, "an exact number", {}, 0.05)

CABLE = "general cable theorem: y = M/H with M of the simply supported beam"
def sag(name, kind, source, tolerance, reason, length, own, loads, tension, at, expected, call=None):
    rows.add(name, "loaded_span", kind, source, "mm", tolerance, reason,
             {"length": length, "weight": own, "loads": loads, "tension": tension, "at": at}, expected, call)
sag("one rod's weight", "published", CABLE + "; W a(L-a)/(L H)", 1e-12, "exact numbers", 400.0, 0.0, [[100.0, 0.02]], 5.0, [100.0, 200.0], [0.300, 0.200])
sag("one rod's weight at mid-span", "published", CABLE + "; W L/(4 H)", 1e-12, "exact numbers", 400.0, 0.0, [[200.0, 0.02]], 5.0, [200.0], [0.400])
sag("two rods' weights", "published", CABLE, 1e-12, "exact numbers", 400.0, 0.0, [[100.0, 0.02], [250.0, 0.03]], 5.0, [100.0, 200.0, 250.0], [0.525, 0.650, 0.7125])
rng = np.random.default_rng(5)
for n in range(4):
    L, N = 300.0, 300
    own, tension = round(rng.uniform(0, 2e-5), 8), round(rng.uniform(1, 8), 2)
    loads = [[float(a), round(rng.uniform(0.005, 0.04), 4)] for a in rng.choice(np.arange(5, 295), 3 + n, replace=False)]
    # a taut string on nodes 1 mm apart: T*(y[i-1] - 2 y[i] + y[i+1])/h = -load at the node; exact at the nodes
    m = (np.diag(np.full(N - 1, -2.0)) + np.diag(np.ones(N - 2), 1) + np.diag(np.ones(N - 2), -1)) * tension
    load = np.full(N - 1, own)
    for a, weight in loads:
        load[int(a) - 1] += weight
    y = np.linalg.solve(m, -load)
    at = [float(v) for v in (3, 50, 111, 150, 222, 297)]
    sag(f"string on a grid {n + 1}", "other_program", "equilibrium of every node of a taut string", 1e-10, "a linear system of 299 nodes in double precision",
        L, own, loads, tension, at, [y[int(v) - 1] for v in at], f"numpy.linalg.solve(tridiagonal, -load), {NP}")
# the exact large-slope equation of a heavy line, H y'' = -w sqrt(1 + y'^2), against the taut-line formula near its bound
for share, tol in ((0.005, 1e-4), (0.02, 1.1e-3), (0.05, 4e-3)):
    L, w = 400.0, 1e-3
    H = w * L / (8 * share)
    s = np.linspace(0, L, 2001)
    sol = solve_bvp(lambda x, y: np.vstack([y[1], -w / H * np.sqrt(1 + y[1] ** 2)]), lambda a, b: np.array([a[0], b[0]]), s,
                    np.vstack([share * L * np.sin(np.pi * s / L), np.zeros_like(s)]), tol=1e-10, max_nodes=100000)
    assert sol.success
    sag(f"exact heavy line at sag/span {share}", "other_program", "H y'' = -w sqrt(1 + y'^2), solved as a boundary value problem", share * L * tol,
        "the parabola's error, (wL/H)^2/48 = (8 sag/span)^2/48, with a fifth to spare", L, w, [], H, [100.0, 200.0, 350.0], sol.sol([100.0, 200.0, 350.0])[0],
        f"scipy.integrate.solve_bvp(tol=1e-10), {SP}")

EULER = "L. Euler; J. A. Eytelwein 1808: T2 = T1 exp(mu phi)"
for mu, turns, ratio, digits in ((0.2, 1.0, 3.513586, 6), (0.25, 0.5, 2.193280, 6), (0.3, 3.0, 285.678, 3)):
    rows.add(f"capstan, friction {mu}, {turns} turns", "capstan_ratio", "closed_form", EULER, "T2/T1", 0.6 * 10**-digits, "last digit of the computed ratio",
             {"friction": mu, "bend": 2 * np.pi * turns}, ratio)
for name, a, b, angle in (("straight on", [0, 0, 1], [0, 0, 2], 0.0), ("square", [0, 0, 3], [2, 0, 0], np.pi / 2), ("back on itself", [0, 0, 1], [0, 0, -1], np.pi),
                          ("60 degrees", [1, 0, 0], [1, np.sqrt(3), 0], np.pi / 3), ("a millionth", [1, 0, 0], [1, 1e-6, 0], np.arctan(1e-6))):
    rows.add(f"bend, {name}", "bend", "closed_form", "elementary geometry", "rad", 1e-16 + 4e-16 * angle, "double precision", {"arriving": a, "leaving": b}, angle)
z0, z1 = 160.0, 380.0
square = [[-10.0, -10.0], [10.0, -10.0], [10.0, 10.0], [-10.0, 10.0]]
for mu in (0.1, 0.25):
    rows.add(f"parallel runs on a square, friction {mu}", "tension_shares", "closed_form", EULER + "; each crossing bends the line by half a turn in all", "share", 1e-14, "double precision",
             {"front": [[*p, z0] for p in square], "rear": [[*p, z1] for p in square], "order": [0, 1, 2, 3], "enters_front": True, "friction": mu, "pulled_last": False},
             [np.exp(-mu * np.pi * k) for k in range(4)])
# two runs that lean apart, worked by hand: both bends of the crossing are a right angle plus the lean
lean = np.arctan((30.0 - 10.0) / (z1 - z0))
rows.add("two leaning runs", "tension_shares", "closed_form", EULER + "; crossing over the rear bends by pi/2 + lean at each hole", "share", 1e-14, "double precision",
         {"front": [[-10.0, 0, z0], [10.0, 0, z0]], "rear": [[-30.0, 0, z1], [30.0, 0, z1]], "order": [0, 1], "enters_front": True, "friction": 0.2, "pulled_last": False},
         [1.0, np.exp(-0.2 * (np.pi + 2 * lean))])
rows.add("two leaning runs crossed over the front", "tension_shares", "closed_form", EULER + "; crossing over the front bends by pi/2 - lean at each hole", "share", 1e-14, "double precision",
         {"front": [[-10.0, 0, z0], [10.0, 0, z0]], "rear": [[-30.0, 0, z1], [30.0, 0, z1]], "order": [1, 0], "enters_front": False, "friction": 0.2, "pulled_last": True},
         [1.0, np.exp(-0.2 * (np.pi - 2 * lean))])
for n in range(4):
    u = rng.uniform(-0.15, 0.15, (7, 2)).round(3)
    front, rear = np.column_stack([u * z0, np.full(7, z0)]), np.column_stack([u * z1, np.full(7, z1)])
    order, first, last, mu = rng.permutation(7).tolist(), bool(n % 2), bool(n // 2), round(rng.uniform(0.1, 0.3), 3)
    rows.add(f"threading of seven lines {n + 1}", "tension_shares", "other_program", EULER + ", along one polyline of holes", "share", 1e-12,
             "double precision; the other goes through arccos", {"front": front, "rear": rear, "order": order, "enters_front": first, "friction": mu, "pulled_last": last},
             capstan_shares(order, first, front, rear, mu, last), f"capstan_shares() in model_check.py, {NP}")

rows.add("0.20 mm nylon", "line_mass_g_per_m", "closed_form", "density 1140 kg/m3 (rope maker's fibre table, specific gravity 1.14) times the area of a circle", "g/m", 5e-8,
         "computed to seven decimals", {"material": "nylon", "diameter": 0.20}, 0.0358142)
for name, sg in (("nylon", 1.14), ("polyethylene-braid", 0.955), ("steel-wire", 7.85)):
    rows.add(f"density of {name}", "line_density", "published", "rope maker's fibre table: specific gravity nylon 1.14, HMPE 0.94 to 0.97, steel wire 7.85", "g/cm3",
             0.0151 if sg == 0.955 else 1e-9, "the table's range" if sg == 0.955 else "printed number", {"material": name}, sg)
rows.add("density of a steel rod", "rod_density", "published", "EN 1991-1-1 table A.4: steel 77.0 to 78.5 kN/m3 (from memory)", "kN/m3", 0.8, "middle of the table's range, half its width and half a unit of its last figure",
         {"material": "steel"}, 77.75)
for name, low, high in (("bamboo", 600, 800), ("birch", 600, 700), ("balsa", 100, 200), ("acrylic", 1150, 1200), ("brass", 8400, 8700)):
    rows.add(f"density of {name}", "rod_density_kg_per_m3", "practice", "handbook range from memory; common practice, no source", "kg/m3", (high - low) / 2, "half the range's width",
             {"material": name}, (low + high) / 2)
rows.add("6 mm paper straw", "rod_mass_g_per_m", "practice", "a 6 mm paper straw weighs some 5 to 6 g/m, from memory; common practice, no source", "g/m", 0.7, "half the range's width and a little",
         {"material": "paper-straw", "diameter": 6.0}, 5.5)
rows.add("standard gravity", "standard_gravity", "published", "CGPM 1901; ISO 80000-3", "m/s2", 1e-15, "an exact number", {}, 9.80665)
rows.write("mechanics.toml")
