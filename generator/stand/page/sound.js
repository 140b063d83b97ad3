// Click, drone and listening. Everything is scheduled on the clock of the sound itself, half a second ahead;
// a worker says when to look ahead. A click never comes from a timer.

import { prefs } from "./prefs.js";

const TICK = 25; // milliseconds
const AHEAD = 0.5, AHEAD_HIDDEN = 2.5; // seconds; a hidden page may be asleep for one
const SOON = 0.02; // the nearest moment that can still be scheduled or taken back
// Loudness that adds up to one at most, so that nothing has to be held down afterwards.
const CLICK = 0.5, NOTE = 0.2, DRONE = 0.15;
export const QUIET = 0.25; // a drone begins at a quarter of full loudness
const ON_BARS = 4, OFF_BARS = 2;
// Reed organ: rich and steady, easier to tune to than a pure tone.
const REED = [0, 1, 0.55, 0.42, 0.24, 0.18, 0.1, 0.08, 0.05];

export class Sound {
  context = null;
  drone = null;
  loudness = QUIET;
  #out = null;
  #ticker = null;
  #strokes = null;
  #reed = null;
  #click = null;
  #tune = null;

  /** Begin to sound; must be called in a touch or key. `context` stands in for the browser's own in a measurement. */
  wake(context) {
    if (!this.context) {
      if (navigator.audioSession) navigator.audioSession.type = "playback";
      this.context = context ?? new AudioContext({ latencyHint: "interactive" });
      this.#out = this.context.createGain();
      this.#out.connect(this.context.destination);
      this.#strokes = [1900, 1300].map((pitch) => stroke(this.context, pitch));
      this.#reed = this.context.createPeriodicWave(new Float32Array(REED.length), new Float32Array(REED));
    }
    if (this.context.state === "suspended") this.context.resume?.();
  }

  /** Where everything comes out: a measurement listens here. */
  get output() {
    return this.#out;
  }

