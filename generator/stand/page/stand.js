// The stand itself: one exercise a screen, with what a player does to it.

import { desk, exercises, note, pieces, saidPlay, undo } from "./desk.js";
import { FELT, button, count, el, icon, noteValue, say, sign, spelt, title } from "./dom.js";
import { prefs, stayAwake } from "./prefs.js";
import { sound } from "./sound.js";

const SLOWEST = 20, FASTEST = 400;
const NAMES = ["C", "D♭", "D", "E♭", "E", "F", "F♯", "G", "A♭", "A", "B♭", "B"];

/** Place `at` among the items, page `page` of its music. */
export function exercise(main, { at, page = 0, go, items = desk.today.items, practice = false }) {
  const item = items[at];
  const view = new Exercise(main, item, { at, go, items, practice });
  view.turnTo(page < 0 ? Infinity : page);
  return view;
}

class Exercise {
  #page = 0;
  #frame = 0;

  constructor(main, item, place) {
    Object.assign(this, { main, item, ...place });
    this.unit = item.tempo?.unit ?? "1/4";
    this.tempo = item.done?.tempo ?? item.chosen ?? null;
    this.music = el("div", { class: "music" });
    this.lamps = el("div", { class: "lamps", "aria-hidden": "true" });
    this.foot = el("p", { class: "foot" });
    this.tempi = el("div", { class: "tempi", role: "group", "aria-label": "Tempo" });
    main.replaceChildren(el("section", { class: "stand", "aria-label": `Exercise ${item.number ?? ""}` }, this.#head(), this.#stage(), this.#deck()));
    this.#onDesk = () => this.show();
    this.#showTempi();
    if (this.bare) return;
    sound.onended = this.#onDesk;
    document.addEventListener("desk", this.#onDesk);
    stayAwake(true);
    this.show();
  }

  #onDesk;

  leave() {
    if (this.bare) return;
    document.removeEventListener("desk", this.#onDesk);
    cancelAnimationFrame(this.#frame);
    sound.hush();
    stayAwake(false);
  }

  #head() {
    const { item } = this;
    this.heading = title();
    this.why = el("p", { class: "why" });
    this.#take(item);
    return el("header", { class: "head" },
      button(this.practice ? "Back" : "Sheet", () => this.go(this.practice ? "new" : "today"), { name: this.practice ? "back" : "list", class: "quiet leave" }),
      el("div", { class: "words" },
        this.heading, this.why),
      item.cautions?.length > 0 && el("details", { class: "caution" }, el("summary", {}, icon("warn"), "Take care"), el("p", {}, item.cautions.join(" "))),
      this.practice ? "" : this.#bar());
  }

  /** The piece of music that is up now: the exercise itself, or what follows under its number. */
  #take(piece) {
    const { item } = this;
    const { bars = [[0.25, 0.25, 0.25, 0.25]], speeds, swing, notes } = piece;
    const rows = (piece.beneath ?? []).map(([words, line]) => [words, line.replaceAll("|", " ")].filter(Boolean).join(": "));
    const why = piece === item ? [item.concert, item.reason, ...(item.told ?? [])] : [piece.why];
    const which = pieces(item).indexOf(piece);
    const other = (this.which ?? which) !== which;
    Object.assign(this, { piece, which, sounding: { bars, speeds, swing, notes, unit: this.unit, a4: this.a4 } });
    this.heading.replaceChildren(`${item.number ? `${item.number}. ` : ""}${spelt(piece.heading)}`, mark(item));
    this.why.textContent = [...why, ...rows].filter(Boolean).map(spelt).join(" · ");
    if (other && sound.clicking && !this.bare) sound.click(this.sounding, this.tempo);
  }

  #bar() {
    const all = desk.today?.items ? exercises() : [];
    this.dashes = el("ol", { class: "dashes" }, all.map(() => el("li")));
    this.where = el("span", { class: "where" });
    return el("div", { class: "bar" }, this.dashes, this.where);
  }

  #stage() {
    this.earlier = el("button", { type: "button", class: "edge before", onclick: () => this.turn(-1) }, icon("back"), el("span", { class: "unseen" }));
    this.later = el("button", { type: "button", class: "edge after", onclick: () => this.turn(1) }, icon("on"), el("span", { class: "unseen" }));
    return el("div", { class: "stage" }, this.music, this.earlier, this.later);
  }

  #deck() {
    this.clickKey = button("Click", () => this.toggleClick(), { name: "click", class: "stacked", "aria-pressed": "false" });
    this.droneKey = button("Drone", () => this.toggleDrone(), { name: "drone", class: "stacked", "aria-pressed": "false", disabled: this.item.concert_tonic_midi == null });
    this.listenKey = button("Listen", () => this.toggleListen(), { name: "listen", class: "stacked", "aria-pressed": "false", disabled: !this.piece.notes?.length });
    this.felt = this.practice ? "" : el("div", { class: "felt", role: "group", "aria-label": "Played. It felt" }, FELT.map((felt) =>
      el("button", { type: "button", class: "stacked", "aria-pressed": "false", onclick: () => this.played(felt) }, sign(felt), el("span", {}, felt))));
    return el("div", { class: "deck" },
      this.lamps, this.tempi,
      el("div", { class: "sounds" },
        el("button", { type: "button", class: "step", "aria-label": "Slower by one", onclick: () => this.step(-1) }, "−"),
        this.clickKey,
        el("button", { type: "button", class: "step", "aria-label": "Faster by one", onclick: () => this.step(1) }, "+"),
        this.droneKey, this.listenKey),
      this.felt, this.foot);
  }

  /** Everything that changes, brought up to date. */
  show() {
    const { item } = this;
    this.clickKey.setAttribute("aria-pressed", String(sound.clicking));
    this.droneKey.setAttribute("aria-pressed", String(Boolean(sound.drone)));
    this.listenKey.setAttribute("aria-pressed", String(sound.listening));
    if (this.felt) [...this.felt.children].forEach((key, place) => key.setAttribute("aria-pressed", String(item.done?.felt === FELT[place])));
    if (!this.practice) this.#showPlace();
    this.#showFoot();
    if (!this.#frame && (sound.clicking || sound.listening)) this.#light();
  }

  #showPlace() {
    const all = exercises();
    [...this.dashes.children].forEach((dash, place) => {
      const one = all[place];
      dash.className = one === this.item ? "here" : one.done ? "done" : "";
    });
    const done = all.filter((one) => one.done).length;
    this.dashes.setAttribute("aria-label", `${done} of ${all.length} noted`);
    this.where.textContent = `${all.indexOf(this.item) + 1} of ${all.length}`;
  }

  #showFoot() {
    const { last } = desk;
    if (sound.drone) {
      this.foot.replaceChildren(
        el("span", {}, `Drone: concert ${tonicName(this.item)}, A = ${this.a4}`),
        el("span", { class: "pair" },
          button("Quieter", () => sound.swell(-1), { class: "link" }),
          button("Louder", () => sound.swell(1), { class: "link" })));
    } else if (last && !this.practice) {
      this.foot.replaceChildren(
        el("span", {}, `Noted: ${last.item.number}, ${saidPlay(last)}`),
        button("Undo", () => this.undo(), { name: "undo", class: "link" }));
    } else {
      const next = this.items[this.at + 1];
      this.foot.replaceChildren(el("span", {}, !next ? "" : next.rest ? `then rest, ${minutes(next.seconds)}` : `then ${next.number}. ${spelt(next.heading)}`));
    }
  }

