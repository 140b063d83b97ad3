// Taps wait here until the computer has them. Each carries an identity of its own, so that one that was
// delivered and not confirmed, and is sent again, is still one entry.

import { post } from "./api.js";

const NAME = "scalewright-taps", STORE = "taps";
const AGAIN = 3000; // milliseconds between tries

let opened = null;
let sending = null;
let oneMore = false;
let timer = 0;
const memory = []; // where the browser keeps nothing for a page
let tapsMade = 0; // of the taps of this page, for some may be kept and others not
export const refused = []; // what the computer would not take, with its reason

const asked = (request) => new Promise((done, failed) => {
  request.onsuccess = () => done(request.result);
  request.onerror = () => failed(request.error);
});

async function store(mode) {
  opened ??= new Promise((done, failed) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { autoIncrement: true });
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
  return (await opened).transaction(STORE, mode).objectStore(STORE);
}

async function keep(tap) {
  try {
    return await asked((await store("readwrite")).add(tap));
  } catch {
    memory.push(tap);
    return null;
  }
}

async function drop(key) {
  if (key === null) memory.shift();
  else await asked((await store("readwrite")).delete(key));
}

async function first() {
  let kept = null;
  try {
    const cursor = await asked((await store("readonly")).openCursor());
    if (cursor) kept = [cursor.key, cursor.value];
  } catch { /* only what is in memory */ }
  const held = memory.length ? [null, memory[0]] : null;
  return kept && held ? (indexedDB.cmp(kept[1].made ?? [0, 0], held[1].made) < 0 ? kept : held) : kept ?? held;
}

/** How many taps wait. */
export async function waiting() {
  try {
    return memory.length + await asked((await store("readonly")).count());
  } catch {
    return memory.length;
  }
}

/** What a tap is called, so that whoever waits for it hears when the computer has it. */
export const named = (path, { uid }) => `${path} ${uid}`;

/** Keep a tap and send what waits, in order. */
export async function send(path, body) {
  await keep({ path, body, made: [Date.now(), tapsMade++] });
  return deliver();
}

/** Send what waits; true when nothing is left. */
export function deliver() {
  oneMore = true;
  sending ??= rounds();
  return sending;
}

// A tap that comes while the last look finds nothing asks for one look more.
async function rounds() {
  try {
    let all = true;
    while (oneMore && all) {
      oneMore = false;
      all = await deliverAll();
    }
    return all;
  } finally {
    sending = null;
  }
}

async function deliverAll() {
  clearTimeout(timer);
  for (let next = await first(); next; next = await first()) {
    const [key, { path, body }] = next;
    const answer = await post(path, body);
    if (answer.away) {
      timer = setTimeout(deliver, AGAIN);
      document.dispatchEvent(new CustomEvent("outbox"));
      return false;
    }
    if (!answer.ok) refused.push({ path, body, message: answer.error?.message ?? "" });
    await drop(key);
    document.dispatchEvent(new CustomEvent("outbox", { detail: named(path, body) }));
  }
  return true;
}
