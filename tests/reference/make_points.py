"""Sobol' points before any scramble. Run: python3 make_points.py

The other program takes the points in Gray-code order (Antonov & Saleev 1979): its point k is the point k ^ (k >> 1) of the
plain binary order in use here.
"""
import numpy as np
import scipy
from scipy.stats import qmc
from toml_rows import Rows

V = f"scipy {scipy.__version__}"
rows = Rows("make_points.py", "layout of the uniform numbers")
INDICES = [1, 2, 3, 5, 7, 10, 63, 64, 100, 255, 256, 1000, 4095, 4096, 65_537, 123_456, 999_999, 1_000_000]
EXACT = "exact binary fractions of at most 32 digits"


def place_in_gray_order(n):
    k = 0
    while n:
        k ^= n
        n >>= 1
    return k


def points_at(dimensions, indices):
    found = np.empty((len(indices), dimensions))
    for at, n in enumerate(indices):
        k = place_in_gray_order(n)
        assert k ^ (k >> 1) == n
        engine = qmc.Sobol(dimensions, scramble=False, bits=32)
        if k:
            engine.fast_forward(k)
        found[at] = engine.random(1)[0]
    return found


for dimensions in (3, 20, 101, 1001, 21201):
    # the largest is slow in the other program: fewer points
    indices = INDICES if dimensions < 1000 else INDICES[::3] + [1_000_000]
    found = points_at(dimensions, indices)
    wanted = {3: (0, 1, 2), 20: (9, 19), 101: (99, 100), 1001: (499, 999, 1000), 21201: (9_999, 19_999, 21_200)}[dimensions]
    for dimension in wanted:
        rows.add(f"Sobol' points, dimension {dimension + 1}", "sobol_points", "other_program",
                 "S. Joe & F. Y. Kuo, SIAM J. Sci. Comput. 30 (2008) 2635, numbers new-joe-kuo-6, as that program carries them", "1", 1e-12, EXACT,
                 {"dimension": dimension, "indices": indices}, found[:, dimension],
                 f"scipy.stats.qmc.Sobol({dimensions}, scramble=False, bits=32), point k ^ (k >> 1) is index k of its order, {V}")


def radical_inverse(n):
    return int(f"{n:b}"[::-1], 2) / 2 ** n.bit_length()


rows.add("Sobol' points, dimension 1 is van der Corput's", "sobol_points", "closed_form",
         "the binary digits of the index mirrored at the point (van der Corput 1935)", "1", 1e-12, EXACT,
         {"dimension": 0, "indices": INDICES}, [radical_inverse(n) for n in INDICES])
# the authors list their first points in Gray-code order; here by index
gray = [0, 1, 3, 2, 6, 7, 5, 4]
listed = [(0, 0, 0), (0.5, 0.5, 0.5), (0.75, 0.25, 0.25), (0.25, 0.75, 0.75),
          (0.375, 0.375, 0.625), (0.875, 0.875, 0.125), (0.625, 0.125, 0.875), (0.125, 0.625, 0.375)]
for dimension in range(3):
    rows.add(f"Sobol' points as listed, dimension {dimension + 1}", "sobol_points", "published",
             "F. Y. Kuo & D. Nuyens, Sobol' sequence generator, notes: first points in three dimensions (from memory)", "1", 1e-12,
             "listed as exact fractions", {"dimension": dimension, "indices": gray}, [p[dimension] for p in listed])
rows.write("points.toml")
