// Asking the computer. An answer never throws: it says whether the computer was there and what it said.

export const inside = document.getElementById("sheet"); // the one-file sheet carries its own answers

async function ask(path, options = {}) {
  let answer;
  try {
    answer = await fetch(path, { cache: "no-store", ...options });
  } catch (fault) {
    return { ok: false, away: fault.name !== "AbortError", aborted: fault.name === "AbortError" };
  }
  if ([502, 503, 504].includes(answer.status)) return { ok: false, away: true };
  let said = {};
  try {
    said = await answer.json();
  } catch { /* an answer without words */ }
  return { ...said, ok: answer.ok, status: answer.status, error: said.error ?? (answer.ok ? null : { message: `The computer answered ${answer.status}.` }) };
}

export const get = (path, options) => ask(path, options);

export const post = (path, body, options = {}) =>
  ask(path, { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), ...options });

/** An identity for a tap, also where the browser's own is kept for secure pages. */
export const newUid = () => Array.from(crypto.getRandomValues(new Uint8Array(12)), (byte) => byte.toString(16).padStart(2, "0")).join("");
