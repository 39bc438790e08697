/** The program ends at the press of a button. What was filled in stays in the address. */

import { ask, askNoMore, isSilent } from "./ask.js";
import { goTo, showFaults } from "./faults.js";
import { closeMicrophone } from "./microphone.js";
import * as words from "./words.js";

const stop = /** @type {HTMLButtonElement | null} */ (document.getElementById("stop"));

/** Show nothing else from now on: the form stays, so that the address is still written to its end. */
function part() {
  askNoMore();
  closeMicrophone();
  const said = document.createElement("p");
  said.id = "stopped";
  said.className = "framed";
  said.tabIndex = -1;
  said.textContent = words.PROGRAM_STOPPED;
  document.body.prepend(said);
  document.documentElement.dataset.stopped = "";
  said.focus();
}

/** Have the button stop the program. */
export function begin() {
  stop?.addEventListener("click", async () => {
    stop.disabled = true;
    const { faults } = await ask("/stop", {});
    if (faults.every(isSilent)) {
      part();
      return;
    }
    stop.disabled = false;
    showFaults(faults);
    goTo(/** @type {HTMLElement} */ (document.getElementById("faults")));
  });
}
