/** How many pixels of this screen make a millimetre, measured once with a ruler or a card held against it. */

const KEPT = "points-per-mm";
const USUAL = 96 / 25.4;
const LEAST = 1.5;
const MOST = 14;

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

/**
 * CSS pixels per mm at the present zoom of the browser; null until the user has measured.
 * The screen's own pixels are kept, so that true size stays true when the page is zoomed.
 * @returns {number | null}
 */
export function pxPerMm() {
  let kept = NaN;
  try {
    kept = Number.parseFloat(localStorage.getItem(KEPT) ?? "");
  } catch {
    kept = NaN;
  }
  return kept > 0 && kept < 1000 ? kept / window.devicePixelRatio : null;
}

/** @param {number} scale CSS pixels per mm */
function keep(scale) {
  try {
    localStorage.setItem(KEPT, String(scale * window.devicePixelRatio));
  } catch {
    forNow = scale;
  }
}

/** @type {number | null} where the browser keeps nothing */
let forNow = null;

/** @returns {number | null} */
export const trueScale = () => pxPerMm() ?? forNow;

/**
 * Ask the user how large the screen is.
 * @returns {Promise<number | null>} px per mm, or null after Cancel
 */
export function measureScreen() {
  const dialog = /** @type {HTMLDialogElement} */ (byId("ruler"));
  const against = /** @type {HTMLSelectElement} */ (byId("ruler-against"));
  const slide = /** @type {HTMLInputElement} */ (byId("ruler-slide"));
  const fine = /** @type {HTMLInputElement} */ (byId("ruler-fine"));
  const bar = /** @type {HTMLElement} */ (byId("ruler-bar"));
  let scale = trueScale() ?? USUAL;

  const mm = () => Number.parseFloat(against.value);
  const room = () => /** @type {HTMLElement} */ (bar.parentElement).clientWidth;
  const show = () => {
    const length = scale * mm();
    bar.style.width = `${length}px`;
    slide.min = fine.min = String(Math.ceil(LEAST * mm()));
    slide.max = fine.max = String(Math.floor(Math.min(MOST * mm(), Math.max(room(), length))));
    slide.value = fine.value = String(Math.round(length * 4) / 4);
  };
  const set = (/** @type {HTMLInputElement} */ by) => {
    const length = Number.parseFloat(by.value);
    if (!(length >= LEAST * mm() && length <= MOST * mm())) return;
    scale = length / mm();
    bar.style.width = `${length}px`;
    for (const other of [slide, fine]) if (other !== by) other.value = String(length);
  };

  slide.oninput = () => set(slide);
  fine.oninput = () => set(fine);
  against.onchange = show;
  dialog.returnValue = "";
  dialog.showModal();
  const fitting = Array.from(against.options).find((option) => Number.parseFloat(option.value) * scale <= room());
  if (fitting) against.value = fitting.value;
  show();
  return new Promise((resolve) => {
    dialog.onclose = () => {
      if (dialog.returnValue !== "keep") return resolve(null);
      keep(scale);
      resolve(scale);
    };
  });
}
