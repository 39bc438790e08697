/** Rows of any string and fret, what may be wrong, and where to go next. It computes nothing. */

import { goTo } from "./faults.js";
import * as words from "./words.js";

/** @typedef {Record<string, string>} Values */
/** @typedef {{text: string, field?: string, view?: string, rows?: string}} Lead */
/** @typedef {{string: string, lines: import("./result.js").AdviceLine[], causes: {name: string, weight: number}[]}} OfAString */
/** @typedef {{leads: Lead[], rows: Values[], diagnosis: OfAString[]}} Diagnosed */

const ROW = /^rows\.(\d{1,2})\.(\w+)$/;
const NAMES = ["string", "fret", "against", "reference", "fretted"];
const USUAL = "harmonic";
const MOST_ROWS = 99;
const WEIGHTS = "diagnosis-weights";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const list = /** @type {HTMLElement} */ (byId("rows-read"));

/** @type {import("./page.js").Page} */
let page;
/** @type {Values[]} the rows that the last advice asks for */
let wanted = [];

/** @param {string} key of a reading */
export const isRow = (key) => NAMES.includes(ROW.exec(key)?.[2] ?? "");

/** @returns {Values[]} what every row holds */
const rows = () =>
  Array.from(list.children, (item) =>
    Object.fromEntries(Array.from(item.querySelectorAll("[data-row]"), (one) => [rowKey(one), /** @type {any} */ (one).value.trim()])),
  );

/** @param {Element} control @returns {string} */
const rowKey = (control) => String(/** @type {HTMLElement} */ (control).dataset.row);

/** @param {Values} row */
const isEmpty = (row) => NAMES.every((name) => name === "against" || !row[name]);

/** What was filled in, by keys; a row without anything does not count. @returns {Values} */
export const rowsGiven = () =>
  Object.fromEntries(
    rows().flatMap((row, index) =>
      isEmpty(row)
        ? []
        : NAMES.filter((name) => row[name] && !(name === "against" && row[name] === USUAL)).map((name) => [
            `rows.${index + 1}.${name}`,
            row[name],
          ]),
    ),
  );

/** The same without the rows that lack a reading. @param {Values} given @returns {Values} */
export function wholeRows(given) {
  const of = Object.entries(given).filter(([key]) => isRow(key));
  const isWhole = (/** @type {string} */ number) => ["reference", "fretted"].every((name) => given[`rows.${number}.${name}`]);
  return Object.fromEntries(of.filter(([key]) => isWhole(String(ROW.exec(key)?.[1]))));
}

/** Show the rows of these readings, and no others. @param {Values} values */
export function fillRows(values) {
  /** @type {Values[]} */
  const filled = [];
  for (const [key, value] of Object.entries(values)) {
    const [, number, name] = ROW.exec(key) ?? [];
    if (number && Number(number) > 0) (filled[Number(number) - 1] ??= {})[name] = value;
  }
  const there = Array.from(filled, (row) => row ?? {});
  writeRows(there.length ? there : [{}]);
  if (there.length) byId("diagnose").open = true;
}

/** @param {Values[]} values */
function writeRows(values) {
  list.replaceChildren(...values.map(rowWith));
  byId("row-add").disabled = values.length >= MOST_ROWS;
}

/** @param {Values} row @param {number} index @returns {Element} */
function rowWith(row, index) {
  const made = /** @type {DocumentFragment} */ (byId("more-row").content.cloneNode(true));
  const item = /** @type {Element} */ (made.firstElementChild);
  for (const one of item.querySelectorAll("*")) {
    for (const name of ["id", "for", "aria-describedby"]) {
      const value = one.getAttribute(name);
      if (value) one.setAttribute(name, value.replaceAll(".N.", `.${index + 1}.`));
    }
  }
  for (const one of item.querySelectorAll("[data-number]")) one.textContent = String(index + 1);
  for (const one of item.querySelectorAll("[data-row]")) {
    const name = rowKey(one);
    /** @type {any} */ (one).value = row[name] || (name === "against" ? USUAL : "");
  }
  item.querySelector("[data-remove]")?.addEventListener("click", () => remove(index));
  return item;
}

