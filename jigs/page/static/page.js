/**
 * What the page does for its views.
 *
 * @typedef {object} Page
 * @property {() => import("./ask.js").Question} question what the form says, as the start of every request
 * @property {(words: string) => void} speak at once, for a screen reader
 * @property {() => void} changed the form was changed: draw again
 * @property {(values: Record<string, string>) => void} setFields fill in fields of the instrument by their keys, and draw again
 * @property {(base: import("./ask.js").Base, fields?: Record<string, string>) => Promise<void>} startFrom another
 *   instrument, as a step that the browser's Back undoes
 * @property {(base: import("./ask.js").Base) => Promise<void>} goOnFrom the same instrument from another text, with all else as
 *   it is: drawing, readings, rounds
 * @property {(target: HTMLElement) => void} goTo bring something into view and to the keyboard, whatever view it is in
 * @property {(view: string) => void} show a view
 * @property {(name: string, get: () => string, set: (text: string) => void) => void} keep a text in the page's address,
 *   unless it is ""
 * @property {() => void} noted something that the address keeps was changed, and nothing is to be drawn
 * @property {(route: string, name: () => string, asked?: Record<string, string>) => Promise<boolean>} take download a file;
 *   false if there were faults, which are shown
 * @property {(then: (reply: any) => void) => void} afterDrawing call it with every answer to a drawing
 */

export {};
