// Marks a rod or junction in every drawing of the page while its name is pointed at, focused or chosen.
(() => {
  "use strict";
  const SVG = "http://www.w3.org/2000/svg";
  const LONGEST_NAME = 28;
  const drawings = () => [...document.querySelectorAll("svg")].filter((svg) => svg.querySelector("[data-mark]"));
  const one = (svg, mark) => [...svg.querySelectorAll(`[data-mark="${mark}"]`)];
  const listed = (text) => (text ? text.split(" ") : []);

  // ---- what is marked from the start, without a script ----
  const resting = (() => {
    const place = document.querySelector(".marking");
    if (!place) return null;
    const marks = [...new Set([...place.querySelectorAll(".marked")].map((part) => part.dataset.mark))];
    for (const halo of place.querySelectorAll(".halo")) halo.remove();
    place.classList.remove("marking");
    return { marks, beside: [], names: [], words: "" };
  })();

  // ---- names ----
  const drawn = new Set(drawings().flatMap((svg) => [...svg.querySelectorAll("[data-mark]")].map((part) => part.dataset.mark)));
  const names = [...document.querySelectorAll(".subject")].filter((name) => listed(name.dataset.marks).some((mark) => drawn.has(mark)));
  if (names.length === 0) return;

  function subjectOf(name) {
    const words = name.textContent.trim();
    const all = JSON.parse(name.dataset.names);
    const told = all.length === 1 && words.includes(all[0]) ? words : `${words}: ${all.join(", ")}`;
    return { marks: listed(name.dataset.marks), beside: listed(name.dataset.beside), names: all, words: told };
  }
  const subjects = new Map(names.map((name) => [name, subjectOf(name)]));
  const called = new Map();
  for (const subject of subjects.values()) {
    subject.marks.forEach((mark, n) => called.set(mark, subject.names[n]));
  }
  const same = (a, b) => a.marks.join() === b.marks.join();
  const ofMark = (mark) => [...subjects.values()].find((subject) => subject.marks.length === 1 && subject.marks[0] === mark);

  // ---- drawing ----
  function add(parent, kind, attributes) {
    const element = document.createElementNS(SVG, kind);
    for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
    parent.append(element);
    return element;
  }

  /** Units of a drawing's inside for one pixel of it at its own size. */
  const unitOf = (svg) => svg.viewBox.baseVal.width / (Number(svg.getAttribute("width")) || svg.viewBox.baseVal.width);
  const shapesOf = (part) => [...(part.localName === "g" ? part.children : [part])].filter((shape) => shape instanceof SVGGeometryElement);

  function strokeOf(shape) {
    const style = getComputedStyle(shape);
    return style.stroke === "none" ? 0 : parseFloat(style.strokeWidth) || 0;
  }

  /** A bright core with a rim below each of these shapes and places, beneath all that can be marked. */
  function halo(svg, shapes, places, unit) {
    const layer = document.createElementNS(SVG, "g");
    layer.setAttribute("class", "halo");
    for (const [kind, more] of [["rim", 9.5], ["core", 6.5]]) {
      for (const { shape, width } of shapes) {
        const copy = shape.cloneNode(false);
        for (const name of copy.getAttributeNames()) {
          if (!["points", "x1", "y1", "x2", "y2", "cx", "cy", "r", "d"].includes(name)) copy.removeAttribute(name);
        }
        copy.setAttribute("class", kind);
        copy.style.strokeWidth = width + more * unit;
        layer.append(copy);
      }
      for (const [cx, cy] of places) {
        const ring = add(layer, "circle", { cx, cy, r: 11 * unit, class: kind });
        ring.style.strokeWidth = (more - 2.5) * unit;
      }
    }
    const first = svg.querySelector("[data-mark]");
    first.parentNode.insertBefore(layer, first);
  }

  function box(parent, area, unit) {
    const [x, y] = [area.x - 3 * unit, area.y - 2 * unit];
    return add(parent, "rect", { x, y, width: area.width + 6 * unit, height: area.height + 4 * unit, rx: 2 * unit, "stroke-width": 1.3 * unit });
  }

  /** Ends of a rod or edge as it is drawn, or the middle of what stands for it. */
  function endsOf(shapes) {
    const line = shapes.map(({ shape }) => shape).find((shape) => ["polyline", "line"].includes(shape.localName));
    if (line?.localName === "line") return [[line.x1, line.y1], [line.x2, line.y2]].map((end) => end.map((c) => c.baseVal.value));
    if (line) return [line.points[0], line.points[line.points.length - 1]].map(({ x, y }) => [x, y]);
    const { x, y, width, height } = shapes[0].shape.getBBox();
    return [[x + width / 2, y + height / 2], [x + width / 2, y + height / 2]];
  }

  const short = (name) => ([...name].length > LONGEST_NAME ? `${[...name].slice(0, LONGEST_NAME - 1).join("")}…` : name);

  /** Points on all rods of a drawing but the one that is marked: a name there would be taken for theirs. */
  function onOthers(svg, mark) {
    const parts = [...svg.querySelectorAll("[data-mark^=rod-]")].filter((part) => part.dataset.mark !== mark && (part.dataset.part ?? "body") === "body");
    const shapes = parts.map((part) => shapesOf(part)).filter((all) => all.length > 0);
    return shapes.flatMap((all) => {
      const [from, to] = endsOf(all.map((shape) => ({ shape })));
      return Array.from({ length: 17 }, (_, n) => [0, 1].map((c) => from[c] + (n / 16) * (to[c] - from[c])));
    });
  }

  /** The name in a box beside what it names and within the drawing, off the boxes that are there and as far as can be off other rods. */
  function tag(svg, mark, ends, name, unit) {
    const taken = [...svg.querySelectorAll(".mark-tag > rect")].map((rect) => rect.getBBox());
    const group = add(svg, "g", { class: "mark-tag" });
    const words = add(group, "text", { "font-size": 13 * unit, "text-anchor": "middle", x: 0, y: 0 });
    words.textContent = short(name);
    const size = words.getBBox();
    const half = [size.width / 2 + 5 * unit, size.height / 2 + 3 * unit];
    const sheet = svg.viewBox.baseVal;
    const [dx, dy] = [ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]];
    const length = Math.hypot(dx, dy);
    const square = length > 0 ? [-dy / length, dx / length] : [0, -1];
    const along = (share) => [0, 1].map((c) => ends[0][c] + share * (ends[1][c] - ends[0][c]));
    const middle = along(0.5);
    const outward = square[0] * (middle[0] - sheet.width / 2) + square[1] * (middle[1] - sheet.height / 2) < 0 ? -1 : 1;
    const off = 12 * unit + Math.abs(square[0]) * half[0] + Math.abs(square[1]) * half[1];
    const within = (value, c, most) => Math.min(Math.max(value, half[c] + unit), Math.max(most - half[c] - unit, half[c]));
    const beside = (share, side) => {
      const from = along(share);
      return [within(from[0] + square[0] * side * off, 0, sheet.width), within(from[1] + square[1] * side * off, 1, sheet.height)];
    };
    const places = [0.5, 0.15, 0.85, 0, 1].flatMap((share) => [outward, -outward].map((side) => beside(share, side)));
    const points = onOthers(svg, mark);
    const covers = ([x, y]) => {
      const boxes = taken.filter(
        (one) => x + half[0] > one.x && x - half[0] < one.x + one.width && y + half[1] > one.y && y - half[1] < one.y + one.height,
      );
      return 100 * boxes.length + points.filter((point) => Math.abs(point[0] - x) < half[0] && Math.abs(point[1] - y) < half[1]).length;
    };
    const at = places.reduce((best, place) => (covers(place) < covers(best) ? place : best));
    words.setAttribute("x", at[0]);
    words.setAttribute("y", at[1] - (size.y + size.height / 2));
    group.prepend(box(group, words.getBBox(), unit));
  }

  /** Marks one rod or junction in one drawing. */
  function markIn(svg, mark, unit) {
    const parts = one(svg, mark);
    const kind = (part) => part.dataset.part ?? "body";
    const shapes = [];
    for (const part of parts) {
      const strokes = shapesOf(part).map((shape) => ({ shape, width: strokeOf(shape) }));
      part.classList.add("marked");
      for (const { shape, width } of strokes.filter(({ width }) => width > 0)) {
        shape.style.setProperty("--thick", width * (kind(part) === "look" ? 2.2 : 1.35));
        shape.classList.add("thick");
      }
      if (kind(part) === "body") shapes.push(...strokes);
    }
    const places = parts.flatMap((part) => listed(part.dataset.at)).map((place) => place.split(",").map(Number));
    if (shapes.length + places.length > 0) halo(svg, shapes, places, unit);
    for (const row of parts.filter((part) => kind(part) === "row")) {
      const rim = add(svg, "g", { class: "halo" });
      Object.assign(box(rim, row.getBBox(), unit).style, { fill: "none", stroke: "var(--mark-rim)", strokeWidth: 2.2 * unit });
    }
    const written = parts.filter((part) => kind(part) === "name");
    for (const part of written) {
      const text = [...part.children].find((element) => element.localName === "text");
      if (!text) continue;
      const layer = document.createElementNS(SVG, "g");
      layer.setAttribute("class", "mark-tag");
      box(layer, text.getBBox(), unit);
      part.parentNode.insertBefore(layer, part);
    }
    const name = called.get(mark);
    const spot = shapes.length > 0 ? endsOf(shapes) : places.length > 0 ? [places[0], places[0]] : null;
    if (written.length === 0 && spot && name) tag(svg, mark, spot, name, unit);
  }

  function clean() {
    for (const layer of document.querySelectorAll("svg .halo, svg .mark-tag")) layer.remove();
    for (const kind of ["marked", "beside", "marking", "named", "thick"]) {
      for (const element of document.querySelectorAll(`.${kind}`)) element.classList.remove(kind);
    }
  }

  /** Marks a subject and nothing else; in how many drawings. */
  function show(subject) {
    clean();
    if (!subject) return 0;
    let count = 0;
    for (const svg of drawings()) {
      const marks = subject.marks.filter((mark) => one(svg, mark).length > 0);
      if (marks.length === 0) continue;
      count += 1;
      svg.classList.add("marking");
      for (const part of subject.beside.flatMap((mark) => one(svg, mark))) part.classList.add("beside");
      for (const mark of marks) markIn(svg, mark, unitOf(svg));
    }
    for (const [name, other] of subjects) name.classList.toggle("named", same(subject, other));
    return count;
  }

  // ---- what is said ----
  const main = document.querySelector("main");
  const said = Object.assign(document.createElement("p"), { className: "unseen" });
  said.setAttribute("role", "status");
  said.setAttribute("aria-live", "polite");
  const bar = Object.assign(document.createElement("div"), { className: "marked-bar", hidden: true });
  const told = document.createElement("span");
  const next = Object.assign(document.createElement("button"), { type: "button", textContent: "Next drawing" });
  const off = Object.assign(document.createElement("button"), { type: "button", textContent: "Unmark (Esc)" });
  bar.append(told, next, off);
  main.append(said, bar);

  let toSay = null;
  function say(words) {
    clearTimeout(toSay);
    toSay = setTimeout(() => {
      if (said.textContent !== words) said.textContent = words;
    }, 250);
  }

  // ---- what is done ----
  let chosen = null;
  let pointed = null;
  let focused = null;
  let shown = resting;

  function update() {
    const wanted = pointed ?? focused ?? chosen ?? resting;
    const changed = !(wanted === shown || (wanted && shown && same(wanted, shown)));
    if (changed || wanted === resting) {
      shown = wanted;
      const count = show(wanted);
      const where = `marked in ${count} drawing${count === 1 ? "" : "s"}`;
      if (changed) say(wanted?.words ? `${wanted.words} ${where}` : "");
    }
    bar.hidden = chosen === null;
    if (chosen) told.textContent = `${chosen.words}: stays marked`;
    for (const [name, subject] of subjects) name.setAttribute("aria-pressed", String(chosen !== null && same(subject, chosen)));
  }

  function choose(subject) {
    const again = chosen !== null && same(chosen, subject);
    chosen = again ? null : subject;
    if (again) pointed = focused = null;
    update();
    if (again) say("No longer marked");
  }

  function leave() {
    if (chosen === null && pointed === null && focused === null) return;
    chosen = pointed = focused = null;
    update();
    say("No longer marked");
  }

  for (const [name, subject] of subjects) {
    name.tabIndex = 0;
    name.setAttribute("role", "button");
    name.addEventListener("pointerenter", (event) => {
      if (event.pointerType !== "mouse") return;
      pointed = subject;
      update();
    });
    name.addEventListener("pointerleave", () => {
      pointed = null;
      update();
    });
    name.addEventListener("focus", () => {
      focused = subject;
      update();
    });
    name.addEventListener("blur", () => {
      focused = null;
      update();
    });
    name.addEventListener("click", () => choose(subject));
    name.addEventListener("keydown", (event) => {
      if (event.key !== "Enter" && event.key !== " ") return;
      event.preventDefault();
      choose(subject);
    });
  }

  // what stands in a drawing can be pointed at as well; where a drag moves the eye it cannot
  for (const svg of drawings().filter((svg) => !svg.closest("[role=application]"))) {
    const at = (event) => {
      const part = event.target.closest?.("[data-mark]");
      return part ? ofMark(part.dataset.mark) : undefined;
    };
    svg.dataset.pointing = "";
    svg.addEventListener("pointerover", (event) => {
      if (event.pointerType !== "mouse") return;
      pointed = at(event) ?? null;
      update();
    });
    svg.addEventListener("pointerleave", () => {
      pointed = null;
      update();
    });
    svg.addEventListener("click", (event) => {
      const subject = at(event);
      if (subject) choose(subject);
    });
  }

  let place = -1;
  next.addEventListener("click", () => {
    const all = drawings().filter((svg) => svg.classList.contains("marking") && svg.getBoundingClientRect().width > 0);
    if (all.length === 0) return;
    place = (place + 1) % all.length;
    (all[place].closest("figure") ?? all[place]).scrollIntoView({ block: "center" });
  });
  off.addEventListener("click", leave);
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") leave();
  });
  // a drawing that is drawn anew has lost its marks
  document.addEventListener("drawn", () => {
    if (shown) show(shown);
  });
  if (resting) resting.names = resting.marks.map((mark) => called.get(mark) ?? "");
  update();
})();
