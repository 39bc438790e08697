/** Measuring: the first questions, what each measurement is worth, what is still the preset's, and the measuring aids. */

import { download, fetchFile } from "./ask.js";
import { goTo, showFaults } from "./faults.js";
import { valueOf } from "./strings.js";
import { FROM_PRESET, PRESET_VALUE, STILL_OF_THE_PRESET, inDownloads } from "./words.js";

/** @typedef {{answer: string, no: string, yes: string, unknown: string}} Saddle */
/** @typedef {{name: string, field: string}} Untouched */

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const STEPS = "bridge.steps";
const HALF = "nut_to_fret_12";
const PERHAPS_HALF = "scale-perhaps-half";

/** Fields that hold what people measure, except those of a string. */
const MEASURED = ":is(.is-length, .is-number, .is-whole, .is-list):not(#strings *)";

const form = /** @type {HTMLElement} */ (byId("instrument"));
const answers = /** @type {HTMLInputElement[]} */ (Array.from(document.querySelectorAll("#stepped input")));

/** @type {import("./page.js").Page} */
let page;
/** @type {Saddle | null} what each answer to the question of the saddle fills in */
let saddle = null;
/** What the user answered, and of which instrument. */
let answered = { answer: "", of: "" };
/** @type {string} own steps, so that another answer does not lose them */
let ownSteps = "";
let aids = "";
/** What instrument the answer shown is of. */
let shownOf = "";

/** Keys of the fields that were typed, and the preset that they were typed over: they may say what it says. */
const typed = { of: "", keys: /** @type {Set<string>} */ (new Set()) };

/** The fields that are the user's own, whatever they say. @returns {string[]} */
export const typedHere = () => ("preset" in page.question().base && typed.of === started() ? [...typed.keys] : []);

/** @param {Event} event */
function noteTyped({ target }) {
  const { id } = /** @type {Element} */ (target);
  if (!id.startsWith("f-")) return;
  if (typed.of !== started()) typed.keys.clear();
  typed.of = started();
  typed.keys.add(id.slice(2));
}

/** What the form started from. @returns {string} */
function started() {
  const { base } = page.question();
  return "preset" in base ? base.preset : base.name;
}

/** @param {any} reply */
function show(reply) {
  showWorth(reply.worth ?? null);
  markUnused(reply.unused ?? {});
  markPresets();
  showFromPreset(reply.from_preset ?? []);
  showHalf(reply.faults);
  if (reply.saddle) showSaddle(reply.saddle);
  leadToTurns();
  aids = reply.aids ?? aids;
}

/** Counting the turns of a wrap begins at the first wound string. */
function leadToTurns() {
  const gauges = Array.from(form.querySelectorAll("[data-key=gauge]"));
  const wound = gauges.find((one) => /w\s*$/i.test(valueOf(one)));
  const link = /** @type {HTMLElement | null} */ (form.querySelector(".helps [href='#f-strings']"));
  if (link) link.dataset.goto = wound ? wound.id.replace(/gauge$/, "turns") : "f-strings";
}

/** Each measurement's part of the ±. @param {{whole: string, parts: Record<string, string>} | null} worth */
function showWorth(worth) {
  if (worth === null) return;
  form.classList.add("is-known");
  byId("worth-whole").textContent = worth.whole;
  for (const one of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll("[data-worth]"))) {
    one.textContent = worth.parts[String(one.dataset.worth)] ?? "";
  }
}

/** Fields that do not count, because another says the same. @param {Record<string, string>} unused by key, with why */
function markUnused(unused) {
  for (const words of form.querySelectorAll(".why-unused")) words.remove();
  for (const one of form.querySelectorAll(".unused")) {
    one.classList.remove("unused");
    const control = one.querySelector("input, select");
    control?.setAttribute("aria-describedby", described(control, "", "n-"));
  }
  for (const [key, why] of Object.entries(unused)) {
    const control = byId(`f-${key}`);
    const field = control?.closest(".field, .cell");
    if (!field) continue;
    const words = document.createElement("span");
    words.className = "why-unused hint";
    words.id = `n-${key}`;
    words.textContent = why;
    field.classList.add("unused");
    (field.matches(".cell") ? field.parentElement : field).append(words);
    control.setAttribute("aria-describedby", described(control, words.id, "n-"));
  }
}

/**
 * What describes a control, with one part exchanged.
 * @param {Element} control @param {string} id "" for none @param {string} start how the ids of that part start
 */
function described(control, id, start) {
  const others = (control.getAttribute("aria-describedby") ?? "").split(" ").filter((one) => one && !one.startsWith(start));
  return [...others, id].filter(Boolean).join(" ");
}

