// What makes the page handy and is not needed to read it: tables that sort, and a choice between dark and light.
(() => {
  "use strict";

  // ---- tables ----
  /** The first number in a cell's text, or null. Thousands stand apart by spaces that do not break. */
  function numberIn(text) {
    const found = text.replace(/(\d)\u00a0(?=\d{3})/g, "$1").match(/[-−]?\d+(\.\d+)?(e[-+]?\d+)?/i);
    return found ? Number(found[0].replace("−", "-")) : null;
  }

  const textOf = (row, column) => row.cells[column]?.textContent.trim() ?? "";

  /** Numbers where most of the cells begin with one; what has none comes last either way. */
  function isNumeric(rows, column) {
    const filled = rows.map((row) => textOf(row, column)).filter((text) => text !== "");
    return filled.length > 0 && 2 * filled.filter((text) => /^[-−]?\d/.test(text)).length >= filled.length;
  }

  function compare(rows, column, sign) {
    const numeric = isNumeric(rows, column);
    const words = new Intl.Collator("en", { numeric: true });
    return (a, b) => {
      if (!numeric) return sign * words.compare(textOf(a, column), textOf(b, column));
      const [x, y] = [a, b].map((row) => numberIn(textOf(row, column)));
      if (x === null || y === null) return (x === null) - (y === null);
      return sign * (x - y);
    };
  }

  function sortBy(table, head) {
    const body = table.tBodies[0];
    const rows = [...body.rows];
    const ascending = head.getAttribute("aria-sort") !== "ascending";
    for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
    head.setAttribute("aria-sort", ascending ? "ascending" : "descending");
    rows.sort(compare(rows, head.cellIndex, ascending ? 1 : -1));
    body.append(...rows);
  }

  for (const table of document.querySelectorAll("table")) {
    if (!table.tHead || table.tBodies.length !== 1 || table.tBodies[0].rows.length < 3) continue;
    for (const head of table.tHead.rows[0].cells) {
      if (head.textContent.trim() === "") continue;
      const button = Object.assign(document.createElement("button"), { type: "button", className: "sort" });
      button.append(...head.childNodes);
      head.append(button);
      button.addEventListener("click", () => sortBy(table, head));
    }
  }

  // ---- dark and light ----
  const root = document.documentElement;
  const button = Object.assign(document.createElement("button"), { type: "button", className: "theme" });
  const prefersDark = window.matchMedia("(prefers-color-scheme: dark)");
  const isDark = () => (root.dataset.theme ? root.dataset.theme === "dark" : prefersDark.matches);
  function tell() {
    button.textContent = isDark() ? "Light page" : "Dark page";
  }
  button.addEventListener("click", () => {
    root.dataset.theme = isDark() ? "light" : "dark";
    tell();
  });
  prefersDark.addEventListener("change", tell);
  tell();
  document.querySelector("main").prepend(button);

  // a box that scrolls must be reachable by keys
  function reachable() {
    for (const box of document.querySelectorAll(".scrolls, .wide, figure > div:not([role=application])")) {
      if (box.scrollWidth > box.clientWidth + 1) box.tabIndex = 0;
      else box.removeAttribute("tabindex");
    }
  }
  window.addEventListener("resize", reachable);
  reachable();
})();
