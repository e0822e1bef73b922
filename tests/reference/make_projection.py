"""Plates, sightlines and similarity fits by OpenCV, numpy and scikit-image. Run: python3 make_projection.py"""
import cv2
import numpy as np
import skimage
from skimage.transform import SimilarityTransform
from toml_rows import Rows

CV, NP, SK = f"opencv-python-headless {cv2.__version__}", f"numpy {np.__version__}", f"scikit-image {skimage.__version__}"
rows = Rows("make_projection.py", "plates, sightlines and what an eye beside the axis sees")
rng = np.random.default_rng(3)
K = np.eye(3)
for n in range(8):
    tx, ty, turn = rng.normal(0, 0.02, 3).round(5)
    scale, dz = round(rng.normal(0, 0.01), 5), round(rng.normal(0, 1.0), 3)
    shift, offset = rng.normal(0, 0.5, 2).round(3), rng.normal(0, 0.2, 2).round(3)
    centre, nominal, z = rng.normal(0, 5, 2).round(2), rng.uniform(-40, 40, 2).round(2), round(rng.uniform(100, 400), 1)
    rot = cv2.Rodrigues(np.array([0, ty, 0.0]))[0] @ cv2.Rodrigues(np.array([tx, 0, 0.0]))[0]
    pattern = cv2.Rodrigues(np.array([0, 0, float(turn)]))[0]
    local = (1 + scale) * pattern @ np.array([*(nominal - centre), 0.0]) + np.array([*(shift + offset), 0.0])
    tvec = np.array([*centre, z + dz])
    inputs = {"centre": centre, "z": z, "shift": shift, "turn": turn, "scale": scale, "seat": dz, "tilt_x": tx,
              "tilt_y": ty, "nominal": nominal, "offset": offset}
    rows.add(f"hole of a seated plate {n + 1}", "hole", "other_program", "rotation about x, then about y, then the move",
             "mm", 1e-11, "double precision on lengths of some 400 mm", inputs, rot @ local + tvec,
             f"cv2.Rodrigues(y) @ cv2.Rodrigues(x) @ local + tvec, {CV}")
    seen = cv2.projectPoints(local.reshape(1, 3), cv2.Rodrigues(rot)[0], tvec, K, None)[0].reshape(2)
    rows.add(f"direction of a hole of a seated plate {n + 1}", "hole_direction", "other_program",
             "pinhole camera with the identity as its matrix, at the station point", "tangents", 1e-12,
             "rotation goes through a rotation vector and back", inputs, seen,
             f"cv2.projectPoints(local, cv2.Rodrigues(R), tvec, eye(3), None), {CV}")
for n in range(6):
    f = np.array([*rng.uniform(-20, 20, 2), 150 + rng.normal()]).round(3)
    b = np.array([*rng.uniform(-50, 50, 2), 380 + rng.normal()]).round(3)
    z = round(rng.uniform(160, 370), 2)
    fh, bh = np.append(f, 1), np.append(b, 1)
    line = np.outer(fh, bh) - np.outer(bh, fh)              # Plücker matrix of the line
    p = line @ np.array([0, 0, 1.0, -z])                    # met with the plane of that depth
    p = p[:3] / p[3]
    rows.add(f"line through two holes {n + 1}", "point_on_line", "other_program",
             "Plücker matrix of the line, met with a plane", "mm", 1e-10,
             "homogeneous coordinates of size 1e5 times 1e-16, divided by some hundreds", {"front": f, "rear": b, "z": z}, p[:2],
             f"(f b^T - b f^T) @ plane, {NP}")
    eye = rng.normal(0, 1.5, 3).round(3)
    seen = cv2.projectPoints(p.reshape(1, 3), np.zeros(3), -eye, K, None)[0].reshape(2)
    rows.add(f"point of a line seen beside the axis {n + 1}", "see_wide_open", "other_program",
             "pinhole camera with the identity as its matrix, at the pupil's centre", "tangents", 1e-13, "double precision",
             {"front": f, "rear": b, "z": z, "eye": eye}, seen, f"cv2.projectPoints(X, 0, -eye, eye(3), None), {CV}")
