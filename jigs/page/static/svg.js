/** A drawing in a shadow root, so that its ids and the page's never meet. */

const LEAST_LINE_PX = 0.75;

const looks = new CSSStyleSheet();
looks.replaceSync(`
  :host { color-scheme: light; }
  svg { display: block; width: var(--drawn-width); height: var(--drawn-height); background: #fff; }
  text { font-family: "DejaVu Sans", sans-serif; text-rendering: geometricPrecision; }
  @media print {
    svg { width: var(--drawn-width-mm) !important; height: var(--drawn-height-mm) !important; }
  }
`);

/** @type {WeakMap<ShadowRoot, CSSStyleSheet>} */
const linesOf = new WeakMap();

/**
 * Put a drawing into a host element. Returns its title and its size in mm.
 * @param {HTMLElement} host @param {string} text
 * @returns {{title: string, width: number, height: number} | null} null if it is not a drawing
 */
export function mount(host, text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  if (parsed.nodeName !== "svg") return null;
  const svg = /** @type {SVGSVGElement} */ (document.importNode(parsed, true));
  const [, , width, height] = (svg.getAttribute("viewBox") ?? "0 0 1 1").split(/[ ,]+/).map(Number);
  const title = svg.querySelector(":scope > title");
  const called = title?.textContent ?? "";
  title?.remove();
  svg.setAttribute("aria-hidden", "true");
  const root = host.shadowRoot ?? host.attachShadow({ mode: "open" });
  let lines = linesOf.get(root);
  if (!lines) {
    lines = new CSSStyleSheet();
    linesOf.set(root, lines);
    root.adoptedStyleSheets = [looks, lines];
  }
  lines.replaceSync(neverInvisible(svg));
  root.replaceChildren(svg);
  host.style.setProperty("--drawn-width-mm", `${width}mm`);
  host.style.setProperty("--drawn-height-mm", `${height}mm`);
  return { title: called, width, height };
}

/**
 * Rules that keep hairlines visible where the drawing is small on the screen; on paper every line has its own width.
 * @param {SVGSVGElement} svg @returns {string}
 */
function neverInvisible(svg) {
  const widths = new Set(Array.from(svg.querySelectorAll("[stroke-width]"), (one) => one.getAttribute("stroke-width")));
  const rules = Array.from(widths)
    .filter((width) => width !== null && /^[\d.]+$/.test(width))
    .map((width) => `[stroke-width="${width}"] { stroke-width: max(${width}px, var(--least, 0px)); }`);
  return `@media screen { ${rules.join("\n")} }`;
}

/** @param {HTMLElement} host @param {number} width in mm @param {number} height in mm @param {number} scale px per mm */
export function scaleTo(host, width, height, scale) {
  host.style.setProperty("--drawn-width", `${width * scale}px`);
  host.style.setProperty("--drawn-height", `${height * scale}px`);
  host.style.setProperty("--least", `${LEAST_LINE_PX / scale}px`);
}
