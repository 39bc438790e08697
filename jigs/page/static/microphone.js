/** The microphone: the newest seconds of its sound, kept here until they are forgotten. */

import * as words from "./words.js";

const KEPT_S = 4;
/** Of a microphone that was just opened, and after a gap: what settles is not heard. */
const SETTLES_S = 0.03;
const LARGEST_BYTES = 2_000_000;
const SAMPLE_BYTES = 4;
const RAW = { echoCancellation: false, noiseSuppression: false, autoGainControl: false };
const WHY_NOT = new Map([
  ["NotAllowedError", words.MICROPHONE_DENIED],
  ["SecurityError", words.MICROPHONE_DENIED],
  ["NotFoundError", words.NO_MICROPHONE],
  ["NotReadableError", words.MICROPHONE_BUSY],
]);

/** @typedef {{at: number, samples: Float32Array}} Block */

/** @type {MediaStream | null} */
let stream = null;
/** @type {AudioContext | null} */
let context = null;
/** @type {Block[]} */
let blocks = [];
let next = -1;
let heardFrom = 0;
let opened = 0;

/**
 * Open it. Returns a sentence if it cannot be opened, "" if it is open, or null if it was closed meanwhile.
 * @param {() => void} onEnd called if it ends by itself @returns {Promise<string | null>}
 */
export async function openMicrophone(onEnd) {
  closeMicrophone();
  const mine = ++opened;
  if (!navigator.mediaDevices?.getUserMedia || !window.AudioWorkletNode) return words.MICROPHONE_ELSEWHERE;
  try {
    const found = await navigator.mediaDevices.getUserMedia({ audio: { ...RAW, channelCount: { ideal: 1 } } });
    if (mine !== opened) {
      stop(found);
      return null;
    }
    stream = found;
    context = new AudioContext();
    await context.audioWorklet.addModule("/static/hears.js");
    if (mine !== opened) return null;
    const hears = new AudioWorkletNode(context, "hears", { channelCount: 1, channelCountMode: "explicit" });
    hears.port.onmessage = ({ data }) => keep(data);
    // What it plays is silence. A part of the chain that leads nowhere is not run everywhere.
    context.createMediaStreamSource(found).connect(hears).connect(context.destination);
    await context.resume();
    found.getAudioTracks()[0].addEventListener("ended", () => mine === opened && onEnd());
    return mine === opened ? "" : null;
  } catch (error) {
    if (mine !== opened) return null;
    closeMicrophone();
    return WHY_NOT.get(error instanceof DOMException ? error.name : "") ?? words.MICROPHONE_BUSY;
  }
}

/** Close it, and forget what it heard. */
export function closeMicrophone() {
  opened += 1;
  if (stream) stop(stream);
  void context?.close();
  stream = context = null;
  blocks = [];
  next = -1;
}

/** @param {MediaStream} one */
function stop(one) {
  for (const track of one.getTracks()) track.stop();
}

/** Whether the browser still changes the sound, though it was asked not to. */
export function isProcessed() {
  const settings = /** @type {Record<string, unknown>} */ (stream?.getAudioTracks()[0].getSettings() ?? {});
  return Object.keys(RAW).some((name) => settings[name] === true);
}

/** @param {Block} block */
function keep(block) {
  if (!context) return;
  if (block.at !== next) {
    blocks = [];
    heardFrom = block.at + SETTLES_S * context.sampleRate;
  }
  next = block.at + block.samples.length;
  if (block.at < heardFrom) return;
  blocks.push(block);
  const most = Math.min(KEPT_S * context.sampleRate, LARGEST_BYTES / SAMPLE_BYTES);
  while (next - blocks[0].at > most) blocks.shift();
}

/**
 * What is kept, as a WAV file, and where in time it begins; null if there is nothing.
 * @returns {{wav: Blob, at: number, rate: number} | null}
 */
export function soundKept() {
  if (!context || !blocks.length) return null;
  const bytes = SAMPLE_BYTES * blocks.reduce((sum, { samples }) => sum + samples.length, 0);
  const parts = [header(bytes, context.sampleRate), ...blocks.map(({ samples }) => /** @type {BlobPart} */ (samples))];
  return { wav: new Blob(parts, { type: "audio/wav" }), at: blocks[0].at, rate: context.sampleRate };
}

/** Forget what is before a place in time; all of it if none is given. @param {number} [before] */
export function forget(before = Infinity) {
  heardFrom = Math.max(heardFrom, Number.isFinite(before) ? before : next);
  blocks = blocks.filter(({ at }) => at >= heardFrom);
}

/** The header of a WAV file with floats of one channel. @param {number} bytes @param {number} rate */
function header(bytes, rate) {
  const view = new DataView(new ArrayBuffer(44));
  const text = (/** @type {number} */ at, /** @type {string} */ four) =>
    Array.from(four).forEach((one, n) => view.setUint8(at + n, one.charCodeAt(0)));
  text(0, "RIFF");
  view.setUint32(4, 36 + bytes, true);
  text(8, "WAVE");
  text(12, "fmt ");
  view.setUint32(16, 16, true);
  view.setUint16(20, 3, true);
  view.setUint16(22, 1, true);
  view.setUint32(24, rate, true);
  view.setUint32(28, rate * SAMPLE_BYTES, true);
  view.setUint16(32, SAMPLE_BYTES, true);
  view.setUint16(34, 8 * SAMPLE_BYTES, true);
  text(36, "data");
  view.setUint32(40, bytes, true);
  return view;
}
