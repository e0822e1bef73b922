"""Sobol' indices: closed forms, SALib on the very same evaluations, SALib with points of its own, and one scenario of ours
through the model in numpy. Run:

    cargo bench --bench trial_cost -- --designs FOLDER
    python3 make_shares.py FOLDER/desk-boat.json          (numpy, scipy and SALib; versions stand in the rows)

Tolerances of sampled rows are 5 standard errors. That of an estimate from n rows is the standard deviation of its
influence over sqrt(n): for a ratio T/V it is (t - S v)/V, with t the row's term of T and v its term of V; both from 2 million
rows here. SALib's own error is its confidence half-width at 95 % over 1.96.
"""
import json
import os
import sys
from importlib.metadata import version

import numpy as np
from SALib.analyze import sobol as analyze
from SALib.sample import sobol as sample
from toml_rows import Rows

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "benches"))
import numpy_model  # noqa: E402

V = f"SALib {version('SALib')}, numpy {np.__version__}"
ROWS = 32768                                    # of the estimates on our side
rows = Rows("make_shares.py", "Sobol' indices against closed forms and SALib")


def ishigami(u, a, b):
    x = np.pi * (2 * u - 1)
    return np.sin(x[:, 0]) + a * np.sin(x[:, 1]) ** 2 + b * x[:, 2] ** 4 * np.sin(x[:, 0])


def g(u, a):
    a = np.array(a)
    return np.prod((np.abs(4 * u - 2) + a) / (1 + a), axis=1)


def evaluate(function, n, d, rng):
    """f(A), f(B), and f(AB_i) as columns."""
    a, b = rng.random((n, d)), rng.random((n, d))
    mixed = np.empty((n, d))
    for i in range(d):
        ab = a.copy()
        ab[:, i] = b[:, i]
        mixed[:, i] = function(ab)
    return function(a), function(b), mixed


def estimates(first, second, mixed):
    """Both indices of every input and the influence of every row on them."""
    both = np.concatenate([first, second])
    c, v = both.mean(), both.var()
    row_v = ((first - c) ** 2 + (second - c) ** 2) / 2
    found, scatter = [], []
    for term in ([(second - c) * (ab - first) for ab in mixed.T], [(first - ab) ** 2 / 2 for ab in mixed.T]):
        s = [t.mean() / v for t in term]
        found += s
        scatter += [((t - one * row_v) / v).std() for t, one in zip(term, s)]
    return np.array(found), np.array(scatter)


def in_order(first, second, mixed):
    """As SALib wants the evaluations: row by row A, AB_1 … AB_d, B."""
    return np.column_stack([first, mixed, second]).ravel()


def salib(problem, y, resamples=200):
    s = analyze.analyze(problem, y, calc_second_order=False, num_resamples=resamples, conf_level=0.95, seed=1)
    return np.concatenate([s["S1"], s["ST"]]), np.concatenate([s["S1_conf"], s["ST_conf"]]) / 1.959963984540054


def problem_of(d, low=0.0, high=1.0):
    return {"num_vars": d, "names": [f"x{i + 1}" for i in range(d)], "bounds": [[low, high]] * d}


# closed forms
def ishigami_indices(a, b):
    pi4, pi8 = np.pi**4, np.pi**8
    v = 0.5 + a * a / 8 + b * pi4 / 5 + b * b * pi8 / 18
    v1, v2, v13 = (1 + b * pi4 / 5) ** 2 / 2, a * a / 8, b * b * pi8 * (1 / 18 - 1 / 50)
    return np.array([v1, v2, 0, v1 + v13, v2, v13]) / v


def g_indices(a):
    each = 1 / (3 * (1 + np.array(a)) ** 2)
    whole = np.prod(1 + each)
    return np.concatenate([each, each * whole / (1 + each)]) / (whole - 1)


