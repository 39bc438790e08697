/** Listening: asks for one pluck after another, and shows what the program says of each. It decides nothing. */

import { ask, askSound } from "./ask.js";
import { goTo, signed } from "./faults.js";
import { closeMicrophone, forget, isProcessed, openMicrophone, soundKept } from "./microphone.js";
import { mount, scaleTo } from "./svg.js";
import * as words from "./words.js";

/**
 * @typedef {{end: string, cents: number, standard_error_cents: number, shared_error_cents: number}} Pair
 * @typedef {{heard: Pair[], open: object | null, wanted: string, open_hz: number | null, done: boolean, refused: string,
 *   lines: import("./result.js").AdviceLine[], picture: string | null}} Step
 * @typedef {{question: () => object, speak: (words: string) => void, ended: (words: string, all: boolean) => void}} Page
 */

const EVERY_MS = 400;
const MOST_PX_PER_MM = 3.2;
const UNREADABLE = "request-malformed";
const HEARD = "listen-heard";
const DO = "listen-do";

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

/** @type {Page} */
let page;
/** @type {Step[]} what was asked for, step by step; the last one is asked for now */
let steps = [];
/** @type {Pair[]} */
let heard = [];
/** @type {Pair[]} what counts until another pair is heard, if listening begins afresh */
let before = [];
/** The listening that goes on, 0 for none: what an earlier one still waits for no longer counts. */
let listening = 0;
let sessions = 0;
/** Goes up when a pluck is thrown away: an answer to an earlier question no longer counts. */
let turn = 0;
/** @type {Step | null} */
let shown = null;

/** What was heard in this round. @returns {Pair[]} */
export const heardPairs = () => heard;

/** @param {object} more @returns {Promise<any>} */
const askStep = (more) => ask("/heard", { ...page.question(), ...more });

/** Go on from these, and show them. Those of an address that nobody can read are dropped. @param {Pair[]} pairs */
export async function setHeard(pairs) {
  close();
  complain("");
  heard = pairs;
  before = [];
  steps = [];
  show(null);
  if (!pairs.length) return;
  const reply = await askStep({ heard: pairs });
  if (heard !== pairs || listening) return;
  if (reply.lines) show(reply);
  else if (reply.faults.some((/** @type {{code: string}} */ { code }) => code === UNREADABLE)) heard = [];
}

/** @param {import("./result.js").AdviceLine} line @returns {HTMLElement} */
function paragraph({ kind, text }) {
  const one = document.createElement("p");
  one.dataset.kind = kind;
  one.textContent = text;
  return one;
}

/** Show a step: what to pluck, what was heard, and a picture of that. @param {Step | null} step */
function show(step) {
  shown = step;
  const lines = step?.lines ?? [];
  const isAsked = (/** @type {{kind: string}} */ { kind }) => kind === DO || kind === "listen-string";
  byId("listen-ask").replaceChildren(...lines.filter(isAsked).map(paragraph));
  byId("heard-lines").replaceChildren(...lines.filter((one) => !isAsked(one)).map(paragraph));
  byId("heard").hidden = !step?.picture;
  byId("listen-start").hidden = listening !== 0;
  byId("listening").hidden = byId("open-sign").hidden = listening === 0;
  byId("listen-forget").hidden = listening !== 0 || !heard.length;
  byId("listen-again").disabled = steps.length < 2;
  if (!step?.picture) return;
  const card = byId("heard-card");
  const made = mount(card, step.picture);
  if (made === null) return;
  card.setAttribute("role", "img");
  card.setAttribute("aria-label", made.title || words.HEARD_PICTURE);
  const room = byId("heard").clientWidth;
  scaleTo(card, made.width, made.height, Math.min(MOST_PX_PER_MM, room / made.width) || 1);
}

/** @param {string} sentence why a pluck does not count, or why there is no listening; "" for nothing */
function complain(sentence) {
  for (const id of ["listen-refused", "listen-fault"]) {
    const here = byId(id);
    here.hidden = sentence === "" || (id === "listen-refused") !== (listening !== 0);
    here.replaceChildren(...(here.hidden ? [] : [signed(sentence)]));
  }
}

/** Speak what to do. @param {Step} step @param {string} [before] */
function speak(step, before = "") {
  const todo = step.lines.filter(({ kind }) => kind === DO).map(({ text }) => text);
  page.speak([before, ...todo].filter(Boolean).join(" "));
}

/** @param {Step} step */
function goOn(step) {
  heard = step.heard;
  complain(step.refused);
  show(step);
}

