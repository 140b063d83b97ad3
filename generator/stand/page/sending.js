// A file of the person's own, sent to the computer in pieces: its name and what it holds, not where it lies.

import { newUid, post } from "./api.js";

const PIECE = 11_000; // bytes; as base64 they stay under what the computer takes at once

/** Send a file; the answer has its `uid`, or says why not. */
export async function sendFile(file) {
  const uid = newUid();
  const bytes = new Uint8Array(await file.arrayBuffer());
  const of = Math.max(1, Math.ceil(bytes.length / PIECE));
  for (let at = 0; at < of; at += 1) {
    const piece = bytes.subarray(at * PIECE, (at + 1) * PIECE);
    const answer = await post("/api/sent-file", { uid, name: file.name.slice(-300), at, of, data: btoa(String.fromCharCode(...piece)) });
    if (!answer.ok) return answer;
  }
  return { ok: true, uid };
}
