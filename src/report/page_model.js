// What one eye behind one peephole sees of one build, and whether that look holds: the engine's model, number for number.
// Pure: no page, no clock, no chance. Lengths in mm, angles in rad (tangents), acuity in logMAR; +x is to the viewer's left.
// The order of operations is the engine's (vision::apertures, geometry::similarity, trial::judge), so that nothing but the last
// digits can differ.
const sightdriftModel = (() => {
  "use strict";
  const ARCMIN_RAD = Math.PI / 10800;
  // no two centres that differ at all are nearer than this, mm
  const NO_DISTANCE_MM = 1e-150;
  // (acos(1 − d) − (1 − d) √(d (2 − d)))/d^(3/2) in powers of d, 0 ≤ d ≤ 1, as in elementary::disc
  const SEGMENT = [
    1.8856180831641274, -0.28284271247490556, -0.025253813590443274, -0.00491046451114372, -0.0012555035711973596,
    -0.00037195590555208475, -0.00011997565768037783, -4.587648973468447e-5, -2.2276304524076473e-6,
    -3.631465231565137e-5, 4.994142432441721e-5, -6.50259398205489e-5, 5.522916748576501e-5, -3.255883729484022e-5,
    1.1469424339330135e-5, -1.967124839828707e-6,
  ];

  /** Area of the part of the unit disc beyond the chord at signed distance t from the centre. */
  function discSegment(t) {
    const d = Math.max(1 - Math.abs(t), 0);
    let p = 0;
    for (let n = SEGMENT.length - 1; n >= 0; n -= 1) p = p * d + SEGMENT[n];
    const smaller = d * Math.sqrt(d) * p;
    return t < 0 ? Math.PI - smaller : smaller;
  }

  /** Overlap of a disc and of another whose centre is √distanceSquared away: its area, and its centroid's share of the way. */
  function lens(first, second, distanceSquared) {
    const distance = Math.sqrt(distanceSquared);
    const apart = Math.max(distance, NO_DISTANCE_MM);
    const fromFirst = (distanceSquared + (first * first - second * second)) * (0.5 / apart);
    const secondSegment = second * second * discSegment((distance - fromFirst) / second);
    const area = first * first * discSegment(fromFirst / first) + secondSegment;
    const smaller = Math.PI * Math.min(first, second) ** 2;
    return { area: Math.min(area, smaller), pull: area > 0 ? secondSegment / area : 0 };
  }

  /** How the point [x, y, z] is seen: direction, clear share, and the peephole's image on the pupil's plane beside the pupil. */
  function see(point, peephole, eye, focusMm) {
    const [pupilRadius, peepholeRadius] = [eye.pupil_mm / 2, eye.peephole_mm / 2];
    const [x, y, fromEye] = [point[0] - eye.x_mm, point[1] - eye.y_mm, point[2] - eye.z_mm];
    const stretch = fromEye / (point[2] - peephole[2]);
    const image = [x + (peephole[0] - point[0]) * stretch, y + (peephole[1] - point[1]) * stretch];
    const imageRadius = peepholeRadius * stretch;
    const seen = { direction: [x / fromEye, y / fromEye], clear: 0, image, imageRadius };
    if (!(point[2] > peephole[2] && stretch > 1)) return seen;
    const distanceSquared = image[0] * image[0] + image[1] * image[1];
    const margin = imageRadius - pupilRadius;
    if (margin >= 0 && distanceSquared <= margin * margin) return { ...seen, clear: 1 };
    const { area, pull } = lens(pupilRadius, imageRadius, distanceSquared);
    const by = pull * (1 / focusMm - 1 / fromEye);
    return {
      ...seen,
      direction: [seen.direction[0] + image[0] * by, seen.direction[1] + image[1] * by],
      clear: area / (pupilRadius * pupilRadius * Math.PI),
    };
  }

  /** What fitting and measuring need of a design's rods, worked out once. */
  function prepare(design) {
    const targets = design.rods.flatMap((rod) => rod.targets);
    const mean = [0, 1].map((c) => targets.reduce((sum, target) => sum + target[c], 0) / targets.length);
    const centred = targets.map((target) => [target[0] - mean[0], target[1] - mean[1]]);
    const spread = centred.reduce((sum, w) => sum + w[0] * w[0] + w[1] * w[1], 0);
    const edges = design.rods.map(({ targets: [first, second] }) => {
      const span = [second[0] - first[0], second[1] - first[1]];
      const length = Math.sqrt(span[0] * span[0] + span[1] * span[1]);
      return { first, square: [-span[1] / length, span[0] / length] };
    });
    return { targets, mean, centred, spread, edges };
  }

  /** The common shift, rotation and scale; null where none can be undone. */
  function fit({ targets, mean, centred, spread }, seen) {
    let [x, y, dot, cross] = [0, 0, 0, 0];
    centred.forEach((w, n) => {
      const [u, v] = seen[n].direction;
      x += u;
      y += v;
      dot += w[0] * u + w[1] * v;
      cross += w[0] * v - w[1] * u;
    });
    const [cosine, sine] = [dot / spread, cross / spread];
    const shift = [
      x / targets.length - (cosine * mean[0] - sine * mean[1]),
      y / targets.length - (sine * mean[0] + cosine * mean[1]),
    ];
    const sizeSquared = cosine * cosine + sine * sine;
    if (!(sizeSquared > 0 && Number.isFinite(sizeSquared + shift[0] + shift[1] + 1 / sizeSquared))) return null;
    return { cosine, sine, shift, sizeSquared };
  }

  /** A seen direction with the common shift, rotation and scale taken away. */
  function undo({ cosine, sine, shift, sizeSquared }, direction) {
    const [u, v] = [direction[0] - shift[0], direction[1] - shift[1]];
    return [(cosine * u + sine * v) / sizeSquared, (cosine * v - sine * u) / sizeSquared];
  }

  /** Finest detail that the eye tells, rad: 10^logMAR arcmin. */
  const detailRad = (logMar) => ARCMIN_RAD * 10 ** logMar;

  /** A limit, rad: set outright, or the largest of acuity, cover and share of the figure. */
  function limitRad(rule, setRad, thicknessRad, figureRad, detail) {
    if (setRad !== null) return setRad;
    return Math.max(rule.acuity_factor * detail, rule.cover * thicknessRad, rule.share_of_figure * figureRad);
  }

  /** Signed distance of a direction from a rod's target edge, rad. */
  const off = ({ first, square }, direction) =>
    (direction[0] - first[0]) * square[0] + (direction[1] - first[1]) * square[1];

  function rodsSeen(design, prepared, ends, middles, found, rule, detail) {
    return prepared.edges.map((edge, rod) => {
      const points = [ends[2 * rod], ends[2 * rod + 1], ...(middles.length ? [middles[rod]] : [])];
      const whole = points.every((point) => point.clear > 0);
      const across = (turned) => Math.max(...points.map((point) => Math.abs(off(edge, turned(point.direction)))));
      const fixed = whole ? across((direction) => direction) : null;
      const fitted = whole && found ? across((direction) => undo(found, direction)) : null;
      const limit = limitRad(rule, rule.drift_rad, design.rods[rod].thickness_rad, design.figure_rad, detail);
      const judged = design.frame === "fixed" ? fixed : fitted;
      return { kind: "rod", index: rod, fixed, fitted, value: judged, limit, over: judged === null ? null : judged / limit };
    });
  }

  function junctionsSeen(design, ends, rule, detail) {
    return design.junctions.map((junction, index) => {
      const points = junction.ends.map((end) => ends[end]);
      const limit = limitRad(rule, rule.gap_rad, junction.thickness_rad, design.figure_rad, detail);
      if (!points.every((point) => point.clear > 0)) return { kind: "junction", index, value: null, limit, over: null };
      let squared = 0;
      points.forEach((a, nth) => {
        for (const b of points.slice(nth + 1)) {
          const [u, v] = [a.direction[0] - b.direction[0], a.direction[1] - b.direction[1]];
          squared = Math.max(squared, u * u + v * v);
        }
      });
      const value = Math.sqrt(squared);
      return { kind: "junction", index, value, limit, over: value / limit };
    });
  }

  const worstOf = (items) =>
    items.reduce((worst, item) => (item.over !== null && (!worst || item.over > worst.over) ? item : worst), null);

  /** Looks once: `build` is where things are, `eye` one eye and the peephole's diameter, `rule` how limits follow. */
  function look(design, prepared, build, eye, rule) {
    if (!(eye.z_mm < build.peephole_mm[2])) return { outcome: "not computable", reason: "the eye is not in front of the peephole's plate" };
    const at = (point) => see(point, build.peephole_mm, eye, design.focus_mm);
    const [ends, middles] = [build.ends_mm.map(at), build.middles_mm.map(at)];
    const all = [...ends, ...middles];
    const least = all.reduce((low, point, n) => (point.clear < all[low].clear ? n : low), 0);
    const detail = detailRad(eye.log_mar);
    const found = ends.every((end) => end.clear > 0) ? fit(prepared, ends) : null;
    const rods = rodsSeen(design, prepared, ends, middles, found, rule, detail);
    const junctions = junctionsSeen(design, ends, rule, detail);
    const clipped = !(all[least].clear >= design.clip_below && all[least].clear > 0);
    const worst = worstOf([...rods, ...junctions]);
    const told = { ends, middles, least, leastClear: all[least].clear, fit: found, rods, junctions };
    Object.assign(told, { worstRod: worstOf(rods), worstJunction: worstOf(junctions), worst });
    if (clipped) return { ...told, outcome: "clipped" };
    if (!found || !worst) return { ...told, outcome: "not computable", reason: "no similarity fits what is seen" };
    return { ...told, outcome: worst.over <= 1 ? "holds" : "breaks" };
  }

  return { ARCMIN_RAD, discSegment, lens, prepare, look, undo, detailRad };
})();
if (typeof module !== "undefined") module.exports = sightdriftModel;
