// What has been covered: a map of keys and forms, what is due, and the days.

import { get } from "./api.js";
import { FELT, count, el, longDay, sign, spelt, title } from "./dom.js";

const STEPS = ["lately", "half way", "due", "long due"];

export function show(main) {
  let gone = false;
  const again = () => { if (!gone) draw(); };
  const draw = async () => {
    const told = await get("/api/progress");
    if (gone) return;
    if (!told.ok) return void main.replaceChildren(el("section", { class: "page" }, title("Progress"), el("p", { class: "why" }, told.away ? "The computer is out of reach." : told.error.message)));
    const detail = el("p", { class: "detail", role: "status" }, "Touch a field to see more.");
    main.replaceChildren(el("section", { class: "page" }, title("Keys and forms"),
      el("p", { class: "lead" }, `Days since each was last played. Practised on ${told.practised} of the last ${told.of} days.`),
      map(told, detail), legend(), detail,
      told.due.length > 0 && [el("h2", {}, "Most overdue"), el("ul", { class: "list" }, told.due.slice(0, 6).map(overdue))],
      told.week?.length > 0 && [el("h2", {}, "This week"), el("ul", { class: "sentences" }, told.week.map((words) => el("li", {}, spelt(words))))],
      el("h2", {}, "Days"), days(told.days)));
    return undefined;
  };
  draw();
  document.addEventListener("desk", again);
  return { leave() { gone = true; document.removeEventListener("desk", again); }, key: () => false };
}

function map({ columns, rows }, detail) {
  const cell = (one) => {
    if (!one) return el("td");
    const said = toldOf(one);
    return el("td", {}, el("button", { type: "button", class: `cell s${one.last === null ? "n" : one.step}`, "aria-label": `${one.heading}: ${said}`, onclick: () => detail.replaceChildren(el("b", {}, one.heading), `: ${said}`, one.felt && FELT.includes(one.felt) ? sign(one.felt) : "") },
      one.last === null ? "–" : String(one.last), one.step === 3 && one.last !== null ? el("sup", { "aria-hidden": "true" }, "!") : ""));
  };
  return el("div", { class: "scroll", tabindex: "0", role: "region", "aria-label": "Map of keys and forms" }, el("table", { class: "map" },
    el("caption", { class: "unseen" }, "Days since each was last played"),
    el("thead", {}, el("tr", {}, el("th", { scope: "col" }, el("span", { class: "unseen" }, "Form")), columns.map((name) => el("th", { scope: "col" }, spelt(name))))),
    el("tbody", {}, rows.map((row) => el("tr", {}, el("th", { scope: "row" }, spelt(row.form)), row.cells.map((one) => cell(one)))))));
}

function toldOf(one) {
  if (one.last === null) return "not yet played";
  const when = one.last === 0 ? "played today" : `played ${count(one.last, "day")} ago`;
  const wait = `waited ${one.waited} of ${count(one.gap, "practice day")}`;
  const tempo = one.tempo ? `, at ${one.tempo}${one.goal ? ` of ${one.goal}` : ""}` : "";
  return `${when}; ${wait}${tempo}${one.felt ? `, ${one.felt}` : ""}`;
}

const legend = () => el("ul", { class: "legend" }, STEPS.map((words, step) => el("li", {}, el("i", { class: `cell s${step}` }, step === 3 ? "!" : ""), words)), el("li", {}, el("i", { class: "cell sn" }, "–"), "not yet"));

const overdue = (one) => el("li", {}, el("span", { class: "grow tall" }, el("b", {}, one.heading), el("small", {}, toldOf(one))));

function days(all) {
  const most = Math.max(1, ...all.map((day) => day.plays));
  const played = all.filter((day) => day.plays);
  return el("div", { class: "days", role: "img", "aria-label": `${count(played.length, "day")} with something played, of ${all.length}; at most ${count(most, "exercise")} a day` },
    all.map((day) => el("i", { title: `${longDay(day.day)}: ${count(day.plays, "exercise")}`, style: { "--share": String(day.plays / most) }, class: day.plays ? "" : "none" })));
}
