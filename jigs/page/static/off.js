/** A button that is off says why, beside itself. */

import { goTo } from "./faults.js";
import { FIX_FIRST } from "./words.js";

/**
 * Switch a button off with a reason, or on without one. The reason is in the element ``why-<id>`` of the page.
 * @param {HTMLButtonElement} button @param {string} reason "" to switch it on
 */
export function off(button, reason) {
  const why = document.getElementById(`why-${button.id}`);
  button.disabled = reason !== "";
  if (!why) return;
  why.replaceChildren(reason === FIX_FIRST ? toTheFaults() : reason);
  why.hidden = reason === "";
}

/** @returns {HTMLElement} a link to what is to be fixed */
function toTheFaults() {
  const link = document.createElement("a");
  link.href = "#faults";
  link.textContent = FIX_FIRST;
  link.onclick = (event) => {
    event.preventDefault();
    goTo(/** @type {HTMLElement} */ (document.getElementById("faults")));
  };
  return link;
}
