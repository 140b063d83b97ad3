// The one-file sheet keeps its own taps; from here they come home as a short text, typed, copied or scanned.
// CODE DAY NUMBER.FELT[.TEMPO] ... +CHECK, for example "QH9Q 20270307 1.3.84 2.4 +MAK": felt is 1 lost to 4 secure.

import { desk, exercises } from "../page/desk.js";
import { FELT, button, el } from "../page/dom.js";
import { QR_LONGEST, qr } from "./qr.js";

const CHECK_LETTERS = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ";

/** Three letters that tell a line with a wrong sign, or two signs exchanged, from a right one. */
function check(line) {
  let sum = 7;
  for (const sign of line) sum = (sum * 37 + sign.codePointAt(0)) % 32749;
  return [1024, 32, 1].map((one) => CHECK_LETTERS[Math.floor(sum / one) % 32]).join("");
}

/** What was noted on the sheet, as one short line; "" if nothing was. */
export function homeText() {
  const taps = exercises().filter((item) => item.done).map(({ number, done }) => [number, FELT.indexOf(done.felt) + 1, done.tempo].filter(Boolean).join("."));
  if (!taps.length) return "";
  const line = [desk.today.code, desk.today.date.replaceAll("-", ""), ...taps].join(" ");
  return `${line} +${check(line)}`;
}

/** How to bring home what was noted in this file. */
function tapsHome() {
  const text = homeText();
  if (!text) return el("p", { class: "why" }, "What you tap is kept in this file on this device, and comes home as a short text.");
  const field = el("input", { type: "text", readonly: true, value: text, "aria-label": "What was noted, as text", onfocus: ({ target }) => target.select() });
  const copy = button("Copy", async () => {
    field.select();
    try { await navigator.clipboard.writeText(text); } catch { document.execCommand("copy"); }
  });
  return el("div", { class: "card" }, el("h2", {}, "Bring it home"),
    el("p", {}, "On the computer, with this line or a photograph’s text of the code: ", el("code", {}, `scalewright played --from "${text}"`)),
    el("div", { class: "row" }, field, copy),
    text.length <= QR_LONGEST && code(text));
}

function code(text) {
  const grid = qr(text);
  const size = grid.length + 8, scale = 5;
  const canvas = el("canvas", { width: size * scale, height: size * scale, class: "qr", role: "img", "aria-label": `QR code of ${text}` });
  const ink = canvas.getContext("2d");
  ink.fillStyle = "#fff";
  ink.fillRect(0, 0, size * scale, size * scale);
  ink.fillStyle = "#000";
  grid.forEach((row, r) => row.forEach((dark, c) => dark && ink.fillRect((c + 4) * scale, (r + 4) * scale, scale, scale)));
  return canvas;
}

desk.home = tapsHome;
