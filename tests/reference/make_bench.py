"""What is measured at the bench, by other programs: strings of a published chart, pictures by camera matrices, the best
similarity beside a mirror, and what every reading of a build would be by a second implementation (numpy only).
Run: python3 make_bench.py

Frame: origin at the nominal pupil centre, z into the cabinet, y up, right-handed, so +x to the viewer's left. Lengths mm,
angles rad, tensions N, tones Hz."""
import cv2
import numpy as np
import skimage
from skimage.transform import SimilarityTransform
import model_check as m
from toml_rows import Rows

CV, NP, SK = f"opencv-python-headless {cv2.__version__}", f"numpy {np.__version__}", f"scikit-image {skimage.__version__}"
rows = Rows("make_bench.py", "what is measured at the bench")

# --- strings: unit weight (lb/in) and tension (lb, one decimal) as printed, plain steel, scale length 25 1/2 in
CHART = ("a string maker's published tension chart, https://www.daddario.com/globalassets/pdfs/accessories/tension_chart_13934.pdf, "
         "plain steel, scale length 25 1/2 in (figures by way of a transcription of it)")
NOTE_HZ = {note: 440.0 * 2 ** ((n - 69) / 12) for note, n in {
    "G4": 67, "E4": 64, "D4": 62, "B3": 59, "A3": 57, "G3": 55, "D3": 50, "C3": 48, "B2": 47, "A2": 45}.items()}
STRINGS = [
    (".008", 1.418e-05, "G4", 14.7), (".009", 1.794e-05, "E4", 13.1), (".010", 2.215e-05, "E4", 16.2),
    (".010", 2.215e-05, "G3", 5.7), (".011", 2.680e-05, "B3", 11.0), (".012", 3.190e-05, "E4", 23.3),
    (".013", 3.744e-05, "B3", 15.4), (".014", 4.342e-05, "D4", 25.2), (".016", 5.671e-05, "B3", 23.3),
    (".017", 6.402e-05, "G3", 16.6), (".018", 7.177e-05, "D3", 10.4), (".020", 8.861e-05, "A3", 28.9),
    (".024", 1.2760e-04, "A2", 10.4), (".026", 1.4975e-04, "C3", 17.2),
]
LB_KG, INCH_M, LBF_N = 0.45359237, 0.0254, 0.45359237 * 9.80665
for gauge, unit_weight, note, pounds in STRINGS:
    inputs = {"kg_per_m": unit_weight * LB_KG / INCH_M, "length_mm": 647.7}
    exact = unit_weight * (2 * 25.5 * NOTE_HZ[note]) ** 2 / 386.4
    assert abs(exact - pounds) < 0.07, (gauge, note, exact, pounds)
    # half of the last printed digit, and what the chart's own arithmetic (386.4 in/s2 for 386.089) leaves
    allowed = 0.05 + 1e-3 * pounds + (0.02 if abs(exact - pounds) > 0.05 else 0)
    reason = "printed to 0.1 lb, computed with 386.4 in/s2 where standard gravity is 386.089"
    rows.add(f"tension of a {gauge} string at {note}", "tension_of_tone", "published", CHART, "N", allowed * LBF_N, reason,
             {**inputs, "tone_hz": NOTE_HZ[note]}, pounds * LBF_N)
    rows.add(f"tone of a {gauge} string at its tension at {note}", "tone_of_tension", "published", CHART, "Hz",
             NOTE_HZ[note] * allowed / pounds / 2, reason + "; a tone goes with the root of the tension",
             {**inputs, "tension_n": pounds * LBF_N}, NOTE_HZ[note])

# --- pictures by a pinhole camera that looks askew
rng = np.random.default_rng(77)
for n, (aside_deg, roll) in enumerate([(2, np.pi), (5, np.pi + 0.1), (10, 3.0), (20, -2.9), (35, 0.2), (0, np.pi)], 1):
    axis = rng.normal(size=2)
    axis /= np.linalg.norm(axis)
    rot = cv2.Rodrigues(np.array([0, 0, roll]))[0] @ cv2.Rodrigues(np.array([*axis, 0.0]) * np.radians(aside_deg))[0]
    focal, centre = round(float(rng.uniform(2500, 5000)), 1), rng.uniform(900, 2200, 2).round(1)
    camera = np.array([[focal, 0, centre[0]], [0, focal, centre[1]], [0, 0, 1.0]])
    w = rng.uniform(-0.22, 0.22, (9, 2)).round(4)
    seen = cv2.projectPoints(np.c_[w, np.ones(len(w))], cv2.Rodrigues(rot)[0], np.zeros(3), camera, None)[0].reshape(-1, 2)
    k = rot[2, :2] / rot[2, 2]
    homography = camera @ rot / rot[2, 2]
    shift = homography[:2, 2]
    # the shift-free 2x2 part: a turn, a scale, and a stretch along k
    free = homography[:2, :2] - np.outer(shift, k)
    secant = np.sqrt(1 + k @ k)
    turned = free @ np.linalg.inv(np.eye(2) + np.outer(k, k) / (1 + secant))
    rows.add(f"picture by a camera {aside_deg} degrees askew {n}", "picture", "other_program",
             "pinhole camera with square pixels, any focal length, principal point and attitude", "px", 1e-8,
             "double precision on some 3000 px, the rotation through a rotation vector and back",
             {"shift": shift, "turn": float(np.arctan2(turned[1, 0], turned[0, 0])),
              "log_scale": float(np.log(np.hypot(turned[0, 0], turned[1, 0]))), "perspective": k, "w": w}, seen,
             f"cv2.projectPoints((w, 1), R, 0, K, None); frame from K R by {NP}, {CV}")

