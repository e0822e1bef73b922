"""Second, independent computation of one trial, written from the model's definitions alone (numpy only).

Writes model_check.toml beside itself: inputs (a design, and a definite value for every source of error) and what one
eye then sees. Run: python3 model_check.py  (the committed file was made with the numpy version named in it).

Frame: origin at the nominal pupil centre, z into the cabinet, y up, right-handed. Lengths mm, angles rad.
"""
import os
import numpy as np

ARCMIN = np.pi / 10800.0

VERTICES = {
    "A": (-0.115, -0.082), "B": (-0.021, -0.126), "C": (0.093, -0.071), "D": (0.131, 0.044),
    "E": (0.052, 0.118), "F": (-0.044, 0.095), "G": (-0.128, 0.031), "H": (0.008, 0.013),
}
NAMES = list(VERTICES)
# line, depth of each end; all depths differ, junctions have two to four ends
RODS = [
    ("ab", "A", 201.0, "B", 312.0), ("bc", "B", 236.0, "C", 187.0), ("cd", "C", 331.0, "D", 264.0),
    ("de", "D", 195.0, "E", 349.0), ("ef", "E", 283.0, "F", 218.0), ("fg", "F", 301.0, "G", 254.0),
    ("ga", "G", 189.0, "A", 342.0), ("ah", "A", 275.0, "H", 229.0), ("hd", "H", 317.0, "D", 208.0),
]
ROD_DIAMETER = [3.0, 2.5, 3.0, 2.0, 3.0, 2.5, 3.0, 2.0, 3.0]
ROD_KG_PER_M = [0.0049, 0.0034, 0.0049, 0.0022, 0.0049, 0.0034, 0.0049, 0.0022, 0.0049]


def capstan_shares(order, enters_front, front, rear, friction, pulled_last):
    """Share of the pulled tension in each run. The line is walked as one polyline of holes."""
    path = []                                   # (line, hole)
    at_front = enters_front
    for line in order:
        first, second = (front, rear) if at_front else (rear, front)
        path += [(line, first[line]), (line, second[line])]
        at_front = not at_front                 # it leaves at the other plate, and enters the next run there
    bends = np.zeros(len(path))
    for i in range(1, len(path) - 1):
        a = path[i][1] - path[i - 1][1]
        b = path[i + 1][1] - path[i][1]
        bends[i] = np.arccos(np.clip(a @ b / np.linalg.norm(a) / np.linalg.norm(b), -1, 1))
    runs = len(order)
    share = np.ones(runs)                       # in threading order
    if not pulled_last:
        for k in range(1, runs):
            share[k] = share[k - 1] * np.exp(-friction * (bends[2 * k - 1] + bends[2 * k]))
    else:
        for k in range(runs - 2, -1, -1):
            share[k] = share[k + 1] * np.exp(-friction * (bends[2 * k + 1] + bends[2 * k + 2]))
    out = np.ones(runs)
    out[list(order)] = share
    return out


def rotation(tilt_x, tilt_y):
    cx, sx, cy, sy = np.cos(tilt_x), np.sin(tilt_x), np.cos(tilt_y), np.sin(tilt_y)
    about_x = np.array([[1, 0, 0], [0, cx, -sx], [0, sx, cx]])
    about_y = np.array([[cy, 0, sy], [0, 1, 0], [-sy, 0, cy]])
    return about_y @ about_x                    # x first, then y


def real_hole(plate, values, nominal, i):
    c = np.array(plate["centre"])
    t, s = values["turn"], values["scale"]
    rot = np.array([[np.cos(t), -np.sin(t)], [np.sin(t), np.cos(t)]])
    local = (1 + s) * rot @ (nominal - c) + np.array(values["shift"])
    local = local + np.array(values["scatter"][i]) + np.array(values["slack"][i])
    lifted = rotation(values["tilt_x"], values["tilt_y"]) @ np.array([local[0], local[1], 0.0])
    return lifted + np.array([c[0], c[1], plate["z"] + values["seat"]])


def moment(s, span, own, loads):
    m = own * s * (span - s) / 2
    for a, w in loads:
        m += w * (s * (span - a) / span if s < a else a * (span - s) / span)
    return m


