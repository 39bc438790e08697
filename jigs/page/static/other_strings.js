/** Other strings: two sets as on their packets, and what the program says of them. It computes nothing. */

import { ask, download, fetchFile, oneAtATime } from "./ask.js";
import { showAtFields, showFaultsIn } from "./faults.js";
import { off } from "./off.js";
import { fillIn, onShown, showLines, showPicture, showTable } from "./shown.js";
import * as words from "./words.js";

/** @typedef {import("./ask.js").Fault} Fault */

const FORM = "sets.";
const KEYS = ["now", "new", "make"];
const PAUSE_MS = 250;
const REST_MS = 1500;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const view = /** @type {HTMLElement} */ (byId("strings-view"));
const form = /** @type {HTMLElement} */ (byId("sets"));

/** @param {string} key @returns {HTMLTextAreaElement | HTMLSelectElement} */
const control = (key) => byId(`f-${FORM}${key}`);

/** @type {import("./page.js").Page} */
let page;
/** @type {any} the last comparison */
let found = null;
/** The instrument's own strings, which are the strings now unless others were typed. */
let own = "";
let typing = false;
let pause = 0;
let rest = 0;
let spoken = "";

/** What was typed instead of the instrument's own strings, "" for those. */
const now = () => (control("now").value.trim() === own ? "" : control("now").value.trim());

/** @returns {Record<string, string>} */
const asked = () => ({ now: now(), new: control("new").value.trim(), make: control("make").value });

/** @param {Fault[]} faults */
function showFaults(faults) {
  const here = faults.filter(({ field }) => field.startsWith(FORM));
  showAtFields(here, form);
  showFaultsIn(byId("sets-faults"), faults.filter((fault) => !here.includes(fault)));
}

const refresh = oneAtATime(async () => {
  if (view.hidden) return;
  const typed = asked();
  const reply = await ask("/compare", { ...page.question(), asked: typed });
  if (reply.own !== undefined && !typed.now && control("now").value.trim() === own) {
    own = reply.own;
    control("now").value = own;
  }
  const faulty = reply.faults.length > 0;
  if (!faulty || !typing) showFaults(reply.faults);
  if (reply.rows) show(reply);
  else if (reply.waits) found = null;
  byId("sets-found").hidden = found === null;
  byId("sets-found").classList.toggle("stale", faulty);
  byId("sets-empty").hidden = found !== null;
  const why = typing ? words.NOT_COMPLETE : words.FIX_HERE;
  for (const id of ["sets-use", "sets-pdf"]) off(byId(id), faulty ? why : "");
  byId("why-sets-pdf").hidden = true;
  if (!typing) say(reply);
});

/** @param {any} reply */
function show(reply) {
  found = reply;
  showPicture("sets-card", reply.picture);
  byId("sets-order").textContent = reply.order;
  byId("sets-then").textContent = reply.then;
  showLines("sets-ends", reply.ends, "span");
  showLines("sets-sure", reply.sure, "span");
  showLines("sets-notes", reply.notes.map((/** @type {{text: string}} */ { text }) => text), "li");
  showTable("sets-table", reply.columns, reply.rows);
  showLines("sets-below", reply.below, "li");
}

/** Speak what there is to know, once. @param {any} reply */
function say(reply) {
  const faults = reply.faults.map((/** @type {Fault} */ { what, remedy }) => `${what}; ${remedy}`);
  const text = faults.length ? faults.join(". ") : (reply.order ?? "");
  if (text && text !== spoken) page.speak(text);
  spoken = text;
}

function changed() {
  typing = true;
  page.noted();
  clearTimeout(pause);
  clearTimeout(rest);
  pause = window.setTimeout(() => void refresh(), PAUSE_MS);
  rest = window.setTimeout(rested, REST_MS);
}

function rested() {
  clearTimeout(rest);
  if (!typing) return;
  typing = false;
  void refresh();
}

async function takeSheet() {
  rested();
  await refresh();
  const { blob, faults } = await fetchFile("/compare-pdf", { ...page.question(), asked: asked() });
  if (blob) download(blob, found.pdf);
  else showFaults(faults);
}

/** The new strings become the strings now: the form has them. */
async function use() {
  rested();
  await refresh();
  if (found === null || byId("sets-use").disabled) return;
  const { use: fields, used } = found;
  for (const key of KEYS) control(key).value = "";
  own = "";
  found = null;
  fillIn(page, fields, used);
}

/** @param {import("./page.js").Page} ours */
export function begin(ours) {
  page = ours;
  for (const key of KEYS) {
    page.keep(
      `strings-${key}`,
      () => asked()[key],
      (text) => {
        control(key).value = text || (key === "now" ? own : "");
        void refresh();
      },
    );
  }
  form.addEventListener("input", changed);
  form.addEventListener("focusout", rested);
  page.afterDrawing(() => void refresh());
  onShown("strings-view", () => void refresh());
  byId("sets-use").addEventListener("click", () => void use());
  byId("sets-pdf").addEventListener("click", () => void takeSheet());
}
