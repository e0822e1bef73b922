#!/usr/bin/env python3
"""The whole trial in vectorised numpy: what one would write without this crate. Needs numpy and nothing else.

    python3 benches/numpy_model.py check FILE...   the very builds and looks of a file must give its deviations
    python3 benches/numpy_model.py time FILE...    draws its own numbers; ns per trial as JSON, one line a file

The files are written by `cargo bench --bench trial_cost`, which calls this script. Written from the model's
definitions, apart from the engine. Arrays stand as [item, trial], trials side by side in memory, so that gathers and sums
over items run over whole rows; points of rods stand as first ends, second ends, middles, so that a rod's three are one axis.
Lengths mm, forces N, angles rad (tangents).
"""

import json
import os
import sys
import time

# one core: before numpy is loaded
for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ[name] = "1"

import numpy as np  # noqa: E402

ARCMIN = np.pi / 10800
LARGEST_SAG_SHARE = 1 / 20
AGREES_TO = 1e-9
BIN_ARCMIN, BINS = 0.05, 800
CHUNKS = (256, 512, 1024, 2048, 4096, 8192, 16384)
AT_ONCE = 65536


# drawing

def numbers(rng, law, shape):
    """Numbers of one distribution."""
    form = law["form"]
    if form == "fixed":
        return np.full(shape, law["value"])
    if form == "normal":
        x = rng.standard_normal(shape)
        x *= law["sd"]
        return x + law["mean"] if law["mean"] else x
    if form == "uniform":
        x = rng.random(shape)
        x *= 2 * law["half_width"]
        x += law["mean"] - law["half_width"]
        return x
    if form == "triangular":
        return law["mean"] + law["half_width"] * (rng.random(shape) - rng.random(shape))
    if form == "arcsine":
        return law["mean"] - law["half_width"] * np.cos(np.pi * rng.random(shape))
    if form == "lognormal":
        x = rng.standard_normal(shape)
        x *= law["sd_log"]
        np.exp(x, out=x)
        x *= law["median"]
        return x
    if form == "truncated normal":
        x = rng.standard_normal(shape)
        bound = law["half_width"] / law["sd"]
        outside = np.abs(x) > bound
        while outside.any():
            x[outside] = rng.standard_normal(np.count_nonzero(outside))
            outside = np.abs(x) > bound
        return law["mean"] + law["sd"] * x
    if form == "measured":
        values = np.array(law["values"])
        return values[rng.integers(len(values), size=shape)]
    raise ValueError(f"unknown form {form}")


def polar(length, turn):
    angle = 2 * np.pi * turn
    return length * np.cos(angle), length * np.sin(angle)


def pupil_mm(law, age):
    """Watson & Yellott, Journal of Vision 12(10):12 (2012): the unified formula, for ages 20 to 83."""
    flux = law["luminance_cd_per_m2"] * law["area_deg2"] * (1 if law["both_eyes"] else 0.1) / 846
    bent = flux ** 0.41
    base = 7.75 - 5.75 * bent / (bent + 2)
    return base + (np.clip(age, 20, 83) - 28.58) * (0.02132 - 0.009562 * base)


def draw(rng, source, trials):
    """Values of one source: one array [item, trial] for each component."""
    law, shape = source["law"], (source["items"], trials)
    kind = law["kind"]
    if kind == "each":
        return [numbers(rng, one, shape) for one in law["each"]]
    if kind == "disc":
        x, y = polar(law["radius"] * np.sqrt(rng.random(shape)), rng.random(shape))
        return [law["centre"][0] + x, law["centre"][1] + y]
    if kind == "ring":
        return list(polar(np.array(law["radii"])[:, None], rng.random(shape)))
    if kind == "aimed":
        return [np.array(law["aims"])[:, c, None] for c in range(2)]
    if kind == "spun":
        return list(polar(numbers(rng, law["length"], shape), rng.random(shape)))
    if kind == "rows":
        rows = np.array(law["rows"])[rng.integers(len(law["rows"]), size=shape)]
        return [rows[..., c] for c in range(source["components"])]
    if kind == "light":
        return [pupil_mm(law, numbers(rng, law["age"], shape))]
    raise ValueError(f"unknown kind {kind}")