  #showTempi() {
    const row = this.item.tempi?.length ? [...this.item.tempi] : [this.item.tempo?.bpm].filter(Boolean);
    if (this.tempo && !row.includes(this.tempo)) row.push(this.tempo);
    row.sort((a, b) => a - b);
    this.tempi.replaceChildren(noteValue(this.unit), ...row.map((bpm) => el("button", {
      type: "button", "aria-pressed": String(bpm === this.tempo), onclick: () => this.setTempo(bpm),
      class: this.item.tempi?.length && !this.item.tempi.includes(bpm) ? "extra" : "",
    }, String(bpm))));
  }

  get usualTempo() {
    const row = this.item.tempi ?? [];
    return this.tempo ?? this.item.tempo?.bpm ?? row[0] ?? 72;
  }

  get a4() {
    return this.item.a4 || 440;
  }

  setTempo(bpm) {
    this.tempo = Math.min(FASTEST, Math.max(SLOWEST, bpm));
    this.item.chosen = this.tempo;
    if (sound.context) sound.retime(this.tempo);
    this.#showTempi();
    this.show();
  }

  step(by) {
    this.setTempo(this.usualTempo + by);
    say(`${this.tempo} beats a minute`);
  }

  toggleClick() {
    sound.wake();
    if (sound.clicking) sound.stopClick();
    else {
      sound.stopListening();
      if (!this.tempo) this.setTempo(this.usualTempo);
      sound.click(this.sounding, this.tempo);
    }
    this.show();
  }

  toggleDrone() {
    sound.wake();
    const { item } = this;
    if (item.concert_tonic_midi == null) return;
    const fifth = prefs.drone === "fifth" && item.notes.some((one) => (one.midi - item.concert_tonic_midi + 120) % 12 === 7);
    if (sound.drone) sound.stopDrone();
    else sound.startDrone(item.concert_tonic_midi, this.a4, fifth);
    this.show();
  }

  toggleListen() {
    sound.wake();
    if (!this.sounding.notes?.length) return;
    if (sound.listening) sound.stopListening();
    else {
      if (!this.tempo) this.setTempo(this.usualTempo);
      sound.listen(this.sounding, { bpm: this.tempo, clicking: sound.clicking });
    }
    this.show();
  }

  #light() {
    this.#frame = requestAnimationFrame(() => this.#light());
    const now = sound.beatNow();
    const beats = now?.beats ?? 0;
    if (this.lamps.childElementCount !== beats) this.lamps.replaceChildren(...Array.from({ length: beats }, () => el("i")));
    const lit = this.lamps.querySelector(".lit");
    const meant = now ? this.lamps.children[now.beat] : null;
    if (lit !== meant) {
      lit?.classList.remove("lit");
      meant?.classList.add("lit");
    }
    if (!sound.clicking && !sound.listening) {
      cancelAnimationFrame(this.#frame);
      this.#frame = 0;
      this.lamps.replaceChildren();
    }
  }

  turnTo(page) {
    const { images } = this.item;
    this.#page = Math.max(0, Math.min(images.length - 1, page));
    const image = images[this.#page];
    this.#take(image?.piece ?? this.item);
    this.music.replaceChildren(image ?? el("p", { class: "wait" }, "Engraving…"));
    this.music.dataset.pages = images.length > 1 ? `page ${this.#page + 1} of ${images.length}` : "";
    this.#edge(this.earlier, this.#page > 0 ? "Page before" : this.at > 0 && !this.practice ? "Exercise before" : "");
    this.#edge(this.later, this.#page < images.length - 1 ? "Next page" : this.practice ? "" : this.at < this.items.length - 1 ? "Next exercise" : "End of the sheet");
  }

  #edge(edge, words) {
    edge.hidden = !words;
    edge.lastChild.textContent = words;
  }

  /** The sheet was made anew, for another space or with music that came later: what sounds goes on. */
  fresh() {
    Object.assign(this, { items: desk.today.items, item: desk.today.items[this.at] });
    this.turnTo(this.#page);
    this.show();
  }

  /** A page on or back, and past the last one the next exercise; nothing is noted by it. */
  turn(by) {
    const page = this.#page + by;
    if (page >= 0 && page < this.item.images.length) this.turnTo(page);
    else if (!this.practice) this.go(place(this.at + by), by < 0);
  }

  played(felt) {
    note(this.item, felt, this.tempo);
    this.go(place(this.at + 1));
  }

  undo() {
    const at = this.items.indexOf(desk.last?.item);
    undo();
    if (at >= 0) this.go(place(at));
  }

  key(key) {
    const doing = {
      c: () => this.toggleClick(), d: () => this.toggleDrone(), l: () => this.toggleListen(), u: () => this.undo(),
      "+": () => this.step(1), "=": () => this.step(1), "-": () => this.step(-1), Escape: () => this.go(this.practice ? "new" : "today"),
    }[key];
    if (doing) doing();
    else if (!this.practice && /^[1-4]$/.test(key)) this.played(FELT[key - 1]);
    else return false;
    return true;
  }
}

