"""Heights of visitors' eyes, and least distances in the shipped cabinets, each as the least of a bounded least-squares problem over both segments. Run: python3 make_laying.py

Expected: least distance of the axes of two rods, of a line and a rod that does not hang on it, and of two holes of the front plate, mm."""
import os
import tomllib
import numpy as np
import scipy
from scipy.optimize import lsq_linear
from scipy.spatial.distance import pdist
from toml_rows import Rows

SCIPY = f"scipy {scipy.__version__}"
UNITS = {"mm": 1.0, "in": 25.4, "m": 1000.0}
rows = Rows("make_laying.py", "layouts")


def mm(value):
    if isinstance(value, str):
        number, unit = value.split()
        return float(number) * UNITS[unit]
    return float(value)


def apart(first, second):
    """min |a + s (b - a) - c - t (d - c)| over s, t in [0, 1]."""
    (a, b), (c, d) = first, second
    found = lsq_linear(np.column_stack([b - a, c - d]), c - a, bounds=(0.0, 1.0), method="bvls", tol=1e-15)
    return np.linalg.norm(found.fun)


here = os.path.dirname(os.path.abspath(__file__))
for name in ("carton-kite", "desk-boat", "gallery-bridge", "slack-windmill"):
    with open(os.path.join(here, "..", "..", "scenarios", f"{name}.toml"), "rb") as file:
        scenario = tomllib.load(file)
    plane = mm(scenario["figure"]["picture_plane"])
    slope = {v["name"]: np.array([mm(v["x"]), mm(v["y"])]) / plane for v in scenario["figure"]["vertices"]}
    front, rear = mm(scenario["cabinet"]["front_plate"]), mm(scenario["cabinet"]["rear_plate"])
    at = lambda line, z: np.append(slope[line] * z, z)
    tie = scenario["errors"]["rod"].get("tie", "random")
    beside = np.zeros(3)
    if isinstance(tie, dict):
        angle = np.radians(float(tie["direction"].split()[0]))
        thick = (mm(scenario["rods"]["diameter"]) + mm(scenario["line"]["diameter"])) / 2
        # a direction runs from the visitor's left, +x, to up; places here have x to the right, as the scenarios draw them
        beside = thick * np.array([-np.cos(angle), np.sin(angle), 0.0])
    rods = [(rod["lines"], [at(line, mm(z)) + beside for line, z in zip(rod["lines"], rod["depths"])]) for rod in scenario["rods"]["list"]]
    between_rods = min(apart(a[1], b[1]) for i, a in enumerate(rods) for b in rods[i + 1:])
    at_lines = min(apart([at(line, front), at(line, rear)], ends) for line in slope for lines, ends in rods if line not in lines)
    holes = pdist([slope[line] * front for line in slope]).min()
    rows.add(name, "least_distances", "other_program", SCIPY, "mm", 1e-6, "the solver's own tolerance on lengths of some metres",
             {"scenario": name}, [between_rods, at_lines, holes],
             call="optimize.lsq_linear(…, bounds=(0, 1), method='bvls') over the places along both segments; spatial.distance.pdist for holes")
# 5th and 95th percentile of standing eye height: a share of 5 and 95 % have their eyes lower, shoes (45 and 25 mm) left aside
for who, shoes, low, high in (("women", 45, 1405, 1610), ("men", 25, 1515, 1745)):
    for share, height in ((0.05, low), (0.95, high)):
        rows.add(f"standing British {who}, {share:.0%} below", "lower_eyes", "published",
                 "S. Pheasant, Bodyspace, table of British adults, as quoted on a university's anthropometry pages", "1", 0.012,
                 "percentiles are printed to 5 mm", {"who": who, "height_mm": float(height + shoes)}, [share])
rows.write("laying.toml")