def lens(r, R, d):
    """Area of the overlap of two discs and the centroid's distance from the first's centre."""
    if d >= r + R:
        return 0.0, 0.0
    if d <= abs(R - r):
        return (np.pi * r * r, 0.0) if r <= R else (np.pi * R * R, d)
    c1 = (d * d + r * r - R * R) / (2 * d)      # chord's distance from the first centre
    h = np.sqrt(r * r - c1 * c1)
    s1 = r * r * np.arccos(c1 / r) - c1 * h
    s2 = R * R * np.arccos((d - c1) / R) - (d - c1) * h
    return s1 + s2, s2 * d / (s1 + s2)


def see(x, eye, pupil_radius, hole, hole_radius, focus):
    lam = (x[2] - eye[2]) / (x[2] - hole[2])
    centre = x + lam * (hole - x)               # lies in the pupil's plane
    off = (centre - eye)[:2]
    d = np.linalg.norm(off)
    area, far = lens(pupil_radius, hole_radius * lam, d)
    if area <= 0:
        raise ValueError("dark")
    a = off / d * far if d > 0 else np.zeros(2)
    theta = (x[:2] - eye[:2] - a) / (x[2] - eye[2]) + a / focus
    return theta, area / (np.pi * pupil_radius**2)


def fit(w, seen):
    """S(w) = [[a, -b], [b, a]] w + t by linear least squares; returns S's inverse as a function, and its parts."""
    n = len(w)
    m = np.zeros((2 * n, 4))
    m[0::2, 0], m[0::2, 1], m[0::2, 2] = w[:, 0], -w[:, 1], 1
    m[1::2, 0], m[1::2, 1], m[1::2, 3] = w[:, 1], w[:, 0], 1
    (a, b, tx, ty), *_ = np.linalg.lstsq(m, seen.reshape(-1), rcond=None)
    inverse = np.linalg.inv(np.array([[a, -b], [b, a]]))
    return (lambda p: inverse @ (p - np.array([tx, ty]))), (np.hypot(a, b), np.arctan2(b, a), tx, ty)


