// Opens every page that the program writes in a browser, drives it as a visitor would, and holds its numbers to the program's.
// Run by `.ci/page`.
import { execFileSync } from "node:child_process";
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";
import { chromium } from "playwright-core";

const { BROWSER_PROGRAM, SIGHTDRIFT, SCENARIO, PICTURES } = process.env;
const axeSource = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");
const WIDTHS = [320, 768, 1920, 3840];
// pages that are opened at once
const AT_ONCE = 2;
// all digits of both are compared: what is left is the last digits' rounding, and the pupil's clear share
const MOST_DIFFERENCE_ARCMIN = 1e-6;
// under this share of its limit the page names nothing as worst
const NOTHING = 1e-6;

let wrong = 0;
let right = 0;
function check(holds, words) {
  if (holds) right += 1;
  else {
    wrong += 1;
    console.log(`page: WRONG: ${words}`);
  }
}

const browser = await chromium.launch({
  executablePath: BROWSER_PROGRAM,
  args: ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking"],
});

/** A page of this report; whatever it asks for or complains of is wrong. */
async function open(name, options = {}, file = "report.html") {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 }, ...options });
  const page = await context.newPage();
  const address = pathToFileURL(`${process.cwd()}/${name}/${file}`).href;
  page.on("request", (request) => check(request.url() === address, `${name} asks for ${request.url()}`));
  for (const event of ["console", "pageerror"]) {
    page.on(event, (told) => check(false, `${name}, ${event}: ${told.text?.() ?? told}`));
  }
  await page.goto(address);
  return page;
}

const see = (scenario, args) => JSON.parse(execFileSync(SIGHTDRIFT, ["see", scenario, ...args, "--json"], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] }));

/** Sets the page's fields as a person would. */
async function setEye(page, eye) {
  for (const [key, value] of Object.entries(eye)) {
    await page.locator(`input[type=number][data-eye=${key}]`).fill(String(value));
  }
}
const choose = (page, name, nth) => page.locator(`input[name=eye-${name}]`).nth(nth).check({ force: true });

/** All numbers of the look that the page shows, in full digits. */
const shown = (page) =>
  page.evaluate(() => {
    const value = (element) => (element.value === "" ? null : Number(element.value));
    const at = (id) => value(document.getElementById(`eye-${id}`));
    const where = (id) => document.getElementById(`eye-${id}-where`).textContent;
    return {
      outcome: document.getElementById("eye-outcome").dataset.outcome,
      drift: { value: at("drift"), limit: at("drift-limit"), over: at("drift-over"), where: where("drift") },
      gap: { value: at("gap"), limit: at("gap-limit"), over: at("gap-over"), where: where("gap") },
      clear: at("clear"),
      rows: [...document.querySelectorAll(".eye-look tbody tr")].map((row) => [row.cells[0].textContent, ...[...row.querySelectorAll("data")].map(value)]),
    };
  });

let largest = 0;
function near(page, program, words) {
  if (page === null || program === null || program === undefined) {
    check(page === null && (program ?? null) === null, `${words}: the page has ${page}, the program ${program}`);
    return;
  }
  const difference = Math.abs(page - program);
  largest = Math.max(largest, difference);
  check(difference <= MOST_DIFFERENCE_ARCMIN, `${words}: the page has ${page}, the program ${program}`);
}

/** The item with the largest fault over its limit, as the program has it. */
const worstOf = (items) => items.reduce((worst, item) => (item.over_limit !== null && (!worst || item.over_limit > worst.over_limit) ? item : worst), null);

