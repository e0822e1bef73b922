"""Fits the coefficients of src/elementary/ and of the normal quantile's middle, and writes values to check them by.

Run: python3 make_elementary.py. Prints every set of coefficients with its largest relative error before rounding.
Minimax fits by exchange (E. Remez 1934), rational ones with the denominator's constant held at 1.
"""
import mpmath as m
from mpmath import mp, mpf
from toml_rows import Rows

mp.dps = 60
LN_2, TURN = m.log(2), 2 * m.pi


def solve_at(points, values, top, bottom, error):
    """Coefficients that miss the values by equal relative errors of changing sign; the error enters linearised."""
    size = top + bottom + 2
    for _ in range(8 if bottom else 1):
        left, right = m.matrix(size, size), m.matrix(size, 1)
        for i, (x, f) in enumerate(zip(points, values)):
            for j in range(top + 1):
                left[i, j] = x**j
            for j in range(1, bottom + 1):
                left[i, top + j] = -f * x**j
            below = 1 if not bottom or error is None else m.polyval(error[::-1], x)
            left[i, size - 1] = -((-1) ** i) * f * below
            right[i] = f
        found = m.lu_solve(left, right)
        above = [found[j] for j in range(top + 1)]
        error = [mpf(1)] + [found[top + j] for j in range(1, bottom + 1)]
    return above, error, abs(found[size - 1])


def minimax(of, low, high, top, bottom=0, grid=600):
    """Numerator, denominator, largest relative error on the grid."""
    size = top + bottom + 2
    place = lambda i, n: (low + high) / 2 - (high - low) / 2 * m.cos(m.pi * i / mpf(n))
    points = [place(i, size - 1) for i in range(size)]
    xs = [place(i, grid) for i in range(grid + 1)]
    fs = [of(x) for x in xs]
    below = None
    for _ in range(10):
        above, below, level = solve_at(points, [of(x) for x in points], top, bottom, below)
        errors = [m.polyval(above[::-1], x) / m.polyval(below[::-1], x) / f - 1 for x, f in zip(xs, fs)]
        peaks, last = [], 0
        for i in range(1, len(xs)):
            if errors[i] * errors[last] < 0:
                peaks.append(last)
                last = i
            elif abs(errors[i]) > abs(errors[last]):
                last = i
        peaks.append(last)
        largest = max(abs(e) for e in errors)
        if len(peaks) < size or largest < level * mpf("1.02"):
            break
        while len(peaks) > size:
            peaks.pop(0 if abs(errors[peaks[0]]) < abs(errors[peaks[-1]]) else -1)
        points = [xs[i] for i in peaks]
    return above, below, largest


def show(name, fit):
    above, below, error = fit
    print(f"{name}: relative error before rounding {m.nstr(error, 3)}")
    for part in (above, below)[: 2 if len(below) > 1 else 1]:
        print("   ", ", ".join(repr(float(c)) for c in part))


def segment(t):
    return m.acos(t) - t * m.sqrt(1 - t * t)


def quantile(u):
    return m.sqrt(2) * m.erfinv(2 * u - 1)


def segment_over_power(d):
    return segment(1 - d) / (d * m.sqrt(d)) if d else 4 * m.sqrt(2) / 3


def quantile_over_offset(w):
    q = m.sqrt(max(mpf(1) / 4 - w, 0))
    return quantile(mpf(1) / 2 + q) / q if q > mpf(10) ** -20 else m.sqrt(TURN)


def half_at_one(fit):
    """The last coefficient moved so that the rounded ones add up to the double nearest half of pi: both halves agree."""
    above, below, error = fit
    rounded = [mpf(float(c)) for c in above]
    above[-1] = mpf(float(m.pi / 2)) - sum(rounded[:-1])
    return above, below, error