def trial(case):
    u = np.array([VERTICES[n] for n in NAMES])
    zf, zr = case["plates"][0]["z"], case["plates"][1]["z"]
    nominal = [u * p["z"] for p in case["plates"]]
    holes = [[real_hole(case["plates"][p], case["plate_values"][p], nominal[p][i], i) for i in range(len(u))]
             for p in range(2)]
    front3 = [np.array([*nominal[0][i], zf]) for i in range(len(u))]
    rear3 = [np.array([*nominal[1][i], zr]) for i in range(len(u))]
    tension = np.array(case["tension_n"], float)
    if case["threading"]["tightened"] == "ends only":
        t = case["threading"]
        tension = tension * capstan_shares(t["order"], t["first_enters_front"], front3, rear3, t["friction"],
                                           t["pulled_last"])
        tension = tension * case["hand_tension"][0]      # one pull, one hand
    else:
        tension = tension * np.array(case["hand_tension"])
    tension = tension * np.array(case["slackening"])
    g = case["gravity_m_per_s2"]
    down = np.array(case["down"])
    loads = [[] for _ in u]
    for r, (_, l0, z0, l1, z1) in enumerate(RODS):
        a = np.array([*(u[NAMES.index(l0)] * z0), z0])
        b = np.array([*(u[NAMES.index(l1)] * z1), z1])
        half = ROD_KG_PER_M[r] * np.linalg.norm(b - a) * 1e-3 * g / 2
        loads[NAMES.index(l0)].append((z0 - zf, half))
        loads[NAMES.index(l1)].append((z1 - zf, half))
    own = case["line_kg_per_m"] * g * 1e-3               # N per mm
    ends = []
    for r, (_, l0, z0, l1, z1) in enumerate(RODS):
        for e, (name, z) in enumerate(((l0, z0), (l1, z1))):
            i = NAMES.index(name)
            z = z + case["slip"][2 * r + e]
            f, b = holes[0][i], holes[1][i]
            p = f + (b - f) * (z - f[2]) / (b[2] - f[2])
            sag = moment(z - zf, zr - zf, own, loads[i]) / tension[i]
            p = p + np.array([*(down * sag), 0.0]) + np.array([*case["tie"][2 * r + e], 0.0])
            ends.append(p)
    eye = np.array([*case["eye_offset"], case["eye_relief"]])
    hole = np.array([*case["peephole_shift"], case["eye_relief_nominal"] + case["peephole_depth"]])
    look = lambda x: see(x, eye, case["pupil"] / 2, hole, case["peephole_diameter"] / 2, case["focus"])
    middles = []
    for r in range(len(RODS)):
        a, b = ends[2 * r], ends[2 * r + 1]
        d = b - a
        length = np.linalg.norm(d)
        e1 = np.array([-d[1], d[0], 0]) / np.hypot(d[0], d[1])
        e2 = np.cross(d / length, e1)
        middles.append((a + b) / 2 + length * (case["bow"][r][0] * e1 + case["bow"][r][1] * e2))
    theta = np.array([look(x)[0] for x in ends])
    clear = np.array([look(x)[1] for x in ends])
    middle = np.array([look(x)[0] for x in middles])
    middle_clear = np.array([look(x)[1] for x in middles])
    target = np.array([u[NAMES.index(n)] for rod in RODS for n in (rod[1], rod[3])])
    undo, parts = fit(target, theta)
    fitted = np.array([undo(t) for t in theta])
    fitted_middle = np.array([undo(t) for t in middle])
    out = {"direction": theta, "clear_share": clear, "middle_direction": middle, "middle_clear_share": middle_clear,
           "fixed_arcmin": (theta - target) / ARCMIN, "fitted_arcmin": (fitted - target) / ARCMIN,
           "fit_scale": parts[0], "fit_rotation_rad": parts[1], "fit_shift": np.array(parts[2:])}
    for frame, seen, mid in (("fixed", theta, middle), ("fitted", fitted, fitted_middle)):
        across, turn, reach = [], [], []
        for r in range(len(RODS)):
            w0, w1 = target[2 * r], target[2 * r + 1]
            along = (w1 - w0) / np.linalg.norm(w1 - w0)
            square = np.array([-along[1], along[0]])
            s0, s1 = seen[2 * r], seen[2 * r + 1]
            across.append(max(abs((p - w0) @ square) for p in (s0, s1, mid[r])) / ARCMIN)
            v = s1 - s0
            turn.append(np.arctan2(along[0] * v[1] - along[1] * v[0], along @ v) / ARCMIN)
            reach += [-((s0 - w0) @ along) / ARCMIN, ((s1 - w1) @ along) / ARCMIN]
        out[f"across_{frame}_arcmin"] = np.array(across)
        out[f"turn_{frame}_arcmin"] = np.array(turn)
        out[f"reach_{frame}_arcmin"] = np.array(reach)
    names, gaps = [], []
    for n in NAMES:
        here = [theta[2 * r + e] for r, rod in enumerate(RODS) for e, l in enumerate((rod[1], rod[3])) if l == n]
        if len(here) > 1:
            names.append(n)
            gaps.append(max(np.linalg.norm(p - q) for p in here for q in here) / ARCMIN)
    out["gap_arcmin"] = np.array(gaps)
    return out, names