# the model

def overlap(pupil, window, apart):
    """Share of the pupil's disc that the window's disc covers, and how far the covered part's centroid is from the
    pupil's centre."""
    share = np.where(window < pupil, (window / pupil) ** 2, 1.0)
    far = np.where(window < pupil, apart, 0.0)
    cut = apart > np.abs(window - pupil)
    if cut.any():
        r, R, d = np.broadcast_to(pupil, apart.shape)[cut], window[cut], apart[cut]
        chord = (d * d + r * r - R * R) / (2 * d)
        half = np.sqrt(np.maximum(r * r - chord * chord, 0))
        near_part = r * r * np.arccos(np.clip(chord / r, -1, 1)) - chord * half
        far_part = R * R * np.arccos(np.clip((d - chord) / R, -1, 1)) - (d - chord) * half
        area = near_part + far_part
        seen = (d < r + R) & (area > 0)
        share[cut] = np.where(seen, area / (np.pi * r * r), 0)
        far[cut] = np.where(seen, far_part * d / np.where(seen, area, 1), 0)
    return share, far


class Work:
    """All that no error changes."""

    def __init__(self, data):
        self.data = data
        self.sources = {source["key"]: source for source in data["sources"]}
        self.direction = np.array(data["directions"])
        self.lines = np.array([rod["lines"] for rod in data["rods"]]).T           # [end, rod]
        self.depths = np.array([rod["depths_mm"] for rod in data["rods"]], float).T
        self.rods = self.lines.shape[1]
        self.on_line = self.lines.reshape(-1)                                       # first ends, then second ends
        # the same order out of the file's, rod by rod
        self.by_end = np.arange(2 * self.rods).reshape(-1, 2).T.reshape(-1)
        self.depth = self.depths.reshape(-1)
        self.front_z, self.rear_z = (plate["z_mm"] for plate in data["plates"])
        self.target = self.direction[self.on_line]
        ends = np.concatenate([self.target * self.depth[:, None], self.depth[:, None]], axis=1)
        first, second = ends[: self.rods], ends[self.rods:]
        middle = (first + second) / 2
        self.targets = np.concatenate([self.target, middle[:, :2] / middle[:, 2:]])
        self.hang(second - first)
        self.edges()
        self.junctions()
        self.limits()

    def hang(self, along):
        """Half of each rod's weight on each of its lines; loads padded to one count for all lines."""
        data, gravity = self.data, self.data["gravity_m_per_s2"]
        mass = np.array([rod["mass_kg_per_m"] for rod in data["rods"]])
        half = mass * np.linalg.norm(along, axis=1) * 1e-3 * gravity / 2
        self.span = self.rear_z - self.front_z
        self.own = data["line_kg_per_m"] * gravity * 1e-3
        loads = [[] for _ in self.direction]
        for i, (line, depth) in enumerate(zip(self.on_line, self.depth)):
            loads[line].append((depth - self.front_z, half[i % self.rods]))
        self.largest_moment = np.array([self.peak(one) for one in loads])
        most = max(map(len, loads))
        padded = np.array([one + [(self.span / 2, 0.0)] * (most - len(one)) for one in loads])
        self.load_at, self.load = padded[self.on_line, :, 0].T, padded[self.on_line, :, 1].T   # [nth load, end]

    def moment(self, s, at, load):
        """Moment of the simply supported beam: the lever of a load is the smaller of its two branches."""
        m = (self.own / 2) * s * (self.span - s)
        for a, w in zip(at, load):
            m += np.minimum(s * (w * (self.span - a) / self.span), (self.span - s) * (w * a / self.span))
        return m

    def peak(self, loads):
        at, load = (np.array([pair[i] for pair in loads]).reshape(-1, 1) for i in range(2))
        stops = np.sort(np.concatenate([[0, self.span], at[:, 0]]))
        candidates = [stops]
        if self.own > 0:
            reaction = self.own * self.span / 2 + (load * (self.span - at) / self.span).sum()
            carried = np.array([load[at <= stop].sum() for stop in stops[:-1]])
            candidates.append(np.clip((reaction - carried) / self.own, stops[:-1], stops[1:]))
        return self.moment(np.concatenate(candidates), at, load).max()

    def edges(self):
        self.start = self.target[: self.rods]
        along = self.target[self.rods:] - self.start
        along = along / np.linalg.norm(along, axis=1)[:, None]
        self.square = np.stack([-along[:, 1], along[:, 0]], axis=1)
        centred = self.target - self.target.mean(axis=0)
        self.centred, self.spread = centred.T.copy(), (centred ** 2).sum()

    def junctions(self):
        """Every pair of rod ends that should meet, and where each junction's pairs start."""
        pairs, self.pair_starts, self.meeting = [], [], []
        for line in range(len(self.direction)):
            here = np.flatnonzero(self.on_line == line)
            if len(here) > 1:
                self.pair_starts.append(len(pairs))
                self.meeting.append(here)
                pairs += [(i, j) for n, i in enumerate(here) for j in here[n + 1:]]
        self.pairs = np.array(pairs, int).reshape(-1, 2).T

    def limits(self):
        rule, data = self.data["judging"], self.data
        thick = np.array([rod["diameter_mm"] for rod in data["rods"]])
        at_rod = thick / self.depths.max(axis=0)
        at_end = np.tile(thick, 2) / self.depth
        at_junction = np.array([at_end[here].min() for here in self.meeting])
        apart = self.target[:, None] - self.target[None]
        figure = np.sqrt((apart ** 2).sum(axis=2)).max()
        self.floors, self.outright = [], [rule["drift_rad"], rule["gap_rad"]]
        for thickness in (at_rod, at_junction):
            self.floors.append(np.maximum(rule["cover"] * thickness, rule["share_of_figure"] * figure)[:, None])

    def limit(self, which, detail):
        if self.outright[which] is not None:
            return self.outright[which]
        return np.maximum(self.floors[which], self.data["judging"]["acuity_factor"] * detail)

    def holes(self, side, v):
        """Pattern about the plate's centre, then the hole's own offset, then tilt about x, about y, and depth."""
        plate, name = self.data["plates"][side], ("front", "rear")[side]
        get = lambda key: v[f"{name}.{key}"]
        size, turn = 1 + get("print_scale")[0], get("pattern_turn")[0]
        c, s = size * np.cos(turn), size * np.sin(turn)
        cx, cy = plate["centre_mm"]
        px, py = (self.direction * plate["z_mm"] - [cx, cy]).T[:, :, None]
        shift, scatter, slack = get("pattern_shift"), get("hole_scatter"), get("hole_slack")
        x = c * px - s * py + shift[0]
        x += scatter[0]
        x += slack[0]
        y = s * px + c * py + shift[1]
        y += scatter[1]
        y += slack[1]
        about_x, about_y = get("tilt_x")[0], get("tilt_y")[0]
        raised = y * np.sin(about_x)
        return (x * np.cos(about_y) + raised * np.sin(about_y) + cx, y * np.cos(about_x) + cy,
                raised * np.cos(about_y) - x * np.sin(about_y) + (plate["z_mm"] + get("seat_depth")[0]))

    def build(self, v):
        """Points of the rods [3·rods, trial] (x, y, z), the peephole's centre, and which builds can be computed."""
        front, rear = self.holes(0, v), self.holes(1, v)
        tension = np.array(self.data["tension_n"])[:, None] * v["line.hand_tension"][0] * v["line.slackening"][0]
        fine = (rear[2] > front[2]).all(axis=0) & (tension > 0).all(axis=0)
        fine = fine & (self.largest_moment[:, None] <= LARGEST_SAG_SHARE * self.span * tension).all(axis=0)
        z = self.depth[:, None] + v["rod.slip"][0][self.by_end]
        on = self.on_line
        fx, fy, fz = (a[on] for a in front)
        rx, ry, rz = (a[on] for a in rear)
        fine = fine & ((z > fz) & (z < rz)).all(axis=0)
        share = (z - fz) / (rz - fz)
        moment = self.moment(z - self.front_z, self.load_at[:, :, None], self.load[:, :, None])
        sag = np.maximum(moment, 0) / tension[on]
        down, tie = self.data["down"], v["rod.tie"]
        x = fx + (rx - fx) * share
        x += down[0] * sag
        x += tie[0][self.by_end]
        y = fy + (ry - fy) * share
        y += down[1] * sag
        y += tie[1][self.by_end]
        points = [np.concatenate([end, middle]) for end, middle in zip((x, y, z), self.middles(x, y, z, v))]
        shift = v["peephole.shift"]
        hole = (shift[0][0], shift[1][0], self.data["eye_relief_mm"] + v["peephole.depth"][0][0])
        return points, hole, fine

    def middles(self, x, y, z, v):
        """A bowed middle stands off square to the rod: across (a quarter turn off the rod, constant z) and deep."""
        n = self.rods
        dx, dy, dz = x[n:] - x[:n], y[n:] - y[:n], z[n:] - z[:n]
        flat = dx * dx + dy * dy
        level = np.sqrt(flat)
        length = np.sqrt(flat + dz * dz)
        across, deep = v["rod.bow"]
        ax, ay = -dy / level, dx / level
        side = across * length
        # the rod × across, over the rod's length, times deep × length
        return ((x[:n] + x[n:]) / 2 + ax * side - deep * dz * ay,
                (y[:n] + y[n:]) / 2 + ay * side + deep * dz * ax,
                (z[:n] + z[n:]) / 2 + deep * level)

    def look(self, points, hole, v):
        """Direction of every point, tangents, and its clear share."""
        x, y, z = points
        offset, eye_z, pupil = v["eye.offset"], v["eye.relief"][0][0], v["eye.pupil"][0][0] / 2
        ex, ey = offset[0][0], offset[1][0]
        deep = z - eye_z
        stretch = deep / (z - hole[2])
        ox, oy = x - ex, y - ey
        cx = (hole[0] - x) * stretch
        cx += ox
        cy = (hole[1] - y) * stretch
        cy += oy
        apart = np.sqrt(cx * cx + cy * cy)
        clear, far = overlap(pupil, self.data["peephole_mm"] / 2 * stretch, apart)
        pull = far / np.maximum(apart, 1e-300)
        # θ = (X − E − a)/deep + a/focus
        weight = pull * (1 / self.data["focus_mm"] - 1 / deep)
        tx = ox / deep
        tx += cx * weight
        ty = oy / deep
        ty += cy * weight
        return tx, ty, clear

    def fit(self, tx, ty):
        """Directions with the best common shift, turn and scale taken away."""
        n = 2 * self.rods
        ex, ey = tx[:n], ty[:n]
        wx, wy = self.centred
        a = (wx @ ex + wy @ ey) / self.spread
        b = (wx @ ey - wy @ ex) / self.spread
        mx, my = self.target.mean(axis=0)
        dx = tx - (ex.mean(axis=0) - (a * mx - b * my))
        dy = ty - (ey.mean(axis=0) - (b * mx + a * my))
        size = a * a + b * b
        a, b = a / size, b / size
        return a * dx + b * dy, a * dy - b * dx

    def drift(self, tx, ty):
        """Largest distance of a rod's ends and middle from its edge, [rod, trial]."""
        nx, ny = self.square[:, 0, None], self.square[:, 1, None]
        shape = (3, self.rods, -1)
        off = tx.reshape(shape) * nx
        off += ty.reshape(shape) * ny
        off -= (self.start * self.square).sum(axis=1)[:, None]
        return np.abs(off, out=off).max(axis=0)

    def gaps(self, tx, ty):
        if not self.pair_starts:
            return np.zeros((0, tx.shape[1]))
        i, j = self.pairs
        dx, dy = tx[i] - tx[j], ty[i] - ty[j]
        dx *= dx
        dy *= dy
        dx += dy
        return np.sqrt(np.maximum.reduceat(dx, self.pair_starts, axis=0))

    def judge(self, drifts, gaps, clear, log_mar):
        """Share of its limit for every rod and junction [item, trial], and which looks show the whole figure."""
        detail = 10 ** log_mar * ARCMIN
        shares = np.concatenate([drifts / self.limit(0, detail), gaps / self.limit(1, detail)])
        least = clear.min(axis=0)
        return shares, (least >= self.data["clip_below"]) & (least > 0)


