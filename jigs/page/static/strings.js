/** The rows of strings, treble side first. */

import { inWords, isMeasured, says, show, whenShown } from "./units.js";
import { stringTitle } from "./words.js";

/** @typedef {Record<string, string>} Values */

const MOST_STRINGS = 24;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const room = /** @type {HTMLElement} */ (byId("strings"));
const row = /** @type {HTMLTemplateElement} */ (byId("string-row"));
const add = /** @type {HTMLButtonElement} */ (byId("add-string"));

/** Keys of one string, in the order of the form. */
export const STRING_KEYS = Array.from(row.content.querySelectorAll("[data-key]"), (one) => String(one.getAttribute("data-key")));

/** @type {() => void} */
let changed = () => {};

/** @param {Element} control @returns {string} */
export function valueOf(control) {
  if (control instanceof HTMLInputElement && control.type === "checkbox") return control.checked ? "true" : "";
  if (isMeasured(control)) return says(control);
  return /** @type {HTMLInputElement | HTMLSelectElement} */ (control).value;
}

/** @param {Element} control @param {string} value */
export function setValue(control, value) {
  if (control instanceof HTMLInputElement && control.type === "checkbox") {
    control.checked = value === "true";
  } else if (control instanceof HTMLSelectElement) {
    offer(control, value);
    control.value = value;
  } else if (isMeasured(control)) {
    show(control, value);
  } else {
    /** @type {HTMLInputElement} */ (control).value = value;
  }
}

/** Show a choice of a file that the form does not offer. @param {HTMLSelectElement} select @param {string} value */
function offer(select, value) {
  for (const option of select.querySelectorAll("[data-foreign]")) option.remove();
  if (Array.from(select.options).some((option) => option.value === value)) return;
  const option = new Option(value, value);
  option.dataset.foreign = "";
  select.add(option);
}

/** @returns {HTMLElement[]} */
const rows = () => /** @type {HTMLElement[]} */ (Array.from(room.children));

/** @param {Element} within @returns {HTMLElement[]} */
const controls = (within) => Array.from(within.querySelectorAll("[data-key]"));

/** @returns {Values[]} what every row holds, "" for an empty field */
export function readStrings() {
  return rows().map((one) => Object.fromEntries(controls(one).map((control) => [String(control.dataset.key), valueOf(control)])));
}

/** @param {Values[]} strings @param {number[]} [opened] rows whose rest is unfolded */
export function writeStrings(strings, opened = []) {
  const fresh = strings.map((values, index) => made(values, index, strings.length));
  for (const index of opened) fresh[index]?.querySelector("details")?.setAttribute("open", "");
  room.replaceChildren(...fresh);
  add.disabled = strings.length >= MOST_STRINGS;
}

/** @param {Values} values @param {number} index @param {number} count @returns {HTMLElement} */
function made(values, index, count) {
  const fresh = /** @type {HTMLElement} */ (/** @type {DocumentFragment} */ (row.content.cloneNode(true)).firstElementChild);
  const number = String(index + 1);
  for (const one of fresh.querySelectorAll("[id], [for]")) {
    for (const name of ["id", "for", "aria-describedby"]) {
      const value = one.getAttribute(name);
      if (value !== null) one.setAttribute(name, value.replaceAll("strings.N.", `strings.${number}.`));
    }
  }
  for (const one of fresh.querySelectorAll("[data-number]")) one.textContent = number;
  /** @type {HTMLElement} */ (fresh.querySelector("[data-legend]")).textContent = stringTitle(index, count);
  for (const control of controls(fresh)) setValue(control, values[String(control.dataset.key)] ?? "");
  sayMore(fresh);
  fresh.addEventListener("input", () => sayMore(fresh));
  /** @type {HTMLElement} */ (fresh.querySelector("[data-remove]")).onclick = () => remove(index);
  return fresh;
}

/** @param {Element} control */
const shownIn = (control) => (isMeasured(control) && control.value ? inWords(control) : valueOf(control));

/** Show on the fold what is filled in behind it. @param {HTMLElement} one */
function sayMore(one) {
  const filled = controls(/** @type {Element} */ (one.querySelector("details")))
    .map((control) => [one.querySelector(`label[for="${control.id}"]`)?.textContent?.toLowerCase(), shownIn(control)])
    .filter(([, value]) => value);
  const words = filled.map(([label, value]) => `${label} ${value}`).join(", ");
  /** @type {HTMLElement} */ (one.querySelector("[data-more]")).textContent = words ? `: ${words}` : "";
}

/** @returns {number[]} */
const unfolded = () => rows().flatMap((one, index) => (one.querySelector("details[open]") ? [index] : []));

/** @param {number} index */
function remove(index) {
  const opened = unfolded()
    .filter((one) => one !== index)
    .map((one) => (one > index ? one - 1 : one));
  writeStrings(
    readStrings().filter((_, other) => other !== index),
    opened,
  );
  const next = rows()[Math.min(index, rows().length - 1)]?.querySelector("[data-remove]");
  /** @type {HTMLElement} */ (next ?? add).focus();
  changed();
}

function addOne() {
  writeStrings([...readStrings(), {}], unfolded());
  rows().at(-1)?.querySelector("input")?.focus();
  changed();
}

/** @param {() => void} onChange called when a string was added or removed */
export function begin(onChange) {
  changed = onChange;
  whenShown(() => rows().forEach(sayMore));
  add.onclick = addOne;
}