for name, e, z1, z2, value in [
    ("eye 1 mm off, 300 and 600 mm", 1.0, 300, 600, 5.729541), ("eye 2 mm off, 250 and 350 mm", 2.0, 250, 350, 7.857334),
    ("eye 0.5 mm off, 400 and 500 mm", 0.5, 400, 500, 0.859436), ("eye 1.5 mm off, 300 and 450 mm", 1.5, 300, 450, 5.729477),
]:
    rows.add(name, "junction_gap_arcmin", "closed_form", "elementary geometry: e(1/z1 - 1/z2), small-angle tangents", "arcmin",
             1e-11, "double precision", {"eye": e, "z1": z1, "z2": z2}, e * (1 / z1 - 1 / z2) * 10800 / np.pi)
    exact = (np.arctan(e / z1) - np.arctan(e / z2)) * 10800 / np.pi
    assert abs(exact - value) < 6e-7
    rows.add(name + ", true angle", "junction_gap_arcmin", "closed_form", "elementary geometry: atan(e/z1) - atan(e/z2)", "arcmin",
             round(1.01 * 10800 / np.pi * e**3 * abs(1 / z1**3 - 1 / z2**3) / 3, 12),
             "the tangent measure leaves out (e/z)^3/3", {"eye": e, "z1": z1, "z2": z2}, exact)
rows.write("projection.toml")

rows = Rows("make_projection.py", "similarity fit")


def fitted(src, dst):
    t = SimilarityTransform.from_estimate(src, dst)
    assert t
    left = np.sqrt(((t(src) - dst) ** 2).sum(1).mean())
    undone = t.inverse(dst)
    return t.scale, t.rotation, *t.translation, left, *undone.reshape(-1)


CALL = f"skimage.transform.SimilarityTransform.from_estimate(target, seen), {SK}"


def add(name, src, dst, source="Umeyama's least squares among proper rotations"):
    rows.add(name, "similarity_fit", "other_program", source, "scale, rad, shift (2), root mean square left, undone points", 1e-11,
             "both in double precision; the other goes through a singular value decomposition",
             {"targets": src, "seen": dst}, fitted(src, dst), CALL)


for n in range(6):
    src = rng.uniform(-0.15, 0.15, (9, 2)).round(4)
    angle, size, move = rng.normal(0, 0.3), 1 + rng.normal(0, 0.1), rng.normal(0, 0.02, 2)
    rot = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    add(f"turned, scaled, shifted and scattered {n + 1}", src, (size * src @ rot.T + move + rng.normal(0, 0.004, src.shape)).round(6))
mirror = np.array([[-1.0, 0], [0, 1.0]])
src = np.array([[0.1, 0.02], [-0.07, 0.11], [0.03, -0.12], [0.09, 0.08]])
add("a mirrored figure is not mirrored back", src, (src @ mirror).round(6))
add("nearly half a turn", src, (-src + 0.01 * src[:, ::-1] * [1, -1]).round(6))
add("two points only", src[:2], np.array([[0.11, 0.0], [-0.06, 0.1]]))
x, y = np.array([[0.0, 0], [1, 0], [0, 2]]), np.array([[0.0, 0], [-1, 0], [0, 2]])
values = fitted(x, y)
assert abs(values[0] - 0.7211102551) < 1e-9 and abs(values[4] ** 2 - 8 / 15) < 1e-9
# the paper's rotation [[.83205, .55470], [-.55470, .83205]] is a turn by -33.69 degrees
rows.add("the paper's own reflection case", "similarity_fit_parts", "published",
         "S. Umeyama, IEEE PAMI 13 (1991) 376, worked example: R = [[0.832, 0.555], [-0.555, 0.832]], c = 0.721, t = (-0.8, 0.4) (example from memory, digits recomputed)",
         "scale, rad, shift (2), root mean square left", [5e-4, 1e-3, 5e-4, 5e-4, 5e-4], "printed to three figures; the angle follows from both entries of R",
         {"targets": x, "seen": y}, [0.721, float(np.arctan2(-0.555, 0.832)), -0.8, 0.4, np.sqrt(0.533)])
add("the paper's own reflection case, all digits", x, y)
rows.write("similarity.toml")
