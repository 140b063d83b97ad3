// Any sheet from a phrase: typed as musicians say it, or put together by choosing.

import { get, post } from "./api.js";
import { button, choices, count, el, icon, spelt, title } from "./dom.js";
import { draw, forget, music } from "./desk.js";
import { handed, job } from "./job.js";
import { exercise } from "./stand.js";

const KEYS = ["C", "F", "B-flat", "E-flat", "A-flat", "D-flat", "G-flat", "B", "E", "A", "D", "G"];
const USUAL = "as usual";
const FIRST = {
  forms: ["major", "natural minor", "harmonic minor", "melodic minor", "dorian", "whole-tone", "chromatic", "major arpeggio", "minor arpeggio", "dominant seventh"],
  figures: ["straight", "thirds", "fourths", "triads", "groups of four", "interlocking"],
  articulations: [USUAL, "all slurred", "all tongued", "slur two tongue two", "staccato"],
  spans: [USUAL, "one octave", "a twelfth", "two octaves", "full range"],
  rhythms: [USUAL, "quarters", "eighths", "triplets", "sixteenths", "dotted eighth and sixteenth"],
};
const LABELS = { forms: "Scale or chord", figures: "Figure", articulations: "Articulation", spans: "Span", rhythms: "Rhythm" };
const LAST = "scalewright-phrase";

let names = null;

export function show(main, { go }) {
  const view = new NewSheet(main, go);
  view.begin();
  return view;
}

class NewSheet {
  #asking = false;
  #again = false;
  #gone = false;
  #shown = [];
  #stand = null;

  constructor(main, go) {
    Object.assign(this, { main, go, answer: null, at: 0 });
    this.phrase = el("input", { type: "text", id: "phrase", autocomplete: "off", autocapitalize: "off", spellcheck: "false", enterkeyhint: "go", maxlength: 2000, value: remembered(), oninput: () => { this.at = 0; this.ask(); }, "aria-describedby": "phrase-said" });
    this.said = el("div", { id: "phrase-said", class: "stack", role: "status" });
    this.card = el("div", { class: "card preview" });
    this.chosen = el("div", { class: "stack" });
    this.made = el("div", { class: "stack" });
    this.stand = button("Put on the stand", () => this.putUp(), { class: "main", disabled: true });
    this.print = button("PDF", () => this.makePdf(), { name: "print", disabled: true });
  }

  async begin() {
    this.draw();
    this.ask();
    names ??= await get("/api/names").then((answer) => (answer.ok ? answer : null));
    this.drawChoices();
  }

  draw() {
    this.main.replaceChildren(el("section", { class: "page" }, title("New sheet"),
      el("form", { onsubmit: (event) => { event.preventDefault(); this.ask(); } },
        el("label", { class: "field", for: "phrase" }, el("span", {}, "Say it as musicians do"), this.phrase)),
      this.said, this.card, el("div", { class: "row ends" }, this.print, this.stand), this.made, this.chosen));
  }

  leave() {
    this.#gone = true;
    this.#stand?.leave();
    document.body.classList.remove("standing");
    this.#shown.forEach(forget);
  }