# the homography of four points, by two programs, on an example worked by hand (no camera with square pixels sees that one)
square = np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]])
quad = np.array([[0.0, 0], [2, 0], [1.5, 1], [0.5, 1]])
h = cv2.getPerspectiveTransform(square.astype(np.float32), quad.astype(np.float32))
assert np.abs(h - np.array([[2, 1, 0], [0, 2, 0], [0, 1, 1]])).max() < 1e-6


def dlt(src, dst):
    a = []
    for (x, y), (u, v) in zip(src, dst):
        a += [[x, y, 1, 0, 0, 0, -u * x, -u * y, -u], [0, 0, 0, x, y, 1, -v * x, -v * y, -v]]
    h = np.linalg.svd(np.array(a))[2][-1].reshape(3, 3)
    return h / h[2, 2]


assert np.abs(dlt(square, quad) - np.array([[2, 1, 0], [0, 2, 0], [0, 1, 1]])).max() < 1e-12

# four corners through a frame, and the homography of the four pairs must take a fifth where the frame takes it
for n in range(4):
    k = rng.normal(0, 0.15, 2).round(3)
    frame = {"shift": rng.uniform(500, 1500, 2).round(1), "turn": round(float(rng.uniform(-3, 3)), 3),
             "log_scale": float(np.log(3000.0)), "perspective": k}
    secant = np.sqrt(1 + k @ k)
    c, s = np.cos(frame["turn"]), np.sin(frame["turn"])
    full = np.zeros((3, 3))
    full[2] = [*k, 1]
    full[:2, :2] = 3000.0 * np.array([[c, -s], [s, c]]) @ (np.eye(2) + np.outer(k, k) / (1 + secant)) + np.outer(frame["shift"], k)
    full[:2, 2] = frame["shift"]
    corners = 0.2 * (2 * square - 1)
    there = (np.c_[corners, np.ones(4)] @ full.T)
    there = there[:, :2] / there[:, 2:]
    found = dlt(corners, there)
    fifth = rng.uniform(-0.18, 0.18, (3, 2)).round(4)
    seen = np.c_[fifth, np.ones(3)] @ found.T
    rows.add(f"a frame is a homography {n + 1}", "picture", "other_program",
             "direct linear transform of four corners (R. Hartley, A. Zisserman, Multiple View Geometry, algorithm 4.1, from memory)",
             "px", 1e-7, "a null space of numbers of some 1e3", {**frame, "w": fifth}, seen[:, :2] / seen[:, 2:],
             f"numpy.linalg.svd of the direct linear transform, {NP}")

# --- the best similarity beside a mirror: proper on what is mirrored, and on what is mirrored back
for n in range(3):
    src = rng.uniform(-60, 60, (8, 2)).round(2)
    angle, size = rng.uniform(-0.4, 0.4), rng.uniform(4, 12)
    rot = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    dst = (size * src @ rot.T + [400, 300] + rng.normal(0, 1.0, src.shape)).round(3)
    for name, read in (("mirrored", dst * [-1, 1]), ("as it is", dst)):
        t = SimilarityTransform.from_estimate(src, read)
        left = np.sqrt(((t(src) - read) ** 2).sum(1).mean())
        rows.add(f"holes in a picture, {name} {n + 1}", "picture_fit", "other_program",
                 "Umeyama's least squares among proper rotations", "scale, rad, shift (2), root mean square left", 1e-8,
                 "both in double precision on some 1000 px; the other goes through a singular value decomposition",
                 {"targets": src, "seen": read}, [t.scale, t.rotation, *t.translation, left],
                 f"skimage.transform.SimilarityTransform.from_estimate(expected, read), {SK}")

