/** A button that is off says why, beside itself. */

/**
 * Switch a button off with a reason, or on without one. The reason stands in the element ``why-<id>`` of the page.
 * @param {HTMLButtonElement} button @param {string} reason "" to switch it on
 */
export function off(button, reason) {
  const why = document.getElementById(`why-${button.id}`);
  button.disabled = reason !== "";
  if (!why) return;
  why.textContent = reason;
  why.hidden = reason === "";
}