# what a user counts

class Counts:
    """Yield, histogram of every rod's drift in both frames, and what broke first."""

    def __init__(self, work):
        self.builds = self.passed = self.looks = self.held = self.clipped = 0
        self.histograms = np.zeros((2, work.rods * (BINS + 1)), np.int64)
        self.broke_first = np.zeros(work.rods + len(work.pair_starts), np.int64)
        self.rows = np.arange(work.rods)[:, None] * (BINS + 1)

    def add_look(self, work, drifts, shares, shown):
        for histogram, drift in zip(self.histograms, drifts):
            bins = np.minimum(drift * (1 / (BIN_ARCMIN * ARCMIN)), BINS - 1).astype(np.intp)
            bins[:, ~shown] = BINS                     # clipped looks have a bin of their own
            bins += self.rows
            histogram += np.bincount(bins.ravel(), minlength=histogram.size)
        worst = shares.argmax(axis=0)
        held = np.take_along_axis(shares, worst[None], axis=0)[0] <= 1
        self.broke_first += np.bincount(worst[shown & ~held], minlength=len(self.broke_first))
        self.looks += shown.size
        self.clipped += shown.size - np.count_nonzero(shown)
        return shown & held

    def end_builds(self, work, held, shown):
        self.builds += held.size
        self.held += held.sum()
        self.passed += np.count_nonzero((shown > 0) & (held >= work.data["judging"]["hold_share"] * shown - 1e-9))


