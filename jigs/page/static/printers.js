/** Printers measured here: the check sheet, the lengths read on it, and the printers that are kept. It computes nothing. */

import { ask, oneAtATime } from "./ask.js";
import { goTo, showAtFields, showFaultsIn } from "./faults.js";
import { off } from "./off.js";
import { setValue } from "./strings.js";
import { mount, scaleTo } from "./svg.js";
import * as words from "./words.js";

/**
 * @typedef {import("./ask.js").Fault} Fault
 * @typedef {{name: string, line: string}} Kept a printer that is kept, and its errors in one line
 */

const FORM = "printer.";
const TAKEN = "printer-name-taken";
const PX_PER_MM = 4.4;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const form = /** @type {HTMLElement} */ (byId("printer"));
const inputs = /** @type {HTMLInputElement[]} */ (Array.from(form.querySelectorAll("[data-printer]")));
const choice = /** @type {HTMLSelectElement} */ (byId("f-draw.printer"));

/** @type {import("./page.js").Page} */
let page;
let sheet = "";
let paper = "";

/** What was typed, without the empty fields. @returns {Record<string, string>} */
const typed = () =>
  Object.fromEntries(inputs.map((one) => [String(one.dataset.printer), one.value.trim()]).filter(([, text]) => text));

/** @param {Record<string, string>} asked */
const request = (asked) => ({ ...page.question(), asked });

/** @param {Record<string, string>} values */
function fill(values) {
  for (const one of inputs) one.value = values[String(one.dataset.printer)] ?? "";
}

/** @param {Fault[]} faults */
function showFaults(faults) {
  const here = faults.filter(({ field }) => field.startsWith(FORM));
  showAtFields(here, form);
  showFaultsIn(byId("printer-faults"), faults.filter((fault) => !here.includes(fault)));
  byId("printer-replace").hidden = !faults.some(({ code }) => code === TAKEN);
}

/** @param {string[]} lines @returns {HTMLElement[]} */
const paragraphs = (lines) =>
  lines.map((text) => {
    const line = document.createElement("p");
    line.textContent = text;
    return line;
  });

const refresh = oneAtATime(async () => {
  const now = request(typed());
  paper = now.draw.paper ?? "";
  const reply = await ask("/printer-try", now);
  showFaults(reply.faults);
  off(byId("printer-keep"), reply.faults.length ? words.FIX_HERE : (reply.missing ?? ""));
  sheet = reply.sheet ?? "";
  byId("printer-shown").hidden = !reply.lines?.length;
  byId("printer-shown").replaceChildren(...paragraphs(reply.lines ?? []));
  byId("printer-notes").replaceChildren(...paragraphs((reply.notes ?? []).map((/** @type {{text: string}} */ { text }) => text)));
  if (!reply.picture) return;
  const made = mount(byId("printer-card"), reply.picture);
  if (!made) return;
  scaleTo(byId("printer-card"), made.width, made.height, PX_PER_MM);
  byId("printer-card").setAttribute("role", "img");
  byId("printer-card").setAttribute("aria-label", made.title);
});

/** @param {string} text */
function say(text) {
  byId("printer-said").textContent = text;
}

/** Show the printers, in the list and in the choice. @param {Kept[]} printers @param {string} chosen */
function showKept(printers, chosen) {
  byId("printers-kept").hidden = printers.length === 0;
  byId("printers-list").replaceChildren(...printers.map(listed));
  choice.replaceChildren(choice.options[0], ...printers.map(({ name }) => new Option(name, name)));
  setValue(choice, chosen);
}

/** @param {string} text @param {() => void} press @returns {HTMLButtonElement} */
function button(text, press) {
  const made = document.createElement("button");
  made.type = "button";
  made.textContent = text;
  made.onclick = press;
  return made;
}

/** @param {Kept} printer @returns {HTMLElement} */
function listed({ name, line }) {
  const item = document.createElement("li");
  const about = document.createElement("span");
  const row = document.createElement("span");
  about.textContent = line;
  row.className = "row";
  const check = button(words.CHECK_PRINTER, () => void checked(name));
  const remove = button(words.REMOVE, () => {
    const really = button(words.removePrinter(name), () => void forget(name));
    const not = button(words.KEEP_IT, () => {
      row.replaceChildren(check, remove);
      remove.focus();
    });
    row.replaceChildren(really, not);
    really.focus();
  });
  for (const one of [check, remove]) one.setAttribute("aria-label", `${one.textContent}: ${name}`);
  row.append(check, remove);
  item.append(about, row);
  return item;
}

/** @param {string} name */
async function forget(name) {
  const reply = await ask("/printer-forget", request({ name }));
  showFaultsIn(byId("printer-faults"), reply.faults);
  if (!reply.printers) return;
  showKept(reply.printers, choice.value === name ? "" : choice.value);
  byId("printer-check").hidden = true;
  say(reply.said);
  goTo(byId("printers").querySelector("summary"));
  page.changed();
}

/** Take the check sheet corrected for a printer, and show what must be read on it. @param {string} name */
async function checked(name) {
  const reply = await ask("/printer-check", request({ name }));
  showFaultsIn(byId("printer-faults"), reply.faults);
  if (!reply.lines) return;
  byId("printer-check").replaceChildren(...paragraphs(reply.lines));
  byId("printer-check").hidden = false;
  await page.take("/printer-check-sheet", () => reply.sheet, { name });
  byId("printer-check").focus();
}

/** @param {boolean} [instead] whether it replaces the one of the same name */
async function keep(instead = false) {
  await refresh();
  const reply = await ask("/printer-keep", request(instead ? { ...typed(), replace: "true" } : typed()));
  showFaults(reply.faults);
  if (!reply.printers) {
    if (!byId("printer-replace").hidden) byId("printer-replace").focus();
    return;
  }
  fill({});
  showKept(reply.printers, reply.kept);
  say(reply.said);
  page.changed();
  choice.focus();
  void refresh();
}

async function showAll() {
  const reply = await ask("/printer-list", request({}));
  if (reply.printers) showKept(reply.printers, choice.value);
}

/** @param {string} text what the address kept */
function fromAddress(text) {
  try {
    fill(Object.fromEntries(Object.entries(JSON.parse(text || "{}")).map(([key, value]) => [key, String(value)])));
  } catch {
    fill({});
  }
  if (Object.keys(typed()).length) byId("printers").open = true;
}

/** @param {import("./page.js").Page} ours */
export function begin(ours) {
  page = ours;
  page.keep("printer-lengths", () => (Object.keys(typed()).length ? JSON.stringify(typed()) : ""), fromAddress);
  page.afterDrawing(() => {
    if (byId("printers").open && (page.question().draw.paper ?? "") !== paper) void refresh();
  });
  byId("printers").addEventListener("toggle", () => {
    if (!byId("printers").open) return;
    void showAll();
    void refresh();
  });
  form.addEventListener("input", () => {
    say("");
    page.noted();
    void refresh();
  });
  byId("printer-sheet").addEventListener("click", async () => {
    await refresh();
    await page.take("/printer-sheet", () => sheet);
  });
  choice.addEventListener("change", () => say(""));
  byId("printer-keep").addEventListener("click", () => void keep());
  byId("printer-replace").addEventListener("click", () => void keep(true));
}