/** The sign of what carries the promise, as it stands on paper. */
export const mark = (item) => (item.first ? el("span", { class: "first" }, " •", el("span", { class: "unseen" }, " carries the promise")) : "");

/** Where an item is shown. */
export function place(at) {
  const { items } = desk.today;
  if (at < 0) return "today";
  if (at >= items.length) return "done";
  return `stand/${at + 1}`;
}

/** The concert tonic as the heading spells it. */
const tonicName = (item) => spelt(item.concert ?? "").match(/[A-G][♭♯]?/)?.[0] ?? NAMES[item.concert_tonic_midi % 12];

const minutes = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.round(seconds % 60)).padStart(2, "0")}`;

/** The planned rest: put the instrument down. It ends by itself. */
export function rest(main, { at, go }) {
  const item = desk.today.items[at];
  const next = desk.today.items[at + 1];
  item.until ??= Date.now() + item.seconds * 1000;
  const clock = el("p", { class: "clock", role: "timer" });
  const noted = el("p", { class: "foot" });
  main.replaceChildren(el("section", { class: "rest" },
    title("Rest"), clock,
    el("p", { class: "why" }, "Put the instrument down. Rest is part of the minutes."),
    next && el("p", {}, `Then ${next.number}. ${spelt(next.heading)}`),
    el("div", { class: "row" },
      button("One minute more", () => { item.until += 60_000; tick(); }),
      button("Go on now", () => on(), { class: "main" })),
    noted));
  const on = () => { delete item.until; go(place(at + 1)); };
  const tick = () => {
    const left = Math.max(0, Math.ceil((item.until - Date.now()) / 1000));
    clock.textContent = minutes(left);
    if (!left) on();
  };
  const back = () => {
    const undone = desk.last?.item;
    undo();
    if (undone) { delete item.until; go(place(desk.today.items.indexOf(undone))); }
  };
  if (desk.last) noted.append(el("span", {}, `Noted: ${desk.last.item.number}, ${saidPlay(desk.last)}`), button("Undo", back, { name: "undo", class: "link" }));
  const timer = setInterval(tick, 250);
  tick();
  stayAwake(true);
  return {
    leave: () => { clearInterval(timer); stayAwake(false); },
    turn: (by) => { if (by > 0) on(); else { delete item.until; go(place(at - 1), true); } },
    key: (key) => (key === "u" ? (back(), true) : key === "Escape" ? (go("today"), true) : false),
  };
}

/** The sheet is played through, or looked through to its end. */
export function done(main, { go }) {
  const show = () => {
    const all = exercises();
    const left = all.filter((item) => !item.done);
    main.replaceChildren(el("section", { class: "page finish" },
      title(left.length ? "The end of the sheet" : "All noted"),
      el("p", { class: "why" }, left.length ? `${count(left.length, "exercise")} not noted: ${left.map((item) => item.number).join(", ")}. What is left comes back.` : "That was today’s sheet."),
      el("ol", { class: "list" }, all.map((item) => el("li", {}, el("span", { class: "number" }, String(item.number)), el("span", { class: "grow" }, el("b", {}, spelt(item.heading))),
        item.done ? el("span", { class: "how" }, saidPlay(item.done), sign(item.done.felt)) : el("span", { class: "why" }, "not noted")))),
      desk.last && el("p", { class: "foot" }, el("span", {}, `Noted: ${desk.last.item.number}, ${saidPlay(desk.last)}`), button("Undo", back, { name: "undo", class: "link" })),
      el("div", { class: "row" },
        button("Back to the sheet", () => go("today"), { class: left.length ? "" : "main" }),
        left.length ? button(`Play ${left[0].number}`, () => go(place(desk.today.items.indexOf(left[0]))), { class: "main" }) : "")));
  };
  const back = () => {
    const undone = desk.last?.item;
    undo();
    if (undone) go(place(desk.today.items.indexOf(undone)));
  };
  show();
  document.addEventListener("desk", show);
  return {
    leave: () => document.removeEventListener("desk", show),
    turn: (by) => by < 0 && go(place(desk.today.items.length - 1), true),
    key: (key) => key === "u" && (back(), true),
  };
}

const LONG = { number: 10, heading: "Dominant seventh in the key of F-sharp, slur two tongue two", reason: "Last played 25 days ago: at the head of the line", tempi: [60, 66, 72, 80, 88] };
const weight = ({ heading, reason, told = [], beneath = [], cautions = [] }) => 2 * heading.length + `${reason}${told}${beneath}`.length + (cautions.length ? 40 : 0);
const heaviest = (items) => items.flatMap((item) => pieces(item).map((piece) => ({ ...piece, number: item.number, reason: item.reason ?? piece.why }))).sort((a, b) => weight(b) - weight(a))[0];

/** The space that every exercise leaves for music here, measured on the stand of the longest words. */
export function musicSpace(main) {
  const box = el("div", { class: "measure", inert: true });
  main.append(box);
  const item = { ...(desk.today?.items ? heaviest(exercises()) : LONG), images: [] };
  const view = new Exercise(box, item, { at: 0, go() {}, items: [item], practice: false, bare: true });
  const { clientWidth, clientHeight } = view.music;
  view.leave();
  box.remove();
  return { width: clientWidth, height: clientHeight };
}