def run_chunk(work, rng, trials, looks, counts):
    """`trials` builds, each looked at `looks` times."""
    family = lambda name: {key: draw(rng, s, trials) for key, s in work.sources.items() if s["family"] == name}
    points, hole, fine = work.build(family("build"))
    held_looks, shown_looks = np.zeros(trials, int), np.zeros(trials, int)
    for _ in range(looks):
        v = family("look")
        tx, ty, clear = work.look(points, hole, v)
        fixed, fitted = work.drift(tx, ty), work.drift(*work.fit(tx, ty))
        judged = fitted if work.data["judging"]["fitted"] else fixed
        shares, shown = work.judge(judged, work.gaps(tx, ty), clear, v["eye.acuity"][0][0])
        shown &= fine
        held_looks += counts.add_look(work, (fixed, fitted), shares, shown)
        shown_looks += shown
    counts.end_builds(work, held_looks, shown_looks)


# the two modes

def given(block, components):
    """The file's [trial][item][component] as one array [item, trial] a component."""
    values = np.array(block, float)
    return [values[:, :, c].T for c in range(components)]


def differ(found, expected):
    """Largest absolute difference; a number against none is as far as JSON can say."""
    found, expected = np.asarray(found, float), np.asarray(expected, float)
    if found.shape != expected.shape or (np.isnan(found) != np.isnan(expected)).any():
        return sys.float_info.max
    apart = np.abs(found - expected)
    return 0.0 if np.isnan(apart).all() else float(np.nanmax(apart))


