/** Files to take besides the PDF: which can be had, and why not. */

import { off } from "./off.js";
import * as words from "./words.js";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

/** The last answer to a drawing. @type {any} */
let drawn = {};

/** @param {any} reply the answer to a drawing */
function show(reply) {
  drawn = reply;
  const faulty = reply.faults.length > 0;
  const spoilt = faulty && !reply.lacks ? words.FIX_FIRST : "";
  off(byId("svg"), faulty ? words.FIX_FIRST : "");
  off(byId("dxf"), faulty ? words.FIX_FIRST : reply.no_dxf);
  off(byId("all"), spoilt);
  off(byId("kit"), spoilt);
}

/**
 * Take a file that needs some seconds, and say so meanwhile. Another press of its button does nothing until it is there.
 * @param {import("./page.js").Page} page @param {HTMLButtonElement} button @param {string} route @param {() => string} name
 */
async function takeSlowly(page, button, route, name) {
  if (button.hasAttribute("aria-busy")) return;
  byId("taking").hidden = false;
  byId("taking").textContent = words.BEING_DRAWN;
  page.speak(words.BEING_DRAWN);
  button.setAttribute("aria-busy", "true");
  const taken = await page.take(route, name);
  button.removeAttribute("aria-busy");
  byId("taking").hidden = !taken;
  if (!taken) return;
  byId("taking").textContent = words.inDownloads(name(), false);
  page.speak(words.inDownloads(name(), false));
}

/** @param {import("./page.js").Page} page */
export function begin(page) {
  page.afterDrawing(show);
  byId("dxf").addEventListener("click", () => page.take("/dxf", () => drawn.dxf));
  byId("all").addEventListener("click", () => takeSlowly(page, byId("all"), "/archive", () => drawn.archive));
  byId("kit").addEventListener("click", () => takeSlowly(page, byId("kit"), "/kit", () => drawn.kit));
}
