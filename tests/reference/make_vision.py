"""Vision: acuity, pupil, blur, light, being noticed; and units. Run: python3 make_vision.py

Most rows are published or closed-form values; the script only lays them out and computes digits.
"""
import numpy as np
import scipy
from scipy.special import jn_zeros
from toml_rows import Rows

rows = Rows("make_vision.py", "what an eye tells")
ISO = "ISO 8596: acuity grade 1 is a Landolt ring whose gap subtends 1 arcmin"
for distance, gap, tol in ((6000.0, 1.745329, 5e-7), (500.0, 0.145444, 5e-7)):
    rows.add(f"Landolt gap of grade 1 at {distance} mm", "landolt_gap", "published", ISO, "mm", tol, "computed to six decimals from the definition", {"log_mar": 0.0, "distance": distance}, gap)
rows.add("Landolt gap of grade 0.2 at 6 m", "landolt_gap", "closed_form", ISO + "; grade = 1/gap", "mm", 1e-12, "double precision",
         {"log_mar": float(np.log10(5.0)), "distance": 6000.0}, 6000.0 * np.tan(5 * np.pi / 10800))
for age, log_mar, detail in (("18 to 24", -0.13, 0.7413), ("25 to 29", -0.16, 0.6918), ("over 75", -0.02, 0.9550)):
    rows.add(f"mean finest detail, {age} years", "finest_detail", "published", "Elliott, Yang & Whitaker, Optom. Vis. Sci. 72 (1995) 186: mean logMAR; detail 10^logMAR (ISO 8596)",
             "arcmin", 6e-5, "fourth decimal of the detail", {"log_mar": log_mar}, detail)
WY = "A. B. Watson & J. I. Yellott, J. Vision 12(10):12 (2012), eq. 21"
for L, area, age, both, d in ((1, 900, 45, True, 5.240087), (100, 100, 30, True, 4.389880), (100, 100, 30, False, 5.697015), (10, np.pi * 15**2, 30, True, 4.588414),
                              (10, np.pi * 15**2, 70, False, 4.462208), (1000, np.pi * 30**2, 20, True, 2.398004)):
    rows.add(f"pupil at {L} cd/m2, {area:.0f} deg2, {age} years, {'both eyes' if both else 'one eye'}", "pupil", "closed_form", WY + ", five-figure coefficients", "mm", 6e-7,
             "computed to six decimals", {"luminance": float(L), "area": float(area), "both": both, "age": float(age)}, d)
    f = (L * area * (1 if both else 0.1)) ** 0.41
    eq27 = (18.5172 + 0.122165 * f - 0.105569 * age + 0.000138645 * f * age) / (2 + 0.0630635 * f)
    rows.add(f"pupil at {L} cd/m2, {area:.0f} deg2, {age} years, {'both eyes' if both else 'one eye'}, second form", "pupil", "published", WY.replace("eq. 21", "eq. 27 (the paper's second form)"),
             "mm", 1e-4, "the paper's two forms agree to 1e-4 with their printed coefficients", {"luminance": float(L), "area": float(area), "both": both, "age": float(age)}, eq27)
rows.add("pupil at the reference age and the reference flux", "pupil", "closed_form", "Stanley & Davies 1995 at L a = 846 cd deg2/m2: 7.75 - 5.75/3; no age term at 28.58 years", "mm", 1e-12, "double precision",
         {"luminance": 8.46, "area": 100.0, "both": True, "age": 28.58}, 7.75 - 5.75 / 3)

zero = jn_zeros(1, 1)[0] / np.pi
for d, minutes in ((1.0, 2.327069), (2.0, 1.163534), (3.0, 0.775690), (4.0, 0.581767)):
    rows.add(f"first dark ring through {d} mm at 555 nm", "diffraction_arcmin", "other_program", "first zero of J1 over pi: 1.219670 wavelength/diameter", "arcmin", 3e-4 * minutes,
             "the program uses the handbooks' rounded 1.22: 2.7e-4 relative", {"aperture": d, "wavelength": 555e-6}, zero * 555e-6 / d * 10800 / np.pi, f"scipy.special.jn_zeros(1, 1)/pi, scipy {scipy.__version__}")
    rows.add(f"Rayleigh's limit through {d} mm at 555 nm", "diffraction_arcmin", "published", "Rayleigh's criterion 1.22 wavelength/diameter", "arcmin", 1e-12, "double precision",
             {"aperture": d, "wavelength": 555e-6}, 1.22 * 555e-6 / d * 10800 / np.pi)
rows.add("wavelength of the photopic peak", "default_wavelength", "published", "CIE: peak of photopic luminous efficiency at 555 nm", "nm", 1e-9, "printed number", {}, 555.0)
for d, dioptres, minutes in ((4.0, 1.0, 13.750987), (3.0, 0.3, 3.093972), (1.0, 1.0, 3.437747)):
    rows.add(f"defocus blur, {d} mm and {dioptres} D", "defocus_arcmin", "closed_form", "geometric optics: aperture times vergence error (G. Smith 1982)", "arcmin", 6e-7, "computed to six decimals",
             {"aperture": d, "distance": 1000.0 / (2.0 + dioptres), "focus": 500.0}, minutes)
rows.add("peephole 2 mm, eye focused at 0.5 m, rod at 0.4 m", "defocus_arcmin", "closed_form", "geometric optics: aperture times vergence error", "arcmin", 6e-7, "computed to six decimals",
         {"aperture": 2.0, "distance": 400.0, "focus": 500.0}, 3.437747)