  /** The newest words only: while one answer is on its way, the next question is whatever is typed by then. */
  async ask() {
    if (this.#asking) {
      this.#again = true;
      return;
    }
    this.#asking = true;
    do {
      this.#again = false;
      const phrase = this.phrase.value;
      const answer = phrase.trim() ? await post("/api/preview", { phrase, ...this.size, at: this.at }) : null;
      if (!this.#gone && phrase === this.phrase.value) this.take(phrase, answer);
    } while (this.#again && !this.#gone);
    this.#asking = false;
  }

  get size() {
    return { w: Math.round(Math.max(240, this.card.clientWidth - 28)), h: Math.max(240, innerHeight) };
  }

  take(phrase, answer) {
    if (!answer) this.said.replaceChildren(el("p", { class: "why" }, "For example: G major in thirds, two octaves"));
    else if (answer.away) this.said.replaceChildren(el("p", { class: "why" }, "The computer is out of reach; the music comes when it is back."));
    else if (!answer.ok) this.refuse(phrase, answer.error);
    else this.accept(phrase, answer);
    this.stand.disabled = this.print.disabled = !answer?.ok;
  }

  accept(phrase, answer) {
    this.answer = answer;
    try { localStorage.setItem(LAST, phrase); } catch { /* not kept */ }
    const facts = [answer.concert, answer.metre && `${count(answer.bars.length, "bar")} of ${answer.metre}`, [answer.label ?? answer.instrument, answer.level].filter(Boolean).join(", "), ...(answer.told ?? [])];
    this.said.replaceChildren(el("p", { class: "why" }, facts.filter(Boolean).map(spelt).join(" · ")));
    const old = this.#shown;
    this.#shown = answer.pictures;
    const many = answer.count > 1 && el("p", { class: "row between" }, el("span", {}, `${answer.at + 1} of ${answer.count}`), el("span", { class: "row" },
      button("Before", () => this.move(-1), { disabled: answer.at === 0 }), button("Next", () => this.move(1), { disabled: answer.at === answer.count - 1 })));
    this.card.replaceChildren(el("h2", {}, spelt(answer.heading)), ...answer.pictures.map((svg) => music(svg, `Music: ${answer.heading}`)), many || "");
    old.filter((svg) => !answer.pictures.includes(svg)).forEach(forget);
    this.drawChoices();
  }

  /** The words that were not understood are underlined; a suggestion puts a word in their place and leaves the rest. */
  refuse(phrase, error) {
    const [from, to] = error.span ?? [0, 0];
    const wrong = to > from && to <= phrase.length ? el("p", { class: "typed" }, phrase.slice(0, from), el("mark", {}, phrase.slice(from, to)), phrase.slice(to)) : "";
    const better = (error.replacements ?? []).map((one) => button(one.text || one.phrase, () => this.say(one.phrase), { class: "chip-button", "aria-label": `Instead: ${one.phrase}` }));
    this.said.replaceChildren(el("p", { class: "wrong" }, icon("warn"), el("span", {}, sentence(error))), wrong, better.length ? el("div", { class: "row" }, better) : "");
  }

  say(phrase) {
    this.phrase.value = phrase;
    this.at = 0;
    this.ask();
    this.phrase.focus();
  }

  move(by) {
    this.at = this.answer.at + by;
    this.ask();
  }

  drawChoices() {
    if (!names || this.#gone) return;
    const focus = document.activeElement;
    if (this.chosen.contains(focus)) return; // a person on the arrow keys keeps their place
    const parts = partsOf(this.answer?.phrase ?? "");
    this.chosen.replaceChildren(el("h2", {}, "Or choose"),
      choices("Key you read", KEYS.map((key) => [key, spelt(key)]), parts.key, (key) => this.choose({ key }), "keys"),
      ...Object.keys(FIRST).map((kind) => this.group(kind, parts[kind])));
  }

  /** The usual ones at once, all others behind a word. */
  group(kind, chosen) {
    const known = names[kind].map((one) => one.name ?? one);
    const first = FIRST[kind].filter((name) => name === USUAL || known.includes(name));
    if (chosen && !first.includes(chosen)) first.push(chosen);
    const rest = known.filter((name) => !first.includes(name));
    const change = (name) => this.choose({ [kind]: name });
    return el("div", { class: "with-more" }, choices(LABELS[kind], first.map((name) => [name, name]), chosen, change),
      el("select", { "aria-label": `${LABELS[kind]}: all others`, onchange: ({ target }) => change(target.value) },
        el("option", { value: "" }, "More…"), rest.map((name) => el("option", { value: name }, name))));
  }

  choose(change) {
    const parts = { ...partsOf(this.answer?.phrase ?? ""), ...change };
    this.phrase.value = phraseOf(parts);
    this.at = 0;
    this.ask();
  }

  /** This exercise on the stand, with click, drone and listening; it is on no sheet, so it is not noted. */
  putUp() {
    const item = { ...this.answer, number: null, reason: "", };
    draw(item);
    document.body.classList.add("standing");
    const back = () => { this.#stand.leave(); this.#stand = null; document.body.classList.remove("standing"); this.draw(); this.drawChoices(); };
    this.#stand = exercise(this.main, { at: 0, go: back, items: [item], practice: true });
  }

  async makePdf() {
    this.print.disabled = true;
    const answer = await post("/api/sheet", { phrases: [this.phrase.value], format: "pdf" });
    if (answer.ok) await job(answer.job, this.made);
    else this.made.replaceChildren(handed(answer));
    this.print.disabled = false;
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
    return localStorage.getItem(LAST) ?? "G major";
  } catch {
    return "G major";
  }
}

/** What is wrong, in one line, without what the page shows anyway. */
const sentence = ({ message }) => message.split("; nearest:")[0].replace(/; try .*$/, "");

/** The parts of a canonical phrase of one line, as far as they are among the names to choose. */
function partsOf(phrase) {
  const [line, ...clauses] = phrase.split(", ");
  const [body, figure] = line.split(" in ");
  const words = body.replace(/^concert /, "");
  const on = words.match(/^(.*?) on ([A-G](?:-flat|-sharp)?)$/);
  const led = words.match(/^([A-G](?:-flat|-sharp)?) (.*)$/);
  const [key, form] = on ? [on[2], on[1]] : led ? [led[1], led[2]] : ["G", words || "major"];
  const among = (kind) => clauses.find((clause) => names?.[kind].some((one) => (one.name ?? one) === clause));
  const found = { key, forms: form, figures: figure ?? "straight", articulations: among("articulations") ?? USUAL, spans: among("spans") ?? USUAL, rhythms: among("rhythms") ?? USUAL };
  const known = Object.values(found);
  found.others = clauses.filter((clause) => !known.includes(clause));
  return found;
}

function phraseOf({ key, forms, figures, spans, rhythms, articulations, others = [] }) {
  const clauses = [spans, rhythms, articulations].filter((name) => name && name !== USUAL);
  return [`${key} ${forms}${figures && figures !== "straight" ? ` in ${figures}` : ""}`, ...clauses, ...others].join(", ");
}