# --- every reading of a build with every source of error at a definite value
BOAT = {"bow": (78, -30), "stern": (-70, -34), "keel-fore": (42, -62), "keel-aft": (-46, -62), "mast-foot": (4, -30),
        "mast-top": (4, 84), "boom-end": (-58, -14), "jib-tack": (66, -16), "pennant": (-24, 78), "gooseneck": (4, -14)}
# the scenario's x points right, the cabinet's to the viewer's left
m.VERTICES = {name: (-x / 400, y / 400) for name, (x, y) in BOAT.items()}
m.NAMES = list(m.VERTICES)
m.RODS = [("deck", "bow", 360.0, "stern", 450.0), ("transom", "stern", 390.0, "keel-aft", 480.0),
          ("keel", "keel-aft", 430.0, "keel-fore", 520.0), ("stem", "keel-fore", 470.0, "bow", 420.0),
          ("mast-step", "mast-foot", 390.0, "gooseneck", 410.0), ("mast", "gooseneck", 460.0, "mast-top", 500.0),
          ("leech", "mast-top", 440.0, "boom-end", 380.0), ("boom", "boom-end", 430.0, "gooseneck", 380.0),
          ("forestay", "mast-top", 470.0, "jib-tack", 400.0), ("foot-of-jib", "jib-tack", 450.0, "gooseneck", 430.0),
          ("pennant", "mast-top", 530.0, "pennant", 490.0)]
m.ROD_DIAMETER = [1.8] * len(m.RODS)
m.ROD_KG_PER_M = [0.0018] * len(m.RODS)


def lies(frame, w):
    """A frame by its matrix."""
    k = np.array(frame["perspective"])
    c, s = np.cos(frame["turn"]), np.sin(frame["turn"])
    spread = np.exp(frame["log_scale"]) * np.array([[c, -s], [s, c]]) @ (np.eye(2) + np.outer(k, k) / (1 + np.sqrt(1 + k @ k)))
    p = np.array(frame["shift"]) + spread @ w / (1 + k @ w)
    return p


