// The player's own settings: what this device remembers, and what the computer keeps.

import { get, post } from "./api.js";
import { choices, el, title } from "./dom.js";
import { desk } from "./desk.js";
import { canStayAwake, prefer, prefs } from "./prefs.js";
import { refit } from "./page.js";

const KEYS = [["→ ↓ Space PageDown", "on: page, then exercise"], ["← ↑ PageUp", "back"], ["1 2 3 4", "played: lost, shaky, steady, secure"], ["U", "undo"], ["C D L", "click, drone, listen"], ["+ −", "tempo by one"], ["Esc", "the sheet"]];
const PITCHES = [438, 439, 440, 441, 442, 443, 444, 445, 446];

export function show(main) {
  let gone = false;
  const said = el("p", { class: "wrong", role: "alert" });
  const draw = async () => {
    const [kept, names] = await Promise.all([get("/api/settings"), get("/api/names")]);
    if (gone) return;
    const change = async (changes, again = true) => {
      const answer = await post("/api/settings", changes);
      said.textContent = answer.ok ? "" : answer.error?.message ?? "The computer is out of reach; nothing was changed.";
      if (answer.ok && again) { await refit(); Object.assign(desk.start ?? {}, await get("/api/start")); }
    };
    const own = (name, again) => (value) => { prefer(name, value); if (again) refit(); };
    main.replaceChildren(el("section", { class: "page" }, title("Settings"), said,
      choices("Light", [["device", "As the device"], ["light", "Paper"], ["dark", "Dark room"]], prefs.light, own("light")),
      choices("Music", [["small", "Small"], ["fit", "Fit"], ["large", "Large"], ["very large", "Very large"]], prefs.size, own("size", true)),
      kept.ok && choices("A =", PITCHES.map((hertz) => [hertz, `${hertz} Hz`]), kept.a4, (a4) => change({ a4 })),
      choices("Click", [["every", "Every beat"], ["backbeat", "2 and 4"], ["dropout", "Four bars on, two off"]], prefs.clicks, own("clicks")),
      choices("Count-in before listening", [[0, "None"], [1, "1 bar"], [2, "2 bars"]], prefs.countIn, own("countIn")),
      choices("Drone", [["tonic", "Tonic"], ["fifth", "Tonic and pure fifth"]], prefs.drone, own("drone")),
      canStayAwake()
        ? choices("Screen while playing", [[true, "Stays on"], [false, "May sleep"]], prefs.awake, own("awake"))
        : el("p", { class: "why" }, "Screen: this browser cannot keep it on here. Set the device’s own screen to stay on while you play."),
      kept.ok && names.ok && player(kept, names, change),
      el("div", { class: "card" }, el("h2", {}, "Keys and pedals"), el("dl", { class: "pairs" }, KEYS.map(([keys, does]) => [el("dt", {}, keys), el("dd", {}, does)]))),
      elsewhere(), about()));
  };
  draw();
  return { leave() { gone = true; }, key: () => false };
}

function player(kept, names, change) {
  const usual = "As in the plan";
  const pick = (label, name, options) => el("label", { class: "field" }, el("span", {}, label),
    el("select", { onchange: ({ target }) => change({ [name]: target.value || null }) },
      el("option", { value: "" }, usual),
      options.map(([value, words]) => el("option", { value, selected: value === kept[name] }, words))));
  return el("div", { class: "card" }, el("h2", {}, "Who plays"),
    pick("Instrument", "instrument", names.instruments.map((one) => [one.name, one.label ?? one.name])),
    pick("Level", "level", names.levels.map((one) => [one.name ?? one, one.name ?? one])));
}

function elsewhere() {
  const lan = desk.start?.lan;
  return el("div", { class: "card" }, el("h2", {}, "Another device on the stand"),
    lan ? [el("p", {}, "Open one of these on a device in the same network, or scan the code in the computer’s window:"), el("ul", {}, (desk.start.addresses ?? []).map((address) => el("li", {}, el("b", {}, address))))]
      : el("p", {}, "Start ", el("code", {}, "scalewright stand --lan"), " on the computer and scan the code that it shows. Nothing leaves your own network."));
}

function about() {
  const start = desk.start ?? {};
  return el("div", { class: "card" }, el("h2", {}, "Where things are"),
    el("dl", { class: "pairs" }, [["Plan", start.plan ?? "the built-in one"], ["Log", start.home], ["Scalewright", start.version]].filter(([, value]) => value).map(([name, value]) => [el("dt", {}, name), el("dd", {}, String(value))])));
}
