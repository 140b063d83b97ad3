// What lies on the stand: who plays, today's sheet, its pictures, and what has been noted on it.

import { get, inside, newUid, post } from "./api.js";
import { say } from "./dom.js";
import { deliver, named, send, waiting } from "./outbox.js";
import { prefs } from "./prefs.js";

const NOTED = "/api/played", UNDONE = "/api/undo";

export const desk = { start: null, today: null, size: null, away: false, waits: 0, last: null, home: null };

/** Tell every view that something changed. */
export const changed = () => document.dispatchEvent(new CustomEvent("desk"));

export async function begin() {
  desk.start = inside ? embedded().start : await get("/api/start");
  if (desk.start.away) desk.away = true;
}

let embeddedData = null;
function embedded() {
  embeddedData ??= JSON.parse(inside.textContent);
  return embeddedData;
}

/** Today's sheet with its music for a space of `width` x `height` CSS pixels. */
export async function load({ width, height }) {
  const size = { width: Math.round(width), height: Math.round(height) };
  const space = `w=${size.width}&h=${size.height}&size=${encodeURIComponent(prefs.size)}`;
  if (!desk.today && !inside) await beginWith(space);
  const before = touched;
  const answer = inside ? await nearest(size.width) : await get(`/api/today?${space}`);
  desk.away = Boolean(answer.away);
  if (answer.items) {
    desk.size = size;
    put(answer, before !== touched);
  } else if (!desk.today) desk.today = answer;
  changed();
  document.dispatchEvent(new CustomEvent("music"));
}

/** The list at once, and the music that is played first before all the rest. */
async function beginWith(space) {
  const list = await get("/api/today?pictures=0");
  if (!list.items) return;
  put(list);
  changed();
  const first = desk.today.items[firstLeft()];
  const answer = await get(`/api/picture?number=${first.number}&${space}`);
  if (!answer.ok) return;
  withPictures(first, [answer.pictures, ...answer.more]);
  draw(first);
  document.dispatchEvent(new CustomEvent("music"));
}

/** The sheet of the one file, with the pictures made for the width that comes nearest below this one. */
async function nearest(width) {
  const { today } = embedded();
  const pictures = await unpacked();
  const { pages } = pictures.findLast((one) => one.w <= width) ?? pictures[0];
  const kept = keptTaps(today.code);
  const items = today.items.map((item) => (item.rest ? item : withPictures({ ...item, done: kept[item.number] ?? item.done }, pages[item.number])));
  return { ...today, items };
}

let pictureData = null;
async function unpacked() {
  const packed = Uint8Array.from(atob(embedded().pictures), (sign) => sign.charCodeAt(0));
  pictureData ??= await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"))).json();
  return pictureData;
}

const placeOf = (code) => `scalewright-${code}`;

function keptTaps(code) {
  try {
    return JSON.parse(localStorage.getItem(placeOf(code))) ?? {};
  } catch {
    return {};
  }
}

/** In the one file: keep what was noted in this browser. */
function keepTaps() {
  const taps = Object.fromEntries(exercises().filter((item) => item.done).map((item) => [item.number, item.done]));
  try {
    localStorage.setItem(placeOf(desk.today.code), JSON.stringify(taps));
  } catch { /* a browser that keeps nothing for a file: until it is closed */ }
}

/** A sheet on the stand: its items in order, each with pictures that are ready to show. What was tapped meanwhile holds. */
export function put(answer, tapped = false) {
  for (const item of answer.items) {
    const mine = desk.today?.code === answer.code && desk.today.items?.find((one) => one.number && one.number === item.number);
    if (mine) item.chosen = mine.chosen;
    if (mine && (mine.pending || tapped)) Object.assign(item, { done: mine.done, before: mine.before, pending: mine.pending });
    if (!item.rest) draw(item);
  }
  desk.today = answer;
}

let touched = 0; // how many taps there were: an answer asked for before the last one says nothing about it

/** What was noted elsewhere meanwhile; a new sheet altogether where the day has another. */
export async function refresh() {
  if (inside || !desk.size) return;
  const before = touched;
  const answer = await get("/api/today?pictures=0");
  if (!answer.ok) return;
  if (answer.code !== desk.today?.code) await load(desk.size);
  else if (before !== touched) await refresh();
  else {
    for (const item of answer.items) {
      const mine = item.number && desk.today.items.find((one) => one.number === item.number);
      if (mine && !mine.pending) mine.done = item.done;
    }
    desk.today.sheet = answer.sheet;
    changed();
  }
}

