// What this device remembers: light, size of the music, sound. Nothing here concerns the log.

const USUAL = { light: "device", size: "fit", countIn: 1, clicks: "every", drone: "tonic", awake: true };
const PLACE = "scalewright";

function kept() {
  try {
    return JSON.parse(localStorage.getItem(PLACE)) ?? {};
  } catch {
    return {};
  }
}

export const prefs = { ...USUAL, ...kept() };

/** Change one and keep it, where the browser lets a page keep anything. */
export function prefer(name, value) {
  prefs[name] = value;
  try {
    localStorage.setItem(PLACE, JSON.stringify(prefs));
  } catch { /* a private window: for this visit only */ }
  showLight();
}

/** Paper, dark room, or as the device says. */
export function showLight() {
  document.documentElement.dataset.light = prefs.light;
}

let lock = null;

export const canStayAwake = () => "wakeLock" in navigator;

/** Keep the screen from sleeping while there is music on it. */
export async function stayAwake(wanted) {
  if (!canStayAwake()) return;
  if (!wanted || !prefs.awake) {
    lock?.release();
    lock = null;
  } else if (!lock || lock.released) {
    try {
      lock = await navigator.wakeLock.request("screen");
    } catch { /* battery saving: the device decides */ }
  }
}
