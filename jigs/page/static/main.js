/** The page: fill in, look, print. Everything that changes goes through `changed`. */

import { fromAddress, toAddress } from "./address.js";
import { ask, fetchFile, oneAtATime, download } from "./ask.js";
import { begin as beginBoards } from "./boards.js";
import { begin as beginFaults, goTo, inWords, showFaults, toCheckFirst } from "./faults.js";
import {
  drawingOrdered,
  errorsGiven,
  fillDrawing,
  fillInstrument,
  fillReadings,
  filledIn,
  firstReading,
  isDraw,
  isField,
  isReading,
  keepPaper,
  readingsGiven,
  setFields,
  showOptions,
} from "./form.js";
import { atAGlance, showGlance } from "./glance.js";
import { begin as beginListening, heardPairs, setHeard } from "./listen.js";
import { begin as beginDiagnosing } from "./diagnose.js";
import { begin as beginKeeping, logRound } from "./keep.js";
import {
  begin as beginResult,
  clearFigures,
  hideAdvice,
  nameOctave,
  nameOuter,
  oneEnd,
  showAdvice,
  showFigures,
  spoken,
  wholeReadings,
} from "./result.js";
import { begin as beginMeasuring, typedHere } from "./measure.js";
import { roundNow, roundsDone, setRounds, startNow } from "./rounds.js";
import { begin as beginSheet, showSheets, shownSheet, turnTo } from "./sheet.js";
import { showLacks } from "./lacks.js";
import { off } from "./off.js";
import { begin as beginOtherStrings } from "./other_strings.js";
import { begin as beginPrinters } from "./printers.js";
import { begin as beginShelf } from "./shelf.js";
import { begin as beginStop } from "./stop.js";
import { begin as beginStrings, setValue, valueOf } from "./strings.js";
import { begin as beginTakes } from "./takes.js";
import { begin as beginUnits } from "./units.js";
import { begin as beginViews, goToView, showView, shownView } from "./views.js";
import * as words from "./words.js";

/** @typedef {import("./ask.js").Base} Base */
/** @typedef {import("./address.js").State} State */

const SETTLED_MS = 600;
const ADDRESS_MS = 250;
const LARGEST_FILE = 1 << 20;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const presets = /** @type {HTMLSelectElement} */ (byId("preset"));
/** @type {Map<string, {get: () => string, set: (text: string) => void}>} what the views keep in the address */
const kept = new Map();
const known = { isField, isDraw, isReading, preset: presets.options[0].value, kept: () => Array.from(kept.keys()) };
if (Array.from(presets.options).some((option) => option.value === "banjo")) known.preset = "banjo";

/** @type {Base} */
let base = { preset: known.preset };
/** @type {any} the last drawing of this instrument without a fault */
let good = null;
/** The template of that drawing: only it may stay while there is a fault. */
let goodOf = "";
/** @type {import("./rounds.js").Round | null} the round that the advice shown will be, once the bridge is moved */
let advised = null;
/** What was done last, to be spoken with what comes of it. */
let happened = "";
let faulty = true;
let loading = false;
let loads = 0;
/** Whether the page shows only a part of what is being opened: its address is written once it shows all. */
let partial = false;
let addressWaits = false;
/** What is typed while an instrument is being opened, by the id of its field. @type {Map<string, string>} */
const typedMeanwhile = new Map();
let written = "";
let announced = "";
let addressTimer = 0;
let spokenTimer = 0;

const question = () => ({ base, fields: filledIn(), draw: drawingOrdered(), readings: {} });

/** @returns {State} */
const state = () => ({
  ...question(),
  readings: readingsGiven(),
  rounds: roundsDone(),
  heard: heardPairs(),
  sheet: shownSheet(),
  view: shownView(),
  kept: Object.fromEntries(Array.from(kept, ([name, { get }]) => [name, get()])),
});

/** Speak it once things have settled, if it is new. @param {string} words */
function say(words) {
  clearTimeout(spokenTimer);
  if (words === announced) {
    happened = "";
    return;
  }
  const of = happened;
  spokenTimer = window.setTimeout(() => {
    announced = words;
    if (happened === of) happened = "";
    byId("said").textContent = words;
  }, SETTLED_MS);
}