const addresses = new Map(); // by what is on the picture, so that a redrawn sheet keeps its images

/** A picture of music from its SVG text; an image cannot run anything. */
export function music(svg, words) {
  if (!addresses.has(svg)) addresses.set(svg, URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })));
  const image = new Image();
  image.src = addresses.get(svg);
  image.alt = words;
  image.className = "notes";
  return image;
}

/** Addresses of pictures that are shown no more are given back. */
export function forget(svg) {
  URL.revokeObjectURL(addresses.get(svg));
  addresses.delete(svg);
}

/** An exercise, and each piece of music that follows under its number. */
export const pieces = (item) => [item, ...(item.more ?? [])];

function withPictures(item, pictures) {
  pieces(item).forEach((piece, at) => { piece.pictures = pictures[at]; });
  return item;
}

/** Images of all its music, each of which knows its piece. */
export function draw(item) {
  item.images = pieces(item).flatMap((piece) => (piece.pictures ?? []).map((svg, page, { length }) =>
    Object.assign(music(svg, `Music: ${piece.heading}${length > 1 ? `, page ${page + 1} of ${length}` : ""}`), { piece })));
  for (const image of item.images) image.decode().catch(() => {});
}

export const exercises = () => desk.today.items.filter((item) => !item.rest);

/** The first that is not yet noted, as a place among the items. */
export function firstLeft() {
  const place = desk.today.items.findIndex((item) => !item.rest && !item.done);
  return place < 0 ? 0 : place;
}

/** Begin today's sheet: from now on it is in the log, and stays the same. */
export async function open() {
  if (inside || desk.today.sheet) return;
  const answer = await post("/api/start-today", {});
  if (answer.ok) desk.today.sheet = answer.sheet;
}

/** Note an exercise as played; a second note of the same one takes the place of the first. */
export async function note(item, felt, tempo) {
  const { code } = desk.today;
  const uid = newUid();
  touched += 1;
  Object.assign(item, { done: { felt, tempo, uid }, before: item.done, pending: named(NOTED, { uid }) });
  desk.last = { item, felt, tempo, uid };
  say(`Noted: ${item.number}, ${saidPlay(item.done)}`);
  changed();
  if (inside) return keepTaps();
  await send(NOTED, { sheet: code, number: item.number, felt, ...(tempo ? { tempo } : {}), uid, day: playersDay() });
  return undefined;
}

/** The player's own date; a tap after midnight is the next day's. */
function playersDay() {
  const now = new Date();
  return new Date(now - now.getTimezoneOffset() * 60_000).toISOString().slice(0, 10);
}

/** Take the last note back. */
export async function undo() {
  const { last } = desk;
  if (!last) return null;
  touched += 1;
  Object.assign(last.item, { done: last.item.before ?? null, pending: named(UNDONE, last) });
  desk.last = null;
  say(`Taken back: ${last.item.number}`);
  changed();
  if (inside) keepTaps();
  else await send(UNDONE, { uid: last.uid });
  return last.item;
}

export const saidPlay = ({ felt, tempo }) => `${felt}${tempo ? ` at ${tempo}` : ""}`;

/** What a tap said holds until the computer has that very tap; an answer of before knows nothing of it. */
async function counted({ detail }) {
  const item = desk.today?.items?.find((one) => one.pending && one.pending === detail);
  if (item) {
    item.pending = null;
    touched += 1; // an answer that was on its way knows nothing of it
  }
  desk.waits = await waiting();
  changed();
}

/** Follow the computer: what another device noted, and whether it is there at all. */
export function follow() {
  document.addEventListener("outbox", counted);
  addEventListener("online", deliver);
  if (inside) return;
  deliver();
  const events = new EventSource("/api/events");
  events.onopen = async () => {
    const back = desk.away;
    desk.away = false;
    changed();
    await deliver();
    if (back) refresh();
  };
  events.onerror = () => {
    desk.away = true;
    changed();
  };
  let soon = 0;
  const again = () => {
    clearTimeout(soon);
    soon = setTimeout(async () => await deliver() && refresh(), 150);
  };
  document.addEventListener("visibilitychange", () => document.hidden || again());
  for (const name of ["noted", "undone", "started", "plan", "settings"]) events.addEventListener(name, again);
}
