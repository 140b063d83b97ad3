// Which view is shown, and what keys and pedals do. A pedal sends arrows, space, PageUp or PageDown.

import { inside } from "./api.js";
import { begin, desk, follow, load } from "./desk.js";
import { count, el, icon } from "./dom.js";
import { refused } from "./outbox.js";
import { prefs, showLight, stayAwake } from "./prefs.js";
import { done, exercise, musicSpace, rest } from "./stand.js";
import { page, today } from "./today.js";

const PARTS = [["today", "Today"], ["progress", "Progress"], ["new", "New"], ["drill", "Drill"], ["section", "Section"], ["plan", "Plan"], ["settings", "Settings"]];
const HERE = { today, page, done };
const main = document.getElementById("main");
const nav = document.getElementById("nav");
const ON = ["ArrowRight", "ArrowDown", "PageDown", " "], BACK = ["ArrowLeft", "ArrowUp", "PageUp"];

let view = null;
let backwards = false;
let turn = 0;

export function go(where, back = false) {
  backwards = back;
  if (location.hash === `#${where}`) show();
  else location.hash = where;
}

async function show() {
  const [name, number] = (location.hash.slice(1) || "today").split("/");
  const mine = ++turn;
  const make = await maker(name, number);
  if (mine !== turn) return;
  view?.leave();
  view = null;
  const standing = name === "stand";
  document.body.className = standing ? "standing" : "";
  document.title = `${standing ? "On the stand" : PARTS.find(([part]) => part === name)?.[1] ?? "Today"} · Scalewright`;
  for (const link of nav.children) link.setAttribute("aria-current", link.dataset.part === name ? "page" : "false");
  scrollTo(0, 0);
  view = make();
  main.querySelector("h1")?.focus({ preventScroll: true });
}

async function maker(name, number) {
  if (name === "stand") {
    const items = desk.today?.items, at = Number(number) - 1;
    if (!items?.[at]) return () => today(main, { go });
    return () => (items[at].rest ? rest : exercise)(main, { at, go, page: backwards ? -1 : 0 });
  }
  if (HERE[name]) return () => (desk.today?.items || name === "today" ? HERE[name] : today)(main, { go, extra: desk.home });
  const loaded = await part(name);
  return () => loaded.show(main, { go });
}

const part = (name) => (inside || !PARTS.some(([known]) => known === name) ? Promise.resolve({ show: today }) : import(`/page/${name}.js`));

function drawNav() {
  nav.hidden = Boolean(inside);
  if (!inside) nav.replaceChildren(...PARTS.map(([name, words]) => el("a", { href: `#${name}`, "data-part": name }, icon(name), el("span", {}, words))));
}

function showAway() {
  const place = document.getElementById("away");
  const waits = desk.waits ? ` ${count(desk.waits, "tap")} kept here until it is back.` : "";
  const lost = refused.length ? `${count(refused.length, "tap")} not noted: ${refused.at(-1).message}` : "";
  const words = desk.away ? `The computer is out of reach.${waits} Go on playing.` : lost;
  if (place.textContent !== words) place.textContent = words;
}

function press(event) {
  if (event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
  const { target, key } = event;
  const typing = target.matches("input:not([type=radio]):not([type=checkbox]), textarea, select");
  const own = target.matches("button, a, input, summary") && key === " ";
  const choosing = target.matches("input[type=radio]") && key.startsWith("Arrow");
  if (typing || own || choosing || !view) return;
  const by = ON.includes(key) ? (key === " " && event.shiftKey ? -1 : 1) : BACK.includes(key) ? -1 : 0;
  const scrolls = !document.body.classList.contains("standing") && key !== "PageDown" && key !== "PageUp";
  if (by && scrolls) return;
  if (by ? (view.turn?.(by), true) : view.key?.(key.length === 1 ? key.toLowerCase() : key)) event.preventDefault();
}

// After a touch the next key is a pedal's, so what was touched must not keep it.
function letGo(event) {
  if (event.detail > 0) event.target.closest("button, a")?.blur();
}

let settle = 0;
function resized() {
  clearTimeout(settle);
  settle = setTimeout(async () => {
    const size = musicSpace(main);
    if (desk.size && Math.abs(size.width - desk.size.width) < 8 && Math.abs(size.height - desk.size.height) < 24) return;
    await refit();
  }, 200);
}

/** Music made for the space there is; made again where a heading takes more of it than was thought. */
export async function refit() {
  const thought = musicSpace(main);
  await load(thought);
  const found = musicSpace(main);
  if (found.height < thought.height - 3) await load(found);
}

async function start() {
  showLight();
  drawNav();
  document.addEventListener("desk", showAway);
  document.addEventListener("keydown", press);
  document.addEventListener("click", letGo);
  document.addEventListener("visibilitychange", () => stayAwake(!document.hidden && document.body.classList.contains("standing")));
  addEventListener("hashchange", show);
  addEventListener("resize", resized);
  document.addEventListener("music", () => view?.fresh?.());
  const told = begin();
  const made = refit();
  await Promise.race([made, new Promise((done) => document.addEventListener("desk", done, { once: true }))]);
  await told;
  await show();
  await made;
  document.documentElement.dataset.music = "all";
  follow();
}

start();
