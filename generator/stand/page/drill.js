// A passage of one's own: typed or from a file, looked at recipe by recipe, kept, put on the stand.

import { get, post } from "./api.js";
import { draw, forget, music } from "./desk.js";
import { button, count, el, icon, noteValue, spelt, title } from "./dom.js";
import { handed, job } from "./job.js";
import { sendFile } from "./sending.js";
import { exercise } from "./stand.js";

const LINE = "scalewright-line", PHRASE = "scalewright-phrase";
const FIRST = "[K:F][M:4/4][L:1/16] (d'c')ba (ba)g^f (gabag=fed) | c4";
const KINDS = ".musicxml,.mxl,.xml,.abc,.mid,.midi,.krn,.mei";
const HELP = [
  ["C D E F G A B", "from middle C up; c d e … an octave higher, c' d' … two, C, D, … one lower"],
  ["^F _B =C", "F sharp, B flat, C natural"],
  ["c2 c/2 c3/2", "twice, half, one and a half times the length that L: says; z is a rest"],
  ["(ab) .a", "a slur, a staccato; a-a a tie; (3abc a triplet"],
  ["a | b", "a barline"],
  ["[K:Bb] [M:6/8] [L:1/16]", "key, metre, and the length of a plain letter, at the beginning"],
];

export function show(main, { go }) {
  const view = new Drill(main, go);
  view.begin();
  return view;
}

class Drill {
  #asking = false;
  #again = false;
  #gone = false;
  #shown = [];
  #stand = null;

  constructor(main, go) {
    Object.assign(this, { main, go, passages: [], name: "", file: null, parts: [], told: null });
    const again = () => this.ask();
    this.notes = el("textarea", { rows: 3, maxlength: 12_000, autocapitalize: "off", autocomplete: "off", spellcheck: "false", value: remembered(), oninput: again });
    this.bars = el("input", { type: "text", inputmode: "numeric", maxlength: 40, placeholder: "all", onchange: again });
    this.key = el("input", { type: "text", maxlength: 20, placeholder: "as it says", onchange: again });
    this.part = el("select", { onchange: again });
    this.hard = el("input", { type: "text", inputmode: "decimal", maxlength: 20, placeholder: "first beat", onchange: again });
    this.goal = el("input", { type: "number", inputmode: "numeric", min: 20, max: 400, placeholder: "–", onchange: again });
    this.called = el("input", { type: "text", maxlength: 60, placeholder: "like gigue" });
    this.said = el("div", { class: "stack", role: "status" });
    this.cards = el("div", { class: "stack" });
    this.made = el("div", { class: "stack" });
    this.print = button("PDF", () => this.makePdf(), { name: "print", class: "main", disabled: true });
  }