/** Speak it at once, again too if it was spoken last. @param {string} words */
function speak(words) {
  clearTimeout(spokenTimer);
  announced = words;
  byId("said").textContent = "";
  byId("said").append(words);
}

const redraw = oneAtATime(async () => {
  const now = question();
  const given = readingsGiven();
  const reply = await ask("/draw", { ...now, asked: { measured: typedHere().join(" ") } });
  faulty = reply.faults.length > 0;
  const template = now.draw.template ?? "";
  const stays = faulty && good !== null && goodOf === template && !reply.lacks;
  if (!faulty) {
    good = reply;
    goodOf = template;
    showSheets(reply.sheets);
    keepPaper(now.draw.paper ?? "");
    document.title = `${reply.name}: bridge-jigs`;
  } else if (!stays) {
    showSheets([]);
    showLacks(reply.lacks ?? null, byId("f-draw.template").selectedOptions[0]?.text ?? "");
  }
  if (reply.headline) {
    showFigures(reply);
    nameOuter(reply.outer_strings);
    nameOctave(reply.octave_fret);
  } else if (good === null) {
    clearFigures();
  }
  byId("sheet").classList.toggle("stale", faulty);
  byId("result").classList.toggle("stale", faulty && !reply.headline);
  byId("stale").hidden = !stays;
  off(byId("pdf"), faulty ? words.FIX_FIRST : (reply.no_pdf ?? ""));
  const more = await showReadings(now, given);
  const faults = [...reply.faults, ...more.faults];
  showFaults(faults, reply.notes);
  const first = faults.length ? words.toFix(faults.length) : toCheckFirst();
  atAGlance(reply.glance ?? "", first);
  const figures = happened ? "" : spoken(reply.headline ?? []);
  for (const then of afterDrawing) then(reply);
  say([happened, faults.length ? inWords(faults) : figures, more.words].filter(Boolean).join(". "));
});

/**
 * @param {object} now @param {Record<string, string>} given
 * @returns {Promise<{faults: import("./ask.js").Fault[], words: string}>}
 */
async function showReadings(now, given) {
  const heard = heardPairs();
  const whole = wholeReadings(given, heard.length > 0);
  advised = null;
  if (!faulty && whole !== null) {
    const reply = await ask("/readings", { ...now, readings: whole, start: startNow(), rounds: roundsDone(), heard, asked: oneEnd() });
    advised = reply.round ?? null;
    if (!reply.faults.length) return { faults: [], words: showAdvice(reply) };
    hideAdvice();
    return { faults: reply.faults, words: "" };
  }
  hideAdvice();
  return { faults: [], words: "" };
}

/** @param {boolean} [step] whether the browser's Back leads here later */
async function writeAddress(step = false) {
  clearTimeout(addressTimer);
  addressWaits = partial;
  if (partial) return;
  const fragment = await toAddress(state());
  if (fragment === written) return;
  written = fragment;
  try {
    history[step ? "pushState" : "replaceState"](null, "", `#${fragment}`);
  } catch {
    addressTimer = window.setTimeout(writeAddress, 1000);
  }
}

function changed() {
  if (loading) return;
  showChanges();
  clearTimeout(addressTimer);
  addressTimer = window.setTimeout(writeAddress, ADDRESS_MS);
  void redraw();
}

function showChanges() {
  const count = Object.keys(filledIn()).length;
  const from = "preset" in base ? "preset" : "file";
  byId("changed").textContent = words.changes(count, from);
  byId("reset").textContent = words.resetTo(from);
  byId("reset").disabled = count === 0;
}

function showBase() {
  presets.querySelector("[data-file]")?.remove();
  if ("preset" in base) {
    const { preset } = base;
    if (!Array.from(presets.options).some((option) => option.value === preset)) presets.add(new Option(preset, preset));
    presets.value = preset;
    return;
  }
  const option = new Option(base.name, "");
  option.dataset.file = "";
  presets.add(option, 0);
  presets.value = "";
}

