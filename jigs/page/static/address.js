/** The page's address: it holds everything that was filled in, and an opened file as a whole. */

/** @typedef {import("./ask.js").Base} Base */
/** @typedef {import("./listen.js").Pair} Pair */
/** @typedef {import("./rounds.js").Round} Round */
/** @typedef {{base: Base, fields: Record<string, string>, draw: Record<string, string>, readings: Record<string, string>, rounds: Round[], heard: Pair[], sheet: number, view: string, kept: Record<string, string>}} State */

import { FIRST_VIEW } from "./views.js";

const FROM = "from";
const FILE = "file";
const STAMP = "stamp";
const PACKED = "packed";
const TEXT = "text";
const SHEET = "sheet";
const VIEW = "view";
const AT_THE_BENCH = "listen";
const ROUND = "round";
const HEARD = "heard";

const PACKS = "CompressionStream" in window && "DecompressionStream" in window;
const LARGEST_TEXT = 1 << 20;

/** @param {string} text @returns {Promise<string>} */
async function pack(text) {
  const stream = new Blob([text]).stream().pipeThrough(new CompressionStream("deflate-raw"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  let binary = "";
  for (const byte of bytes) binary += String.fromCharCode(byte);
  return btoa(binary).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

/** @param {string} packed @returns {Promise<string>} */
async function unpack(packed) {
  const binary = atob(packed.replaceAll("-", "+").replaceAll("_", "/"));
  const bytes = Uint8Array.from(binary, (char) => char.charCodeAt(0));
  const reader = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("deflate-raw")).getReader();
  const decoder = new TextDecoder();
  let text = "";
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return text + decoder.decode();
    text += decoder.decode(value, { stream: true });
    if (text.length > LARGEST_TEXT) throw new RangeError("too large");
  }
}

/**
 * @param {State} state
 * @returns {Promise<string>} the fragment, without its #
 */
export async function toAddress({ base, fields, draw, readings, rounds, heard, sheet, view, kept }) {
  const parts = new URLSearchParams();
  if ("preset" in base) {
    parts.set(FROM, base.preset);
  } else {
    parts.set(FILE, base.name);
    if (base.stamp) parts.set(STAMP, base.stamp);
    parts.set(PACKS ? PACKED : TEXT, PACKS ? await pack(base.text) : base.text);
  }
  for (const group of [fields, draw, readings]) {
    for (const [key, value] of Object.entries(group)) parts.set(key, value);
  }
  for (const round of rounds) parts.append(ROUND, JSON.stringify(round));
  for (const pair of heard) parts.append(HEARD, JSON.stringify(pair));
  if (sheet > 0) parts.set(SHEET, String(sheet + 1));
  if (view !== usualView({ readings, rounds, heard })) parts.set(VIEW, view);
  for (const [name, text] of Object.entries(kept)) if (text) parts.set(name, text);
  return parts.toString();
}

/**
 * @param {string} fragment without its #
 * @param {{isField: (key: string) => boolean, isDraw: (key: string) => boolean, isReading: (key: string) => boolean, preset: string, kept: () => string[]}} known
 *   what this page has fields for, and the preset to begin with if the address names none
 * @returns {Promise<State>}
 */
export async function fromAddress(fragment, known) {
  const parts = new URLSearchParams(fragment);
  /** @type {State} */
  const state = {
    base: { preset: parts.get(FROM) ?? known.preset },
    fields: {},
    draw: {},
    readings: {},
    rounds: listOf(parts, ROUND),
    heard: listOf(parts, HEARD),
    sheet: 0,
    view: "",
    kept: Object.fromEntries(known.kept().map((name) => [name, parts.get(name) ?? ""])),
  };
  const name = parts.get(FILE);
  const stamp = parts.get(STAMP);
  if (name !== null) state.base = { name, text: await textOf(parts), ...(stamp ? { stamp } : {}) };
  for (const [key, value] of parts) {
    if (known.isField(key)) state.fields[key] = value;
    else if (known.isDraw(key)) state.draw[key] = value;
    else if (known.isReading(key)) state.readings[key] = value;
  }
  state.view = parts.get(VIEW) ?? usualView(state);
  state.sheet = Math.max(0, (Number.parseInt(parts.get(SHEET) ?? "1", 10) || 1) - 1);
  return state;
}

/**
 * Where a page begins whose address names no view: at the bench once something was read.
 * @param {{readings: object, rounds: Round[], heard: Pair[]}} state @returns {string}
 */
const usualView = ({ readings, rounds, heard }) =>
  Object.keys(readings).length || rounds.length || heard.length ? AT_THE_BENCH : FIRST_VIEW;

/**
 * What an address has several of: none if one of them is damaged, because each goes on from the last.
 * @param {URLSearchParams} parts @param {string} name @returns {any[]}
 */
function listOf(parts, name) {
  try {
    return parts.getAll(name).map((text) => JSON.parse(text));
  } catch {
    return [];
  }
}

/** @param {URLSearchParams} parts @returns {Promise<string>} */
async function textOf(parts) {
  const packed = parts.get(PACKED);
  if (packed === null) return parts.get(TEXT) ?? "";
  try {
    return await unpack(packed);
  } catch {
    return "";
  }
}
