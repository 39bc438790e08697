/** The rounds at the bench that are done: kept here as values, listed in the program's words. */

import { ask } from "./ask.js";
import { showPicture } from "./shown.js";

/**
 * @typedef {{read_cents: (number | null)[], moved_mm: (number | null)[], verdict: string, next: object | null,
 *   rests?: number[][], aims_elsewhere?: boolean}} Round
 * @typedef {import("./result.js").AdviceLine} AdviceLine
 */

/** Its letters are small: a telephone shows them large enough at this scale. */
const PX_PER_MM = 4;
const UNREADABLE = "request-malformed";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

/** @type {Round[]} */
let done = [];
/** The picture of the rounds that are done, "" for none. */
let picture = "";

/** @returns {Round[]} */
export const roundsDone = () => done;

/** The number of the round that is being read. */
export const roundNow = () => done.length + 1;

/** Where the last round left the bridge, null if nobody knows. */
export const startNow = () => done.at(-1)?.next ?? null;

/** @param {AdviceLine[]} lines @returns {HTMLElement} */
function item(lines) {
  const one = document.createElement("li");
  for (const { kind, text } of lines) {
    const line = document.createElement("span");
    line.className = "line";
    line.dataset.kind = kind;
    line.textContent = text;
    one.append(line, " ");
  }
  return one;
}

/**
 * Go on from these rounds, and list them. Rounds of an address that nobody can read are dropped.
 * @param {Round[]} rounds @param {object} question what the form says
 */
export async function setRounds(rounds, question) {
  done = rounds;
  for (const one of document.querySelectorAll("[data-round]")) {
    /** @type {HTMLElement} */ (one).hidden = (one.getAttribute("data-round") === "first") !== (rounds.length === 0);
  }
  picture = "";
  if (rounds.length === 0) {
    byId("rounds-list").replaceChildren();
    showRounds();
    return;
  }
  const reply = await ask("/rounds", { ...question, rounds });
  if (done !== rounds) return;
  picture = reply.picture ?? "";
  showRounds();
  if (reply.rounds) byId("rounds-list").replaceChildren(...reply.rounds.map(item));
  else if (reply.faults.some((/** @type {{code: string}} */ { code }) => code === UNREADABLE)) await setRounds([], question);
}

/** Show the rounds as a picture: all that are done, and perhaps the one that was read. @param {string} [withThis] */
export function showRounds(withThis = picture) {
  showPicture("rounds-card", withThis || picture, PX_PER_MM);
  byId("rounds").hidden = done.length === 0;
}