async function compare(page, program, words) {
  const seen = await shown(page);
  check(seen.outcome === program.outcome, `${words}: the page says ${seen.outcome}, the program ${program.outcome}`);
  const rows = new Map(seen.rows.map(([name, ...numbers]) => [name, numbers]));
  check(rows.size === program.rods.length + program.junctions.length, `${words}: ${rows.size} rows`);
  for (const rod of program.rods) {
    const [fixed, fitted, limit, over] = rows.get(`rod ${rod.name}`);
    near(fixed, rod.across_arcmin?.fixed, `${words}, ${rod.name}, fixed`);
    near(fitted, rod.across_arcmin?.fitted, `${words}, ${rod.name}, fitted`);
    near(limit, rod.drift_limit_arcmin, `${words}, ${rod.name}, limit`);
    near(over, rod.over_limit, `${words}, ${rod.name}, over limit`);
  }
  for (const junction of program.junctions) {
    const [gap, , limit, over] = rows.get(`junction ${junction.vertex}`);
    near(gap, junction.gap_arcmin, `${words}, ${junction.vertex}, gap`);
    near(limit, junction.gap_limit_arcmin, `${words}, ${junction.vertex}, limit`);
    near(over, junction.over_limit, `${words}, ${junction.vertex}, over limit`);
  }
  const [rod, junction] = [worstOf(program.rods), worstOf(program.junctions)];
  if (rod) {
    near(seen.drift.over, rod.over_limit, `${words}, worst drift`);
    const where = rod.over_limit < NOTHING ? "" : `rod ${rod.name}`;
    check(seen.drift.where === where, `${words}: worst drift at ${seen.drift.where}, not ${where}`);
  }
  if (junction) {
    near(seen.gap.over, junction.over_limit, `${words}, worst gap`);
    const where = junction.over_limit < NOTHING ? "" : `junction ${junction.vertex}`;
    check(seen.gap.where === where, `${words}: worst gap at ${seen.gap.where}, not ${where}`);
  }
  const points = program.rods.flatMap((rod) => [...rod.ends, ...(rod.middle ? [rod.middle] : [])]);
  near(seen.clear, Math.min(...points.map((point) => point.clear_share)), `${words}, clear share`);
  return seen.outcome;
}

async function tenPositions(name, scenario) {
  const page = await open(name);
  const outcomes = {};
  const count = (outcome) => { outcomes[outcome] = (outcomes[outcome] ?? 0) + 1; };
  const eyes = [
    { x_mm: 0, y_mm: 0 },
    { x_mm: 1, y_mm: 0 },
    { x_mm: -1.7, y_mm: 0.8, pupil_mm: 4.5 },
    { x_mm: 0.6, y_mm: -1.1, peephole_mm: 3.5, z_mm: 2 },
    { x_mm: 3.4, y_mm: 2.9, log_mar: 0.3 },
  ];
  const start = await page.evaluate(() => JSON.parse(document.getElementById("eye-data").textContent).eye);
  for (const [nth, eye] of eyes.entries()) {
    const all = { ...start, ...eye };
    writeFileSync("eye.toml", `[eye]\noffset = ["${all.x_mm} mm", "${all.y_mm} mm"]\nrelief = "${all.z_mm} mm"\npupil = "${all.pupil_mm} mm"\nacuity = ${all.log_mar}\n[peephole]\ndiameter = "${all.peephole_mm} mm"\n`);
    await choose(page, "build", 0);
    await setEye(page, all);
    count(await compare(page, see(scenario, ["--with", "eye.toml"]), `${name}, eye ${nth}`));
  }
  const builds = await page.evaluate(() => JSON.parse(document.getElementById("eye-data").textContent).builds.map((build) => build.build));
  check(builds.length === 4, `${name} has ${builds.length} builds`);
  const looks = [[1, 0], [1, 1], [2, 0], [3, 0], [3, 5]];
  for (const [nth, look] of looks) {
    const program = see(scenario, ["--trial", String(builds[nth]), "--look", String(look)]);
    await choose(page, "build", nth);
    await setEye(page, {
      x_mm: program.pupil_mm[0],
      y_mm: program.pupil_mm[1],
      z_mm: program.pupil_mm[2],
      pupil_mm: program.pupil_diameter_mm,
      peephole_mm: program.peephole_diameter_mm,
      log_mar: Math.log10(program.finest_detail_arcmin),
    });
    count(await compare(page, program, `${name}, build ${builds[nth]}, look ${look}`));
  }
  console.log(`page: ${name}: ten eyes, ${JSON.stringify(outcomes)}, largest difference ${largest.toExponential(1)} arcmin (or share)`);
  await page.context().close();
}

