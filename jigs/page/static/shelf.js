/** The shelf: the user's instruments in a folder, to open, copy, save and draw all at once. */

import { ask, download, fetchFile, oneAtATime } from "./ask.js";
import { goTo, inWords, showAtFields, showFaultsIn, signed } from "./faults.js";
import { off } from "./off.js";
import { onShown, showLines } from "./shown.js";
import * as words from "./words.js";

/** @typedef {import("./ask.js").Fault} Fault */
/** @typedef {{file: string, stamp: string, name: string, facts: string[], fault: string, opens: boolean}} Entry */
/** @typedef {{why: string, text: string, free: string, file: string}} Conflict */

const FORM = "shelf.";
const GONE = "gone";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const fileName = /** @type {HTMLInputElement} */ (byId("f-shelf.file"));
const templates = /** @type {HTMLSelectElement} */ (byId("f-shelf.templates"));

/** @type {import("./page.js").Page} */
let page;
/** What is on the shelf, null before it is known and where there is no shelf. @type {{files: Entry[], drawn: boolean} | null} */
let listed = null;
/** @type {Conflict | null} */
let conflict = null;
/** What was open when it was found. */
let conflictOf = "";
/** Whether the instrument has no faults. */
let fine = true;
let drawing = false;
/** The name that the program proposed for a new file. */
let proposed = "";

/** The file of the shelf that is open, with the stamp that it was opened with; null for any other instrument. */
function openNow() {
  const { base } = page.question();
  return "stamp" in base && base.stamp !== undefined ? { file: base.name, stamp: base.stamp } : null;
}

const changes = () => Object.keys(page.question().fields).length;

// ---- what is on it

const refresh = oneAtATime(async () => {
  const reply = await ask("/shelf-list", page.question());
  const faulty = reply.faults.length > 0;
  showFaultsIn(byId("shelf-none"), reply.faults);
  byId("shelf-there").hidden = faulty;
  listed = faulty ? null : reply;
  if (faulty) return;
  if (fileName.value === proposed) fileName.value = reply.new;
  proposed = reply.new;
  byId("shelf-list").replaceChildren(...reply.files.map(row));
  byId("shelf-empty").hidden = reply.files.length > 0;
  byId("shelf-more").textContent = reply.more;
  byId("shelf-more").hidden = reply.more === "";
  byId("shelf-folder").textContent = reply.folder;
  showState();
});

/** @param {Entry} entry @returns {HTMLElement} */
function row(entry) {
  const line = document.createElement("li");
  const what = document.createElement("div");
  const name = document.createElement("strong");
  name.textContent = entry.name || entry.file;
  what.append(name);
  if (entry.name) what.append(lineOf(entry.file, "hint"));
  what.append(...entry.facts.map((fact) => lineOf(fact, "hint")));
  if (entry.fault) {
    const fault = lineOf("", "refusal");
    fault.append(signed(entry.fault));
    what.append(fault);
  }
  const now = openNow();
  if (now?.file === entry.file) {
    line.dataset.open = "";
    what.append(lineOf(now.stamp === entry.stamp ? words.OPEN_NOW : words.CHANGED_ON_SHELF, "open-now"));
  }
  const buttons = document.createElement("div");
  buttons.append(
    button(words.OPEN, entry, () => openFile(entry.file), entry.opens),
    button(words.COPY, entry, () => copyFile(entry.file), true),
  );
  line.append(what, buttons);
  return line;
}

/** @param {string} text @param {string} kind @returns {HTMLElement} */
function lineOf(text, kind) {
  const line = document.createElement("span");
  line.className = `line ${kind}`;
  line.textContent = text;
  return line;
}

/** @param {string} text @param {Entry} entry @param {() => void} then @param {boolean} on @returns {HTMLElement} */
function button(text, entry, then, on) {
  const made = document.createElement("button");
  const of = document.createElement("span");
  made.type = "button";
  of.className = "unseen";
  of.textContent = ` ${entry.file}`;
  made.append(text, of);
  made.disabled = !on;
  made.addEventListener("click", then);
  return made;
}