rows.add("defocus and diffraction together", "blur_arcmin", "closed_form", "sum in quadrature", "arcmin", 1e-12, "double precision",
         {"area": np.pi, "distance": 400.0, "focus": 500.0, "wavelength": 555e-6}, np.hypot(2 * (1 / 400 - 1 / 500), 1.22 * 555e-6 / 2) * 10800 / np.pi)
rows.add("retinal light of 100 cd/m2 through 2.1 mm", "trolands", "closed_form", "troland = cd/m2 times mm2 (CIE ILV 17-22-038); value from an open colour-science library's own tests", "td", 5e-9, "printed to ten decimals",
         {"luminance": 100.0, "diameter": 2.1}, 346.3605900583)

WP = "A. B. Watson & D. G. Pelli, Percept. Psychophys. 33 (1983) 113"
for x, p, lapse in ((0.0, 0.8128996766, 0.01), (0.1, 0.9422356051, 0.01), (-0.1, 0.6783255830, 0.01), (0.0, 0.8160602794, 0.0), (0.00483944, 0.82, 0.01)):
    rows.add(f"psychometric function at x = {x}, lapses {lapse}", "psychometric", "closed_form", WP + ": slope 3.5, guessing 0.5", "probability", 6e-11 if x != 0.00483944 else 3e-8,
             "computed to ten decimals" if x != 0.00483944 else "x printed to six figures", {"slope": 3.5, "guess": 0.5, "lapse": lapse, "x": x}, p)
for ratio, p in ((0.0, 0.0), (1.0, 0.99 * (1 - np.exp(-1))), (2.0, 0.99 * (1 - np.exp(-(2**3.5))))):
    rows.add(f"a fault of {ratio} times its limit", "noticed", "closed_form", WP + ": slope 3.5, lapses 0.01, no guessing", "probability", 1e-14, "double precision", {"ratio": ratio}, p) if ratio else None
rows.add("clean finish", "finish_cover", "practice", "two rods that overlap by half still look joined; common practice, no source", "share of the thickness", 1e-15, "a chosen number", {"finish": "clean"}, 0.5)
rows.add("legible finish", "finish_share_of_figure", "practice", "a corner open by a twenty-fifth of the figure is forgiven; common practice, no source", "share of the figure", 1e-15, "a chosen number", {"finish": "legible"}, 0.04)
rows.add("seamless finish", "finish_acuity_factor", "practice", "at the finest detail that the visitor tells; common practice, no source", "finest details", 1e-15, "a chosen number", {"finish": "seamless"}, 1.0)
T = "ISO 2768-1:1989 table 1"
for grade, half, which in (("hand-pierced", 1.2, "grade c, over 120 to 400 mm"), ("template-drilled", 0.8, "grade m, over 400 to 1000 mm"), ("machine-cut", 0.5, "grade m, over 120 to 400 mm")):
    rows.add(f"seat of a plate, {grade}", "seat_half_width", "published", f"{T}: {which}", "mm", 1e-12, "printed number", {"grade": grade}, half)
rows.write("vision.toml")

rows = Rows("make_vision.py", "units in and out")
U = "international yard and pound agreement 1959: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, exactly; NIST SP 811, appendix B (digits from memory)"
for text, kind, value, tol, source in (
    ("1 in", "length", 25.4, 1e-14, U), ("1 ft", "length", 304.8, 1e-12, U), ("0.125 in", "length", 3.175, 1e-14, U), ("31.7 mm", "length", 31.7, 1e-14, "SI"), ("2.5 m", "length", 2500.0, 1e-11, "SI"),
    ("1 lbf", "force", 4.448222, 5e-7, U + ": 4.448 222 N"), ("1 ozf", "force", 0.2780139, 5e-8, U + ": 2.780 139 E-01 N"), ("4 lbf", "force", 17.7929, 5e-5, U), ("1 kgf", "force", 9.80665, 1e-14, U), ("100 gf", "force", 0.980665, 1e-15, U),
    ("1 lb/ft", "mass per length", 1.488164, 5e-7, U + ": 1.488 164 kg/m"), ("1 den", "mass per length", 1.111111e-7, 5e-14, U + ": 1.111 111 E-07 kg/m"), ("1 tex", "mass per length", 1e-6, 1e-21, U), ("35.8142 mg/m", "mass per length", 3.58142e-5, 1e-19, "SI"),
    ("1 deg", "angle", 1.745329e-2, 5e-9, "NIST SP 811 (from memory): 1.745 329 E-02 rad"), ("1 arcmin", "angle", 2.908882e-4, 5e-11, "NIST SP 811 (from memory): 2.908 882 E-04 rad"), ("1 arcsec", "angle", 4.848137e-6, 5e-13, "NIST SP 811 (from memory): 4.848 137 E-06 rad"),
    ("1 nit", "luminance", 1.0, 1e-15, "NIST SP 811 (from memory): 1 nit = 1 cd/m2"), ("12.5 %", "number", 0.125, 1e-16, "ISO 80000-1: 1 % = 0.01"),
):
    rows.add(f"{text} as {kind}", "read_quantity", "published", source, {"length": "mm", "force": "N", "mass per length": "kg/m", "angle": "rad", "luminance": "cd/m2", "number": "1"}[kind], tol,
             "half a unit of the last printed figure, or double precision where the number is exact", {"text": text, "kind": kind}, value)
rows.add("one radian in arcminutes", "arcmin_of_rad", "closed_form", "10800/pi", "arcmin", 1e-11, "double precision", {"rad": 1.0}, 3437.746770784939)
rows.add("1 mm at half a metre", "arcmin_of_rad", "closed_form", "elementary: 1/500 rad in the tangent measure", "arcmin", 1e-5, "true angle against tangent: third order", {"rad": 0.002}, 6.875484)
rows.write("units.toml")