async function finishes() {
  const page = await open("boat");
  const names = await page.locator("input[name=eye-finish] + span").allInnerTexts();
  check(names.length === 3, `finishes: ${names}`);
  writeFileSync("eye.toml", '[eye]\noffset = ["1.3 mm", "-0.4 mm"]\n');
  await setEye(page, { x_mm: 1.3, y_mm: -0.4 });
  for (const [nth, name] of names.entries()) {
    await choose(page, "finish", nth);
    const finish = name.split("\n")[0].trim();
    await compare(page, see(`boat-${finish}.toml`, ["--with", "eye.toml"]), `finish ${finish}`);
  }
  await page.context().close();
}

/** How far the eye moved, as the fields say. */
const place = (page) =>
  page.evaluate(() => ["x_mm", "y_mm", "peephole_mm"].map((key) => document.querySelector(`input[type=number][data-eye=${key}]`).valueAsNumber));

async function hands() {
  const page = await open("boat", { hasTouch: true });
  const is = async (x, y, words) => {
    const [atX, atY] = await place(page);
    check(Math.abs(atX - x) < 1e-6 && Math.abs(atY - y) < 1e-6, `${words}: the eye is at ${atX}, ${atY}, not ${x}, ${y}`);
  };
  // from the page's top by keys alone
  const reached = new Set();
  for (let n = 0; n < 60; n += 1) {
    await page.keyboard.press("Tab");
    reached.add(await page.evaluate(() => document.activeElement.id || document.activeElement.name || document.activeElement.dataset.eye));
  }
  for (const id of ["eye-view", "eye-pad", "eye-build", "eye-finish", "x_mm", "peephole_mm", "eye-times", "eye-back"]) {
    check(reached.has(id), `${id} is not reached by Tab`);
  }
  await page.locator("#eye-pad").focus();
  const outcome = (await shown(page)).drift.value;
  await page.keyboard.press("ArrowRight");
  await is(-0.1, 0, "arrow to the right");
  await page.keyboard.press("Shift+ArrowUp");
  await is(-0.1, 1, "arrow up with Shift");
  check((await shown(page)).drift.value !== outcome, "the numbers do not follow the keys");
  await page.keyboard.press("Home");
  await is(0, 0, "Home");
  await page.locator("input[type=range][data-eye=x_mm]").focus();
  await page.keyboard.press("ArrowRight");
  await is(-0.1, 0, "the slider's arrow to the right");
  await page.locator("#eye-back").press("Enter");
  await is(0, 0, "the button back");

  for (const id of ["eye-pad", "eye-view"]) {
    const box = await page.locator(`#${id}`).boundingBox();
    await page.locator(`#${id}`).scrollIntoViewIfNeeded();
    const at = await page.locator(`#${id}`).boundingBox();
    const [x, y] = [at.x + box.width / 2, at.y + box.height / 2];
    await page.mouse.move(x, y);
    await page.mouse.down();
    await page.mouse.move(x + 20, y - 10, { steps: 4 });
    await page.mouse.up();
    const [atX, atY] = await place(page);
    check(atX < -0.2 && Math.abs(atX + 2 * atY) < 0.002, `a drag in ${id} takes the eye to ${atX}, ${atY}`);
    await page.mouse.move(x - 40, y);
    check((await place(page))[0] === atX, `${id} follows without a button`);
    await page.locator("#eye-back").click();
  }
  // a finger
  const touch = await page.context().newCDPSession(page);
  await page.locator("#eye-pad").scrollIntoViewIfNeeded();
  const at = await page.locator("#eye-pad").boundingBox();
  const finger = (type, x, y) => touch.send("Input.dispatchTouchEvent", { type, touchPoints: type === "touchEnd" ? [] : [{ x, y }] });
  await finger("touchStart", at.x + 100, at.y + 100);
  for (let n = 1; n <= 5; n += 1) await finger("touchMove", at.x + 100 - 6 * n, at.y + 100);
  await finger("touchEnd");
  check((await place(page))[0] > 0.2, "a finger does not move the eye");
  await page.locator("#eye-back").click();

  const before = await shown(page);
  await page.locator("input[type=range][data-eye=peephole_mm]").focus();
  for (let n = 0; n < 70; n += 1) await page.keyboard.press("ArrowLeft");
  const after = await shown(page);
  check(after.clear < before.clear, `a smaller peephole leaves ${after.clear} clear, not less than ${before.clear}`);
  await setEye(page, { x_mm: 9 });
  check((await shown(page)).outcome === "clipped", "an eye far off the axis is not clipped");
  check((await page.locator("#eye-view .rod:not(.hidden)").count()) === 0, "rods out of sight are drawn");
  await page.waitForTimeout(700);
  check((await page.locator("#eye-said").textContent()).startsWith("clipped"), "what is said aloud lags behind");
  await page.locator("input[type=number][data-eye=pupil_mm]").fill("-2");
  check((await page.locator("input[type=number][data-eye=pupil_mm]").getAttribute("aria-invalid")) === "true", "a pupil of -2 mm is taken");
  await page.locator("#eye-times").selectOption("10");
  await page.context().close();
}