def coefficients():
    eighth, half = mpf(1) / 64, LN_2 / 2 * mpf("1.0001")
    show("sine", minimax(lambda y: m.sin(TURN * m.sqrt(y)) / m.sqrt(y) if y else TURN, mpf(0), eighth, 6))
    show("cosine", minimax(lambda y: (m.cos(TURN * m.sqrt(y)) - 1) / y if y else -TURN**2 / 2, mpf(0), eighth, 6))
    show("exponential", minimax(lambda r: (m.exp(r) - 1 - r) / r**2 if abs(r) > mpf(10) ** -18 else mpf(1) / 2 + r / 6, -half, half, 9))
    widest = ((m.sqrt(2) - 1) / (m.sqrt(2) + 1)) ** 2
    show("logarithm", minimax(
        lambda z: (2 * m.atanh(m.sqrt(z)) / m.sqrt(z) - 2) / z if z > mpf(10) ** -18 else mpf(2) / 3 + z * 2 / 5, mpf(0), widest, 6))
    show("disc segment", half_at_one(minimax(segment_over_power, mpf(0), mpf(1), 15)))
    edge = mpf(1) / 4 - mpf("0.475") ** 2
    show("normal quantile", minimax(quantile_over_offset, edge, mpf(1) / 4, 9, 9))


def values():
    rows = Rows("make_elementary.py", "elementary functions and the block of normal quantiles")
    version = f"mpmath {m.__version__}, 60 digits"

    def add(name, check, at, of, allowed, relative, reason, call):
        """Arguments are doubles, so that the program and mpmath see the same numbers."""
        at = [float(x) for x in at]
        expected = [y for x in at for y in of(mpf(x))]
        tolerance = [float(allowed * (abs(y) if relative else 1)) for y in expected]
        rows.add(name, check, "other_program", version, "1", tolerance, reason, {"at": at},
                 [float(y) for y in expected], call=call)

    add("sine and cosine over a turn and far beyond", "sin_cos_turns",
        [0.03, 0.125, 0.126, 0.3, 0.375, 0.6, -0.2, 0.875, 123456.789, 2.0**39 + 0.0625],
        lambda x: (m.sin(TURN * x), m.cos(TURN * x)), 2.6e-16, False,
        "stated absolute error, and half a unit of the last place of the printed value", "sin(2*pi*x), cos(2*pi*x)")
    add("exponential at both ends, at a seam and near 0", "exp", [-708, -700, -1, -1e-9, 0.34657, 0.34658, 1, 37.5, 700, 709],
        lambda x: (m.exp(x),), 3.7e-16, True, "stated relative error, and the rounding of the printed value", "exp(x)")
    add("logarithm of all sizes, at a seam and near 1", "ln",
        [2.3e-308, 1e-12, 0.025, 0.70710678, 0.70710679, 1 - 1e-9, 1 + 1e-9, 1.4142135, 3, 1.7e308],
        lambda x: (m.log(x),), 3.7e-16, True, "stated relative error, and the rounding of the printed value", "log(x)")
    add("segment of the disc from the middle to the rim", "disc_segment",
        [0.1, 0.5, 0.75, 0.9, 0.99, 1 - 2.0**-20, 1 - 2.0**-40, 1 - 2.0**-53],
        lambda t: (segment(t),), 1.2e-15, True, "stated relative error, and the rounding of the printed value",
        "acos(t) - t*sqrt(1 - t*t)")
    add("segment of the disc beyond the middle", "disc_segment", [-1, -0.999999, -0.7, -0.3, -1e-9, 0],
        lambda t: (segment(t),), 1.6e-15, False, "stated absolute error, and the rounding of the printed value",
        "acos(t) - t*sqrt(1 - t*t)")
    grid = 2.0**-53
    tails = [round(u / grid) * grid for u in (1e-12, 1.39e-11, 1.41e-11, 1e-6, 0.0249999, 0.0250001)]
    add("normal quantiles from the last number of the grid to the middle", "shape_normal",
        [grid, *tails, 0.3, 0.4999, 0.5 + grid, 0.61, 0.9749999, 0.9750001, 1 - 2**-20, 1 - grid],
        lambda u: (quantile(u),), 1.4e-15, True, "stated relative error, and the rounding of the printed value",
        "sqrt(2)*erfinv(2*u - 1)")
    rows.write("elementary.toml")


if __name__ == "__main__":
    coefficients()
    values()