def check(work):
    """Largest difference of each quantity, and how many looks came to each verdict."""
    data, n, far = work.data, 2 * work.rods, {}
    order = np.concatenate([work.by_end, np.arange(n, 3 * work.rods)])      # from the file's order of points
    sources = work.sources
    built = {key: given(block, sources[key]["components"]) for key, block in data["builds"].items()}
    points, hole, fine = work.build(built)
    words = {}
    for look in data["looks"]:
        v = {key: given(block, sources[key]["components"]) for key, block in look["values"].items()}
        tx, ty, clear = work.look(points, hole, v)
        fixed, fitted = (tx, ty), work.fit(tx, ty)
        computed = fine & (v["eye.relief"][0][0] < hole[2]) & (v["eye.pupil"][0][0] > 0)
        dark = clear <= 0
        unfit = dark[:n].any(axis=0)
        gaps = work.gaps(tx, ty)
        drifts = work.drift(*(fitted if work.data["judging"]["fitted"] else fixed))
        shares, shown = work.judge(drifts, gaps, clear, v["eye.acuity"][0][0])
        worst = shares.max(axis=0)
        verdict = np.where(~computed, "not computable",
                           np.where(~shown, "clipped", np.where(worst <= 1, "holds", "breaks")))
        targets = work.targets.T[:, :, None]
        hidden = dark | ~computed
        found = {"clear_share": np.where(computed, clear, np.nan)}
        for frame, seen, none in (("fixed", fixed, hidden), ("fitted", fitted, hidden | unfit)):
            for axis in range(2):
                found[f"{frame}_{'xy'[axis]}_rad"] = np.where(none, np.nan, seen[axis] - targets[axis])
        for name, values in found.items():
            expected = np.array(look[name], float).T[order]
            far[name] = max(far.get(name, 0), differ(values, expected))
        parted = np.array([hidden[here].any(axis=0) for here in work.meeting]).reshape(len(work.meeting), -1)
        far["gap_rad"] = max(far.get("gap_rad", 0), differ(
            np.where(parted, np.nan, gaps), np.array(look["gap_rad"], float).T.reshape(parted.shape)))
        judged = shown & computed
        far["worst_share"] = max(far.get("worst_share", 0), differ(
            np.where(judged, worst, np.nan), np.array(look["worst_share"], float)))
        named = np.array([0 if item is None else item for item in look["worst_item"]])
        far["worst_item"] = max(far.get("worst_item", 0), differ(
            np.where(judged, np.take_along_axis(shares, named[None], axis=0)[0], 0), np.where(judged, worst, 0)))
        # a share within rounding of its limit may fall on either side
        doubtful = judged & (np.abs(worst - 1) < AGREES_TO)
        odd = (verdict != np.array(look["verdict"])) & ~doubtful
        far["verdicts"] = far.get("verdicts", 0) + int(np.count_nonzero(odd))
        for word in verdict:
            words[word] = words.get(word, 0) + 1
    name = max(far, key=far.get)
    return {"name": work.data["name"], "agrees": far[name] <= AGREES_TO, "largest_of": name, "largest": far[name],
            "each": far, "verdicts": words}


