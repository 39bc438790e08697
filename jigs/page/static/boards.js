/** Old boards: distances that are typed or pasted, and what the program finds in them. It computes nothing. */

import { ask, download, fetchFile, oneAtATime } from "./ask.js";
import { showAtFields, showFaultsIn } from "./faults.js";
import { off } from "./off.js";
import { fillIn, onShown, showLines, showPicture, showTable } from "./shown.js";
import * as words from "./words.js";

/** @typedef {import("./ask.js").Fault} Fault */

const FORM = "boards.";
const PAUSE_MS = 120;
const REST_MS = 1500;
/** More than this is too long for an address. */
const LONGEST_KEPT = 4000;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const form = /** @type {HTMLElement} */ (byId("board"));
const lines = /** @type {HTMLTextAreaElement} */ (byId("f-boards.text"));
const error = /** @type {HTMLInputElement} */ (byId("f-boards.reading-error"));

/** @type {import("./page.js").Page} */
let page;
/** @type {any} the last answer with a board */
let found = null;
/** Whether a line is being typed: it may be half of one. */
let typing = false;
let pause = 0;
let rest = 0;
let spoken = "";

const lineAtCaret = () => lines.value.slice(0, lines.selectionStart).split("\n").length;

/** @returns {Record<string, string>} */
const asked = () => ({ text: lines.value, "reading-error": error.value.trim(), typing: typing ? String(lineAtCaret()) : "" });

/** @param {Fault[]} faults */
function showFaults(faults) {
  const here = faults.filter(({ field }) => field.startsWith(FORM));
  showAtFields(here, form);
  showFaultsIn(byId("boards-faults"), faults.filter((fault) => !here.includes(fault)));
}

const refresh = oneAtATime(async () => {
  const reply = await ask("/survey", { ...page.question(), asked: asked() });
  showFaults(reply.faults);
  const faulty = reply.faults.length > 0;
  if (reply.rows) show(reply);
  else if (!faulty) found = null;
  byId("boards-found").hidden = found === null;
  byId("boards-found").classList.toggle("stale", faulty);
  byId("boards-empty").hidden = found !== null || faulty || Boolean(reply.waits);
  byId("boards-waits").textContent = reply.waits ?? "";
  byId("boards-waits").hidden = !reply.waits;
  off(byId("boards-use"), faulty ? words.FIX_HERE : "");
  off(byId("boards-pdf"), faulty ? words.FIX_HERE : (found?.no_pdf ?? ""));
  if (faulty) byId("why-boards-pdf").hidden = true;
  if (!typing && !byId("boards").hidden) say(reply);
});

/** @param {any} reply */
function show(reply) {
  found = reply;
  byId("boards-unfinished").hidden = !reply.unfinished;
  showPicture("boards-card", reply.picture);
  showLines("boards-findings", reply.findings, "p");
  showLines("boards-notes", reply.notes.map((/** @type {{text: string}} */ { text }) => text), "li");
  showTable("boards-table", reply.columns, reply.rows);
  byId("boards-measured").textContent = reply.measured;
  byId("boards-below").textContent = reply.below;
}

/** Speak what there is to know, once. @param {any} reply */
function say(reply) {
  const faults = reply.faults.map((/** @type {Fault} */ { what, remedy }) => `${what}; ${remedy}`);
  const text = (faults.length ? faults : (reply.findings ?? [reply.waits ?? ""])).join(". ");
  if (text && text !== spoken) page.speak(text);
  spoken = text;
}

/** @param {boolean} half whether a line may be half typed */
function changed(half) {
  typing = half;
  page.noted();
  clearTimeout(pause);
  clearTimeout(rest);
  pause = window.setTimeout(() => void refresh(), PAUSE_MS);
  if (half) rest = window.setTimeout(rested, REST_MS);
}

function rested() {
  clearTimeout(rest);
  if (!typing) return;
  typing = false;
  void refresh();
}

async function takePicture() {
  const { blob, faults } = await fetchFile("/survey-pdf", { ...page.question(), asked: { ...asked(), typing: "" } });
  if (blob) download(blob, found.pdf);
  else showFaults(faults);
}

/** @param {string} text what the address kept */
function keepLines(text) {
  lines.value = text;
  typing = false;
  void refresh();
}

/** @param {import("./page.js").Page} ours */
export function begin(ours) {
  page = ours;
  page.keep("board-error", () => error.value.trim(), (text) => void (error.value = text));
  page.keep("board", () => (lines.value.length <= LONGEST_KEPT ? lines.value : ""), keepLines);
  lines.addEventListener("input", (event) => changed(/** @type {InputEvent} */ (event).inputType !== "insertFromPaste"));
  lines.addEventListener("blur", rested);
  error.addEventListener("input", () => changed(false));
  onShown("boards", () => void refresh());
  byId("boards-use").addEventListener("click", async () => {
    rested();
    await refresh();
    if (found !== null && !byId("boards-use").disabled) fillIn(page, found.use, found.used);
  });
  byId("boards-pdf").addEventListener("click", () => void takePicture());
  byId("boards-csv").addEventListener("click", () => download(new Blob([lines.value], { type: "text/csv" }), found.csv));
}
