// What any page of ours must stand, whatever it shows. Gives a list of complaints.
const complaints = [];
const say = (text) => complaints.push(text);
const named = (element) => {
  const own = (element.textContent || "").trim().slice(0, 40);
  return `<${element.tagName.toLowerCase()}> "${own}"`;
};
const seen = (element) => element.checkVisibility({ visibilityProperty: true, opacityProperty: true });

// No sideways scroll.
const root = document.documentElement;
if (root.scrollWidth > root.clientWidth) {
  say(`the page is ${root.scrollWidth} wide on a screen of ${root.clientWidth}`);
  for (const element of document.querySelectorAll("body *")) {
    const box = element.getBoundingClientRect();
    if (seen(element) && box.right > root.clientWidth + 1) {
      say(`${named(element)} ends at ${Math.round(box.right)}`);
      break;
    }
  }
}

// One first heading; no level is skipped.
const headings = [...document.querySelectorAll("h1,h2,h3,h4,h5,h6")].filter(seen);
if (headings.filter((it) => it.tagName === "H1").length !== 1) say("there is not one h1");
let level = 0;
for (const heading of headings) {
  const own = Number(heading.tagName[1]);
  if (own > level + 1) say(`${named(heading)} skips a level after h${level}`);
  level = own;
}

// Pictures, controls and tables have names; ids are unique.
for (const svg of document.querySelectorAll("svg")) {
  const ids = (svg.getAttribute("aria-labelledby") || "").split(" ").filter(Boolean);
  const words = ids.map((id) => document.getElementById(id)?.textContent || "").join(" ");
  const hidden = svg.closest("[aria-hidden=true]");
  if (!hidden && (svg.getAttribute("role") !== "img" || words.length < 40)) say(`a figure says nothing: ${words}`);
}
for (const figure of document.querySelectorAll("figure")) {
  const words = figure.querySelector("figcaption")?.textContent || "";
  if (!/\d/.test(words) || !/\.$/.test(words.trim())) say(`no sentence with a number: ${named(figure)}: ${words}`);
}
for (const control of document.querySelectorAll("input,select,textarea,button")) {
  const words = [...(control.labels || [])].map((it) => it.textContent).join("")
    + (control.getAttribute("aria-label") || "") + (control.tagName === "BUTTON" ? control.textContent : "");
  if (!words.trim()) say(`a control has no name: ${control.outerHTML.slice(0, 80)}`);
}
for (const table of document.querySelectorAll("table")) {
  if (!table.caption?.textContent.trim()) say(`a table has no caption: ${named(table)}`);
  if (!table.querySelector("th[scope]")) say(`a table has no headings: ${named(table)}`);
}
const ids = [...document.querySelectorAll("[id]")].map((it) => it.id);
for (const id of new Set(ids.filter((id, at) => ids.indexOf(id) !== at))) say(`id ${id} stands twice`);
for (const link of document.querySelectorAll("a[href^='#']")) {
  if (link.hash.length > 1 && !document.getElementById(decodeURIComponent(link.hash.slice(1)))) say(`${link.hash} leads nowhere`);
}
if (!document.documentElement.lang) say("the page has no language");
if (!document.title) say("the page has no title");

// Contrast of text: WCAG 2.1, success criterion 1.4.3, level AA.
const parts = (colour) => {
  const found = colour.match(/^rgba?\(([\d.]+), ([\d.]+), ([\d.]+)(?:, ([\d.]+))?\)$/);
  if (found) return [+found[1] / 255, +found[2] / 255, +found[3] / 255, found[4] === undefined ? 1 : +found[4]];
  const srgb = colour.match(/^color\(srgb ([\d.]+) ([\d.]+) ([\d.]+)(?: \/ ([\d.]+))?\)$/);
  return srgb ? [+srgb[1], +srgb[2], +srgb[3], srgb[4] === undefined ? 1 : +srgb[4]] : null;
};
const over = (top, under) => [0, 1, 2].map((i) => top[i] * top[3] + under[i] * (1 - top[3])).concat(1);
const ground = (element) => {
  const layers = [];
  for (let it = element; it; it = it.parentElement) {
    const colour = parts(getComputedStyle(it).backgroundColor);
    if (colour && colour[3] > 0) layers.push(colour);
  }
  return layers.reverse().reduce((under, top) => over(top, under), [1, 1, 1, 1]);
};
const light = (colour) => {
  const [r, g, b] = colour.map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const ownText = (element) => [...element.childNodes].some((it) => it.nodeType === 3 && it.data.trim());
const weak = new Map();
for (const element of document.querySelectorAll("body *")) {
  if (!ownText(element) || !seen(element) || element.closest("svg,script,style,option")) continue;
  const style = getComputedStyle(element);
  const under = ground(element);
  const colour = parts(style.color);
  if (!colour) { say(`colour not understood: ${style.color}`); continue; }
  const pair = [light(over(colour, under)), light(under)].sort((a, b) => b - a);
  const ratio = (pair[0] + 0.05) / (pair[1] + 0.05);
  const size = parseFloat(style.fontSize);
  const large = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700);
  if (ratio < (large ? 3 : 4.5)) weak.set(`${style.color} on its ground`, `${ratio.toFixed(2)}: ${named(element)}`);
  if (size < 11) weak.set(`${size} px`, `too small: ${named(element)}`);
}
for (const [what, where] of weak) say(`${what}, ${where}`);
return complaints;
