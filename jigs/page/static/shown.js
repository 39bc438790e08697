/** What the views of boards and of other strings show alike: a picture first, then lines and a table. */

import { mount, scaleTo } from "./svg.js";

const MOST_PX_PER_MM = 3.2;
const BORDER_PX = 2;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

/** @type {WeakMap<Element, {width: number, height: number, most: number}>} the size of each picture in mm, and its scale */
const sizes = new WeakMap();

const frames = new ResizeObserver((entries) => {
  for (const { target } of entries) for (const card of target.querySelectorAll(".card")) fit(/** @type {HTMLElement} */ (card));
});

/** Make a picture as large as its frame allows. @param {HTMLElement} card */
function fit(card) {
  const size = sizes.get(card);
  const room = (card.parentElement?.clientWidth ?? 0) - BORDER_PX;
  if (size && room > 0) scaleTo(card, size.width, size.height, Math.min(size.most, room / size.width));
}

/** @param {string} id of its card @param {string} svg "" for none @param {number} [most] px per mm at most */
export function showPicture(id, svg, most = MOST_PX_PER_MM) {
  const card = byId(id);
  const made = svg ? mount(card, svg) : null;
  card.parentElement.hidden = made === null;
  if (made === null) return;
  card.setAttribute("role", "img");
  card.setAttribute("aria-label", made.title);
  sizes.set(card, { ...made, most });
  frames.observe(card.parentElement);
  fit(card);
}

/**
 * @param {string} id @param {string[]} lines @param {string} kind of element for each line
 */
export function showLines(id, lines, kind) {
  byId(id).replaceChildren(
    ...lines.map((text) => {
      const line = document.createElement(kind);
      line.textContent = text;
      if (kind === "span") line.className = "line";
      return line;
    }),
  );
  byId(id).hidden = lines.length === 0;
}

/** @param {string} id @param {string[]} columns @param {string[][]} rows */
export function showTable(id, columns, rows) {
  const head = document.createElement("thead");
  const body = document.createElement("tbody");
  head.append(row(columns, "th"));
  body.append(...rows.map((cells) => row(cells, "td")));
  byId(id).replaceChildren(head, body);
}

/** @param {string[]} cells @param {"th" | "td"} kind */
function row(cells, kind) {
  const line = document.createElement("tr");
  line.append(
    ...cells.map((text) => {
      const cell = document.createElement(kind === "th" && text === "" ? "td" : kind);
      if (cell instanceof HTMLTableCellElement && cell.tagName === "TH") cell.scope = "col";
      cell.textContent = text;
      return cell;
    }),
  );
  return line;
}

/**
 * Fill in the form, lead to it, and say what was filled in.
 * @param {import("./page.js").Page} page @param {Record<string, string>} fields @param {string[]} sentences
 */
export function fillIn(page, fields, sentences) {
  page.setFields(fields);
  const said = byId("filled-in");
  said.textContent = sentences.join(" ");
  said.hidden = false;
  page.goTo(said);
}

byId("instrument").addEventListener("input", () => {
  byId("filled-in").hidden = true;
});

/** Call it whenever a view comes into sight. @param {string} id @param {() => void} then */
export function onShown(id, then) {
  const view = byId(id);
  new MutationObserver(() => view.hidden || then()).observe(view, { attributes: true, attributeFilter: ["hidden"] });
}