/** What is open, whether it can be saved, and what can be drawn. */
function showState() {
  const now = openNow();
  const { base } = page.question();
  if (conflict && JSON.stringify(base) !== conflictOf) showConflict(null);
  const entry = listed?.files.find(({ file }) => file === now?.file);
  byId("shelf-name").textContent = now ? now.file : "name" in base ? base.name : words.FROM_A_PRESET;
  byId("shelf-state").textContent = now ? words.sinceOpened(changes()) : words.NOT_ON_SHELF;
  byId("shelf-save-row").hidden = now === null;
  const unchanged = changes() === 0 && entry !== undefined && entry.stamp === now?.stamp;
  off(byId("shelf-save"), !fine ? words.FIX_FIRST : unchanged ? words.NOTHING_TO_SAVE : "");
  off(byId("shelf-save-new"), fine ? "" : words.FIX_FIRST);
  if (byId("save")) off(byId("save"), !fine ? words.FIX_FIRST : now && unchanged ? words.NOTHING_TO_SAVE : "");
  const { paper, printer } = page.question().draw;
  byId("shelf-paper").textContent = words.drawnOn(paper, printer);
  const none = listed?.files.length === 0;
  off(byId("shelf-draw"), drawing ? words.DRAWING_ALL : none ? words.NOTHING_TO_DRAW : "");
  const why = drawing ? words.DRAWING_ALL : listed?.drawn ? "" : words.DRAW_ALL_FIRST;
  off(byId("shelf-index"), why);
  byId("shelf-archive").disabled = why !== "";
}

// ---- open, copy, save

/** @param {Fault[]} faults */
function showFaults(faults) {
  const here = faults.filter(({ field }) => field.startsWith(FORM));
  showAtFields(here, byId("shelf-new"));
  showFaultsIn(byId("shelf-faults"), faults.filter((fault) => !here.includes(fault)));
  if (!faults.length) return;
  goTo(byId(here.length ? `f-${here[0].field}` : "shelf-open-title"));
  page.speak(inWords(faults));
}

/** @param {string} text what was done, "" for nothing */
function done(text) {
  for (const shown of [byId("shelf-done"), byId("save-said")]) {
    if (!shown) continue;
    shown.textContent = text;
    shown.hidden = text === "";
  }
  if (text) page.speak(text);
}

/** @param {Conflict | null} found */
function showConflict(found) {
  conflict = found;
  conflictOf = JSON.stringify(page.question().base);
  byId("shelf-conflict").hidden = found === null;
  if (found === null) return;
  byId("shelf-conflict-text").replaceChildren(signed(found.text));
  byId("shelf-beside").textContent = words.saveBeside(found.free);
  byId("shelf-other").hidden = found.why === GONE;
  page.goTo(byId("shelf-conflict"));
  page.speak(found.text);
}

function clear() {
  showFaults([]);
  showConflict(null);
  done("");
}

/** @param {string} file */
async function openFile(file) {
  clear();
  const reply = await ask("/shelf-open", { ...page.question(), asked: { file } });
  if (reply.faults.length) {
    showFaults(reply.faults);
    return;
  }
  page.show("measure");
  await page.startFrom({ name: reply.name, text: reply.text, stamp: reply.stamp });
  byId("preset").focus({ preventScroll: true });
  page.speak(words.opened(file));
}

/** @param {string} file */
async function copyFile(file) {
  clear();
  const reply = await ask("/shelf-copy", { ...page.question(), asked: { file } });
  showFaults(reply.faults);
  if (reply.faults.length) return;
  await refresh();
  done(words.copied(file, reply.name));
}

/**
 * Save what the form says. It goes on from the saved text, with what was typed meanwhile.
 * @param {string} file @param {string} stamp that it was opened with, "" for a new file
 * @returns {Promise<boolean>}
 */