/**
 * Start from a file or a preset, and from what was filled in since.
 * @param {State} from
 * @returns {Promise<boolean>} false if another was started from meanwhile
 */
async function load(from) {
  const mine = ++loads;
  const viewBefore = shownView();
  loading = partial = true;
  typedMeanwhile.clear();
  if (JSON.stringify(base) !== JSON.stringify(from.base)) good = null;
  base = from.base;
  byId("took").hidden = true;
  showBase();
  const reply = await ask("/open", { base });
  if (mine !== loads) return false;
  loading = false;
  fillInstrument(reply.fields ?? {}, reply.strings ?? 0, from.fields);
  fillDrawing(from.draw);
  fillReadings(from.readings);
  for (const [id, text] of typedMeanwhile) if (byId(id)) setValue(byId(id), text);
  showOptions();
  document.querySelector("main")?.removeAttribute("inert");
  await setRounds(from.rounds, question());
  await setHeard(from.heard);
  if (mine !== loads) return false;
  for (const [name, { set }] of kept) set(from.kept[name] ?? "");
  if (shownView() === viewBefore) showView(from.view);
  turnTo(from.sheet);
  partial = false;
  if (addressWaits) await writeAddress(true);
  showChanges();
  await redraw();
  return mine === loads;
}

/** Load as a step that the browser's Back undoes. @param {State} from */
async function loadAsStep(from) {
  if (!loading) await writeAddress();
  if (await load(from)) await writeAddress(true);
}

/** @param {Base} other @param {Record<string, string>} [fields] */
const startFrom = (other, fields = {}) =>
  loadAsStep({ ...state(), base: other, fields, readings: {}, rounds: [], heard: [], sheet: 0 });

/** @type {((reply: any) => void)[]} */
const afterDrawing = [];

/** @type {import("./page.js").Page} what the page does for its views */
const page = {
  question,
  speak,
  changed,
  setFields(values) {
    setFields(values);
    changed();
  },
  async startFrom(other, fields) {
    await startFrom(other, fields);
  },
  async goOnFrom(other) {
    await loadAsStep({ ...state(), base: other, fields: {} });
  },
  goTo,
  show: goToView,
  keep: (name, get, set) => void kept.set(name, { get, set }),
  noted() {
    clearTimeout(addressTimer);
    addressTimer = window.setTimeout(writeAddress, ADDRESS_MS);
  },
  take,
  afterDrawing: (then) => void afterDrawing.push(then),
};

/**
 * Begin the round after these, as a step that the browser's Back undoes.
 * @param {import("./rounds.js").Round[]} rounds @param {string} spokenOf
 */
async function beginRound(rounds, spokenOf) {
  await writeAddress();
  happened = spokenOf;
  const listened = heardPairs().length > 0;
  fillReadings(errorsGiven());
  await setRounds(rounds, question());
  await setHeard([]);
  hideAdvice();
  goTo(listened ? byId("listen-start") : firstReading());
  await writeAddress(true);
  await redraw();
}

/** The bridge was moved as advised: count the round, once the page shows what was typed last. */
async function moved() {
  await redraw();
  const round = advised;
  advised = null;
  if (round !== null && !loading) await logRound();
  if (round !== null && !loading) await beginRound([...roundsDone(), round], words.roundBegins(roundNow() + 1));
}

/**
 * Listening has ended: show the move, and lead to it if all was heard.
 * @param {string} spokenOf @param {boolean} all
 */
async function listened(spokenOf, all) {
  happened = spokenOf;
  changed();
  await redraw();
  if (all && !byId("advice").hidden) goTo(byId("advice"));
}

/** @param {File | undefined} file */
async function open(file) {
  if (!file) return;
  if (file.size > LARGEST_FILE) {
    showFaults([{ code: "file-too-large", field: "", where: words.notOpened(file.name), ...words.TOO_LARGE }]);
    return;
  }
  const other = { name: file.name, text: await file.text() };
  const { fields, faults } = await ask("/open", { base: other });
  if (fields === undefined) {
    const inFile = (/** @type {import("./ask.js").Fault} */ fault) => words.notOpened(file.name, fault.where);
    showFaults(faults.map((/** @type {import("./ask.js").Fault} */ fault) => ({ ...fault, where: inFile(fault) })));
    return;
  }
  await startFrom(other);
}