/** Show at every value whether it is still the preset's. */
function markPresets() {
  const { base, fields } = page.question();
  const ofPreset = "preset" in base;
  const own = [...Object.keys(fields), ...typedHere()];
  for (const field of form.querySelectorAll(MEASURED)) {
    const control = /** @type {HTMLInputElement} */ (field.querySelector("[data-key]"));
    const untouched = control.value !== "" && !own.includes(String(control.dataset.key));
    mark(field.querySelector("label"), ofPreset && untouched);
  }
  const rows = Array.from(byId("strings").children);
  rows.forEach((row, index) => {
    const isOwn = own.some((key) => key.startsWith(`strings.${index + 1}.`));
    mark(row.querySelector("legend"), ofPreset && !isOwn);
  });
}

/** @param {HTMLElement | null} label @param {boolean} ofPreset */
function mark(label, ofPreset) {
  const there = label?.querySelector(".of-preset") ?? null;
  if (!ofPreset) there?.remove();
  if (!label || there !== null || !ofPreset) return;
  const words = document.createElement("span");
  words.className = "of-preset";
  words.textContent = PRESET_VALUE;
  label.append(" ", words);
}

/** What of all that places the bridge is still the preset's, framed over the figures. @param {Untouched[]} untouched */
function showFromPreset(untouched) {
  const note = byId("preset-note");
  const named = untouched.map(({ field }) => field).join();
  note.hidden = untouched.length === 0;
  // A link that is drawn anew between press and release loses its click.
  if (note.dataset.fields === named) return;
  note.dataset.fields = named;
  const links = untouched.flatMap(({ name, field }, index) => {
    const link = document.createElement("a");
    link.href = `#f-${field}`;
    link.textContent = name;
    link.onclick = (event) => {
      event.preventDefault();
      const target = byId(`f-${field}`);
      if (target) page.goTo(target);
    };
    return index ? [", ", link] : [link];
  });
  note.replaceChildren(`${FROM_PRESET} `, ...links, `. ${STILL_OF_THE_PRESET}`);
}

/** Offer to move a scale that is more likely nut to fret 12. @param {import("./ask.js").Fault[]} faults */
function showHalf(faults) {
  byId("half-scale").hidden = !faults.some(({ code }) => code === PERHAPS_HALF);
}

/** The question of the saddle, answered as the values say unless the user did. @param {Saddle} now */
function showSaddle(now) {
  const { fields } = page.question();
  const other = shownOf !== started();
  shownOf = started();
  saddle = now;
  if (other) ownSteps = "";
  if (STEPS in fields && now.answer === "yes") ownSteps = fields[STEPS];
  const stays = { yes: true, unknown: !(STEPS in fields), no: now.answer === "no", "": false }[answered.answer] ?? false;
  const answer = answered.of === shownOf && stays ? answered.answer : now.answer;
  for (const one of answers) one.checked = one.value === answer;
  if (answer === "yes" || other) byId("stepped-fold").open = answer === "yes";
}

/** @param {string} answer */
function answer(answer) {
  if (saddle === null) return;
  answered = { answer, of: started() };
  const steps = { no: saddle.no, yes: ownSteps || saddle.yes, unknown: saddle.unknown }[answer] ?? "";
  byId("stepped-fold").open = answer === "yes";
  page.setFields({ [STEPS]: steps });
}

/** The sheet of measuring aids, for this instrument and this paper. */
async function printAids() {
  const now = page.question();
  const { paper, printer } = now.draw;
  const draw = Object.fromEntries(Object.entries({ template: "measure", paper, printer }).filter(([, value]) => value));
  const { blob, faults } = await fetchFile("/pdf", { ...now, draw });
  if (!blob) {
    showFaults(faults);
    goTo(byId("faults"));
    return;
  }
  download(blob, aids);
  byId("aids-took").textContent = inDownloads(aids, false);
  byId("aids-took").hidden = false;
}

/** @param {import("./page.js").Page} given */
export function begin(given) {
  page = given;
  for (const one of answers) one.addEventListener("change", () => one.checked && answer(one.value));
  byId("print-aids").addEventListener("click", printAids);
  byId("take-half").addEventListener("click", () => {
    page.setFields({ scale: "", [HALF]: valueOf(byId("f-scale")) });
    page.goTo(byId(`f-${HALF}`));
  });
  page.keep(
    "stepped",
    () => (answered.answer && answered.of === started() ? `${answered.answer} ${answered.of}` : ""),
    (text) => {
      const [said, ...of] = text.split(" ");
      answered = { answer: said, of: of.join(" ") };
    },
  );
  form.addEventListener("input", noteTyped, true);
  byId("reset").addEventListener("click", () => typed.keys.clear());
  page.keep(
    "measured",
    () => (typedHere().length ? [typed.of, ...typedHere()].join(" ") : ""),
    (text) => {
      const [of, ...keys] = text.split(" ");
      typed.of = of;
      typed.keys = new Set(keys);
    },
  );
  page.afterDrawing(show);
}
