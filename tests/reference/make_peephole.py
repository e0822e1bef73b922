"""Peephole: acuity against light, thick plates, the pinhole's best width, tools. Run: python3 make_peephole.py

Most rows are published or closed-form values; the script lays them out, and scipy integrates and finds roots for the rest.
"""
import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq
from toml_rows import Rows

rows = Rows("make_peephole.py", "what bounds a peephole")

IKEDA = "T. Ikeda, K. Noda & S. Yamaguchi, J. Illum. Engng Inst. Japan: acuity = L/(1.6293 C^-0.3234 (0.8034 C^-0.1876 + L^1/4)^4)"


def acuity(l, c):
    return l / (1.6293 * c**-0.3234 * (0.8034 * c**-0.1876 + l**0.25) ** 4)


for l, c, value in ((100.0, 100.0, 1.811648), (10.0, 100.0, 1.355145), (1.0, 100.0, 0.847521), (0.01, 100.0, 0.147978), (100.0, 20.0, 0.941430)):
    assert abs(acuity(l, c) - value) < 6e-7
    rows.add(f"acuity at {l} cd/m2 and contrast {c:.0f} %", "acuity_luminance", "closed_form", IKEDA, "1/arcmin", 6e-7, "computed to six decimals",
             {"luminance": l, "contrast": c}, value)

WY = "pupil: A. B. Watson & J. I. Yellott, J. Vision 12(10):12 (2012), eq. 21; troland = cd/m2 times mm2 (CIE ILV 17-22-038)"
for area, age in ((900.0, 45.0), (706.858, 30.0)):
    l = brentq(lambda l: acuity(l, 100.0) - acuity(80.0, 100.0) * 10**-0.1, 1.0, 80.0, xtol=1e-13)
    q = (l * area / 846.0) ** 0.41
    sd = 7.75 - 5.75 * q / (q + 2)
    pupil = sd + (age - 28.58) * (0.02132 - 0.009562 * sd)
    rows.add(f"least light for normal acuity, {area:.0f} deg2, {age:.0f} years", "normal_acuity", "other_program",
             IKEDA + "; one line (0.1 logMAR) below a chart at 80 cd/m2 (ISO 8596, from memory); " + WY, "cd/m2, mm, td", 1e-6,
             "roots to 1e-9, areas of some 15 mm2", {"area": area, "age": age}, [l, pupil, l * np.pi * pupil**2 / 4], f"scipy.optimize.brentq, scipy {scipy.__version__}")

LENS = "textbook lens of two equal circles: 2 acos(x)/pi - 2 x sqrt(1 - x^2)/pi, x = thickness * tangent/diameter"
for diameter, thickness, tangent in ((6.0, 3.0, 0.2), (9.0, 6.0, 0.15), (2.0, 4.0, 0.3)):
    x = thickness * tangent / diameter
    rows.add(f"open share of a hole of {diameter:.0f} mm in {thickness:.0f} mm", "open_share", "closed_form", LENS, "share of the hole", 1e-12, "double precision",
             {"diameter": diameter, "thickness": thickness, "tangent": tangent}, 2 / np.pi * (np.arccos(x) - x * np.sqrt(1 - x * x)))


def common(discs):
    """Area that discs (x, radius) in a row have in common."""
    low, high = max(x - r for x, r in discs), min(x + r for x, r in discs)
    if high <= low:
        return 0.0
    half = lambda t: min(np.sqrt(max(r * r - (t - x) ** 2, 0.0)) for x, r in discs)
    cuts = sorted({min(max(t, low), high) for x, r in discs for y, s in discs if x != y
                   for t in [((r * r - s * s) - (x * x - y * y)) / (2 * (y - x))]} | {low, high})
    return sum(2 * quad(half, a, b, epsabs=1e-12, epsrel=1e-12, limit=400)[0] for a, b in zip(cuts, cuts[1:]) if b > a)


for diameter, face, thickness, pupil, point in ((4.0, 12.0, 3.0, 3.6, (60.0, -25.0, 400.0)), (5.0, 15.0, 6.0, 3.0, (40.0, 90.0, 500.0)), (3.0, 10.0, 1.5, 5.0, (0.0, 55.0, 250.0))):
    off = np.hypot(point[0], point[1])
    image = lambda at: (off * (point[2] / (point[2] - at) - 1), diameter / 2 * point[2] / (point[2] - at))
    share = common([(0.0, pupil / 2), image(face), image(face + thickness)]) / (np.pi * pupil**2 / 4)
    rows.add(f"clear share through {diameter} mm in {thickness} mm", "tunnel_clear_share", "other_program", "common area of the pupil and the images of both rims, chords integrated", "share of the pupil", 2e-6,
             "chords on 2000 angles", {"diameter": diameter, "face": face, "thickness": thickness, "pupil": pupil, "point": list(point)}, share, f"scipy.integrate.quad, scipy {scipy.__version__}")

for f, nm, d in ((100.0, 550.0, 0.366333), (250.0, 550.0, 0.366333 * np.sqrt(2.5))):
    rows.add(f"pinhole whose shadow is as wide as its Airy disc, {f:.0f} mm", "pinhole_airy", "published", "pinhole cameras: d = sqrt(2.44 wavelength f), where the hole's shadow and the Airy disc are as wide", "mm", 2e-6,
             "computed to six decimals", {"focal": f, "wavelength": nm * 1e-6}, d)
for d in (0.5, 1.0):
    rows.add(f"hole of {d} mm: diffraction against the geometric blur of 1 D", "blur_ratio", "closed_form", "1.22 wavelength/d over d times 1 D", "ratio", 1e-12, "double precision",
             {"aperture": d, "wavelength": 555e-6}, 1.22 * 555e-6 / d / (d * 1e-3))

INCH = "one inch is 25.4 mm exactly (international yard and pound, 1959)"
for size, mm in (("1/16 in", 1.5875), ("1/8 in", 3.175), ("15/64 in", 5.953125), ("1/4 in", 6.35), ("3/8 in", 9.525), ("1/2 in", 12.7)):
    rows.add(f"drill of {size}", "tool_diameter", "published", INCH, "mm", 1e-12, "exact", {"size": size, "kind": "inch-drill"}, mm)
rows.add("office punch", "tool_holes", "published", "ISO 838: holes of 6 mm +- 0.5 mm", "mm", 1e-12, "printed numbers", {"size": "6 mm", "kind": "office-punch"}, [5.5, 6.5])
for size, low, high, step in (("2 mm", 0.03, 0.10, "0.34 to 3.18 mm"), ("6 mm", 0.03, 0.13, "3.18 to 6.35 mm"), ("10 mm", 0.03, 0.15, "6.35 to 12.7 mm")):
    d = float(size.split()[0])
    rows.add(f"hole drilled with {size}", "tool_holes", "published", f"AND10387, drilling machine, {step}: +{high}/-{low} mm", "mm", 1e-9, "printed numbers", {"size": size, "kind": "metric-drill"}, [d - low, d + high])
for place in range(20):
    exact = 10 ** (place / 20)
    rows.add(f"preferred number {place} of R20", "preferred_number", "published", "ISO 3 (from memory): R20 is 10^(place/20), rounded by -1.01 to +1.26 %", "number", 0.0126 * exact, "the standard's own rounding", {"place": place}, exact)
rows.write("peephole.toml")
