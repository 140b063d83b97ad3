// Work that takes a while: its progress, and then its files.

import { get, post } from "./api.js";
import { button, count, el, icon } from "./dom.js";

const OFTEN = 300; // milliseconds
const ALL = "everything.zip";

/** What went wrong, for a reader who hears the page as well. */
export const handed = (answer) => el("p", { class: "wrong", role: "alert" }, icon("warn"), el("span", {}, answer.away ? "The computer is out of reach." : answer.error?.message ?? String(answer.error)));

/** Follow a job to its end in `place`; the files it made, or null. */
export async function job(id, place) {
  const bar = el("progress", { "aria-label": "Pages made" });
  const words = el("span", { role: "status" }, "Engraving…");
  place.replaceChildren(el("div", { class: "card" }, words, bar, button("Stop", () => post(`/api/job/${id}/stop`, {}))));
  for (;;) {
    const answer = await get(`/api/job/${id}`);
    if (answer.state === "stopped") return void place.replaceChildren(el("p", { class: "why", role: "status" }, "Stopped; nothing was kept."));
    if (!answer.ok || answer.state === "failed") {
      place.replaceChildren(handed(answer));
      if (!answer.away) return null;
    }
    if (answer.state === "done") {
      place.replaceChildren(files(id, answer.files));
      return answer.files;
    }
    if (answer.of) Object.assign(bar, { max: answer.of, value: answer.done });
    if (answer.of) words.textContent = `Engraving: ${answer.done} of ${answer.of}`;
    await new Promise((done) => setTimeout(done, OFTEN));
  }
}

const size = (bytes) => (bytes < 1e6 ? `${Math.max(1, Math.round(bytes / 1000))} kB` : `${(bytes / 1e6).toFixed(1)} MB`);

const link = (id, file, words, kind = "") => el("a", { class: `button ${kind}`, href: `/api/file/${id}/${encodeURIComponent(file.name)}`, download: file.name }, icon("print"), el("span", {}, words));

function files(id, all) {
  const pdfs = all.filter((file) => file.name !== ALL);
  const zip = all.find((file) => file.name === ALL);
  const whole = pdfs.find((file) => file.kind === "all") ?? pdfs[0];
  return el("div", { class: "card", role: "status" },
    el("h2", {}, pdfs.length > 1 ? `${count(pdfs.length, "file")} ready` : "Ready"),
    el("div", { class: "row ends" },
      whole && link(id, whole, pdfs.length > 1 ? `All in one PDF, ${size(whole.size)}` : `Open the PDF, ${size(whole.size)}`, "main"),
      zip && pdfs.length > 1 && link(id, zip, `Each by itself, zip, ${size(zip.size)}`)),
    pdfs.length > 1 && el("details", {}, el("summary", {}, "One part"), el("ul", { class: "files" }, pdfs.map((file) => el("li", {}, link(id, file, `${file.name}, ${size(file.size)}`, "quiet"))))));
}
