// Elements, pictures and words that every view uses.

const SVG = "http://www.w3.org/2000/svg";

/** An element: properties (`onclick` a listener, `data`, `style` custom properties), then children. */
export function el(tag, properties = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === null || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "style") for (const [key, one] of Object.entries(value)) made.style.setProperty(key, one);
    else if (name === "value") made.value = value;
    else made.setAttribute(name, value === true ? "" : value);
  }
  made.append(...children.flat(9).filter((child) => child !== null && child !== undefined && child !== false));
  return made;
}

const PATHS = {
  today: "M6 3h12v18H6zM9 8h6M9 12h6M9 16h4",
  progress: "M4 4h6v6H4zM14 4h6v6h-6zM4 14h6v6H4zM14 14h6v6h-6z",
  new: "M12 5v14M5 12h14",
  drill: "M4 4v16M8 4v16M13 9v.1M13 15v.1M18 12h3",
  section: "M9 11a3.5 3.5 0 1 0 0-7 3.5 3.5 0 0 0 0 7zM3 20c0-4 2.5-6 6-6s6 2 6 6M16 5a3 3 0 0 1 0 6M17 14c2.5.4 4 2.5 4 6",
  plan: "M4 6h2M4 12h2M4 18h2M9 6h11M9 12h11M9 18h7",
  settings: "M4 7h9M17 7h3M15 5v4M4 12h3M11 12h9M9 10v4M4 17h9M17 17h3M15 15v4",
  click: "M8 3h8l3 18H5zM7 15h10M12 15l5-9",
  drone: "M3 12h3l2-6 4 13 3-10 2 3h4",
  listen: "M9 18V5l11-2v12M9 9l11-2M9 18a3 2.5 0 1 1-6 0 3 2.5 0 0 1 6 0zM20 15a3 2.5 0 1 1-6 0 3 2.5 0 0 1 6 0z",
  list: "M9 6h11M9 12h11M9 18h11M4 6h1M4 12h1M4 18h1",
  back: "M15 5l-7 7 7 7",
  on: "M9 5l7 7-7 7",
  print: "M7 9V3h10v6M7 17H4V9h16v8h-3M7 14h10v7H7z",
  undo: "M4 9h10a5 5 0 0 1 0 11h-4M4 9l5-5M4 9l5 5",
  stop: "M6 6h12v12H6z",
  warn: "M12 3l10 18H2zM12 10v5M12 17.500v.5",
};

function shape(tag, attributes) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

function picture(box, ...shapes) {
  const made = shape("svg", { viewBox: box, class: "icon", "aria-hidden": "true", focusable: "false" });
  made.append(...shapes);
  return made;
}

/** A line drawing in the colour of the text around it. */
export const icon = (name) => picture("0 0 24 24", shape("path", { d: PATHS[name] }));

// A quarter of the disc more for each step, so that the sign says it without colour.
const PIES = ["M12 12V5a7 7 0 0 1 7 7z", "M12 5a7 7 0 0 1 0 14z", "M12 12V5a7 7 0 1 1-7 7z", "M12 5a7 7 0 1 1 0 14 7 7 0 0 1 0-14z"];

export const FELT = ["lost", "shaky", "steady", "secure"];

/** The sign of how it felt. */
export const sign = (felt) => picture(
  "0 0 24 24", shape("circle", { cx: 12, cy: 12, r: 9.5 }), shape("path", { d: PIES[FELT.indexOf(felt)], class: "full" }),
);

const VALUES = { "1/1": "whole", "1/2": "half", "1/4": "quarter", "1/8": "eighth", "1/16": "sixteenth", "3/4": "dotted half", "3/8": "dotted quarter", "3/16": "dotted eighth" };

/** What a tempo counts, as a note and in words. */
export function noteValue(unit) {
  const words = VALUES[unit] ?? `${unit} note`;
  const [top, bottom] = unit.split("/").map(Number);
  const base = bottom / (top === 3 ? 2 : 1);
  const head = shape("ellipse", { cx: 7, cy: 19, rx: 4.2, ry: 3, transform: "rotate(-20 7 19)", class: base > 2 ? "full" : "" });
  const shapes = [head];
  if (base > 1) shapes.push(shape("path", { d: "M11 17.500V4" }));
  if (base > 4) shapes.push(shape("path", { d: "M11 4c1 4 5 4 4 9" }));
  if (base > 8) shapes.push(shape("path", { d: "M11 8c1 4 5 4 4 9" }));
  if (top === 3) shapes.push(shape("circle", { cx: 15, cy: 19, r: 1.2, class: "full" }));
  return el("span", { class: "unit" }, picture("0 0 20 24", ...shapes), el("span", { class: "unseen" }, `${words} note`), " =");
}

const SAID = [["-flat", "♭"], ["-sharp", "♯"]];
const LETTERS = /\b([A-G])(?:-(flat|sharp)| (flat|sharp)\b)/g;

/** Names of keys with the signs that stand on paper. */
export const spelt = (words) => words.replace(LETTERS, (_, letter, one, two) => letter + SAID[(one ?? two) === "flat" ? 0 : 1][1]);

/** Of a number of things: `1 bar`, `3 bars`. */
export const count = (number, one, many = `${one}s`) => `${number} ${number === 1 ? one : many}`;

/** A date in the reader's own words. */
export const longDay = (day) => new Date(`${day}T12:00`).toLocaleDateString(undefined, { weekday: "long", day: "numeric", month: "long", year: "numeric" });

/** Say something to a reader who hears the page. */
export function say(words) {
  document.getElementById("said").textContent = words;
}

/** A button; `name` is its icon. */
export const button = (words, onclick, { name, ...properties } = {}) =>
  el("button", { type: "button", onclick, ...properties }, name && icon(name), el("span", {}, words));

/** One of several: the browser's own radio buttons, so that arrow keys work. */
export function choices(label, options, chosen, onchoose, kind = "chips") {
  const name = `c${label.replace(/\W/g, "")}`;
  return el("fieldset", { class: kind }, el("legend", {}, label), el("div", { class: "row" }, options.map(([value, words]) =>
    el("label", { class: "chip" },
      el("input", { type: "radio", name, checked: value === chosen, onchange: () => onchoose(value) }),
      el("span", {}, words)))));
}

/** A heading that the view's reader lands on. */
export const title = (...words) => el("h1", { tabindex: "-1" }, ...words);