/** Open the microphone, and ask for plucks until all is heard. */
async function listen() {
  const mine = (listening = ++sessions);
  complain("");
  const failed = await openMicrophone(() => end(words.MICROPHONE_ENDED));
  if (mine !== listening || failed === null) return;
  if (failed) return end(failed);
  let first = await askStep({ heard });
  before = first.done ? heard : [];
  if (first.done) first = await askStep({ heard: [] });
  if (mine !== listening) return;
  if (first.faults.length) return end(inOneSentence(first.faults));
  steps = [first];
  goOn(first);
  byId("processed").hidden = !isProcessed();
  goTo(byId("listening"));
  speak(first, byId("listen-open-words").textContent);
  while (mine === listening) {
    await new Promise((resolve) => setTimeout(resolve, EVERY_MS));
    if (mine === listening) await hearOnce(mine);
  }
}

/** Send what the microphone heard so far. @param {number} mine */
async function hearOnce(mine) {
  const step = steps[steps.length - 1];
  const sound = soundKept();
  if (!sound) return;
  const now = turn;
  const said = await askSound(`/listen?open_hz=${step.open_hz}&wanted=${step.wanted}`, sound.wav);
  if (mine !== listening || now !== turn) return;
  if (said.faults.length) return end(inOneSentence(said.faults));
  if (said.state === "waiting") return;
  forget(sound.at + said.until_s * sound.rate);
  if (said.state === "refused") {
    complain(said.refused);
    page.speak(said.refused);
    return;
  }
  const plucks = { open: step.open, [step.wanted]: said.partials };
  const next = await askStep({ heard: step.heard, plucks });
  if (mine !== listening || now !== turn) return;
  if (next.faults.length) return end(inOneSentence(next.faults));
  steps.push(next);
  if (next.done) return finish(next);
  goOn(next);
  speak(next, next.refused || (next.heard.length > step.heard.length ? lastHeard(next) : ""));
}

/** @param {Step} step what was heard at the end that is plucked */
const lastHeard = ({ lines }) => lines.filter(({ kind }) => kind === HEARD).at(-1)?.text.concat(".") ?? "";

/** @param {Step} step */
function finish(step) {
  close();
  goOn(step);
  page.ended(words.HEARD_ALL, true);
}

/** @param {import("./ask.js").Fault[]} faults */
const inOneSentence = ([{ where, what, remedy }]) => `${where ? `${where}: ` : ""}${what}; ${remedy}.`;

/** Close the microphone, and say why if it was not the user. @param {string} [why] */
function end(why = "") {
  const hadFocus = byId("listening").contains(document.activeElement);
  if (!heard.length && before.length) void setHeard(before);
  close();
  show(heard.length ? shown : null);
  complain(why);
  if (hadFocus) byId("listen-start").focus();
  page.ended(why.replace(/\.$/, "") || words.STOPPED_LISTENING, false);
}

function close() {
  listening = 0;
  closeMicrophone();
}

/** Throw away the last pluck that was heard, and ask for it again. */
function again() {
  turn += 1;
  forget();
  if (steps.length > 1) steps.pop();
  const step = steps[steps.length - 1];
  if (!step) return;
  goOn({ ...step, refused: "" });
  speak(step, `${words.ASKS_AGAIN}.`);
}

/** Whether a key belongs to what has the focus: a field, or a control of its own. @param {EventTarget | null} target */
const hasKeys = (target) => target instanceof Element && target.closest("input, select, textarea, button, summary, a, dialog") !== null;

/** @param {KeyboardEvent} event */
function pressed(event) {
  if (!listening || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.key === "Escape") end();
  else if (event.key === " " && !hasKeys(event.target)) {
    event.preventDefault();
    if (!event.repeat) again();
  }
}

/** @param {Page} with_ what the page does for it */
export function begin(with_) {
  page = with_;
  byId("listen-start").addEventListener("click", listen);
  byId("listen-stop").addEventListener("click", () => end());
  byId("listen-again").addEventListener("click", () => {
    byId("listening").focus();
    again();
  });
  byId("listen-forget").addEventListener("click", async () => {
    await setHeard([]);
    byId("listen-start").focus();
    page.ended(words.HEARD_FORGOTTEN, false);
  });
  document.addEventListener("keydown", pressed);
  window.addEventListener("pagehide", close);
  document.addEventListener("visibilitychange", () => document.hidden && listening && end(words.MICROPHONE_LEFT));
}
