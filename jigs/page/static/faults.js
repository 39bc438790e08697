/** Faults, each at its field and all of them in one list. */

/** @typedef {import("./ask.js").Fault} Fault */

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const box = /** @type {HTMLElement} */ (byId("faults"));

/** @param {string} field @returns {HTMLElement | null} the control, if it can be gone to */
function control(field) {
  const found = field ? byId(`f-${field}`) : null;
  return found && !found.closest("[data-of][hidden], #options[hidden]") ? found : null;
}

/** @param {string} field @returns {string} */
function nameOf(field) {
  const found = control(field);
  if (!found) return "";
  const label = document.querySelector(`label[for="${CSS.escape(`f-${field}`)}"]`)?.textContent ?? found.textContent ?? "";
  const string = /^strings\.(\d+)\./.exec(field);
  const end = /^readings\.(treble|bass)-/.exec(field);
  const group = found.closest("details.group")?.querySelector("summary")?.textContent;
  if (string) return `String ${string[1]}, ${lower(label)}`;
  if (end) return `${byId(`outer-${end[1]}`).textContent}, ${lower(label)}`;
  return group ? `${group}, ${lower(label)}` : label;
}

/** @param {string} label */
const lower = (label) => label.charAt(0).toLowerCase() + label.slice(1);

/** Bring something into view and to the keyboard, unfolding what it lies in. @param {HTMLElement} target */
export function goTo(target) {
  for (let fold = target.closest("details"); fold; fold = fold.parentElement?.closest("details") ?? null) fold.open = true;
  target.focus({ preventScroll: true });
  target.scrollIntoView({ block: target.matches("input, select, button, legend") ? "center" : "start" });
}

/** @param {Fault[]} faults */
export function showFaults(faults) {
  for (const one of document.querySelectorAll("[aria-invalid]")) one.removeAttribute("aria-invalid");
  for (const one of document.querySelectorAll(".fault:not([hidden])")) {
    one.replaceChildren();
    /** @type {HTMLElement} */ (one).hidden = true;
  }
  for (const fault of faults) {
    const { field } = fault;
    const found = control(field);
    const words = byId(`x-${field}`);
    if (!found || !words) continue;
    if (found.matches("input, select")) found.setAttribute("aria-invalid", "true");
    words.append(signed(sentence(fault)));
    words.hidden = false;
  }
  box.hidden = faults.length === 0;
  byId("faults-title").textContent = counted(faults);
  byId("faults-list").replaceChildren(...faults.map(listed));
}

/** How many there are. @param {Fault[]} faults */
export const counted = (faults) => (faults.length === 1 ? "1 thing to fix" : `${faults.length} things to fix`);

/** What is wrong, and what to do. @param {Fault} fault */
const sentence = ({ what, remedy }) => [what, remedy].filter(Boolean).join("; ");

/** @param {string} what @returns {HTMLElement} */
function signed(what) {
  const line = document.createElement("span");
  const sign = document.createElement("span");
  sign.setAttribute("aria-hidden", "true");
  sign.textContent = "▲ ";
  line.append(sign, what);
  return line;
}

/** @param {Fault} fault @returns {HTMLElement} */
function listed(fault) {
  const { field, where } = fault;
  const what = sentence(fault);
  const line = document.createElement("li");
  const found = control(field);
  if (found) {
    const link = document.createElement("a");
    link.href = `#f-${field}`;
    link.textContent = nameOf(field);
    link.onclick = (event) => {
      event.preventDefault();
      goTo(found);
    };
    line.append(link, ": ", what);
  } else {
    line.append(where ? `${where}: ${what}` : what);
  }
  return line;
}

/** @param {Fault[]} faults @returns {string} the same to be spoken */
export function inWords(faults) {
  const each = faults.map((fault) => [nameOf(fault.field) || fault.where, sentence(fault)].filter(Boolean).join(": "));
  return `${counted(faults)}. ${each.join(". ")}`;
}

/** Keeps what stands below the list of faults clear of it where both stand in one column. */
export function begin() {
  new ResizeObserver(() => {
    document.documentElement.style.setProperty("--faults-height", box.hidden ? "0px" : `${box.offsetHeight + 16}px`);
  }).observe(box);
}
