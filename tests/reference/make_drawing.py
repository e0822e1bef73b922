"""Vertices of solids on the picture plane by OpenCV's pinhole camera. Run: python3 make_drawing.py"""
import cv2
import numpy as np
from toml_rows import Rows

CV = f"opencv-python-headless {cv2.__version__}"
rows = Rows("make_drawing.py", "a solid's vertices on the picture plane")
rng = np.random.default_rng(11)
K = np.diag([400.0, 400.0, 1.0])
CUBE = [[x, y, z] for x in (-1, 1) for y in (-1, 1) for z in (-1, 1)]
for n, (eye, towards, up) in enumerate([
    ([6, 4, 9], [0, 0, 0], [0, 1, 0]),
    ([-7, 5, 3], [0.5, -0.25, 0], [0, 0, 1]),
    ([0.5, -12, 2], [0, 0, 0.5], [0.2, 0.1, 1]),
    ([3, 8, -6], [-0.4, 0.3, 0.2], [1, 0, 0]),
    ([10, 10, 10], [0, 0, 0], [0, -1, 0]),
    ([-5, -4, -8], [0, 0.6, 0], [0, 1, 0]),
]):
    points = np.array(CUBE) + rng.normal(0, 0.2, (8, 3)).round(3) if n else np.array(CUBE, float)
    forward = np.subtract(towards, eye) / np.linalg.norm(np.subtract(towards, eye))
    right = np.cross(forward, up) / np.linalg.norm(np.cross(forward, up))
    # the camera's frame: right, down, forward
    R = np.array([right, np.cross(forward, right), forward])
    seen = cv2.projectPoints(points, cv2.Rodrigues(R)[0], -R @ np.array(eye, float), K, None)[0].reshape(-1, 2)
    rows.add(f"a box of eight corners {n + 1}", "solid_on_picture_plane", "other_program",
             "pinhole camera at the eye, 400 mm from its picture plane", "mm", 6e-5,
             "places are written to a ten thousandth of a mm",
             {"points": points, "eye": eye, "towards": towards, "up": up}, seen * [1, -1],
             f"cv2.projectPoints(points, cv2.Rodrigues(R), -R @ eye, diag(400, 400, 1), None), y turned up, {CV}")
rows.write("drawing.toml")
