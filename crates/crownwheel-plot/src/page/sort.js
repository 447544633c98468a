"use strict";
// Tables sort by a column when its heading is pressed: up, then down. Nothing else is scripted.
for (const table of document.querySelectorAll("table[data-sorts]")) {
  const body = table.tBodies[0];
  const value = (row, at) => {
    const text = row.cells[at].textContent.trim();
    const found = text.replace(/\u2212/g, "-").match(/^(under |over )?(-?\d+(?:\.\d+)?)/);
    return { text, number: found ? Number(found[2]) : null };
  };
  const order = (a, b) => {
    if (a.number !== null && b.number !== null) return a.number - b.number;
    if ((a.number === null) !== (b.number === null)) return a.number === null ? 1 : -1;
    return a.text.localeCompare(b.text, "en");
  };
  const heads = [...table.tHead.rows[0].cells];
  heads.forEach((head, at) => {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const up = head.getAttribute("aria-sort") !== "ascending";
      heads.forEach((other) => other.removeAttribute("aria-sort"));
      head.setAttribute("aria-sort", up ? "ascending" : "descending");
      const rows = [...body.rows].map((row) => [value(row, at), row]);
      rows.sort((a, b) => (up ? order(a[0], b[0]) : order(b[0], a[0])));
      body.append(...rows.map((pair) => pair[1]));
    });
  });
  table.classList.add("sorts");
}
