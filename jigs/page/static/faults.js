/** Faults, each at its field and all of them in one list. */

import { showViewOf } from "./views.js";
import { toCheck, toFix } from "./words.js";

/** @typedef {import("./ask.js").Fault} Fault */
/** @typedef {{code: string, field: string, where: string, says: string, text: string, first: string}} Note */

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const box = /** @type {HTMLElement} */ (byId("faults"));
/** @type {Note[]} notes of the last drawing */
let noted = [];

/** @param {string} field @returns {HTMLElement | null} the control, null if it is out of sight or missing */
function control(field) {
  const shown = field ? byId(`f-${field}`) : null;
  return shown && !shown.closest("[data-of][hidden], #options[hidden]") ? shown : null;
}

/** Bring something into view and to the keyboard, unfolding what it lies in. @param {HTMLElement} target */
export function goTo(target) {
  showViewOf(target);
  for (let fold = target.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null) fold.open = true;
  target.focus({ preventScroll: true });
  target.scrollIntoView({ block: target.matches("input, select, textarea, button, legend") ? "center" : "start" });
}

/**
 * Faults at their fields and in the list, with the notes of the last drawing at theirs.
 * @param {Fault[]} faults @param {Note[]} [notes]
 */
export function showFaults(faults, notes = []) {
  noted = notes;
  showAtFields(faults, null);
  noteAtFields();
  const checks = firstNotes();
  box.hidden = faults.length + checks.length === 0;
  box.classList.toggle("only-notes", faults.length === 0);
  byId("faults-title").textContent = faults.length ? toFix(faults.length) : toCheck(checks.length);
  byId("faults-list").replaceChildren(...faults.map(listed), ...checks.map(noteLine));
}

const firstNotes = () => noted.filter(({ first }) => first !== "");

/** What is to be checked first, in the words of a list; "" if nothing is. */
export const toCheckFirst = () => (firstNotes().length ? toCheck(firstNotes().length) : "");

function noteAtFields() {
  for (const { field, says } of noted) {
    const words = control(field) && byId(`x-${field}`);
    if (!words) continue;
    const line = document.createElement("span");
    line.className = "note";
    line.textContent = says;
    words.append(line);
    words.hidden = false;
  }
}

/** A note as a line of a list, which leads to its field. @param {Note} note @returns {HTMLElement} */
export const noteLine = ({ field, where, says, text }) => leading(field, where, says, text);

/**
 * Show faults at their fields, instead of those before.
 * @param {Fault[]} faults @param {HTMLElement | null} form one that shows its own faults, or null for all the others
 */
export function showAtFields(faults, form) {
  /** @param {string} wanted @returns {HTMLElement[]} */
  const within = (wanted) =>
    Array.from((form ?? document).querySelectorAll(wanted)).filter((one) => one.closest("[data-own-faults]") === form);
  for (const one of within("[aria-invalid]")) one.removeAttribute("aria-invalid");
  for (const one of within(".fault:not([hidden])")) {
    one.replaceChildren();
    one.hidden = true;
  }
  for (const field of new Set(faults.map((fault) => fault.field))) {
    const shown = control(field);
    const words = byId(`x-${field}`);
    if (!shown || !words) continue;
    if (shown.matches("input, select, textarea")) shown.setAttribute("aria-invalid", "true");
    const sentences = new Set(faults.filter((fault) => fault.field === field).map(sentence));
    words.append(...Array.from(sentences, signed));
    words.hidden = false;
  }
}

/** What is wrong, and what to do. @param {Fault} fault */
const sentence = ({ what, remedy }) => [what, remedy].filter(Boolean).join("; ");

/** A sentence with a warning sign before it. @param {string} text @returns {HTMLElement} */
export function signed(text) {
  const line = document.createElement("span");
  const sign = document.createElement("span");
  sign.setAttribute("aria-hidden", "true");
  sign.textContent = "▲ ";
  line.append(sign, text);
  return line;
}

/** @param {Fault} fault @returns {HTMLElement} */
const listed = (fault) => leading(fault.field, fault.where, sentence(fault), placed(fault));

/**
 * A line of a list that leads to its field, if that is in the page.
 * @param {string} field @param {string} where @param {string} says what is to be said of the field @param {string} text all of it
 * @returns {HTMLElement}
 */
function leading(field, where, says, text) {
  const line = document.createElement("li");
  const shown = control(field);
  if (shown) {
    const link = document.createElement("a");
    link.href = `#f-${field}`;
    link.textContent = where;
    link.onclick = (event) => {
      event.preventDefault();
      goTo(shown);
    };
    line.append(link, ": ", says);
  } else {
    line.append(text);
  }
  return line;
}

/** The sentence after its place. @param {Fault} fault */
const placed = (fault) => [fault.where, sentence(fault)].filter(Boolean).join(": ");

/** @param {Fault[]} faults @returns {string} the same to be spoken */
export const inWords = (faults) => [toFix(faults.length), ...faults.map(placed)].join(". ");

/** The faults of another form of the page, in a box of its view. @param {HTMLElement} where @param {Fault[]} faults */
export function showFaultsIn(where, faults) {
  where.hidden = faults.length === 0;
  where.replaceChildren(...faults.map(listed));
}

/** Keep what is below the list of faults clear of it where both are in one column. */
export function begin() {
  new ResizeObserver(() => {
    document.documentElement.style.setProperty("--faults-height", box.hidden ? "0px" : `${box.offsetHeight + 16}px`);
  }).observe(box);
}
