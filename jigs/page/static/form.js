/** The form: what differs from the file or preset that it started from. */

import { fillRows, isRow, rowsGiven } from "./diagnose.js";
import { STRING_KEYS, readStrings, setValue, valueOf, writeStrings } from "./strings.js";

/** @typedef {Record<string, string>} Values */

const COUNT = "strings";
const OF_A_STRING = /^strings\.(\d{1,2})\.(\w+)$/;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const own = /** @type {HTMLElement[]} */ (
  Array.from(byId("instrument").querySelectorAll("[data-key]")).filter((one) => !(/** @type {Element} */ (one).closest("#strings")))
);
const drawn = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll("[data-draw], #order [data-key]")));
const tones = /** @type {HTMLElement[]} */ (Array.from(byId("tones").querySelectorAll("[data-reading]")));
/** @type {Record<string, string[]>} option → templates that use it */
const users = JSON.parse(byId("drawing").dataset.users);

/** @type {Values} */
let base = {};
let baseStrings = 0;

/** @param {HTMLElement} control */
const keyOf = (control) => String(control.dataset.key ?? control.dataset.draw ?? control.dataset.reading);

const FIELD_KEYS = new Set(own.map(keyOf));
const DRAW_KEYS = new Set(drawn.map(keyOf));
const READING_KEYS = new Set(tones.map(keyOf));

/** @param {string} key */
export function isField(key) {
  const parts = OF_A_STRING.exec(key);
  return parts ? STRING_KEYS.includes(parts[2]) : key === COUNT || FIELD_KEYS.has(key);
}

/** @param {string} key */
export const isDraw = (key) => DRAW_KEYS.has(key);

/** @param {string} key */
export const isReading = (key) => READING_KEYS.has(key) || isRow(key);

/**
 * Fill in the instrument: what its file holds, and what was filled in since.
 * @param {Values} said @param {number} strings how many the file has @param {Values} since
 */
export function fillInstrument(said, strings, since) {
  base = said;
  baseStrings = strings;
  for (const control of own) setValue(control, since[keyOf(control)] ?? said[keyOf(control)] ?? "");
  const counted = Number.parseInt(since[COUNT] ?? String(strings), 10);
  const count = Math.max(0, Math.min(24, Number.isNaN(counted) ? strings : counted));
  const rows = Array.from({ length: count }, (_, index) =>
    Object.fromEntries(
      STRING_KEYS.map((key) => {
        const full = `${COUNT}.${index + 1}.${key}`;
        return [key, since[full] ?? (index < strings ? (said[full] ?? "") : "")];
      }),
    ),
  );
  writeStrings(rows);
}

/** Fill in some fields besides what was filled in already. @param {Values} values by key, "" to empty a field */
export const setFields = (values) => fillInstrument(base, baseStrings, { ...filledIn(), ...values });

/** @param {string} value @param {string} before */
const differs = (value, before) => value.trim() !== before.trim() && !(value === "" && before === "false");

/** @returns {Values} what differs from the file, "" for a key to remove from it */
export function filledIn() {
  /** @type {Values} */
  const fields = {};
  for (const control of own) {
    const key = keyOf(control);
    const value = valueOf(control);
    if (differs(value, base[key] ?? "")) fields[key] = value.trim();
  }
  const rows = readStrings();
  if (rows.length !== baseStrings) fields[COUNT] = String(rows.length);
  rows.forEach((row, index) => {
    for (const key of STRING_KEYS) {
      const full = `${COUNT}.${index + 1}.${key}`;
      const before = index < baseStrings ? (base[full] ?? "") : "";
      if (differs(row[key], before)) fields[full] = row[key].trim();
    }
  });
  return fields;
}

/** @param {string} option @param {string} template */
const isUsedBy = (option, template) => !(option in users) || users[option].includes(template);

/** @returns {Values} */
export function drawingOrdered() {
  const template = byId("f-draw.template").value;
  const chosen = drawn.map((one) => [keyOf(one), valueOf(one).trim()]);
  return Object.fromEntries(chosen.filter(([key, value]) => value !== "" && isUsedBy(key, template)));
}

const PAPER = "paper";
const LETTER_LANDS = /-(US|CA|MX|PH|CL|CO|VE|CR|GT|PA|PR)$/i;

/** The paper of the last drawing, or that of the reader's country. */
function usualPaper() {
  try {
    const last = localStorage.getItem(PAPER);
    if (last) return last;
  } catch {
    // This browser keeps nothing: its language decides.
  }
  return LETTER_LANDS.test(navigator.language) ? "letter" : "a4";
}

/** Keep the paper for the next visit. @param {string} paper */
export function keepPaper(paper) {
  try {
    localStorage.setItem(PAPER, paper);
  } catch {
    // This browser keeps nothing.
  }
}

/** @param {Values} values */
export function fillDrawing(values) {
  const usual = { template: byId("f-draw.template").options[0].value, paper: usualPaper() };
  for (const control of drawn) setValue(control, values[keyOf(control)] ?? /** @type {Values} */ (usual)[keyOf(control)] ?? "");
  showOptions();
}

/** Show the options that the chosen template uses, and no others. */
export function showOptions() {
  const template = byId("f-draw.template").value;
  let any = false;
  for (const field of byId("options").querySelectorAll("[data-of]")) {
    field.hidden = !isUsedBy(field.dataset.of, template);
    any ||= !field.hidden;
  }
  byId("options").hidden = !any;
}

/** @returns {Values} */
export const readingsGiven = () => ({
  ...Object.fromEntries(tones.map((one) => [keyOf(one), valueOf(one).trim()]).filter(([, value]) => value !== "")),
  ...rowsGiven(),
});

/** What counts in every round: the errors of tuner and touch. @returns {Values} */
export const errorsGiven = () => Object.fromEntries(Object.entries(readingsGiven()).filter(([key]) => key.endsWith("-error")));

/** The field that a round begins with. @returns {HTMLElement} */
export const firstReading = () => tones[0];

/** @param {Values} values */
export function fillReadings(values) {
  for (const control of tones) setValue(control, values[keyOf(control)] ?? "");
  fillRows(values);
}
