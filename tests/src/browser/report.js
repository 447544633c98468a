// What the page of a report does when it is used. Gives a list of complaints.
const complaints = [];
const say = (text) => complaints.push(text);
const seen = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });

// The decision comes first: it begins above the fold.
const first = document.querySelector(".answers");
if (!first || first.getBoundingClientRect().top + scrollY > innerHeight / 2) say("the decision is not first");

// Tables sort by each heading, up and then down, and lose no row.
const number = (text) => {
  const found = text.trim().replace(/\u2212/g, "-").match(/^-?\d+(?:\.\d+)?/);
  return found ? Number(found[0]) : null;
};
const tables = [...document.querySelectorAll("table.sorts")];
if (tables.length < 2) say("hardly a table sorts");
for (const table of tables) {
  const name = table.caption.textContent;
  const all = [...table.tBodies[0].rows].map((row) => row.textContent).sort().join("\n");
  [...table.tHead.rows[0].cells].forEach((head, at) => {
    const button = head.querySelector("button");
    if (!button) return say(`${name}: no button in a heading`);
    for (const [way, sign] of [["ascending", 1], ["descending", -1]]) {
      button.click();
      if (head.getAttribute("aria-sort") !== way) say(`${name}: ${head.textContent} is not ${way}`);
      const cells = [...table.tBodies[0].rows].map((row) => number(row.cells[at].textContent));
      const numbers = cells.filter((it) => it !== null);
      if (numbers.some((it, i) => i > 0 && sign * it < sign * numbers[i - 1])) say(`${name}: ${head.textContent} ${way}: ${numbers}`);
    }
  });
  if ([...table.tBodies[0].rows].map((row) => row.textContent).sort().join("\n") !== all) say(`${name}: a row was lost`);
}

// A number leads to its working, which opens and has the number in it.
const links = [...document.querySelectorAll("a.number")];
const workings = document.querySelectorAll("details.working");
if (workings.length > 0 && links.length < 10) say(`only ${links.length} numbers lead to their working`);
for (const link of links) {
  const target = document.getElementById(link.hash.slice(1));
  if (!target) { say(`${link.textContent} leads nowhere`); continue; }
  const fold = target.closest("details");
  fold.open = true;
  if (!seen(target)) say(`${link.textContent}: its working is not seen`);
  // The nominal value of the plain sentence, which has at least as many digits, is the number, or lies
  // in the band that stands behind a middle of the worlds.
  const shown = link.textContent, plain = fold.querySelector("summary").textContent;
  const half = 0.5001 / 10 ** (shown.split(" ")[0].split(".")[1] || "").length;
  const band = (shown.match(/\((\S+) to (\S+)\)/) || [shown, shown, shown]).slice(1).map((it) => Math.abs(number(it)));
  const [low, high] = [Math.min(...band) - half, Math.max(...band) + half];
  const said = (plain.match(/\d+(\.\d+)?/g) || []).map(Number);
  const there = number(shown) === null ? plain.includes(shown) : said.some((it) => low <= it && it <= high);
  if (!there) say(`${shown} is not in its working: ${plain}`);
  fold.open = false;
}
// The rules stand once, each with its source.
const rules = [...document.querySelectorAll("#method dd")];
if (rules.length < 4) say("hardly a rule is named");
for (const rule of rules) if (!/Source: ./.test(rule.textContent)) say(`no source: ${rule.textContent.slice(0, 40)}`);
// Cautions and words are there.
if (document.querySelectorAll(".caution").length < 2) say("cautions are missing");
if (document.querySelectorAll(".words dt").length < 10) say("the words are not explained");
return complaints;