CASES = [
    ("Ishigami function", "ishigami", 3, {"a": 7.0, "b": 0.1}, ishigami_indices(7.0, 0.1),
     lambda u: ishigami(u, 7.0, 0.1),
     "T. Ishigami & T. Homma, Proc. ISUMA (1990) 398: variances of each term in closed form (from memory)"),
    ("g-function", "g", 8, {"a": [0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0]},
     g_indices([0, 1, 4.5, 9, 99, 99, 99, 99]), lambda u: g(u, [0, 1, 4.5, 9, 99, 99, 99, 99]),
     "A. Saltelli et al., Computer Physics Communications 181 (2010) 259: V_i = 1/(3(1 + a_i)^2), V = prod(1 + V_i) - 1"),
    ("g-function with the large indices elsewhere", "g", 6, {"a": [78.0, 12.0, 0.5, 2.0, 97.0, 33.0]},
     g_indices([78, 12, 0.5, 2, 97, 33]), lambda u: g(u, [78, 12, 0.5, 2, 97, 33]),
     "A. Saltelli et al., Computer Physics Communications 181 (2010) 259: V_i = 1/(3(1 + a_i)^2), V = prod(1 + V_i) - 1"),
]
ORDER = "first-order indices, then total indices"
for name, key, d, numbers, exact, function, source in CASES:
    scatter = estimates(*evaluate(function, 2_000_000, d, np.random.default_rng(5)))[1]
    error = scatter / np.sqrt(ROWS)
    # the least influence of an input that has none is rounding
    five = np.maximum(5 * error, 1e-9)
    inputs = {"function": key, "inputs": d, "rows": ROWS, "seed": 20260101, **numbers}
    rows.add(f"{name}: {ORDER}", "variance_shares", "closed_form", source, "1", five,
             f"5 standard errors at {ROWS} rows, from the estimators' influence at 2000000 rows", inputs, exact)
    problem = problem_of(d)
    points = sample.sample(problem, 2**15, calc_second_order=False, seed=3)
    found, own = salib(problem, function(points))
    rows.add(f"{name} by SALib with points of its own: {ORDER}", "variance_shares", "other_program",
             "SALib's Sobol' sampler and analysis", "1", 5 * np.sqrt(error**2 + own**2) + 1e-9,
             "5 standard errors, ours and SALib's own (which takes its points as independent) together", inputs, found,
             call=f"SALib.sample.sobol.sample(problem, 2**15, calc_second_order=False, seed=3), "
                  f"SALib.analyze.sobol.analyze(problem, Y, calc_second_order=False, num_resamples=200, seed=1); {V}")

for name, key, d, numbers, exact, function, source in CASES[:2]:
    n = 1024 // (d + 2) // 16 * 16
    first, second, mixed = evaluate(function, n, d, np.random.default_rng(8))
    y = in_order(first, second, mixed)
    found, _ = salib(problem_of(d), y)
    # SALib centres at the mean of all evaluations, those of AB too; ours is the mean of A and B, whose variance both take
    both = np.concatenate([first, second])
    moved = (y.mean() - both.mean()) * (mixed - first[:, None]).mean(axis=0) / both.var()
    found[:d] += moved
    rows.add(f"{name}, the very same {n} rows of evaluations by SALib: {ORDER}", "variance_shares_of", "other_program",
             "SALib's analysis of the evaluations that are the inputs", "1", 1e-11,
             "two double-precision sums of the same numbers; SALib centres at the mean of all evaluations and ours at that of A "
             "and B, so (its centre less ours) x mean of f(AB_i) - f(A), over V, is added to its first-order indices here",
             {"first": first, "second": second, "mixed": mixed.T}, found,
             call=f"SALib.analyze.sobol.analyze(problem, Y, calc_second_order=False, num_resamples=200, seed=1); {V}")

# one scenario of ours, by the independent model
STEPS = {
    "pattern-placement": ["pattern_shift", "pattern_turn"], "print-scale": ["print_scale"],
    "plate-seat": ["seat_depth", "tilt_x", "tilt_y"], "piercing": ["hole_scatter"], "hole-width": ["hole_slack"],
    "tension": ["line.hand_tension", "line.slackening"], "tie": ["rod.tie"], "depth-setting": ["rod.slip"],
    "straightness": ["rod.bow"], "peephole-placement": ["peephole.shift", "peephole.depth"],
    "eye-position": ["eye.offset", "eye.relief"], "visitor": ["eye.pupil", "eye.acuity"],
}
MODEL_ROWS, CHUNK, LOOKS, MOST_MARGIN = 32768, 1024, 16, 10.0


def step_of(key):
    for step, names in STEPS.items():
        if key in names or key.split(".", 1)[1] in names and key.split(".")[0] in ("front", "rear"):
            return step
    raise ValueError(key)


