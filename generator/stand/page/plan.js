// The plan: what is kept alive. Every change is tried first and says what the promise becomes; the file stays the truth.

import { get, post } from "./api.js";
import { button, choices, count, el, icon, spelt, title } from "./dom.js";
import { handed } from "./job.js";

const MINUTES = [8, 10, 15, 20, 25, 30, 40, 45, 60];

const sentenced = (words = "") => spelt(words.charAt(0).toUpperCase() + words.slice(1));

export function show(main) {
  return new PlanView(main);
}

class PlanView {
  #gone = false;
  #asked = 0;

  constructor(main) {
    Object.assign(this, { main, changes: [], plan: null, tried: null });
    this.promise = el("div", { class: "card promise", role: "status" });
    this.begin();
  }

  async begin() {
    const answer = await get("/api/plan");
    if (this.#gone) return;
    if (!answer.ok) return void this.main.replaceChildren(el("section", { class: "page" }, title("Plan"), handed(answer)));
    Object.assign(this, { plan: answer, changes: [], tried: null });
    this.draw();
    return undefined;
  }

  draw() {
    const { plan } = this;
    const { fields } = plan;
    const minutes = [...new Set([...MINUTES, fields.minutes])].filter(Boolean).sort((a, b) => a - b);
    this.main.replaceChildren(el("section", { class: "page" }, title("Plan"),
      el("p", { class: "lead" }, [fields.player, fields.instrument].filter(Boolean).map(String).join(" · ")),
      this.promise,
      choices("Minutes a day", minutes.map((one) => [one, String(one)]), fields.minutes, (value) => this.set("minutes", value)),
      choices("Level", plan.levels.map((one) => [one.name ?? one, one.name ?? one]), fields.level ?? "standard", (value) => this.set("level", value)),
      choices("Theme", plan.themes.map((one) => [one.name ?? one, one.name ?? one]), fields.theme ?? plan.themes[0], (value) => this.set("theme", value)),
      el("h2", {}, "What is kept alive"),
      el("ul", { class: "list keeps" }, plan.keep.map((row) => this.#keep(row))),
      this.#adding(),
      el("h2", {}, "Dates"),
      plan.lists.length > 0 && this.#lists(plan.lists),
      this.#dating(),
      el("p", { class: "why" }, plan.path ? `The file itself, with your own comments: ${plan.path}` : "This is the built-in plan; the first change makes one of your own.")));
    this.#showPromise();
  }

  #keep(row) {
    const number = (name, label, least, most) => el("label", { class: "field short" }, el("span", {}, label),
      el("input", { type: "number", inputmode: "numeric", min: least, max: most, value: row[name] ?? "", placeholder: "–", onchange: ({ target }) => this.change({ keep: row.line, set: { [name]: target.value === "" ? null : Number(target.value) } }) }));
    const line = el("li", {}, el("details", {}, el("summary", {}, el("span", { class: "grow" }, spelt(row.phrase ?? row.keep))),
      el("div", { class: "row fields" },
        number("goal", "Goal tempo", 20, 400), number("every", "Every … days", 1, 999), number("stage", "Stage", 1, 99),
        button("No longer keep", () => { line.classList.add("gone"); this.change({ remove: row.line }); }, { class: "link" }))));
    return line;
  }

  #adding() {
    const phrase = el("input", { type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", maxlength: 2000, placeholder: "all keys, major in fourths" });
    const add = () => { if (phrase.value.trim()) this.change({ add: { phrase: phrase.value.trim() } }); };
    return el("form", { class: "two", onsubmit: (event) => { event.preventDefault(); add(); } },
      el("label", { class: "field" }, el("span", {}, "Keep something more alive"), phrase), button("Add", add, { name: "new" }));
  }

  #dating() {
    const name = el("input", { type: "text", autocomplete: "off", autocapitalize: "off", spellcheck: "false", maxlength: 200, placeholder: "florida-middle-school" });
    const day = el("input", { type: "date" });
    const add = () => { if (name.value.trim() && day.value) this.change({ add: { name: name.value.trim(), date: day.value }, table: "list" }); };
    return el("form", { class: "two three", onsubmit: (event) => { event.preventDefault(); add(); } },
      el("label", { class: "field" }, el("span", {}, "A list to be ready for"), name), el("label", { class: "field" }, el("span", {}, "On"), day), button("Add the date", add, { name: "new" }));
  }

  #lists(lists) {
    return el("ul", { class: "list" }, lists.map((one) => el("li", {}, el("label", { class: "field dated" }, el("span", {}, spelt(one.name ?? one.phrases?.join(", ") ?? "List")),
      el("input", { type: "date", value: one.date ?? "", onchange: ({ target }) => this.change({ list: one.line, set: { date: target.value || null } }) })))));
  }

  set(field, value) {
    this.changes = this.changes.filter((one) => one.field !== field);
    this.change({ field, value });
  }

  async change(one) {
    this.changes.push(one);
    const mine = ++this.#asked;
    const answer = await post("/api/plan", { changes: this.changes, base: this.plan.base, try: true });
    if (mine !== this.#asked || this.#gone) return;
    this.tried = answer;
    if (!answer.ok && !answer.away) this.refused = one;
    this.#showPromise();
  }

  #showPromise() {
    const { plan, tried } = this;
    const now = sentenced(plan.promise);
    const parts = [el("p", {}, el("b", {}, now))];
    if (tried?.ok) {
      const then = sentenced(tried.promise);
      parts[0] = el("p", {}, el("small", {}, then === now ? "The promise stays" : "The promise becomes"), el("b", {}, then), then === now ? "" : el("small", {}, `Until now: ${now}`));
      parts.push(...(tried.warnings ?? []).map((words) => el("p", { class: "wrong" }, icon("warn"), el("span", {}, words))));
    } else if (tried) {
      parts.push(handed(tried), ...(tried.error?.faults ?? []).map((words) => el("p", { class: "wrong" }, words)));
    }
    if (this.changes.length) {
      parts.push(el("div", { class: "row" },
        button("Leave as it was", () => this.begin()),
        button("Keep the change", () => this.save(), { class: "main", disabled: !tried?.ok })));
    }
    if (!this.changes.length && plan.offers.length) parts.push(el("p", { class: "why" }, "A shorter wait needs more time: ", plan.offers.map(({ days, minutes }) => `${count(days, "day")} with ${count(minutes, "minute")}`).join(" · ")));
    this.promise.replaceChildren(...parts);
  }

  async save() {
    const answer = await post("/api/plan", { changes: this.changes, base: this.plan.base, try: false });
    if (answer.ok) await this.begin();
    else {
      this.tried = answer;
      this.#showPromise();
    }
  }

  leave() {
    this.#gone = true;
  }

  key() {
    return false;
  }
}