def time_one(work, trials, looks, at_least_s=0.1, repeats=5):
    """ns per build on the processor: median of the repeats."""
    rng, counts, each = np.random.Generator(np.random.SFC64(7)), Counts(work), []
    run_chunk(work, rng, trials, looks, counts)
    for _ in range(repeats):
        begun, chunks = time.process_time(), 0
        while time.process_time() - begun < at_least_s:
            run_chunk(work, rng, trials, looks, counts)
            chunks += 1
        each.append((time.process_time() - begun) * 1e9 / (chunks * trials))
    return float(np.median(each)), counts


def time_work(work):
    """Full trial and extra look at the size of chunk that suits each best."""
    full, extra, passed = {}, {}, None
    for trials in CHUNKS:
        one, counts = time_one(work, trials, 1)
        many, _ = time_one(work, trials, 5)
        full[trials], extra[trials] = one, (many - one) / 4
        if one > 1.25 * min(full.values()) and extra[trials] > 1.25 * min(extra.values()):
            break                                      # too large for the caches already
        passed = [int(counts.passed), int(counts.builds)]
    best = min(full, key=full.get), min(extra, key=extra.get)
    # as it is written first: all builds in one array
    at_once = time_one(work, AT_ONCE, 1, repeats=1)[0] if len(work.meeting) <= 20 else None
    return {"name": work.data["name"], "at_once_ns": at_once, "at_once": AT_ONCE, "full_ns": full[best[0]], "full_chunk": best[0], "extra_ns": extra[best[1]],
            "extra_chunk": best[1], "passed_of": passed, "numpy": np.__version__, "python": sys.version.split()[0]}


def main(mode, files):
    agreed = True
    for path in files:
        with open(path, encoding="utf-8") as file:
            work = Work(json.load(file))
        if mode == "check":
            result = check(work)
            agreed &= result["agrees"]
        else:
            with np.errstate(all="ignore"):
                result = time_work(work)
        print(json.dumps(result, default=float), flush=True)
    return 0 if agreed else 1


if __name__ == "__main__":
    if len(sys.argv) < 3 or sys.argv[1] not in ("check", "time"):
        sys.exit(__doc__)
    sys.exit(main(sys.argv[1], sys.argv[2:]))