def outputs(work, build, looks):
    """Drift and gap of the first look over their limits, whatever is clipped; and the margin of every build."""
    points, hole, fine = work.build(build)
    worst = np.full((len(looks), fine.size), np.inf)
    for nth, v in enumerate(looks):
        tx, ty, clear = work.look(points, hole, v)
        judged = work.fit(tx, ty) if work.data["judging"]["fitted"] else (tx, ty)
        shares, shown = work.judge(work.drift(*judged), work.gaps(tx, ty), clear, v["eye.acuity"][0][0])
        worst[nth, shown & fine] = shares.max(axis=0)[shown & fine]
        if nth == 0:
            lit = fine & (clear.min(axis=0) > 0)
            drift, gap = (np.where(lit, part.max(axis=0), np.nan)
                          for part in (shares[: work.rods], shares[work.rods:]))
    worst.sort(axis=0)                              # clipped looks last
    shown = np.isfinite(worst).sum(axis=0)
    must = np.ceil(work.data["judging"]["hold_share"] * shown - 1e-9).astype(int)
    margin = np.where(shown > 0, worst[np.maximum(must - 1, 0), np.arange(fine.size)], np.inf)
    return np.array([drift, gap, np.minimum(margin, MOST_MARGIN)])


def scenario(path):
    with open(path, encoding="utf-8") as file:
        data = json.load(file)
    work, rng = numpy_model.Work(data), np.random.Generator(np.random.SFC64(29))
    varying = lambda s: not (s["law"]["kind"] == "each" and all(one["form"] == "fixed" for one in s["law"]["each"])
                             or s["law"]["kind"] == "aimed"
                             or s["law"]["kind"] == "ring" and not any(s["law"]["radii"])
                             or s["law"]["kind"] == "disc" and s["law"]["radius"] == 0)
    steps = [step for step in STEPS if any(varying(s) and step_of(key) == step for key, s in work.sources.items())]
    family = lambda name: {key: numpy_model.draw(rng, s, CHUNK) for key, s in work.sources.items()
                           if s["family"] == name}
    mixed_by = lambda a, b, step: {key: b[key] if step_of(key) == step else a[key] for key in a}
    chunks = []
    for _ in range(MODEL_ROWS // CHUNK):
        (a, a_looks), (b, b_looks) = ((family("build"), [family("look") for _ in range(LOOKS)]) for _ in range(2))
        # rows as SALib wants them: A, AB_1 … AB_d, B
        with np.errstate(all="ignore"):
            one = [outputs(work, a, a_looks)]
            one += [outputs(work, mixed_by(a, b, step), [mixed_by(p, q, step) for p, q in zip(a_looks, b_looks)])
                    for step in steps]
            one += [outputs(work, b, b_looks)]
        chunks.append(np.array(one))                # [matrix, output, row]
    found = np.concatenate(chunks, axis=2)
    print(data["name"], "failing", (found[[0, -1], 2] > 1).mean(), "capped", (found[:, 2] >= MOST_MARGIN).mean())
    for nth, output in enumerate(("drift", "gap", "margin")):
        y = found[:, nth, :].T
        y = y[np.isfinite(y).all(axis=1)]
        print(output, len(y), "rows, mean", y.mean(), "sd", y.std())
        s, error = salib(problem_of(len(steps)), y.ravel())
        # ours has as many rows, so as large an error
        allowed = np.maximum(5 * np.sqrt(2) * error, 1e-9)
        for half, what in ((slice(0, len(steps)), "first_order"), (slice(len(steps), None), "total")):
            rows.add(f"{data['name']}, {output}: {what.replace('_', '-')} indices of its steps", "scenario_shares",
                     "other_program", "benches/numpy_model.py, the model written apart from the engine, with numbers of "
                     "its own, and SALib's analysis", "1", allowed[half],
                     f"5 standard errors of both: SALib's own at {len(y)} rows, and as much again for our {ROWS}",
                     {"scenario": data["name"], "output": output, "what": what, "rows": ROWS, "steps": steps,
                      "eye_position_times": 1}, s[half],
                     call=f"python3 tests/reference/make_shares.py {data['name']}.json, SFC64(29), {MODEL_ROWS} rows x "
                          f"{LOOKS} looks; SALib.analyze.sobol.analyze(problem, Y, calc_second_order=False, "
                          f"num_resamples=200, seed=1); {V}")


scenario(sys.argv[1])
rows.write("shares.toml")
