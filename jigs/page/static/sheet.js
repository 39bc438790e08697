/** The sheet on the screen: which one, how large, and the same on paper when the browser prints. */

import { measureScreen, trueScale } from "./ruler.js";
import { mount, scaleTo } from "./svg.js";
import { sheetOf } from "./words.js";

const STEP = 1.25;
const MOST = 60;
const MARGIN_PX = 12;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const area = /** @type {HTMLElement} */ (byId("area"));
const card = /** @type {HTMLElement} */ (byId("card"));
const onPaper = new CSSStyleSheet();

/** @type {string[]} */
let sheets = [];
let size = { width: 210, height: 297 };
let index = 0;
/** @type {number | "whole" | "true"} px per mm, or what it follows from */
let zoom = "whole";
/** @type {() => void} */
let turned = () => {};

/** Which sheet is shown, from 0. */
export const shownSheet = () => index;

/** @param {number} wanted from 0 */
export function turnTo(wanted) {
  index = wanted;
}

/** The room for a sheet in px, known before a drawing comes: asked for then, the browser would lay out the page twice. */
let room = { width: area.clientWidth, height: area.clientHeight };

function measureRoom() {
  room = { width: area.clientWidth, height: area.clientHeight };
  if (sheets.length) lay();
}

/** @returns {number} px per mm at which the whole sheet is seen */
function wholeScale() {
  const width = room.width - 2 * MARGIN_PX;
  const height = room.height - 2 * MARGIN_PX;
  return Math.max(0.05, Math.min(width / size.width, height / size.height));
}

/** @returns {number} px per mm */
function scale() {
  if (zoom === "whole") return wholeScale();
  return zoom === "true" ? (trueScale() ?? wholeScale()) : zoom;
}

function lay() {
  scaleTo(card, size.width, size.height, scale());
  byId("whole").setAttribute("aria-pressed", String(zoom === "whole"));
  byId("true").setAttribute("aria-pressed", String(zoom === "true"));
  byId("measure").hidden = zoom !== "true";
}

/** @param {number | "whole" | "true"} wanted */
function zoomTo(wanted) {
  const before = scale();
  const middle = { x: area.scrollLeft + area.clientWidth / 2, y: area.scrollTop + area.clientHeight / 2 };
  zoom = wanted;
  lay();
  const by = scale() / before;
  area.scrollTo(middle.x * by - area.clientWidth / 2, middle.y * by - area.clientHeight / 2);
}

/** All sheets, for the browser's own printing; the page shows one, the others wait behind it. */
function layOutForPrinting() {
  const others = sheets.length > 1 ? sheets.filter((_, n) => n !== index) : [];
  byId("others").replaceChildren(
    ...others.map((text) => {
      const host = document.createElement("div");
      mount(host, text);
      return host;
    }),
  );
}

function draw() {
  index = Math.min(index, sheets.length - 1);
  const made = mount(card, sheets[index]);
  if (!made) return;
  size = made;
  card.setAttribute("role", "img");
  card.setAttribute("aria-label", sheets.length > 1 ? `${made.title}. ${sheetOf(index + 1, sheets.length)}` : made.title);
  onPaper.replaceSync(`@page { size: ${size.width}mm ${size.height}mm; margin: 0; }`);
  byId("sheets").hidden = sheets.length < 2;
  byId("which").textContent = sheetOf(index + 1, sheets.length);
  byId("previous").disabled = index === 0;
  byId("next").disabled = index === sheets.length - 1;
  lay();
}

/** @param {number} by */
function turn(by) {
  index = Math.max(0, Math.min(sheets.length - 1, index + by));
  draw();
  const spent = by > 0 ? byId("next") : byId("previous");
  if (spent.disabled) (by > 0 ? byId("previous") : byId("next")).focus();
  turned();
}

/** Show these sheets, or an empty place. @param {string[]} fresh */
export function showSheets(fresh) {
  sheets = fresh;
  byId("drawn").hidden = sheets.length === 0;
  byId("lacks").hidden = sheets.length > 0;
  byId("nothing").hidden = true;
  if (sheets.length) draw();
  else byId("sheets").hidden = true;
}

async function atTrueSize() {
  if (trueScale() !== null || (await measureScreen()) !== null) zoomTo("true");
}

/** @param {() => void} onTurn called after another sheet is shown */
export function begin(onTurn) {
  turned = onTurn;
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, onPaper];
  byId("previous").onclick = () => turn(-1);
  byId("next").onclick = () => turn(1);
  byId("whole").onclick = () => zoomTo("whole");
  byId("larger").onclick = () => zoomTo(Math.min(scale() * STEP, MOST));
  byId("smaller").onclick = () => zoomTo(Math.max(scale() / STEP, wholeScale() / 2));
  byId("true").onclick = atTrueSize;
  byId("measure").onclick = async () => {
    if ((await measureScreen()) !== null) zoomTo("true");
  };
  new ResizeObserver(measureRoom).observe(area);
  window.addEventListener("beforeprint", layOutForPrinting);
  window.addEventListener("afterprint", () => byId("others").replaceChildren());
  window.addEventListener("resize", measureRoom);
}
