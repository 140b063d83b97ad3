// A section's handout: choose the section, say what everyone plays, look at any chair, make the PDFs.

import { get, post } from "./api.js";
import { choices, count, button, el, icon, spelt, title } from "./dom.js";
import { forget, music } from "./desk.js";
import { handed, job } from "./job.js";
import { sendFile } from "./sending.js";

const KEPT = "scalewright-section";
const WARM_UPS = [[0, "None"], [10, "10 minutes"], [15, "15 minutes"], [20, "20 minutes"]];

export function show(main) {
  return new Section(main);
}

class Section {
  #gone = false;
  #asking = false;
  #again = false;
  #shown = [];

  constructor(main) {
    const kept = remembered();
    Object.assign(this, { main, name: kept.name, file: null, answers: [], chair: 1, warmUp: 0, score: true, sections: [], told: null });
    this.phrase = el("input", { type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", maxlength: 2000, value: kept.phrase ?? "concert B-flat major in thirds", oninput: () => this.ask() });
    this.said = el("div", { class: "stack", role: "status" });
    this.picture = el("div", { class: "card preview", "aria-live": "polite" });
    this.questions = el("div", { class: "stack" });
    this.chairs = el("ul", { class: "list chairs" });
    this.made = el("div", { class: "stack" });
    this.make = button("Make PDFs", () => this.handout(), { name: "print", class: "main", disabled: true });
    this.begin();
  }

  async begin() {
    const answer = await get("/api/sections");
    if (this.#gone) return;
    if (!answer.ok) return void this.main.replaceChildren(el("section", { class: "page" }, title("Section"), handed(answer)));
    this.sections = answer.sections;
    if (!this.sections.some((one) => one.name === this.name)) this.name = this.sections[0]?.name ?? null;
    this.draw();
    this.ask();
    return undefined;
  }

  draw() {
    const file = el("input", { type: "file", accept: ".toml,.csv,.xlsx,.tsv,.txt,text/csv", class: "unseen", id: "section-file", onchange: ({ target }) => this.read(target.files[0]) });
    this.main.replaceChildren(el("section", { class: "page" }, title("Section handout"),
      el("div", { class: "two" },
        el("label", { class: "field" }, el("span", {}, "Section"), this.select = el("select", { onchange: ({ target }) => this.take(target.value) },
          this.sections.map((one) => el("option", { value: one.name, selected: one.name === this.name }, `${one.title}${one.fault ? " (has mistakes)" : `, ${count(one.chairs, "chair")}`}`)),
          this.file ? el("option", { value: "", selected: true }, this.file.name) : "")),
        el("div", { class: "field" }, file, el("label", { class: "button", for: "section-file" }, icon("section"), "A roster or section…"))),
      el("label", { class: "field" }, el("span", {}, "What everyone plays, in concert terms"), this.phrase),
      el("details", {}, el("summary", {}, "Score and warm-up"),
        choices("Score", [[true, "With a score"], [false, "Parts only"]], this.score, (value) => { this.score = value; }),
        choices("Warm-up before it", WARM_UPS, this.warmUp, (value) => { this.warmUp = value; })),
      this.said, this.questions, el("div", { class: "row ends" }, this.make), this.made, this.picture, this.chairs));
  }

  get which() {
    return { ...(this.file ? { file: this.file.uid } : { section: this.name }), answers: this.answers };
  }

  take(name) {
    if (!name) return;
    Object.assign(this, { name, file: null, answers: [], chair: 1 });
    this.ask();
  }

  async read(file) {
    if (!file) return;
    const sent = await sendFile(file);
    if (this.#gone) return;
    if (!sent.ok) return void this.said.replaceChildren(handed(sent));
    Object.assign(this, { file: { uid: sent.uid, name: file.name }, answers: [], chair: 1 });
    this.draw();
    this.ask();
    return undefined;
  }

  async ask() {
    if (this.#asking) {
      this.#again = true;
      return;
    }
    this.#asking = true;
    do {
      this.#again = false;
      const answer = await post("/api/section", { ...this.which, phrase: this.phrase.value, chair: this.chair, w: Math.round(Math.max(240, this.picture.clientWidth - 28)), h: Math.max(240, innerHeight) });
      if (!this.#gone && !this.#again) this.show(answer);
    } while (this.#again && !this.#gone);
    this.#asking = false;
  }

  show(answer) {
    this.make.disabled = !answer.ok || !answer.chairs.length || answer.questions.length > 0;
    if (!answer.ok) {
      this.answers.pop();
      this.said.replaceChildren(handed(answer), el("div", { class: "row" }, (answer.error?.replacements ?? []).map((one) => button(one.text || one.phrase, () => { this.phrase.value = one.phrase; this.ask(); }, { class: "chip-button" }))));
      return;
    }
    this.told = answer;
    keep({ name: this.name, phrase: this.phrase.value });
    this.said.replaceChildren(...answer.faults.filter((words) => !answer.questions.some((one) => one.faults.includes(words))).map((words) => el("p", { class: "wrong" }, icon("warn"), el("span", {}, words))),
      answer.chairs.length > 0 && el("p", { class: "why" }, [`${count(answer.chairs.length, "part")}, ${count(answer.copies, "copy", "copies")}`, answer.together && "all line up bar for bar", ...(answer.left_out ?? []), answer.note].filter(Boolean).map(spelt).join(" · ")) || "");
    this.#drawQuestions(answer);
    this.#drawChair(answer);
    this.#drawChairs(answer);
  }

  /** Each cell that nobody can read for certain: what it may mean, all instruments, or out with the line. */
  async #drawQuestions({ questions, remarks = [] }) {
    const known = questions.length && (await get("/api/names"));
    const all = { instrument: (known.instruments ?? []).map((one) => one.name), level: (known.levels ?? []).map((one) => one.name ?? one) };
    this.questions.replaceChildren(...remarks.map((words) => el("p", { class: "why" }, words)),
      ...questions.map((one) => {
        const settle = ({ target }) => {
          this.answers.push({ field: one.field, said: one.said, means: target.value });
          this.ask();
        };
        const options = (names) => names.map((name) => el("option", { value: name }, name));
        const rest = (all[one.field] ?? []).filter((name) => !one.likely.includes(name));
        const who = one.lines.map(({ line, person }) => [`line ${line}`, person].filter(Boolean).join(" ")).join(", ");
        return el("label", { class: "field card" },
          el("b", { class: "wrong" }, icon("warn"), el("span", {}, `“${one.said}”: which ${one.field}?`)),
          el("small", {}, [who, one.reason].filter(Boolean).join(" · ")),
          el("select", { onchange: settle }, el("option", { value: "" }, "Choose…"),
            one.likely.length > 0 && el("optgroup", { label: "Likely" }, options(one.likely)),
            el("option", { value: "-" }, one.lines.length > 1 ? "Leave these lines out" : "Leave this line out"),
            rest.length > 0 && el("optgroup", { label: "All" }, options(rest))));
      }),
      this.file && !questions.length ? button("Keep as a section file", () => this.keepFile()) : "");
  }

  async keepFile() {
    const answer = await post("/api/keep-section", this.which);
    if (!answer.ok) return void this.made.replaceChildren(handed(answer));
    Object.assign(this, { sections: answer.sections, name: answer.section, file: null, answers: [] });
    this.draw();
    this.ask();
    this.made.replaceChildren(el("p", { class: "why", role: "status" }, `Kept as ${answer.section}, beside your plan.`));
    return undefined;
  }

  #drawChair(answer) {
    const old = this.#shown;
    this.#shown = answer.pictures ?? [];
    const who = answer.chairs.find((one) => one.number === answer.chair);
    this.picture.hidden = !this.#shown.length;
    if (this.#shown.length) {
      this.picture.replaceChildren(el("h2", {}, `${who?.name ?? ""}: ${spelt(answer.heading)}`), ...(answer.told ?? []).map((words) => el("p", { class: "why" }, spelt(words))), ...this.#shown.map((svg) => music(svg, `Music for ${who?.name}: ${answer.heading}`)));
    }
    old.filter((svg) => !this.#shown.includes(svg)).forEach(forget);
  }

  #drawChairs(answer) {
    const focused = document.activeElement?.dataset?.chair;
    this.chairs.replaceChildren(...answer.chairs.map((one) => el("li", {}, el("button", {
      type: "button", class: "line", "data-chair": String(one.number), "aria-pressed": String(one.number === answer.chair), onclick: () => { this.chair = one.number; this.ask(); },
    }, el("span", { class: "grow" }, el("b", {}, one.name), el("small", {}, [one.reads?.length ? `reads ${one.reads.map(spelt).join(", ")}` : "", one.person, one.fault].filter(Boolean).join(" · "))),
    el("span", { class: "copies" }, `× ${one.copies ?? 1}`)))));
    if (focused) this.chairs.querySelector(`[data-chair="${focused}"]`)?.focus();
  }

  async handout() {
    this.make.disabled = true;
    const answer = await post("/api/handout", { ...this.which, phrases: [this.phrase.value], score: this.score, ...(this.warmUp ? { warm_up: this.warmUp } : {}) });
    if (answer.ok) await job(answer.job, this.made);
    else this.made.replaceChildren(handed(answer));
    this.make.disabled = false;
  }

  leave() {
    this.#gone = true;
    this.#shown.forEach(forget);
  }

  key() {
    return false;
  }
}

function remembered() {
  try {
    return JSON.parse(localStorage.getItem(KEPT)) ?? {};
  } catch {
    return {};
  }
}

function keep(what) {
  try { localStorage.setItem(KEPT, JSON.stringify(what)); } catch { /* for this visit only */ }
}
