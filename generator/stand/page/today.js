// Today's sheet as a list, and the whole of it as one page to scroll.

import { desk, exercises, firstLeft, open, pieces, saidPlay } from "./desk.js";
import { button, count, el, longDay, sign, spelt, title } from "./dom.js";
import { canStayAwake, prefs } from "./prefs.js";
import { mark, place } from "./stand.js";

const capital = (words) => words.charAt(0).toUpperCase() + words.slice(1);

/** The sheet at a glance. */
export function today(main, { go, extra }) {
  const show = () => {
    const sheet = desk.today;
    if (!sheet?.items) return main.replaceChildren(el("section", { class: "page" }, title("Today’s sheet"), el("p", { class: "why" }, sheet?.error?.message ?? "Waiting for the computer…")));
    const all = exercises();
    const done = all.filter((item) => item.done).length;
    const left = firstLeft();
    main.replaceChildren(el("section", { class: "page" },
      title("Today’s sheet"),
      el("p", { class: "lead" }, [longDay(sheet.date), desk.start?.instrument && capital(desk.start.instrument)].filter(Boolean).join(" · ")),
      el("p", { class: "why" }, facts(sheet).join(" · ")),
      el("ol", { class: "list" }, sheet.items.map((item, at) => (item.rest ? resting(item) : row(item, at, go)))),
      el("div", { class: "row ends" },
        button("Whole page", () => go("page"), { name: "today" }),
        button(!done ? "Begin" : done < all.length ? `Go on with ${sheet.items[left].number}` : "Play again", () => { open(); go(place(left)); }, { class: "main" })),
      [...new Set(all.flatMap((item) => item.cautions ?? []))].map((words) => el("p", { class: "why" }, words)),
      !canStayAwake() && prefs.awake && el("p", { class: "why" }, "This browser cannot keep the screen awake here: set the device’s own screen to stay on while you play."),
      extra && extra()));
    return undefined;
  };
  show();
  document.addEventListener("desk", show);
  return { leave: () => document.removeEventListener("desk", show), key: () => false, turn: (by) => desk.today?.items && by > 0 && go(place(firstLeft())) };
}

function facts(sheet) {
  const rests = sheet.items.filter((item) => item.rest).reduce((sum, item) => sum + item.seconds, 0) / 60;
  const resting = rests ? `, ${Math.round(rests)} of them rest` : "";
  return [sheet.minutes && `${count(sheet.minutes, "minute")}${resting}`, sheet.promise, sheet.sheet && `sheet ${sheet.sheet}`].filter(Boolean);
}

const resting = (item) => el("li", { class: "resting" }, `Rest, ${count(Math.max(1, Math.round(item.seconds / 60)), "minute")}`);

function row(item, at, go) {
  return el("li", {}, el("button", { type: "button", class: "line", onclick: () => { open(); go(place(at)); } },
    el("span", { class: "number" }, String(item.number), mark(item)),
    el("span", { class: "grow" }, el("b", {}, spelt(item.heading)), el("small", {}, spelt(item.reason ?? ""))),
    item.done && el("span", { class: "how" }, saidPlay(item.done), sign(item.done.felt))));
}

/** All exercises below each other, as on paper. */
export function page(main, { go }) {
  main.replaceChildren(el("section", { class: "page whole" },
    button("Sheet", () => go("today"), { name: "back", class: "quiet" }),
    title("Today’s sheet"),
    el("p", { class: "why" }, facts(desk.today).join(" · ")),
    exercises().map((item) => el("article", {},
      el("h2", {}, `${item.number}. `, mark(item), ` ${spelt(item.heading)}`),
      el("p", { class: "why" }, (item.tempi ?? []).join(" · ")),
      pieces(item).map((piece) => [piece !== item && el("h3", {}, spelt(piece.heading)), item.images.filter((image) => image.piece === piece).map((image) => image.cloneNode())])))));
  return { leave() {}, key: (key) => key === "Escape" && (go("today"), true), turn: (by) => scrollBy({ top: by * innerHeight * 0.85 }) };
}