async function fromHere() {
  const fragment = location.hash.slice(1);
  if (fragment === written && written !== "") return;
  written = fragment;
  await load(await fromAddress(fragment, known));
}

/** @param {string} name */
function took(name) {
  byId("took").textContent = words.inDownloads(name, faulty);
  byId("took").hidden = false;
}

/**
 * Download a file, once the page has drawn what was typed last. Returns false if there were faults, which it shows.
 * @param {string} route @param {() => string} name @param {Record<string, string>} [asked] what the route takes besides
 * @returns {Promise<boolean>}
 */
async function take(route, name, asked = {}) {
  await redraw();
  const { blob, faults } = await fetchFile(route, { ...question(), asked });
  if (blob) {
    download(blob, name());
    took(name());
  } else {
    showFaults(faults);
    goTo(byId("faults"));
  }
  return blob !== undefined;
}

const fileName = () => good?.file ?? ("preset" in base ? `${base.preset}.toml` : base.name);

function wire() {
  for (const form of document.querySelectorAll("form:not([method])")) {
    form.addEventListener("submit", (event) => event.preventDefault());
  }
  document.addEventListener("input", ({ target }) => {
    const one = /** @type {Element} */ (target);
    if (loading && one.matches("[data-key], [data-draw], [data-reading]")) typedMeanwhile.set(one.id, valueOf(one));
  });
  byId("instrument").addEventListener("input", (/** @type {Event} */ event) => {
    if (/** @type {Element} */ (event.target).matches("[data-key]")) changed();
  });
  for (const form of [byId("drawing"), byId("order")]) {
    form.addEventListener("input", () => {
      showOptions();
      changed();
    });
  }
  byId("tones").addEventListener("input", changed);
  byId("on-the-line").addEventListener("click", (/** @type {any} */ event) => {
    happened = words.ON_THE_LINE;
    byId("f-readings.at").value = event.target.dataset.line;
    byId("f-readings.at").dispatchEvent(new Event("input", { bubbles: true }));
  });
  byId("next-round").addEventListener("click", moved);
  byId("start-over").addEventListener("click", () => beginRound([], words.STARTED_OVER));
  presets.addEventListener("change", () => presets.value && startFrom({ preset: presets.value }));
  byId("open").addEventListener("change", async (/** @type {any} */ event) => {
    await open(event.target.files[0]);
    event.target.value = "";
  });
  byId("reset").addEventListener("click", async () => {
    await loadAsStep({ ...state(), fields: {} });
    presets.focus();
  });
  byId("pdf").addEventListener("click", () => take("/pdf", () => good.pdf));
  byId("file").addEventListener("click", () => take("/file", fileName));
  byId("svg").addEventListener("click", async () => {
    await redraw();
    if (faulty) return;
    const name = good.names[shownSheet()];
    download(new Blob([good.sheets[shownSheet()]], { type: "image/svg+xml" }), name);
    took(name);
  });
  document.addEventListener("dragover", (event) => event.preventDefault());
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    void open(event.dataTransfer?.files[0]);
  });
  for (const link of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-goto]"))) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      goTo(byId(String(link.dataset.goto)));
    });
  }
  window.addEventListener("hashchange", fromHere);
}

beginFaults();
beginUnits(page);
beginMeasuring(page);
beginStrings(changed);
beginSheet(() => void writeAddress());
beginViews(
  (view) => {
    showGlance();
    if (view === "listen" && !byId("advice").hidden) void redraw();
  },
  () => void writeAddress(true),
);
beginTakes(page);
beginPrinters(page);
beginBoards(page);
beginOtherStrings(page);
beginShelf(page);
beginStop();
beginDiagnosing(page);
beginKeeping(page);
beginResult(page);
beginListening({ question, speak, ended: (spokenOf, all) => void listened(spokenOf, all) });
wire();
await fromHere();
