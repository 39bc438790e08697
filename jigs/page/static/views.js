/** The views: three steps and what is besides. One is shown; the address keeps which. */

/** @param {string} id */
const byId = (id) => /** @type {any} */ (document.getElementById(id));

const links = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll("[data-show]")));
const parts = /** @type {HTMLElement[]} */ (Array.from(document.querySelectorAll("[data-view]")));

export const VIEWS = links.map((one) => String(one.dataset.show));

/** The view that a new address begins with. */
export const FIRST_VIEW = VIEWS[0];

let shown = FIRST_VIEW;
/** @type {(view: string) => void} */
let afterwards = () => {};

export const shownView = () => shown;

/** @param {Element} part @returns {string[]} the views that a part is seen in; none for a part that is in all */
const viewsOf = (part) => (part instanceof HTMLElement && part.dataset.view ? part.dataset.view.split(" ") : []);

/** Show a view. @param {string} view */
export function showView(view) {
  shown = VIEWS.includes(view) ? view : FIRST_VIEW;
  for (const part of parts) part.hidden = !viewsOf(part).includes(shown);
  for (const link of links) {
    if (link.dataset.show === shown) link.setAttribute("aria-current", "step");
    else link.removeAttribute("aria-current");
  }
  document.documentElement.dataset.at = shown;
  afterwards(shown);
}

/** Go to a view, and begin at its top. @param {string} view */
export function goToView(view) {
  showView(view);
  window.scrollTo(0, 0);
}

/** Show the view that something lies in, if it is not seen in this one. @param {Element} target */
export function showViewOf(target) {
  /** @type {string[]} */
  let views = [];
  for (let part = target.closest("[data-view]"); part; part = part.parentElement?.closest("[data-view]") ?? null) {
    const own = viewsOf(part);
    views = views.length ? views.filter((view) => own.includes(view)) : own;
  }
  if (views.length && !views.includes(shown)) showView(views[0]);
}

/**
 * @param {(view: string) => void} onShow called after a view is shown @param {() => void} onChoice after the user chose it
 */
export function begin(onShow, onChoice) {
  afterwards = onShow;
  for (const link of links) {
    link.addEventListener("click", (event) => {
      event.preventDefault();
      goToView(String(link.dataset.show));
      byId("faults").hidden || byId("faults").scrollIntoView({ block: "nearest" });
      if (!link.closest("header")) byId(`to-${shown}`).focus({ preventScroll: true });
      onChoice();
    });
  }
}