async function save(file, stamp) {
  clear();
  const before = page.question();
  const reply = await ask("/shelf-save", { ...before, asked: { file, stamp } });
  if (reply.faults.length) {
    showFaults(reply.faults);
    return false;
  }
  if (reply.conflict) {
    showConflict(reply.conflict);
    await refresh();
    return false;
  }
  const after = page.question().fields;
  await page.goOnFrom({ name: reply.name, text: reply.text, stamp: reply.stamp });
  if (JSON.stringify(after) !== JSON.stringify(before.fields)) page.setFields(after);
  await refresh();
  done(words.saved(reply.name));
  return true;
}

/** Save the instrument on the shelf; one that is not there yet gets its file's name first. */
export async function saveNow() {
  const now = openNow();
  if (now) {
    await save(now.file, now.stamp);
    return;
  }
  page.show("shelf");
  await refresh();
  page.goTo(listed ? fileName : byId("shelf"));
}

async function saveBeside() {
  if (conflict) await save(conflict.free, "");
}

async function openOther() {
  if (conflict) await openFile(conflict.file);
}

// ---- draw all

async function drawAll() {
  drawing = true;
  showState();
  byId("shelf-drawn").hidden = false;
  byId("shelf-troubles").replaceChildren();
  byId("shelf-outcome").textContent = words.DRAWING_ALL;
  page.speak(words.DRAWING_ALL);
  const reply = await ask("/shelf-draw", { ...page.question(), asked: { templates: templates.value } });
  drawing = false;
  const faults = reply.faults.length ? reply.faults : reply.troubles;
  byId("shelf-outcome").textContent = reply.outcome ?? words.NOTHING_DRAWN;
  showFaultsIn(byId("shelf-troubles"), faults);
  for (const { file, missing } of reply.files ?? []) {
    for (const text of missing) byId("shelf-troubles").append(item(`${file}: ${text}`));
  }
  for (const text of [reply.nothing, reply.left].filter(Boolean)) byId("shelf-troubles").append(item(text));
  byId("shelf-troubles").hidden = byId("shelf-troubles").childElementCount === 0;
  await refresh();
  goTo(byId("shelf-drawn"));
  page.speak([byId("shelf-outcome").textContent, faults.length ? inWords(faults) : ""].filter(Boolean).join(". "));
}

/** @param {string} text @returns {HTMLElement} */
function item(text) {
  const line = document.createElement("li");
  line.textContent = text;
  return line;
}

/** @param {string} route @param {string} name */
async function takeFile(route, name) {
  const { blob, faults } = await fetchFile(route, page.question());
  if (blob) download(blob, name);
  byId("shelf-drawn").hidden = false;
  byId("shelf-outcome").textContent = blob ? words.inDownloads(name, false) : words.NOTHING_TAKEN;
  showFaultsIn(byId("shelf-troubles"), faults);
  page.speak(blob ? words.inDownloads(name, false) : inWords(faults));
}

/** @param {import("./page.js").Page} given */
export function begin(given) {
  page = given;
  page.afterDrawing((reply) => {
    fine = reply.headline !== undefined;
    if (!byId("shelf").hidden || byId("save")) showState();
  });
  onShown("shelf", () => void refresh());
  byId("shelf-save").addEventListener("click", saveNow);
  byId("save")?.addEventListener("click", saveNow);
  byId("shelf-save-new").addEventListener("click", () => save(fileName.value, ""));
  fileName.addEventListener("keydown", (event) => event.key === "Enter" && !byId("shelf-save-new").disabled && save(fileName.value, ""));
  byId("shelf-beside").addEventListener("click", saveBeside);
  byId("shelf-other").addEventListener("click", openOther);
  byId("shelf-draw").addEventListener("click", drawAll);
  byId("shelf-index").addEventListener("click", () => takeFile("/shelf-index", "rack-index.pdf"));
  byId("shelf-archive").addEventListener("click", () => takeFile("/shelf-archive", "shelf-drawings.zip"));
}