def case(name, seed, size, peephole, threading, pupil, down, relief=17.0):
    rng = np.random.default_rng(seed)
    n, m = len(NAMES), len(RODS)
    pairs = lambda count, sd: (rng.normal(0, sd * size, (count, 2))).round(4).tolist()
    one = lambda sd: round(float(rng.normal(0, sd * size)), 5)
    plates = [{"z": 160.0, "centre": [2.5, -4.0], "hole": 0.8}, {"z": 380.0, "centre": [-6.0, 9.0], "hole": 0.9}]
    plate_values = [{"shift": pairs(1, 0.5)[0], "turn": one(0.006), "scale": one(0.006), "seat": one(0.9),
                     "tilt_x": one(0.012), "tilt_y": one(0.012), "scatter": pairs(n, 0.2), "slack": pairs(n, 0.25)}
                    for _ in range(2)]
    shared = threading["tightened"] == "ends only"
    return {
        "name": name, "plates": plates, "plate_values": plate_values,
        "peephole_diameter": peephole, "eye_relief_nominal": relief, "focus": 260.0, "clip_below": 0.25,
        "gravity_m_per_s2": 9.80665, "down": down, "line_kg_per_m": 3.6e-5, "line_diameter": 0.2,
        "tension_n": [2.0 + 0.3 * i for i in range(n)] if not shared else [6.0] * n, "threading": threading,
        "hand_tension": np.exp(rng.normal(0, 0.2, 1 if shared else n)).round(4).tolist(),
        "slackening": rng.uniform(0.7, 1.0, n).round(4).tolist(),
        "tie": pairs(2 * m, 1.1), "slip": [one(1.2) for _ in range(2 * m)], "bow": pairs(m, 0.004),
        "peephole_shift": pairs(1, 0.4)[0], "peephole_depth": one(0.7),
        "eye_offset": pairs(1, 0.8)[0], "eye_relief": one(1.5), "pupil": pupil,
    }


def toml(value):
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, (list, tuple, np.ndarray)):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, (int, np.integer)):
        return str(int(value))
    return repr(float(value))


def main():
    order = [3, 0, 5, 1, 7, 2, 6, 4]
    cases = [
        case("narrow peephole, each run tightened", 11, 1.0, 3.2,
             {"tightened": "each run", "order": order, "first_enters_front": True, "friction": 0.25,
              "pulled_last": False}, 4.1, [0.0, -1.0]),
        case("wide peephole, one line pulled at its last end", 12, 1.0, 40.0,
             {"tightened": "ends only", "order": order, "first_enters_front": False, "friction": 0.17,
              "pulled_last": True}, 3.3, [0.6, -0.8]),
        case("pinhole, one line pulled at its first end", 13, 0.6, 0.6,
             {"tightened": "ends only", "order": order, "first_enters_front": True, "friction": 0.12,
              "pulled_last": False}, 5.6, [0.0, -1.0], relief=5.0),
        case("gross errors", 14, 3.0, 12.0,
             {"tightened": "each run", "order": order, "first_enters_front": True, "friction": 0.25,
              "pulled_last": False}, 2.6, [-0.28, -0.96]),
    ]
    here = os.path.dirname(os.path.abspath(__file__))
    with open(os.path.join(here, "model_check.toml"), "w", encoding="utf-8") as file:
        file.write("# Made by model_check.py; do not edit by hand.\n")
        file.write('subject = "one whole trial against a second implementation"\n\n')
        for c in cases:
            out, junctions = trial(c)
            file.write("[[row]]\n")
            file.write(f'name = "{c["name"]}"\n')
            file.write('check = "whole_trial"\nkind = "other_program"\n')
            file.write('source = "a second implementation of the model, written apart from the engine"\n')
            file.write(f'call = "python3 tests/reference/model_check.py, numpy {np.__version__}"\n')
            file.write('unit = "arcmin (directions and shares: none)"\ntolerance = 1e-9\n')
            file.write('reason = "two double-precision computations of a few hundred operations each; absolute, and '
                       'relative above 1"\n')
            file.write("[row.inputs]\n")
            file.write("vertices = " + toml([{"name": n, "direction": list(VERTICES[n])} for n in NAMES]) + "\n")
            file.write("rods = " + toml([
                {"name": r[0], "lines": [r[1], r[3]], "depths": [r[2], r[4]], "diameter": ROD_DIAMETER[i],
                 "kg_per_m": ROD_KG_PER_M[i]} for i, r in enumerate(RODS)]) + "\n")
            for key, value in c.items():
                if key != "name":
                    file.write(f"{key} = {toml(value)}\n")
            file.write("[row.expected]\n")
            for key, value in out.items():
                file.write(f"{key} = {toml(value)}\n")
            file.write("\n")
            print(c["name"], "clear", out["clear_share"].min().round(3), out["clear_share"].max().round(3),
                  "fixed max", np.abs(out["fixed_arcmin"]).max().round(2),
                  "fitted", np.abs(out["fitted_arcmin"]).max().round(2), "gaps", out["gap_arcmin"].max().round(2))


if __name__ == "__main__":
    main()
