/** The figures beside the drawing, the notes, and the advice from readings. */

import { hideDiagnosis, isRow, showDiagnosis, wholeRows } from "./diagnose.js";
import { noteLine } from "./faults.js";
import { offerToKeep } from "./keep.js";
import { roundNow, showRounds } from "./rounds.js";
import { showPicture } from "./shown.js";
import { atEnd, waitsForReadings } from "./words.js";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const FRAMED = "values-from-preset";
const BOTH = "set-both";
const ONE_ALONE = "shift";
const OF_A_DIAGNOSIS = "diagnosis";
/** Kinds of advice lines that say what to do; the others say why. */
const WHAT_TO_DO = new Set([
  "set-both",
  "move",
  "shift",
  "wedges",
  "read-missing",
  "leave",
  "verdict-move",
  "verdict-stop",
  "verdict-check-first",
  "verdict-read-again",
  "verdict-read-next",
  "verdict-something-else",
]);

/** @typedef {{kind: string, text: string, indented: boolean}} AdviceLine */
/** @typedef {{name: string, figure: string, joint: string, rest: string}} HeadlineFigure */
/** @typedef {import("./faults.js").Note} Note */

/** @param {string} id @param {string[]} lines */
function list(id, lines) {
  byId(id).replaceChildren(
    ...lines.map((line) => {
      const item = document.createElement("li");
      item.textContent = line;
      return item;
    }),
  );
}

/** @param {string} name @param {string} figure @param {string} rest @param {string} kind @returns {HTMLElement} */
function cell(name, figure, rest, kind) {
  const box = document.createElement("div");
  const term = document.createElement("dt");
  const value = document.createElement("dd");
  const large = document.createElement("span");
  box.className = kind;
  term.textContent = name;
  large.className = "figure";
  large.textContent = figure;
  value.append(large, rest);
  box.append(term, value);
  return box;
}

/**
 * Each figure large, the rest of its sentence small.
 * @param {{name: string, headline: HeadlineFigure[], notes: Note[]}} reply
 */
export function showFigures({ name, headline, notes }) {
  const cells = headline.map(({ name: what, figure, rest }) => cell(what, figure, ` ${rest}`, "cell"));
  byId("headline").replaceChildren(cell("instrument", name, "", "cell of"), ...cells);
  byId("headline").hidden = false;
  showNotes(notes);
}

/** Remove the figures of a drawing that is gone. */
export function clearFigures() {
  byId("headline").hidden = true;
  showNotes([]);
}

/** Notes, except the one that is framed over the figures. @param {Note[]} all */
function showNotes(all) {
  const notes = all.filter(({ code }) => code !== FRAMED);
  byId("notes-list").replaceChildren(...notes.map(noteLine));
  byId("notes").hidden = notes.length === 0;
}

/** @param {HeadlineFigure[]} headline @returns {string} */
export const spoken = (headline) =>
  headline.map(({ name, figure, joint, rest }) => `${name}: ${figure}${joint}${rest}`).join(". ");

/** @param {string[]} outer what the outer strings are called */
export function nameOuter([treble, bass]) {
  byId("outer-treble").textContent = atEnd(treble, "treble");
  byId("outer-bass").textContent = atEnd(bass, "bass");
}

/** @param {number} fret at the octave */
export function nameOctave(fret) {
  for (const one of document.querySelectorAll("[data-octave-fret]")) one.textContent = String(fret);
}

/**
 * The readings of the strings that have both of theirs, null if none has and nothing was heard.
 * @param {Record<string, string>} given @param {boolean} heard @returns {Record<string, string> | null}
 */
export function wholeReadings(given, heard) {
  const pairs = ["treble", "bass"].map((end) => [`${end}-harmonic`, `${end}-fretted`]);
  const halves = pairs.filter((pair) => !pair.every((key) => given[key])).flat();
  const more = wholeRows(given);
  if (halves.length === 2 * pairs.length && !heard && !Object.keys(more).length) return null;
  const outer = Object.entries(given).filter(([key]) => !halves.includes(key) && !isRow(key));
  return { ...Object.fromEntries(outer), ...more };
}

/** Lines in paragraphs, parted at the gaps. @param {AdviceLine[]} lines @returns {AdviceLine[][]} */
function paragraphs(lines) {
  /** @type {AdviceLine[][]} */
  const blocks = [[]];
  for (const line of lines) {
    if (line.kind === "gap") blocks.push([]);
    else blocks[blocks.length - 1].push(line);
  }
  return blocks.filter((one) => one.length);
}

/** @param {AdviceLine[]} lines @returns {HTMLElement} */
function paragraph(lines) {
  const block = document.createElement("p");
  for (const { kind, text, indented } of lines) {
    const item = document.createElement("span");
    item.className = WHAT_TO_DO.has(kind) ? "line to-do" : indented ? "line within" : "line";
    item.dataset.kind = kind;
    item.textContent = text;
    block.append(item, " ");
  }
  return block;
}

/** What is asked for besides the readings: a move of one end at a time. @returns {Record<string, string>} */
export const oneEnd = () => (byId("one-end").checked ? { "one-end": "true" } : {});

/**
 * The picture, then what to do; the rest is folded away.
 * @param {any} reply of the readings @returns {string} what to do, to be spoken
 */
export function showAdvice(reply) {
  const { lines: all, notes, picture, round } = reply;
  const lines = /** @type {AdviceLine[]} */ (all).filter(({ kind }) => !kind.startsWith(OF_A_DIAGNOSIS));
  const together = lines.some(({ kind }) => kind === BOTH);
  const toDo = lines.filter(({ kind }) => WHAT_TO_DO.has(kind) && !(together && kind === ONE_ALONE));
  const rest = lines.filter(({ kind }) => !WHAT_TO_DO.has(kind));
  byId("advice").hidden = false;
  byId("advice-waits").hidden = true;
  showPicture("advice-card", picture);
  byId("advice-lines").replaceChildren(paragraph(toDo));
  byId("advice-rest").replaceChildren(...paragraphs(rest).map(paragraph));
  list("advice-notes", notes.map((/** @type {Note} */ { text }) => text));
  byId("one-end-row").hidden = !reply.two_moves;
  byId("moved").hidden = round === null;
  showDiagnosis(reply);
  showRounds(reply.rounds_picture ?? "");
  offerToKeep(reply);
  return toDo.map(({ text }) => (text.endsWith(".") ? text : `${text}.`)).join(" ");
}

/** Remove the advice, and say what it waits for. */
export function hideAdvice() {
  const later = roundNow() > 1;
  byId("advice").hidden = true;
  byId("waits-now").textContent = waitsForReadings(roundNow());
  byId("waits-now").hidden = !later;
  byId("bench-empty").hidden = later;
  byId("advice-waits").hidden = false;
  hideDiagnosis();
  showRounds();
  offerToKeep(null);
}

/** @param {import("./page.js").Page} page what the page does for it */
export function begin(page) {
  page.keep("one-end", () => (byId("one-end").checked ? "true" : ""), (text) => void (byId("one-end").checked = text === "true"));
  byId("one-end").addEventListener("change", () => page.changed());
}