async function sorting() {
  const page = await open("boat");
  const tables = await page.locator("table:has(.sort)").count();
  check(tables >= 5, `only ${tables} tables sort`);
  const rows = () => page.locator(".items tbody tr").evaluateAll((all) => all.map((row) => [...row.cells].map((cell) => cell.textContent)));
  const before = await rows();
  const head = page.locator(".items thead th").nth(1);
  await head.locator("button").focus();
  await page.keyboard.press("Enter");
  const number = (text) => Number(text.replace(/\u00a0(?=\d{3})/g, ""));
  for (const [word, sign] of [["ascending", 1], ["descending", -1]]) {
    check((await head.getAttribute("aria-sort")) === word, `aria-sort is not ${word}`);
    const after = await rows();
    check(after.every((row, n) => n === 0 || sign * (number(row[1]) - number(after[n - 1][1])) >= 0), `medians are not ${word}`);
    const lines = (all) => all.map((row) => row.join("|")).sort().join("\n");
    check(lines(before) === lines(after), "a row lost its name");
    await page.keyboard.press("Space");
  }
  // the table that is filled anew keeps its names too
  await page.locator("#move-eye summary").click();
  await setEye(page, { x_mm: 1.3, y_mm: -0.4 });
  const look = async () => new Map((await shown(page)).rows.map(([name, ...numbers]) => [name, numbers.join()]));
  const unsorted = await look();
  await page.locator(".eye-look thead button").nth(4).click();
  await setEye(page, { x_mm: 0.2 });
  await setEye(page, { x_mm: 1.3 });
  const sorted = await look();
  check([...unsorted].every(([name, numbers]) => sorted.get(name) === numbers), "sorted looks lose their names");
  await page.context().close();
}

/** Every page that the program writes: its folder and its file. */
const PAGES = [
  ["boat", "report.html"],
  ["bridge", "report.html"],
  ["advised", "report.html"],
  ["peephole", "report.html"],
  ["tolerances", "report.html"],
  ["laid-out", "report.html"],
  ["compared", "report.html"],
  ["diagnosed", "report.html"],
  ["diagnosed", "record.html"],
  ["diagnosed-print", "report.html"],
  ["diagnosed-print", "record.html"],
];
const titleOf = ([name, file]) => (file === "report.html" ? name : `${name}-${file.split(".")[0]}`);