  get clicking() {
    return Boolean(this.#click) && this.#click.last === Infinity;
  }

  get listening() {
    return Boolean(this.#tune);
  }

  /**
   * Click bars round and round after counting in, `last` bars of it or without end.
   * `music` has `bars`, the lengths from click to click in whole notes; `speeds`, each bar's share of the tempo; `unit`.
   */
  click(music, bpm, { last = Infinity, at = this.context.currentTime + 0.08, counting = 0 } = {}) {
    this.#unclick();
    this.#click = { music, bpm, last, counting, bar: 0, beat: 0, next: at, ahead: [] };
    this.#run();
  }

  /** A new tempo from the next beat on: what was scheduled and has not sounded is taken back. */
  retime(bpm) {
    const click = this.#click;
    if (this.#tune) return this.listen(this.#tune.music, { bpm, clicking: this.clicking });
    if (!click) return undefined;
    click.bpm = bpm;
    const sure = this.context.currentTime + SOON;
    const taken = click.ahead.filter((one) => one.time > sure);
    for (const one of taken) silence(one.node);
    click.ahead = click.ahead.filter((one) => one.time <= sure);
    if (taken.length) Object.assign(click, { bar: taken[0].bar, beat: taken[0].beat, next: taken[0].time });
    const before = click.ahead.at(-1);
    if (before) {
      const beat = before.length * wholeOf(click, before.bar);
      // On the beats of the new tempo, counted from the click that was heard last.
      click.next = before.time + beat * Math.max(1, Math.ceil((sure - before.time) / beat));
    }
    return this.look();
  }

  stopClick() {
    this.#unclick();
    this.#rest();
  }

  /** Play notes at a tempo after counting in; `music` has `notes` in whole notes, and `a4` as well. */
  listen(music, { bpm, clicking = false }) {
    this.stopListening();
    const begin = this.context.currentTime + 0.1;
    const counting = prefs.countIn;
    const whole = 60 / bpm / value(music.unit);
    const wait = counting * total(music.bars[0]) * whole;
    if (clicking || counting) this.click(music, bpm, { last: clicking ? Infinity : counting, at: begin, counting });
    const when = course(music);
    const notes = music.notes.map(({ midi, start, length, loud = 90 }) => ({ midi, loud, start: when(start) * whole, end: when(start + length) * whole }));
    this.#tune = { music, notes, begin: begin + wait, next: 0, nodes: [] };
    this.#run();
  }

  stopListening() {
    for (const node of this.#tune?.nodes ?? []) silence(node);
    this.#tune = null;
    if (this.#click && !this.clicking) this.#unclick();
    this.#rest();
  }

  /** The concert tonic, with its pure fifth if wanted. */
  startDrone(midi, a4, fifth = false) {
    this.stopDrone();
    const gain = this.context.createGain();
    gain.gain.setValueAtTime(0, this.context.currentTime);
    gain.gain.linearRampToValueAtTime(DRONE * this.loudness, this.context.currentTime + 0.4);
    gain.connect(this.#out);
    const ratios = fifth ? [1, 1.5] : [1];
    const pipes = ratios.map((ratio) => {
      const pipe = this.context.createOscillator();
      pipe.setPeriodicWave(this.#reed);
      pipe.frequency.value = pitch(midi, a4) * ratio;
      pipe.connect(gain);
      pipe.start();
      return pipe;
    });
    this.drone = { gain, pipes };
  }

  /** Louder or quieter, a quarter at a time, never silent. */
  swell(step) {
    this.loudness = Math.min(1, Math.max(QUIET / 2, this.loudness + step * QUIET));
    this.drone?.gain.gain.setTargetAtTime(DRONE * this.loudness, this.context.currentTime, 0.05);
  }

  stopDrone() {
    if (!this.drone) return;
    const { gain, pipes } = this.drone;
    const now = this.context.currentTime;
    gain.gain.cancelScheduledValues(now);
    gain.gain.setTargetAtTime(0, now, 0.04);
    for (const pipe of pipes) pipe.stop(now + 0.4);
    this.drone = null;
  }

  hush() {
    if (!this.context) return;
    this.stopListening();
    this.stopClick();
    this.stopDrone();
  }

  /** The beat that is heard now: `{beat, beats, strong}`, or null. */
  beatNow() {
    if (!this.#click) return null;
    const heard = this.context.currentTime - (this.context.outputLatency || this.context.baseLatency || 0);
    const one = this.#click.ahead.findLast((each) => each.time <= heard);
    return one ? { beat: one.beat, beats: one.beats } : null;
  }

  /** Schedule whatever begins within the horizon. */
  look() {
    const until = this.context.currentTime + (document.hidden ? AHEAD_HIDDEN : AHEAD);
    this.#lookAtClick(until);
    this.#lookAtTune(until);
  }

  #lookAtClick(until) {
    const click = this.#click;
    while (click && click.next < until && click.bar < click.last) {
      const bar = click.music.bars[barOf(click, click.bar)];
      const one = { time: click.next, bar: click.bar, beat: click.beat, beats: bar.length, length: bar[click.beat] };
      one.node = sounds(click) ? this.#stroke(one) : null;
      click.ahead.push(one);
      click.next += one.length * wholeOf(click, click.bar);
      click.beat += 1;
      if (click.beat === bar.length) Object.assign(click, { beat: 0, bar: click.bar + 1 });
    }
    if (click) click.ahead = click.ahead.slice(-256);
  }

  #lookAtTune(until) {
    const tune = this.#tune;
    if (!tune) return;
    for (; tune.next < tune.notes.length; tune.next += 1) {
      const note = tune.notes[tune.next];
      const time = tune.begin + note.start;
      if (time >= until) return;
      tune.nodes.push(this.#note(note, time, note.end - note.start, tune.music.a4));
      tune.end = tune.begin + note.end;
    }
    if (this.context.currentTime > (tune.end ?? 0)) {
      this.stopListening();
      this.onended?.();
    }
  }

  #stroke(one) {
    const node = this.context.createBufferSource();
    node.buffer = this.#strokes[one.beat === 0 ? 0 : 1];
    node.connect(this.#out);
    node.start(one.time);
    return node;
  }

  #note(note, time, length, a4) {
    const gain = this.context.createGain();
    const end = time + length * 0.94;
    const loud = NOTE * Math.min(1, note.loud / 110);
    gain.gain.setValueAtTime(0, time);
    gain.gain.linearRampToValueAtTime(loud, time + 0.012);
    gain.gain.setTargetAtTime(loud * 0.7, time + 0.03, 0.12);
    gain.gain.setTargetAtTime(0, end - 0.02, 0.012);
    gain.connect(this.#out);
    const node = this.context.createOscillator();
    node.setPeriodicWave(this.#reed);
    node.frequency.value = pitch(note.midi, a4);
    node.connect(gain);
    node.start(time);
    node.stop(end + 0.06);
    return node;
  }

  #unclick() {
    for (const one of this.#click?.ahead ?? []) if (one.time > this.context.currentTime) silence(one.node);
    this.#click = null;
  }

  #run() {
    this.look();
    if (!this.#ticker) {
      this.#ticker = new Worker(tickerAddress());
      this.#ticker.onmessage = () => this.look();
      document.addEventListener("visibilitychange", () => this.context && this.look());
    }
    this.#ticker.postMessage(TICK);
  }

  #rest() {
    if (!this.#click && !this.#tune) this.#ticker?.postMessage(0);
  }
}

const pitch = (midi, a4) => a4 * 2 ** ((midi - 69) / 12);
const value = (unit) => unit.split("/").reduce((top, bottom) => top / bottom);

const total = (lengths) => lengths.reduce((sum, length) => sum + length, 0);

const barOf = ({ music, counting }, bar) => Math.max(0, bar - counting) % music.bars.length;

/** Seconds of a whole note in a bar of the click. */
const wholeOf = (click, bar) => 60 / click.bpm / value(click.music.unit) / (click.music.speeds?.[barOf(click, bar)] ?? 1);

/** When a place in the music comes, in whole notes of the first bar's speed; swung eighths are long and short. */
function course({ bars, speeds = [], swing }) {
  const swung = (beat) => (swing ? Math.floor(beat) + (beat % 1 < 0.5 ? (beat % 1) * 4 / 3 : 2 / 3 + (beat % 1 - 0.5) * 2 / 3) : beat);
  return (place) => {
    let from = 0, when = 0, bar = 0;
    for (; bar < bars.length - 1 && from + total(bars[bar]) <= place + 1e-6; bar += 1) {
      from += total(bars[bar]);
      when += total(bars[bar]) / (speeds[bar] ?? 1);
    }
    return when + swung((place - from) * 4 + 1e-9) / 4 / (speeds[bar] ?? 1);
  };
}

/** Whether a beat is heard: all of a count-in, and then as the player likes it. */
function sounds({ bar, beat, counting }) {
  if (bar < counting) return true;
  if (prefs.clicks === "backbeat") return beat % 2 === 1;
  return prefs.clicks !== "dropout" || (bar - counting) % (ON_BARS + OFF_BARS) < ON_BARS;
}

function silence(node) {
  try {
    node?.stop();
  } catch { /* it had not begun */ }
  node?.disconnect();
}

/** A short dry stroke that begins at its very first sample. */
function stroke(context, frequency) {
  const length = Math.round(0.035 * context.sampleRate);
  const buffer = context.createBuffer(1, length, context.sampleRate);
  const samples = buffer.getChannelData(0);
  for (let n = 0; n < length; n += 1) {
    const time = n / context.sampleRate;
    samples[n] = CLICK * Math.cos(2 * Math.PI * frequency * time) * Math.exp(-time / 0.006);
  }
  return buffer;
}

/** The worker's address: a file of the server, or a text inside the one-file sheet. */
function tickerAddress() {
  const inside = document.getElementById("ticker");
  return inside ? URL.createObjectURL(new Blob([inside.textContent], { type: "text/javascript" })) : "/page/ticker.js";
}

export const sound = new Sound();