/** @param {number} number @param {string} name @returns {HTMLElement} */
const control = (number, name) => byId(`f-readings.rows.${number}.${name}`);

/** @param {number} index */
function remove(index) {
  const left = rows().filter((_, n) => n !== index);
  writeRows(left.length ? left : [{}]);
  control(Math.min(index + 1, list.children.length), "string").focus();
  page.speak(words.rowRemoved(index + 1));
  page.changed();
}

function add() {
  const there = rows();
  writeRows([...there, { string: there.at(-1)?.string ?? "" }]);
  control(there.length + 1, "string").focus();
  page.changed();
}

/** Add the rows that the advice asks for, and lead to the first one. */
function fillInWanted() {
  const there = rows().filter((row) => !isEmpty(row));
  const isThere = (/** @type {Values} */ one) =>
    there.some((row) => ["string", "fret"].every((name) => row[name] === one[name]) && row.fretted);
  const kept = there.filter((row) => row.reference || row.fretted);
  const more = wanted.filter((one) => !isThere(one));
  writeRows([...kept, ...more]);
  goTo(control(kept.length + 1, "reference"));
  const [{ string, fret }] = more;
  page.speak(words.rowsReady(more.length, string, fret));
  page.changed();
}

/** @param {Lead} lead @returns {HTMLElement} */
function leading(lead) {
  const item = document.createElement("li");
  const button = document.createElement(lead.rows ? "button" : "a");
  button.textContent = lead.text;
  if (button instanceof HTMLAnchorElement) button.href = lead.view ? `#view=${lead.view}` : `#f-${lead.field}`;
  else button.type = "button";
  button.addEventListener("click", (event) => {
    event.preventDefault();
    if (lead.rows) fillInWanted();
    else if (lead.view) lookAt(lead.view);
    else if (byId(`f-${lead.field}`)) goTo(byId(`f-${lead.field}`));
  });
  item.append(button);
  return item;
}

/** @param {string} view */
function lookAt(view) {
  page.show(view);
  const part = /** @type {HTMLElement | null} */ (document.querySelector(`[data-view~="${view}"]`));
  if (part) goTo(part);
}

/** @param {OfAString} of @returns {HTMLElement[]} what is said of a string, and its causes, likeliest first */
function diagnosed({ string, lines, causes }) {
  const head = document.createElement("h4");
  const listed = document.createElement("ul");
  head.textContent = words.likelyOn(string);
  listed.className = "causes";
  for (const { name, weight } of causes) {
    const item = document.createElement("li");
    const bar = document.createElement("span");
    bar.className = "bar-of";
    bar.style.setProperty("--share", `${100 * weight}%`);
    item.append(`${Math.round(100 * weight)}% ${name}`, bar);
    listed.append(item);
  }
  const said = lines.filter(({ kind }) => !(causes.length && kind === WEIGHTS)).map(({ kind, text }) => {
    const line = document.createElement("p");
    line.dataset.kind = kind;
    line.textContent = text;
    return line;
  });
  return [...said, ...(causes.length ? [head, listed] : [])];
}

/** Show where to go next, and what may be wrong. @param {Diagnosed} reply */
export function showDiagnosis({ leads, rows: asked, diagnosis }) {
  wanted = asked;
  byId("advice-leads").replaceChildren(...leads.map(leading));
  byId("advice-leads").hidden = leads.length === 0;
  byId("diagnosis").hidden = diagnosis.length === 0;
  byId("diagnosis").replaceChildren(...diagnosis.flatMap(diagnosed), byId("diagnosis-next"));
  const next = leads.find((lead) => lead.rows);
  byId("diagnosis-next").replaceChildren(...(next ? Array.from(leading(next).childNodes) : []));
  byId("diagnosis-next").hidden = !next;
}

/** Remove them. */
export function hideDiagnosis() {
  wanted = [];
  byId("diagnosis").hidden = true;
}

/** @param {import("./page.js").Page} with_ what the page does for it */
export function begin(with_) {
  page = with_;
  byId("rows").addEventListener("input", () => page.changed());
  byId("row-add").addEventListener("click", add);
}