/** Does `work` for every one of `all`, some at once. */
async function forAll(all, work) {
  const left = [...all];
  const worker = async () => {
    for (let one = left.shift(); one !== undefined; one = left.shift()) await work(one);
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
}

let findings = 0;
async function axe(page, words) {
  const { violations } = await page.evaluate(() => window.axe.run({ resultTypes: ["violations"] }));
  findings += violations.length;
  for (const one of violations) {
    console.log(`page: axe, ${words}: ${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((node) => node.html.slice(0, 160)).join(" ; ")}`);
  }
  check(violations.length === 0, `axe has findings, ${words}`);
}

/** One page in one theme at every width, as it is and with something marked. */
async function widths([name, file, colorScheme]) {
  const title = titleOf([name, file]);
  const page = await open(name, { viewport: { width: WIDTHS[0], height: 900 }, colorScheme, bypassCSP: true }, file);
  await page.evaluate(axeSource);
  if ((await page.locator("#move-eye").count()) > 0) {
    await page.locator("#move-eye summary").click();
    await choose(page, "build", 3);
    await setEye(page, { x_mm: 1.3 });
  }
  for (const width of WIDTHS) {
    const words = `${title}, ${colorScheme}, ${width} px`;
    await page.setViewportSize({ width, height: width > 2000 ? 2160 : 900 });
    const [scrolls, has] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
    check(scrolls <= has, `${words}: ${scrolls} px wide`);
    await axe(page, words);
    if (PICTURES) await page.screenshot({ path: `${PICTURES}/${title}-${width}-${colorScheme}.png`, fullPage: true });
  }
  const names = page.locator(".subject[role=button]:visible");
  if ((await names.count()) > 0) {
    await page.setViewportSize({ width: WIDTHS[0], height: 900 });
    await names.first().click();
    const [scrolls, has] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
    check(scrolls <= has, `${title}, marked: ${scrolls} px wide`);
    await axe(page, `${title}, ${colorScheme}, marked`);
    if (PICTURES) {
      await page.screenshot({ path: `${PICTURES}/${title}-${WIDTHS[0]}-${colorScheme}-marked.png`, fullPage: true });
      await page.setViewportSize({ width: 1280, height: 900 });
      await page.screenshot({ path: `${PICTURES}/${title}-1280-${colorScheme}-marked.png`, fullPage: true });
    }
  }
  await page.context().close();
}

/** What can be done on any page: sort by click and by key, turn dark and back. */
async function handy([name, file]) {
  const title = titleOf([name, file]);
  const page = await open(name, { colorScheme: "light" }, file);
  const table = page.locator("table:has(.sort):visible").first();
  check((await table.count()) === 1, `${title}: no table sorts`);
  const rows = () => table.locator("tbody tr").allInnerTexts();
  const before = await rows();
  const head = table.locator("thead th:has(.sort)").last();
  await head.locator("button").click();
  check((await head.getAttribute("aria-sort")) === "ascending", `${title}: a click does not sort`);
  await head.locator("button").focus();
  await page.keyboard.press("Enter");
  check((await head.getAttribute("aria-sort")) === "descending", `${title}: a key does not sort`);
  check([...before].sort().join() === (await rows()).sort().join(), `${title}: a sorted row is lost`);
  const ground = () => page.evaluate(() => getComputedStyle(document.body).backgroundColor);
  const light = await ground();
  await page.locator(".theme").click();
  check(light !== (await ground()), `${title} does not turn dark`);
  await page.emulateMedia({ media: "print" });
  check((await ground()) === light, `a dark ${title} is printed`);
  for (const hidden of [".theme", ".marked-bar", ".eye-choices", ".eye-sliders"]) {
    check((await page.locator(hidden).count()) === 0 || !(await page.locator(hidden).first().isVisible()), `${hidden} of ${title} is printed`);
  }
  if (PICTURES) await page.pdf({ path: `${PICTURES}/${title}.pdf`, preferCSSPageSize: true });
  await page.context().close();
}

async function allPages() {
  if (PICTURES) mkdirSync(PICTURES, { recursive: true });
  await forAll(PAGES.flatMap((one) => ["light", "dark"].map((theme) => [...one, theme])), widths);
  await forAll(PAGES, handy);
  console.log(`page: axe findings: ${findings}, ${PAGES.length} pages at ${WIDTHS.join(", ")} px and with something marked, light and dark`);
}

/** What is marked now: in each drawing the marks, whether what is marked stands out, and what is said of it. */
const marked = (page) =>
  page.evaluate(() => {
    const drawings = [...document.querySelectorAll("svg")].filter((svg) => svg.querySelector("[data-mark]"));
    const marks = (svg, kind) => [...new Set([...svg.querySelectorAll(kind)].map((part) => part.dataset.mark))].sort().join(" ");
    return drawings.map((svg) => ({
      marks: marks(svg, ".marked"),
      rimmed: svg.querySelectorAll(".halo > *, .mark-tag > rect").length > 0,
      dimmed: [...svg.querySelectorAll("[data-mark]:not(.marked, .beside, [data-part=name], [data-part=place])")].every((part) => Number(getComputedStyle(part).opacity) < 1),
    }));
  });

/** In how many drawings of the page what this name stands for is. */
const drawnIn = (page, marks) =>
  page.evaluate((marks) => [...document.querySelectorAll("svg")].filter((svg) => marks.some((mark) => svg.querySelector(`[data-mark="${mark}"]`))).length, marks);

async function isMarked(page, marks, words) {
  const wanted = await drawnIn(page, marks);
  const is = (await marked(page)).filter((drawing) => drawing.marks !== "");
  check(wanted > 0 && is.length === wanted, `${words}: marked in ${is.length} drawings of ${wanted}`);
  for (const drawing of is) {
    check(drawing.marks.split(" ").every((mark) => marks.includes(mark)), `${words}: ${drawing.marks} marked`);
    check(drawing.rimmed && drawing.dimmed, `${words}: what is marked does not stand out`);
  }
  return wanted;
}

async function isNot(page, resting, words) {
  const is = (await marked(page)).map((drawing) => drawing.marks).filter((marks) => marks !== "");
  check(is.join("|") === resting, `${words}: ${is.join("|")} marked, not ${resting}`);
}

/** A name marks its rod in every drawing: under a pointer, with the keyboard, under a finger. */
async function marking([name, file]) {
  const title = titleOf([name, file]);
  const page = await open(name, {}, file);
  const resting = (await marked(page)).map((drawing) => drawing.marks).filter((marks) => marks !== "").join("|");
  const names = page.locator(".subject[role=button]:visible");
  const count = await names.count();
  check(count > 0, `${title}: no name marks anything`);
  const seen = new Set();
  let most = 0;
  for (let nth = 0; nth < count; nth += 1) {
    const one = names.nth(nth);
    const marks = (await one.getAttribute("data-marks")).split(" ");
    if (seen.has(marks.join())) continue;
    seen.add(marks.join());
    await one.hover();
    most = Math.max(most, await isMarked(page, marks, `${title}, ${marks} pointed at`));
    await page.mouse.move(0, 0);
    await one.focus();
    await isMarked(page, marks, `${title}, ${marks} focused`);
    await one.blur();
  }
  await page.mouse.move(0, 0);
  await isNot(page, resting, `${title}, nothing pointed at`);
  const first = names.first();
  const marks = (await first.getAttribute("data-marks")).split(" ");
  await first.press("Enter");
  await first.blur();
  const drawings = await isMarked(page, marks, `${title}, chosen by key`);
  check((await first.getAttribute("aria-pressed")) === "true", `${title}: a chosen name does not say so`);
  await page.waitForTimeout(400);
  const said = await page.locator("[role=status]").last().textContent();
  check(said.endsWith(`marked in ${drawings} drawing${drawings === 1 ? "" : "s"}`), `${title} says ${said}`);
  if ((await page.locator("#eye-pad").count()) > 0) {
    await page.locator("#eye-pad").press("ArrowRight");
    await isMarked(page, marks, `${title}, the eye moved`);
  }
  await page.keyboard.press("Escape");
  await isNot(page, resting, `${title}, after Escape`);
  await first.click();
  await page.mouse.move(0, 0);
  await first.blur();
  await isMarked(page, marks, `${title}, clicked`);
  await first.click();
  await isNot(page, resting, `${title}, clicked again`);
  await page.context().close();

  const touched = await open(name, { hasTouch: true, isMobile: true, viewport: { width: 390, height: 800 } }, file);
  const finger = touched.locator(".subject[role=button]:visible").first();
  await finger.tap();
  await isMarked(touched, marks, `${title}, tapped`);
  await finger.tap();
  await isNot(touched, resting, `${title}, tapped again`);
  await touched.context().close();
  return `${title}: ${seen.size} subjects in up to ${most} drawings`;
}

async function allMarking() {
  const told = [];
  const with_names = [["boat", "report.html"], ["advised", "report.html"], ["laid-out", "report.html"], ["diagnosed", "report.html"], ["diagnosed", "record.html"], ["nasty", "report.html"]];
  await forAll(with_names, async (one) => told.push(await marking(one)));
  console.log(`page: marked by pointer, keys and finger: ${told.sort().join("; ")}`);
}

/** The record's leading cause is marked without a script too, and the record is one sheet of either paper. */
async function records() {
  const pagesOf = (pdf) => pdf.toString("latin1").match(/\/Type\s*\/Page(?![a-zA-Z])/g).length;
  for (const javaScriptEnabled of [true, false]) {
    for (const name of ["diagnosed", "diagnosed-print"]) {
      const words = `record of ${name}, ${javaScriptEnabled ? "with" : "without"} scripts`;
      const page = await open(name, { javaScriptEnabled }, "record.html");
      for (const format of ["A4", "Letter"]) {
        const pdf = await page.pdf({ format });
        check(pagesOf(pdf) === 1, `${words}: ${pagesOf(pdf)} sheets of ${format}`);
        if (PICTURES) writeFileSync(`${PICTURES}/${name}-record-${format}-${javaScriptEnabled}.pdf`, pdf);
      }
      await page.emulateMedia({ media: "print" });
      if (name === "diagnosed") {
        // the outline of an upright rod has no width, and counts as unseen
        const outlines = await page.locator(".halo").all();
        const seen = await Promise.all(outlines.map((outline) => outline.isVisible()));
        check(seen.includes(true), `${words}: the cause's rods are not marked`);
        check((await page.locator("svg text", { hasText: /^\s*cause\s*$/ }).count()) === 1, `${words}: the legend does not say so`);
      } else check((await page.locator(".halo").count()) === 0, `${words}: a cause of all rods marks some`);
      await page.context().close();
    }
  }
}

async function withoutScripts() {
  const page = await open("boat", { javaScriptEnabled: false });
  check(!(await page.locator("#move-eye").isVisible()), "controls that do nothing are shown");
  for (const words of ["What breaks it", "How sure this is", "Cautions", "How to make this report again"]) {
    check(await page.getByRole("heading", { name: words }).isVisible(), `${words} needs a script`);
  }
  await page.context().close();
}

async function nasty() {
  const page = await open("nasty");
  check((await page.evaluate(() => window.hit)) === undefined, "a name was run as a script");
  check((await page.locator(".eye-look tbody th", { hasText: "<!--<script>" }).count()) > 0, "a nasty name is not shown as it is");
  await page.context().close();
}

await tenPositions("boat", SCENARIO);
await tenPositions("bridge", SCENARIO.replace("desk-boat", "gallery-bridge"));
await tenPositions("windmill", SCENARIO.replace("desk-boat", "slack-windmill"));
await finishes();
await hands();
await sorting();
await allPages();
await allMarking();
await records();
await withoutScripts();
await nasty();
await browser.close();
console.log(`page: ${right} checks hold, ${wrong} do not`);
process.exit(wrong === 0 ? 0 : 1);
