// The section in which the eye moves: draws what sightdriftModel works out, and follows pointer, keys and fields.
(() => {
  "use strict";
  const section = document.getElementById("move-eye");
  const model = sightdriftModel;
  const design = JSON.parse(document.getElementById("eye-data").textContent);
  const prepared = model.prepare(design);
  const byId = (id) => document.getElementById(`eye-${id}`);
  const eye = { ...design.eye };
  const chosen = { build: 0, finish: 0, times: 1 };
  const AROUND_PX = 30;
  const PAD_PX = 230;
  const SMALLEST_MM = 0.01;
  // below this share of a limit nothing is worst: what is left are last digits
  const NOTHING = 1e-6;
  let look = null;

  // ---- words and numbers ----
  const endOf = (end) => `rod ${design.rods[end >> 1].name} at ${design.rods[end >> 1].ends[end & 1]}`;
  const nameOf = (item) =>
    item.kind === "rod" ? `rod ${design.rods[item.index].name}` : `junction ${design.junctions[item.index].name}`;
  // a point beyond the ends is a rod's middle
  const pointOf = (n) =>
    n < look.ends.length ? endOf(n) : `the middle of rod ${design.rods[n - look.ends.length].name}`;
  function figures(value) {
    if (value === 0) return "0";
    const size = Math.abs(value);
    if (size < 0.00005) return "0.00";
    return value.toFixed(size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : size >= 0.1 ? 3 : 4);
  }
  const inArcmin = (rad) => (rad === null ? null : rad / model.ARCMIN_RAD);

  /** Shows a number to three figures; all its digits stand in the element's value. */
  function put(element, value, missing) {
    element.textContent = value === null ? missing : figures(value);
    element.value = value === null ? "" : String(value);
  }

  function outcomeWords() {
    if (look.outcome === "not computable") return ["not computable", look.reason];
    if (look.outcome === "clipped") {
      const share = figures(look.leastClear);
      return ["clipped", `${pointOf(look.least)} is clear over ${share} of the pupil, under ${design.clip_below}: part of the figure is hidden, and nothing is judged`];
    }
    if (look.worst.over < NOTHING) return [look.outcome, "every rod and junction is where it should be"];
    return [look.outcome, `worst is ${nameOf(look.worst)} at ${figures(look.worst.over)} of its limit`];
  }

  /** The rod or junction to point at, if any. */
  const pointedAt = () => (look.outcome === "clipped" || !(look.worst?.over >= NOTHING) ? null : look.worst);

  // ---- drawing ----
  const SVG = "http://www.w3.org/2000/svg";
  function mark(parent, name, attributes, text) {
    const element = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    if (text !== undefined) element.textContent = text;
    parent.append(element);
    return element;
  }
  const digits = (value) => value.toFixed(2);
  const joined = (points) => points.map((point) => point.map(digits).join(",")).join(" ");

  /** An empty drawing as wide as its place, and its width. */
  function sheet(place, heightOf) {
    const width = Math.max(place.clientWidth, 120);
    const height = heightOf(width);
    const svg = document.createElementNS(SVG, "svg");
    svg.setAttribute("viewBox", `0 0 ${width} ${digits(height)}`);
    svg.setAttribute("aria-hidden", "true");
    place.replaceChildren(svg);
    return { svg, width, height };
  }

  /** Says where a junction is, without drawing anything. */
  const placeOf = (svg, junction, at) =>
    mark(svg, "g", { "data-mark": `junction-${junction}`, "data-part": "place", "data-at": at.map((spot) => spot.map(digits).join(",")).join(" ") });

  const bounds = (values) => [Math.min(...values), Math.max(...values)];

  /** Corners of what is shown: the targets, and the chosen build as the usual eye sees it, as far as that stays near them. */
  function corners() {
    const build = design.builds[chosen.build];
    const usual = model.look(design, prepared, build, design.eye, design.finishes[chosen.finish]);
    const seen = (usual.ends ?? []).map((end, n) => (end.clear > 0 ? drawnAt(prepared.targets[n], end.direction, usual.fit) : prepared.targets[n]));
    const ends = [0, 1].map((c) => bounds(prepared.targets.map((target) => target[c])));
    const near = 0.3 * Math.max(...ends.map(([low, high]) => high - low));
    return ends.map(([low, high], c) => [
      Math.max(Math.min(low, ...seen.map((point) => point[c])), low - near),
      Math.min(Math.max(high, ...seen.map((point) => point[c])), high + near),
    ]);
  }

  /** Where directions lie in the view: equal scales, +x to the left, +y up. It stays as it is while the eye moves. */
  function viewMapping(width, mostHeight) {
    const sides = corners();
    const extent = sides.map(([low, high]) => Math.max(high - low, 1e-9));
    const scale = Math.min((width - 2 * AROUND_PX) / extent[0], (mostHeight - 2 * AROUND_PX) / extent[1]);
    const height = Math.max(extent[1] * scale + 2 * AROUND_PX, 160);
    const middle = sides.map(([low, high]) => (low + high) / 2);
    const at = ([u, v]) => [width / 2 - (u - middle[0]) * scale, height / 2 - (v - middle[1]) * scale];
    return { at, scale, height };
  }

  /** A seen direction as it is drawn: in the judged frame, its fault as many times as chosen. */
  function drawnAt(target, direction, fit) {
    const judged = design.frame === "fitted" && fit ? model.undo(fit, direction) : direction;
    return [0, 1].map((c) => target[c] + chosen.times * (judged[c] - target[c]));
  }

  /** The outline of a rod as thick as it appears at each of its points. */
  function outline(points, radii) {
    const [first, last] = [points[0], points[points.length - 1]];
    const length = Math.hypot(last[0] - first[0], last[1] - first[1]) || 1;
    const square = [-(last[1] - first[1]) / length, (last[0] - first[0]) / length];
    const side = (sign) => points.map(([x, y], n) => [x + sign * square[0] * radii[n], y + sign * square[1] * radii[n]]);
    return [...side(1), ...side(-1).reverse()];
  }

  function drawRod(svg, mapping, rod, worst) {
    const build = design.builds[chosen.build];
    const { targets, diameter_mm: diameter } = design.rods[rod];
    const middleTarget = () => {
      const [a, b] = design.rods[rod].targets;
      return [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2];
    };
    const parts = [{ seen: look.ends[2 * rod], place: build.ends_mm[2 * rod], target: targets[0] }];
    if (look.middles.length) parts.push({ seen: look.middles[rod], place: build.middles_mm[rod], target: middleTarget() });
    parts.push({ seen: look.ends[2 * rod + 1], place: build.ends_mm[2 * rod + 1], target: targets[1] });
    if (parts.some((part) => !(part.seen.clear > 0))) return;
    const points = parts.map((part) => mapping.at(drawnAt(part.target, part.seen.direction, look.fit)));
    const radii = parts.map((part) => Math.max((mapping.scale * diameter) / (part.place[2] - eye.z_mm) / 2, 0.7));
    const hidden = parts.some((part) => part.seen.clear < design.clip_below);
    mark(svg, "polygon", { points: joined(outline(points, radii)), class: `rod${hidden ? " hidden" : ""}${worst ? " worst" : ""}`, "data-mark": `rod-${rod}` });
  }

  function drawView() {
    const place = byId("view");
    const most = Math.max(Math.min(window.innerHeight * 0.72, 900), 240);
    let mapping = null;
    const { svg, width, height } = sheet(place, (width) => {
      mapping = viewMapping(width, most);
      return mapping.height;
    });
    mark(svg, "rect", { width, height, class: "ground" });
    if (look.outcome === "not computable" && !look.ends) return;
    const worst = pointedAt();
    design.rods.forEach((_, rod) => drawRod(svg, mapping, rod, worst?.kind === "rod" && worst.index === rod));
    design.rods.forEach(({ targets }, rod) => {
      const [[x1, y1], [x2, y2]] = targets.map(mapping.at);
      mark(svg, "line", { x1, y1, x2, y2, class: "target", "data-mark": `rod-${rod}` });
    });
    design.junctions.forEach(({ ends }, junction) => {
      const at = mapping.at(design.rods[ends[0] >> 1].targets[ends[0] & 1]);
      placeOf(svg, junction, [at]);
    });
    if (worst?.kind === "junction") {
      const end = design.junctions[worst.index].ends[0];
      const [cx, cy] = mapping.at(design.rods[end >> 1].targets[end & 1]);
      mark(svg, "circle", { cx, cy, r: 14, class: "worst-place" });
    }
    if (worst) nameWorst(svg, mapping, worst, width, height);
    drawScale(svg, mapping, height);
  }

  /** The name of the worst rod or junction, beside it on the figure's outside and within the picture. */
  function nameWorst(svg, mapping, worst, width, height) {
    const end = worst.kind === "rod" ? null : design.junctions[worst.index].ends[0];
    const points = (end === null ? design.rods[worst.index].targets : [design.rods[end >> 1].targets[end & 1]]).map(mapping.at);
    const middle = [0, 1].map((c) => points.reduce((sum, point) => sum + point[c], 0) / points.length);
    const words = mark(svg, "text", { class: "name" }, nameOf(worst));
    const half = [words.getBBox().width / 2 + 4, words.getBBox().height / 2];
    const first = points[0];
    const last = points[points.length - 1];
    const length = Math.hypot(last[0] - first[0], last[1] - first[1]);
    // square to a rod, straight up or down from a junction
    const away = length > 0 ? [-(last[1] - first[1]) / length, (last[0] - first[0]) / length] : [0, 1];
    const outward = away[0] * (middle[0] - width / 2) + away[1] * (middle[1] - height / 2);
    const off = (outward < 0 ? -1 : 1) * (12 + Math.abs(away[0]) * half[0] + Math.abs(away[1]) * half[1] + (length > 0 ? 0 : 10));
    const within = (value, least, most) => Math.min(Math.max(value, least), Math.max(most, least));
    words.setAttribute("x", digits(within(middle[0] + away[0] * off, half[0], width - half[0])));
    words.setAttribute("y", digits(within(middle[1] + away[1] * off, half[1] + 4, height - half[1] - 20) + half[1] / 2));
  }

  /** A bar of whole degrees or minutes of arc. */
  function drawScale(svg, mapping, height) {
    const steps = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600];
    const arcmin = steps.findLast((step) => step * model.ARCMIN_RAD * mapping.scale <= 90) ?? 1;
    const length = arcmin * model.ARCMIN_RAD * mapping.scale;
    mark(svg, "path", { d: `M10 ${digits(height - 14)}v5h${digits(length)}v-5`, class: "bar" });
    mark(svg, "text", { x: digits(16 + length), y: digits(height - 7), class: "small" }, arcmin < 60 ? `${arcmin}′` : `${arcmin / 60}°`);
  }

  function drawPad() {
    const place = byId("pad");
    const { svg, width, height } = sheet(place, (width) => Math.min(width, PAD_PX));
    mark(svg, "rect", { width, height, class: "ground" });
    const scale = Math.min(width, height) / 2 / padReachMm();
    const at = (x, y) => ({ cx: digits(width / 2 - x * scale), cy: digits(height / 2 - y * scale) });
    const dimmest = look.ends ? [...look.ends, ...look.middles][look.least] : null;
    const pupil = { ...at(eye.x_mm, eye.y_mm), r: digits((eye.pupil_mm / 2) * scale) };
    if (dimmest && dimmest.imageRadius > 0) {
      const image = { ...at(eye.x_mm + dimmest.image[0], eye.y_mm + dimmest.image[1]), r: digits(dimmest.imageRadius * scale) };
      mark(svg, "circle", { ...image, class: "hole" });
      mark(mark(mark(svg, "defs", {}), "clipPath", { id: "eye-lit" }), "circle", image);
      mark(svg, "circle", { ...pupil, class: "pupil-dark" });
      mark(svg, "circle", { ...pupil, class: "pupil-lit", "clip-path": "url(#eye-lit)" });
      mark(svg, "circle", { ...image, class: "hole-rim" });
    }
    mark(svg, "circle", { ...pupil, class: "pupil-rim" });
    mark(svg, "path", { d: `M${width / 2 - 6} ${height / 2}h12M${width / 2} ${height / 2 - 6}v12`, class: "bar" });
    const millimetre = [1, 2, 5, 10, 20].findLast((step) => step * scale <= 70) ?? 1;
    mark(svg, "path", { d: `M10 ${digits(height - 14)}v5h${digits(millimetre * scale)}v-5`, class: "bar" });
    mark(svg, "text", { x: digits(16 + millimetre * scale), y: digits(height - 7), class: "small" }, `${millimetre} mm`);
  }

  const padReachMm = () =>
    Math.max(design.reach_mm, Math.abs(eye.x_mm) + eye.pupil_mm / 2, Math.abs(eye.y_mm) + eye.pupil_mm / 2) + eye.pupil_mm * 0.3;

  function drawAbove() {
    const place = byId("above");
    const build = design.builds[chosen.build];
    const [front, rear] = design.plates_mm;
    const sides = [front, rear].flatMap((z) => design.directions.map((direction) => direction[0] * z));
    const [low, high] = bounds([...sides, ...build.ends_mm.map((end) => end[0]), -eye.peephole_mm * 2, eye.peephole_mm * 2, eye.x_mm]);
    const nearest = Math.min(eye.z_mm, 0);
    const [left, right, above] = [26, 22, 24];
    let scale = 1;
    const { svg, width, height } = sheet(place, (width) => {
      scale = Math.min((width - left - right) / (rear - nearest), (window.innerHeight * 0.6) / (high - low));
      return (high - low) * scale + 2 * above;
    });
    const start = Math.max(left, (width - (rear - nearest) * scale) / 2);
    const at = (z, x) => [start + (z - nearest) * scale, above + (high - x) * scale];
    const line = (a, b, kind, more) => mark(svg, "polyline", { points: joined([at(...a), at(...b)]), class: kind, ...more });
    mark(svg, "rect", { width, height, class: "ground" });
    for (const [u] of design.directions) line([front, u * front], [rear, u * rear], "thread");
    for (const z of [front, rear]) line([z, low], [z, high], "plate");
    const [hole, radius] = [build.peephole_mm, eye.peephole_mm / 2];
    line([hole[2], low], [hole[2], hole[0] - radius], "plate");
    line([hole[2], hole[0] + radius], [hole[2], high], "plate");
    const worst = pointedAt();
    const ends = !worst ? [] : worst.kind === "rod" ? [2 * worst.index, 2 * worst.index + 1] : design.junctions[worst.index].ends;
    for (const end of ends) line([eye.z_mm, eye.x_mm], [build.ends_mm[end][2], build.ends_mm[end][0]], "ray");
    design.rods.forEach((_, rod) => {
      const [a, b] = [build.ends_mm[2 * rod], build.ends_mm[2 * rod + 1]];
      const isWorst = ends.includes(2 * rod) || ends.includes(2 * rod + 1);
      line([a[2], a[0]], [b[2], b[0]], isWorst ? "bar-rod worst" : "bar-rod", { "data-mark": `rod-${rod}` });
    });
    design.junctions.forEach((junction, nth) => {
      placeOf(svg, nth, junction.ends.map((end) => at(build.ends_mm[end][2], build.ends_mm[end][0])));
    });
    const [cx, cy] = at(eye.z_mm, eye.x_mm);
    mark(svg, "circle", { cx, cy, r: 5, class: "eye-dot" });
    // names of the plates, each as far as there is room after the one before
    let taken = -Infinity;
    for (const [z, text] of [[nearest, "eye, peephole"], [front, "front plate"], [rear, "rear plate"]]) {
      const word = mark(svg, "text", { y: 15, class: "small" }, text);
      const long = word.getBBox().width;
      const x = Math.min(Math.max(at(z, 0)[0] - (z === nearest ? 8 : long / 2), 4), width - long - 4);
      if (x > taken + 8) {
        word.setAttribute("x", digits(x));
        taken = x + long;
      } else word.remove();
    }
  }

  // ---- what is shown ----
  function showWorst(id, item) {
    put(byId(id), item ? inArcmin(item.value) : null, "not seen");
    put(byId(`${id}-limit`), item ? inArcmin(item.limit) : null, "");
    put(byId(`${id}-over`), item ? item.over : null, "");
    byId(`${id}-where`).textContent = item && item.over >= NOTHING ? nameOf(item) : "";
  }

  function showTable() {
    const rows = section.querySelectorAll(".eye-look tbody tr");
    // the rows may stand in another order by now: each knows its item
    rows.forEach((row, n) => {
      row.dataset.item ??= String(n);
      const nth = Number(row.dataset.item);
      const item = look.rods ? [...look.rods, ...look.junctions][nth] : null;
      const cells = row.querySelectorAll("data");
      const isGap = item?.kind === "junction";
      put(cells[0], item ? inArcmin(isGap ? item.value : item.fixed) : null, "not seen");
      put(cells[1], item && !isGap ? inArcmin(item.fitted) : null, isGap ? "–" : "not seen");
      put(cells[2], item ? inArcmin(item.limit) : null, "");
      put(cells[3], item ? item.over : null, "not seen");
    });
  }

  let toSay = null;
  function sayOutcome(text) {
    clearTimeout(toSay);
    toSay = setTimeout(() => {
      if (byId("said").textContent !== text) byId("said").textContent = text;
    }, 500);
  }

  function show() {
    look = model.look(design, prepared, design.builds[chosen.build], eye, design.finishes[chosen.finish]);
    const [outcome, reason] = outcomeWords();
    const box = byId("outcome");
    box.dataset.outcome = outcome;
    box.replaceChildren(Object.assign(document.createElement("strong"), { textContent: outcome }), ` ${reason}.`);
    sayOutcome(`${outcome}: ${reason}`);
    showWorst("drift", look.worstRod ?? null);
    showWorst("gap", look.worstJunction ?? null);
    put(byId("clear"), look.ends ? look.leastClear : null, "none");
    byId("clear-where").textContent = look.ends ? pointOf(look.least) : "";
    const frame = design.frame === "fitted" ? "the common shift, turn and size are taken away" : "against the cabinet's axes";
    const times = chosen.times === 1 ? "" : ` Faults are drawn ${chosen.times} times as large.`;
    const rounded = (value) => String(Number(value.toFixed(2)));
    const what = `Build: ${design.builds[chosen.build].name}; finish ${design.finishes[chosen.finish].name}; eye at x ${rounded(eye.x_mm)}, y ${rounded(eye.y_mm)} mm; peephole ${rounded(eye.peephole_mm)} mm.`;
    byId("view-words").textContent = `${what} Lines are target edges, bars the rods as seen and as thick as they appear; ${frame}. A rod that is clipped is hollow, one that is not seen is missing.${times}`;
    byId("pad-words").textContent = `The pupil (disc) and the peephole as ${look.ends ? pointOf(look.least) : "a rod"} is seen through it: the bright overlap is what gets in.`;
    showTable();
    drawView();
    drawPad();
    drawAbove();
    document.dispatchEvent(new Event("drawn"));
  }

  // ---- what is done ----
  const inputs = [...section.querySelectorAll("input[data-eye]")];
  const round = (value, input) => Number(value.toFixed(input.step.split(".")[1]?.length ?? 0));

  function showInputs(but) {
    for (const input of inputs) {
      if (input !== but) input.value = input.type === "range" ? eye[input.dataset.eye] : String(Number(eye[input.dataset.eye].toFixed(3)));
      input.removeAttribute("aria-invalid");
    }
  }

  function setInput(input) {
    const key = input.dataset.eye;
    const value = input.valueAsNumber;
    const isLength = key === "pupil_mm" || key === "peephole_mm";
    if (!Number.isFinite(value) || Math.abs(value) > 1e4 || (isLength && value < SMALLEST_MM)) {
      input.setAttribute("aria-invalid", "true");
      return;
    }
    eye[key] = value;
    showInputs(input);
    show();
  }

  /** Moves the eye to this place, within reach. */
  function moveTo(x, y) {
    const within = (value) => Math.min(Math.max(value, -design.reach_mm), design.reach_mm);
    eye.x_mm = within(x);
    eye.y_mm = within(y);
    showInputs();
    show();
  }

  const ARROWS = { ArrowLeft: [1, 0], ArrowRight: [-1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
  function pressed(event) {
    const step = event.shiftKey ? 1 : 0.1;
    if (event.key === "Home") moveTo(design.eye.x_mm, design.eye.y_mm);
    else if (ARROWS[event.key]) {
      const [x, y] = ARROWS[event.key];
      const tidy = (value) => Math.round(value * 1e6) / 1e6;
      moveTo(tidy(eye.x_mm + x * step), tidy(eye.y_mm + y * step));
    } else return;
    event.preventDefault();
  }

  /** A drag moves the eye by as much as the pointer moves on the pad's scale. */
  function draggable(place) {
    let from = null;
    place.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      const scale = Math.min(byId("pad").clientWidth, PAD_PX) / 2 / padReachMm();
      from = { x: event.clientX, y: event.clientY, eye: [eye.x_mm, eye.y_mm], scale };
      place.setPointerCapture(event.pointerId);
      place.focus({ preventScroll: true });
    });
    place.addEventListener("pointermove", (event) => {
      if (!from) return;
      const [x, y] = from.eye;
      moveTo(x - (event.clientX - from.x) / from.scale, y - (event.clientY - from.y) / from.scale);
    });
    for (const end of ["pointerup", "pointercancel"]) place.addEventListener(end, () => { from = null; });
    place.addEventListener("keydown", pressed);
  }

  section.hidden = false;
  draggable(byId("view"));
  draggable(byId("pad"));
  for (const input of inputs) input.addEventListener("input", () => setInput(input));
  for (const [name, key] of [["eye-build", "build"], ["eye-finish", "finish"]]) {
    for (const radio of section.querySelectorAll(`input[name=${name}]`)) {
      // what a browser kept from before the page was loaded anew
      if (radio.checked) chosen[key] = Number(radio.value);
      radio.addEventListener("change", () => {
        chosen[key] = Number(radio.value);
        show();
      });
    }
  }
  chosen.times = Number(byId("times").value);
  byId("times").addEventListener("change", (event) => {
    chosen.times = Number(event.target.value);
    show();
  });
  byId("back").addEventListener("click", () => {
    Object.assign(eye, design.eye);
    showInputs();
    show();
  });
  let width = 0;
  new ResizeObserver(() => {
    if (section.clientWidth === width) return;
    width = section.clientWidth;
    show();
  }).observe(section);
  showInputs();
  show();
})();
