/** “Keep this place”: the instrument goes on from a text with the place in it, and the shelf has it too. */

import { ask } from "./ask.js";
import { goTo, inWords, showAtFields, showFaultsIn } from "./faults.js";
import { readingsGiven } from "./form.js";
import { heardPairs } from "./listen.js";
import { oneEnd, wholeReadings } from "./result.js";
import { roundsDone, startNow } from "./rounds.js";
import { saveNow } from "./shelf.js";
import { showLines } from "./shown.js";
import * as words from "./words.js";

/** @typedef {import("./ask.js").Fault} Fault */

const FORM = "keep.";
const KEYS = ["fret", "treble", "bass", "plus-minus", "date", "strings"];
const FROM_ROUNDS = "round";
const MEASURED = "at";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const how = /** @type {HTMLSelectElement} */ (byId("f-keep.how"));

/** @type {import("./page.js").Page} */
let page;
/** The text that was kept last. */
let keptText = "";
let keptName = "";
/** Whether the last advice is to stop in a place that the page knows. */
let known = false;

const isKept = () => keptText !== "" && /** @type {any} */ (page.question().base).text === keptText;

/** What was read in this round, and where it began. */
const thisRound = () => {
  const heard = heardPairs();
  return {
    readings: wholeReadings(readingsGiven(), heard.length > 0) ?? {},
    start: startNow(),
    rounds: roundsDone(),
    heard,
  };
};

/** Show only what this way to know a place needs. */
function showWay() {
  for (const one of byId("keep").querySelectorAll("[data-way]")) {
    one.hidden = !one.dataset.way.split(" ").includes(how.value);
  }
  byId("keep-anyway").hidden = true;
}

/** @returns {Record<string, string>} */
function asked() {
  const more = KEYS.map((key) => [key, byId(`f-${FORM}${key}`)]).filter(([, one]) => !one.closest("[data-way][hidden]"));
  return { how: how.value, ...Object.fromEntries(more.map(([key, one]) => [key, one.value.trim()])) };
}

/** @param {Fault[]} faults @param {boolean} mayConfirm */
function refuse(faults, mayConfirm) {
  const here = faults.filter(({ field }) => field.startsWith(FORM));
  showAtFields(here, byId("keep-form"));
  showFaultsIn(byId("keep-faults"), faults.filter((fault) => !here.includes(fault)));
  byId("keep-anyway").hidden = !mayConfirm;
  if (!faults.length) return;
  goTo(mayConfirm ? byId("keep-anyway") : (byId(`f-${here[0]?.field}`) ?? byId("keep-place")));
  page.speak(inWords(faults));
}

/** @param {Record<string, string>} what is kept */
async function keep(what) {
  const before = { ...page.question(), ...thisRound() };
  const reply = await ask("/keep", { ...before, asked: { ...what, ...oneEnd() } });
  if (reply.faults.length) {
    byId("keep").open = true;
    refuse(reply.faults, reply.may_confirm === true);
    return;
  }
  refuse([], false);
  const { text, name, lines } = reply;
  const stamp = /** @type {any} */ (before.base).stamp;
  const shelf = stamp === undefined ? { base: { text, name }, said: "" } : await onTheShelf(text, name, stamp);
  if (stamp !== undefined && !shelf.said) await addToLog(before, name);
  keptText = text;
  keptName = name;
  byId("kept-first").textContent = lines[0];
  showLines("kept-lines", lines.slice(1), "li");
  byId("kept-shelf").textContent = shelf.said;
  byId("kept-shelf").hidden = shelf.said === "";
  await page.goOnFrom(shelf.base);
  showKept();
  goTo(byId("kept"));
  page.speak([lines[0], shelf.said].filter(Boolean).join(". "));
}

/**
 * Save the text on the shelf, unless somebody saved another one since.
 * @param {string} text @param {string} name @param {string} stamp
 */
async function onTheShelf(text, name, stamp) {
  const reply = await ask("/shelf-save", { base: { text, name }, asked: { file: name, stamp } });
  if (reply.stamp) return { base: { text, name, stamp: reply.stamp }, said: "" };
  const why = reply.conflict?.text ?? inWords(reply.faults);
  return { base: { text, name, stamp }, said: words.notOnTheShelf(why) };
}

/** @param {object} round @param {string} file */
async function addToLog(round, file) {
  const { faults } = await ask("/shelf-log", { ...round, asked: { file, ...oneEnd() } });
  showFaultsIn(byId("log-faults"), faults);
  if (faults.length) page.speak(inWords(faults));
}

/** Add the round that was read to the log of an instrument on the shelf. */
export async function logRound() {
  const { base } = page.question();
  const { stamp, name } = /** @type {any} */ (base);
  if (stamp !== undefined) await addToLog({ ...page.question(), ...thisRound() }, name);
}

/** Show what was kept as long as the instrument is that one. */
function showKept() {
  byId("kept").hidden = !isKept();
  byId("kept-save-row").hidden = /** @type {any} */ (page.question().base).stamp !== undefined;
  byId("keep-row").hidden = !known || isKept();
}

/** @param {{kind: string} | null} advice that is shown, null for none */
export function offerToKeep(advice) {
  known = advice?.kind === "verdict-stop";
  how.options[0].disabled = !known;
  showKept();
}

/** One press is enough where the rounds say the place; else it leads to the form. */
async function keepNow() {
  how.value = FROM_ROUNDS;
  showWay();
  await keep({ how: FROM_ROUNDS });
  if (byId("keep").open && how.value === FROM_ROUNDS && byId("x-keep.how").hidden === false) {
    how.value = MEASURED;
    for (const one of byId("keep").querySelectorAll("[data-way]")) {
      one.hidden = !one.dataset.way.split(" ").includes(MEASURED);
    }
    goTo(byId("f-keep.treble"));
  }
}

/** @param {import("./page.js").Page} with_ what the page does for it */
export function begin(with_) {
  page = with_;
  how.value = MEASURED;
  showWay();
  how.addEventListener("change", () => {
    refuse([], false);
    showWay();
  });
  byId("keep-now").addEventListener("click", () => void keepNow());
  byId("keep-form").addEventListener("submit", (/** @type {Event} */ event) => {
    event.preventDefault();
    void keep(asked());
  });
  byId("keep-anyway").addEventListener("click", () => void keep({ ...asked(), sure: "true" }));
  byId("kept-save").addEventListener("click", saveNow);
  byId("kept-file").addEventListener("click", () => void page.take("/file", () => keptName));
  page.afterDrawing(showKept);
}