  async begin() {
    const answer = await get("/api/passages");
    if (this.#gone) return;
    this.passages = answer.passages ?? [];
    this.draw();
    this.ask();
  }

  draw() {
    const { name, file } = this;
    const input = el("input", { type: "file", accept: KINDS, class: "unseen", id: "music-file", onchange: ({ target }) => this.read(target.files[0]) });
    const field = (words, what, kind = "") => el("label", { class: `field ${kind}` }, el("span", {}, words), what);
    const midi = /\.midi?$/i.test(file?.name ?? "");
    this.main.replaceChildren(el("section", { class: "page" }, title("Drill a passage"),
      el("div", { class: "two" },
        field("Passage", el("select", { onchange: ({ target }) => this.take(target.value) },
          el("option", { value: "", selected: !name && !file }, "A line of notes"),
          file && el("option", { value: "", selected: true }, file.name),
          this.passages.map((one) => el("option", { value: one.name, selected: one.name === name }, `${one.name}, ${one.place}`)))),
        el("div", { class: "field" }, input, el("label", { class: "button", for: "music-file" }, icon("listen"), "A file of music…"))),
      !name && !file && [field("Notes, in letters (ABC)", this.notes), el("details", {}, el("summary", {}, "How notes are written"), el("dl", { class: "pairs" }, HELP.map(([sign, words]) => [el("dt", {}, el("code", {}, sign)), el("dd", {}, words)])))],
      el("div", { class: "row fields" },
        file && [field("Bars, like 97-99", this.bars, "short"), this.parts.length > 0 && field("Part", this.part), midi && field("Key, like F or Dm", this.key, "short")],
        field("Hard spot, like 43.3", this.hard, "short"), field("Goal tempo", this.goal, "short")),
      this.said,
      el("div", { class: "row ends" }, this.print),
      this.#keeping(), this.made, this.cards));
  }

  #keeping() {
    const { name } = this;
    if (name) {
      return el("div", { class: "row" },
        button("Keep goal and hard spot", () => this.keep(name)), button("Add it to my plan", () => this.plan(name)),
        button("Drop it", ({ currentTarget }) => {
          if (currentTarget.dataset.sure) this.drop(name);
          else Object.assign(currentTarget.dataset, { sure: "1" }), (currentTarget.lastChild.textContent = "Drop it for good");
        }, { class: "link" }));
    }
    return el("form", { class: "two", onsubmit: (event) => { event.preventDefault(); this.keep(this.called.value); } },
      el("label", { class: "field" }, el("span", {}, "Keep it under the name"), this.called),
      el("button", { type: "submit" }, "Keep"));
  }

  get which() {
    const { file, name } = this;
    const said = { hard: this.hard.value, ...(this.goal.value ? { goal: Number(this.goal.value) } : {}) };
    if (name) return { name, ...said };
    if (!file) return { notes: this.notes.value, ...said };
    return { file: file.uid, bars: this.bars.value.trim(), part: this.parts.length ? this.part.value : "", key: this.key.value.trim(), ...said };
  }

  take(name) {
    const kept = this.passages.find((one) => one.name === name);
    Object.assign(this, { name, file: null, parts: [] });
    this.hard.value = kept?.hard ?? "";
    this.goal.value = kept?.goal ?? "";
    this.made.replaceChildren();
    this.draw();
    this.ask();
  }

  async read(file) {
    if (!file) return;
    this.said.replaceChildren(el("p", { class: "why" }, "Reading…"));
    const sent = await sendFile(file);
    if (this.#gone) return;
    if (!sent.ok) return void this.said.replaceChildren(handed(sent));
    Object.assign(this, { name: "", file: { uid: sent.uid, name: file.name }, parts: [] });
    this.called.value = file.name.replace(/\.\w+$/, "").replace(/[,;:/\\]/g, " ").slice(0, 60);
    this.bars.value = this.hard.value = "";
    this.draw();
    this.ask();
    return undefined;
  }

  /** The newest words only; the passage first, then recipe after recipe as they come. */
  async ask() {
    if (this.#asking) {
      this.#again = true;
      return;
    }
    this.#asking = true;
    do {
      this.#again = false;
      const which = this.which;
      const size = { w: Math.round(Math.max(240, this.cards.clientWidth - 28)), h: Math.max(240, innerHeight) };
      const empty = which.notes !== undefined && !which.notes.trim();
      let answer = empty ? null : await post("/api/drill", { ...which, ...size, at: 0 });
      if (this.#gone) return;
      if (this.#again) continue;
      this.first(answer);
      for (let at = 1; answer?.ok && at < answer.count && !this.#again; at += 1) {
        answer = await post("/api/drill", { ...which, ...size, at });
        if (this.#gone) return;
        if (!this.#again && answer.ok) this.add(answer);
      }
      if (answer?.ok && !this.#again) this.#scales(answer.scales);
    } while (this.#again);
    this.#asking = false;
  }

  first(answer) {
    this.print.disabled = !answer?.ok;
    if (!answer) return void this.said.replaceChildren(el("p", { class: "why" }, `For example: ${FIRST}`));
    if (!answer.ok) return void this.#refuse(answer);
    this.told = answer;
    if (!this.name && !this.file) keep(this.notes.value);
    this.#clear();
    const facts = [answer.place, answer.source, count(answer.bars.length, "bar")];
    const goal = answer.goal && el("span", { class: "row" }, noteValue(answer.unit), String(answer.goal));
    this.said.replaceChildren(el("p", { class: "why" }, [...facts, ...answer.left_out].filter(Boolean).map(spelt).join(" · "), goal || ""));
    this.add(answer);
    return undefined;
  }

  #refuse(answer) {
    const parts = answer.error?.parts;
    if (parts) {
      this.parts = parts;
      this.part.replaceChildren(el("option", { value: "" }, "Choose…"), ...parts.map((name, at) => el("option", { value: String(at + 1) }, name || `Part ${at + 1}`)));
      this.draw();
    }
    this.said.replaceChildren(handed(answer));
  }

  #clear() {
    this.#shown.forEach(forget);
    this.#shown = [];
    this.cards.replaceChildren();
  }

  add(answer) {
    this.#shown.push(...answer.pictures);
    this.cards.append(el("article", { class: "card" }, el("h2", {}, spelt(answer.heading)),
      answer.why && el("p", { class: "why" }, spelt(answer.why)),
      answer.pictures.map((svg) => music(svg, `Music: ${answer.heading}`)),
      answer.beneath.map(([words, line]) => el("p", {}, words && el("b", {}, `${words}: `), line.replaceAll("|", " "))),
      (answer.told ?? []).map((words) => el("p", { class: "why" }, spelt(words))),
      button("Put on the stand", () => this.putUp(answer))));
  }

  #scales(scales) {
    if (!scales.length) return;
    const to = (phrase) => { try { localStorage.setItem(PHRASE, phrase); } catch { /* not kept */ } this.go("new"); };
    this.cards.append(el("h2", {}, "Its scales"), el("div", { class: "row" }, scales.map((phrase) => button(spelt(phrase), () => to(phrase), { class: "chip-button" }))));
  }

  putUp(answer) {
    const item = { ...answer, number: null, reason: answer.why };
    draw(item);
    document.body.classList.add("standing");
    const back = () => { this.#stand.leave(); this.#stand = null; document.body.classList.remove("standing"); this.draw(); };
    this.#stand = exercise(this.main, { at: 0, go: back, items: [item], practice: true });
  }

  async makePdf() {
    this.print.disabled = true;
    const answer = await post("/api/drill-sheet", this.which);
    if (answer.ok) await job(answer.job, this.made);
    else this.made.replaceChildren(handed(answer));
    this.print.disabled = false;
  }

  async keep(name) {
    const answer = await post("/api/passage", { ...this.which, keep: name.trim() });
    if (!answer.ok) return void this.made.replaceChildren(handed(answer));
    this.passages = answer.passages;
    this.take(answer.kept);
    this.#tell(`Kept as ${answer.kept}.`);
    return undefined;
  }

  async drop(name) {
    const answer = await post("/api/passage", { drop: name });
    if (!answer.ok) return void this.made.replaceChildren(handed(answer));
    this.passages = answer.passages;
    this.take("");
    this.#tell(`Dropped ${name}.`);
    return undefined;
  }

  async plan(name) {
    const answer = await post("/api/plan", { changes: [{ add: { phrase: `drill ${name}` } }] });
    if (answer.ok) this.#tell(`In the plan: ${answer.promise}.`);
    else this.made.replaceChildren(handed(answer));
  }

  #tell(words) {
    this.made.replaceChildren(el("p", { class: "why", role: "status" }, words));
  }

  leave() {
    this.#gone = true;
    this.#stand?.leave();
    document.body.classList.remove("standing");
    this.#clear();
  }

  turn(by) {
    this.#stand?.turn(by);
  }

  key(key) {
    return this.#stand?.key(key) ?? false;
  }
}

function remembered() {
  try {
    return localStorage.getItem(LINE) ?? FIRST;
  } catch {
    return FIRST;
  }
}

function keep(line) {
  try { localStorage.setItem(LINE, line); } catch { /* for this visit only */ }
}
