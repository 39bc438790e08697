/** The line at the foot of a narrow window: what typing does to what lies out of sight, and the way there. */

import { shownView } from "./views.js";
import { SEE_WHAT_TO_DO, seeBelow } from "./words.js";

const glance = /** @type {HTMLElement} */ (document.getElementById("glance"));
const advice = /** @type {HTMLElement} */ (document.getElementById("advice"));

let figures = "";
let wrong = "";

/** @param {string} known the figures in short @param {string} toFix what there is to fix or to check, "" for nothing */
export function atAGlance(known, toFix) {
  figures = known;
  wrong = toFix;
  showGlance();
}

/** Show what the view that is shown has out of sight: at the bench, what to do. */
export function showGlance() {
  const listens = shownView() === "listen";
  const below = listens ? (advice.hidden ? "" : SEE_WHAT_TO_DO) : figures;
  glance.textContent = wrong ? seeBelow(wrong) : below;
  glance.dataset.goto = wrong ? "faults" : listens ? "advice" : "result";
  glance.hidden = glance.textContent === "";
}
