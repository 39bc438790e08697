/** The empty sheet of a template that cannot be drawn: what to fill in, with links to the fields. */

import { goTo } from "./faults.js";
import { FIX_FIRST } from "./words.js";

/** @typedef {{title: string, fields: {field: string, label: string}[], sentences: string[]}} Lacks */

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

/**
 * @param {Lacks | null} lacks what the template lacks, null where the list of faults says it
 * @param {string} title the template's name, for an instrument that is at fault itself
 */
export function showLacks(lacks, title) {
  byId("lacks-title").textContent = lacks?.title ?? title;
  byId("lacks-words").replaceChildren(
    ...(lacks?.sentences ?? []).map((sentence) => {
      const line = document.createElement("p");
      line.textContent = sentence;
      return line;
    }),
  );
  const fields = lacks?.fields.length ? lacks.fields : [{ field: "", label: FIX_FIRST }];
  byId("lacks-fields").replaceChildren(...fields.map(linked));
}

/** @param {{field: string, label: string}} to @returns {HTMLElement} */
function linked({ field, label }) {
  const id = field ? `f-${field}` : "faults";
  const line = document.createElement("li");
  const link = document.createElement("a");
  link.href = `#${id}`;
  link.textContent = label;
  link.onclick = (event) => {
    event.preventDefault();
    goTo(byId(id));
  };
  line.append(link);
  return line;
}