def readings(case):
    u = np.array([m.VERTICES[n] for n in m.NAMES])
    zf, zr = case["plates"][0]["z"], case["plates"][1]["z"]
    nominal = [u * p["z"] for p in case["plates"]]
    holes = [[m.real_hole(case["plates"][p], case["plate_values"][p], nominal[p][i], i) for i in range(len(u))] for p in range(2)]
    tension = np.array(case["tension_n"]) * np.array(case["hand_tension"]) * np.array(case["slackening"])
    g, down = case["gravity_m_per_s2"], np.array(case["down"])
    loads = [[] for _ in u]
    for r, (_, l0, z0, l1, z1) in enumerate(m.RODS):
        a, b = np.array([*(u[m.NAMES.index(l0)] * z0), z0]), np.array([*(u[m.NAMES.index(l1)] * z1), z1])
        half = m.ROD_KG_PER_M[r] * np.linalg.norm(b - a) * 1e-3 * g / 2
        loads[m.NAMES.index(l0)].append((z0 - zf, half))
        loads[m.NAMES.index(l1)].append((z1 - zf, half))
    own = case["line_kg_per_m"] * g * 1e-3
    out = {}
    for p, side in enumerate(("front", "rear")):
        plate, v = case["plates"][p], case["plate_values"][p]
        c = np.array(plate["centre"])
        rot = np.array([[np.cos(v["turn"]), -np.sin(v["turn"])], [np.sin(v["turn"]), np.cos(v["turn"])]])
        flat = [c + (1 + v["scale"]) * rot @ (nominal[p][i] - c) + np.array(v["shift"]) + np.array(v["scatter"][i])
                for i in range(len(u))]
        out[f"{side}_hole"] = flat
        out[f"{side}_hole_on_scan"] = out[f"{side}_hole_in_picture"] = [lies(case["plate_frames"][p], h) for h in flat]
        out[f"line_in_{side}_hole"] = v["slack"]

    def depth(p, place):
        plate, v = case["plates"][p], case["plate_values"][p]
        c = np.array(plate["centre"])
        at = (np.array(place) - c) if place is not None else np.zeros(2)
        rot = np.array([[np.cos(v["turn"]), -np.sin(v["turn"])], [np.sin(v["turn"]), np.cos(v["turn"])]])
        return plate["z"] + v["seat"] + (m.rotation(v["tilt_x"], v["tilt_y"]) @ np.array([*at, 0.0]))[2]

    peephole = np.array([*case["peephole_shift"], case["eye_relief_nominal"] + case["peephole_depth"]])
    eye = np.array([*case["eye_offset"], case["eye_relief"]])
    places = [None] + case["places"]
    out["peephole_to_front_plate"] = [depth(0, q) - peephole[2] for q in places]
    out["front_to_rear_plate"] = [depth(1, q) - depth(0, q) for q in places]
    out["peephole_to_rear_plate"] = [depth(1, q) - peephole[2] for q in places]
    out["peephole"] = peephole[:2]
    out["eye_to_peephole"] = [peephole[2] - eye[2]]
    span = [holes[1][i] - holes[0][i] for i in range(len(u))]
    out["tension"] = tension
    out["tone"] = [np.sqrt(t / case["line_kg_per_m"]) / (2e-3 * np.linalg.norm(s)) for t, s in zip(tension, span)]
    out["drop"] = [m.moment(case["drop_at"], zr - zf, own, loads[i]) / tension[i] for i in range(len(u))]
    ends, from_front, from_rear = [], [], []
    for r, (_, l0, z0, l1, z1) in enumerate(m.RODS):
        for e, (name, z) in enumerate(((l0, z0), (l1, z1))):
            i = m.NAMES.index(name)
            z = z + case["slip"][2 * r + e]
            t = (z - holes[0][i][2]) / span[i][2]
            on = holes[0][i] + t * span[i]
            from_front.append(np.linalg.norm(on - holes[0][i]))
            from_rear.append(np.linalg.norm(holes[1][i] - on))
            sag = m.moment(z - zf, zr - zf, own, loads[i]) / tension[i]
            ends.append(on + np.array([*(down * sag), 0.0]) + np.array([*case["tie"][2 * r + e], 0.0]))
    out["end_from_front_plate"], out["end_from_rear_plate"], out["rod_beside_line"] = from_front, from_rear, case["tie"]
    look = lambda x: lies(case["view_frame"], m.see(x, eye, case["camera_pupil"] / 2, peephole, case["peephole_diameter"] / 2,
                                                    case["focus"])[0])
    out["seen_end"] = [look(x) for x in ends]
    middles = []
    for r in range(len(m.RODS)):
        a, b = ends[2 * r], ends[2 * r + 1]
        length = np.linalg.norm(b - a)
        e1 = np.array([-(b - a)[1], (b - a)[0], 0]) / np.hypot(*(b - a)[:2])
        e2 = np.cross((b - a) / length, e1)
        middles.append((a + b) / 2 + length * (case["bow"][r][0] * e1 + case["bow"][r][1] * e2))
    out["seen_middle"] = [look(x) for x in middles]
    return {key: np.array(value).reshape(-1) for key, value in out.items()}


for n, size in enumerate((1.0, 4.0), 1):
    c = m.case("", 40 + n, size, 9.0 * size, {"tightened": "each run", "order": list(range(len(m.NAMES))), "first_enters_front": True,
                                       "friction": 0.25, "pulled_last": False}, 3.0, [0.0, -1.0], relief=12.0)
    del c["name"]
    for plate, z, centre in zip(c["plates"], (180.0, 560.0), ([0.0, 0.0], [3.0, -2.0])):
        plate |= {"z": z, "centre": centre, "hole": 0.5}
    frame = lambda persp: {"shift": rng.uniform(100, 900, 2).round(2), "turn": round(float(rng.uniform(-3, 3)), 3),
                           "log_scale": round(float(rng.uniform(0, 2)), 3), "perspective": [0.0, 0.0] if not persp else [0.07, -0.04]}
    view = frame(True) | {"log_scale": 8.2}
    c |= {"line_diameter": 0.25, "line_kg_per_m": 5.6e-5, "tension_n": [8.0] * len(m.NAMES), "focus": 430.0, "camera_pupil": 2.2,
          "plate_frames": [frame(False), frame(False)], "view_frame": view, "drop_at": 190.0,
          "places": [[80.0, 60.0], [-80.0, 60.0], [80.0, -60.0], [-80.0, -60.0]]}
    rows.add(f"every reading of a build, {'usual' if n == 1 else 'gross'} errors", "bench_view", "other_program",
             "a second implementation of the model, written apart from the engine", "mm, px, Hz, N by quantity", 1e-9,
             "two double-precision computations of a few hundred operations each; relative above 1", {
                 "vertices": [{"name": v, "direction": list(m.VERTICES[v])} for v in m.NAMES],
                 "rods": [{"name": r[0], "lines": [r[1], r[3]], "depths": [r[2], r[4]], "diameter": 1.8, "kg_per_m": 0.0018}
                          for r in m.RODS], **c}, readings(c), f"python3 tests/reference/make_bench.py, {NP}")
rows.write("bench.toml")
