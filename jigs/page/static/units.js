/**
 * Units at the fields, and the switch between millimetres and inches.
 *
 * The switch changes what a field shows. What it says, for the instrument file, changes only where the user types. The
 * program converts; the page only adds the unit beside a field to a plain number that is typed there.
 */

import { ask } from "./ask.js";

const UNIT = "unit";
const MM = "mm";
const INCHES = "in";
/** Numbers alone, also several, with fractions and signs: no unit, no word. */
const PLAIN = /^[\p{N}\s.,;/⁄+−-]*\p{N}[\p{N}\s.,;/⁄+−-]*$/u;
const BY_SPACES = /^[+−-]?[\d.]+(\s+[+−-]?[\d.]+)+$/;

/** @typedef {{says: string, shows: string}} Held a field's text for the file, and the same as it is shown */

const switches = /** @type {HTMLInputElement[]} */ (Array.from(document.querySelectorAll("#units input")));
/** @type {WeakMap<Element, Held>} */
const held = new WeakMap();
/** @type {Map<string, string>} what the program shows, by unit, field and text */
const known = new Map();
/** @type {Set<string>} what is read as inches although the switch is at millimetres, by field and text */
const meantAsInches = new Set();
/** @type {(() => void)[]} */
const afterShowing = [];

let unit = remembered();
let waiting = false;

/** Whether a field shows its text in a unit. @param {Element} control @returns {control is HTMLInputElement} */
export const isMeasured = (control) => control instanceof HTMLInputElement && "unit" in control.dataset;

/** @param {HTMLInputElement} control @returns {string} its key, of a string's with the string's number */
const fieldOf = (control) => control.id.slice("f-".length);

/** The unit beside a field. @param {HTMLInputElement} control */
const unitOf = (control) => (control.dataset.unit === MM ? unit : String(control.dataset.unit));

/** The unit that a plain number gets in the file, "" for none. @param {HTMLInputElement} control */
function added(control) {
  if (control.dataset.unit === MM) return unit === INCHES ? INCHES : "";
  return "added" in control.dataset ? unitOf(control) : "";
}

/** What a field says for the file. @param {HTMLInputElement} control @returns {string} */
export function says(control) {
  const own = held.get(control);
  return own && control.value.trim() === own.shows.trim() ? own.says : withUnit(control);
}

/** What was typed, with the unit beside the field behind every plain number. @param {HTMLInputElement} control */
function withUnit(control) {
  const { value } = control;
  const behind = added(control);
  if (!behind) return value;
  /** @param {string} one */
  const each = (one) => (PLAIN.test(one) ? `${one.trimEnd()} ${behind}` : one);
  if (!("list" in control.dataset)) return each(value);
  if (BY_SPACES.test(value.trim())) return value.trim().split(/\s+/).map(each).join(", ");
  const between = value.includes(";") ? ";" : ",";
  return value.split(between).map(each).join(between);
}

/** @param {HTMLInputElement} control @param {string} text */
const nameOf = (control, text) => `${unit} ${fieldOf(control).replace(/^strings\.\d+/, "strings")} ${text}`;

/** Show what a field says, in the unit of the switch as soon as the program has it. @param {HTMLInputElement} control @param {string} text */
export function show(control, text) {
  const found = known.get(nameOf(control, text));
  const shows = found ?? text;
  control.value = shows;
  held.set(control, { says: text, shows });
  fit(control);
  if (found === undefined && text.trim() && !waiting) {
    waiting = true;
    queueMicrotask(convert);
  }
}

/** Ask the program for every text that is not known in this unit. */
async function convert() {
  waiting = false;
  const of = unit;
  const asked = measured().flatMap((control) => {
    const own = held.get(control);
    return own && own.says.trim() && !known.has(nameOf(control, own.says)) ? [{ control, own, name: nameOf(control, own.says) }] : [];
  });
  if (asked.length === 0) return;
  const reply = await conversion(Object.fromEntries(asked.map(({ control, own }) => [fieldOf(control), own.says])));
  if (!reply.shown) return;
  for (const { control, own, name } of asked) known.set(name, reply.shown[fieldOf(control)] ?? own.says);
  if (of !== unit) return;
  for (const { control, own } of asked) {
    if (held.get(control) === own && control.value === own.shows) show(control, own.says);
  }
  for (const then of afterShowing) then();
}

/** @param {Record<string, string>} texts by field @returns {Promise<any>} */
const conversion = (texts) => ask("/units", { base: { text: "" }, asked: { to: unit, ...texts } });

/** @returns {HTMLInputElement[]} */
const measured = () => /** @type {HTMLInputElement[]} */ (Array.from(document.querySelectorAll("input[data-unit]")));

/** Put the unit beside a field, unless a unit or a word was typed there. @param {HTMLInputElement} control */
function fit(control) {
  const beside = document.getElementById(`u-${fieldOf(control)}`);
  if (!beside) return;
  const { value } = control;
  const own = value.trim() !== "" && !PLAIN.test(value);
  beside.textContent = own ? "" : meantAsInches.has(nameOf(control, value)) ? INCHES : unitOf(control);
}

/** A field's text with the unit beside it. @param {HTMLInputElement} control */
export function inWords(control) {
  const beside = document.getElementById(`u-${fieldOf(control)}`)?.textContent ?? "";
  return beside === "%" ? control.value + beside : `${control.value} ${beside}`.trim();
}

/** A plain number that can only be inches shows so once it is typed. @param {HTMLInputElement} control */
async function askWhetherInches(control) {
  const { value } = control;
  if (unit !== MM || control.dataset.unit !== MM || !PLAIN.test(value) || "list" in control.dataset) return;
  if (held.get(control)?.shows === value) return;
  const name = nameOf(control, value);
  const { in_inches } = await conversion({ [fieldOf(control)]: value });
  if (!in_inches?.length) return;
  meantAsInches.add(name);
  fit(control);
}

function remembered() {
  try {
    return localStorage.getItem(UNIT) === INCHES ? INCHES : MM;
  } catch {
    return MM; // This browser keeps nothing.
  }
}

/** @param {string} chosen */
function remember(chosen) {
  try {
    localStorage.setItem(UNIT, chosen);
  } catch {
    // This browser keeps nothing.
  }
}

/** @param {string} to */
function switchTo(to) {
  const all = measured().map((control) => ({ control, text: says(control) }));
  unit = to;
  for (const one of switches) one.checked = one.value === unit;
  for (const { control, text } of all) show(control, text);
  for (const then of afterShowing) then();
}

/** @param {() => void} then called after fields show other texts */
export const whenShown = (then) => void afterShowing.push(then);

/** @param {import("./page.js").Page} page */
export function begin(page) {
  switchTo(unit);
  page.keep(
    UNIT,
    () => (unit === INCHES ? INCHES : ""),
    (text) => {
      const to = text === INCHES ? INCHES : remembered();
      if (to !== unit) switchTo(to);
    },
  );
  for (const one of switches) {
    one.addEventListener("change", () => {
      remember(one.value);
      switchTo(one.value);
      page.changed();
    });
  }
  document.addEventListener("input", ({ target }) => target instanceof Element && isMeasured(target) && fit(target));
  document.addEventListener("change", ({ target }) => target instanceof Element && isMeasured(target) && void askWhetherInches(target));
}
