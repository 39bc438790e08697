/** What the page itself says; all else comes from the program behind it, in words. */

/** @param {number} count of faults */
export const toFix = (count) => (count === 1 ? "1 thing to fix" : `${count} things to fix`);

/** @param {number} count of notes */
export const toCheck = (count) => (count === 1 ? "1 thing to check" : `${count} things to check`);

/** @param {string} what there is to fix or to check */
export const seeBelow = (what) => `▲ ${what} – tap to see`;

export const SEE_WHAT_TO_DO = "▼ What to do – tap to see";

export const FIX_FIRST = "Fix what is listed first.";

export const NOT_COMPLETE = "What you are typing is not complete yet.";

export const FIX_HERE = "Fix what is marked above first.";

export const BEING_DRAWN = "This is being drawn. It takes some seconds.";

export const CHECK_PRINTER = "Check the correction";

export const REMOVE = "Remove";

/** @param {string} name of a printer */
export const removePrinter = (name) => `Remove ${name} for good`;

export const KEEP_IT = "Keep it";

export const SILENT = { what: "the program behind this page does not answer", remedy: "start the program again" };

export const PROGRAM_STOPPED =
  "The program has stopped. You can close this tab. Its address holds what you filled in: bookmark it to continue later.";

/** @param {string} name a file that holds no instrument; the page stays as it was @param {string} [where] in it */
export const notOpened = (name, where = "") => `${name} is not opened, and nothing was changed${where && `. ${where}`}`;
export const TOO_LARGE = { what: "this file is larger than a megabyte", remedy: "an instrument file is a page of text" };

/** @param {number} count @param {string} from what the form started from */
export const changes = (count, from) =>
  `${count === 0 ? "No changes" : count === 1 ? "1 change" : `${count} changes`} from the ${from}.`;

/** @param {string} from */
export const resetTo = (from) => `Reset to ${from}`;

/** @param {string} name of a file @param {boolean} faulty */
export const inDownloads = (name, faulty) =>
  `${name} is in your downloads.${faulty ? " Fix what is listed here before you use it." : ""}`;

/** @param {string} string @param {string} end */
export const atEnd = (string, end) => `${string.slice(0, 1).toUpperCase()}${string.slice(1)}, ${end} end`;

/** @param {number} round */
export const waitsForReadings = (round) =>
  round === 1
    ? "Listen, or enter both readings of a string; the move appears here."
    : `Round ${round}: retune, then listen, or enter both readings of a string; the next move appears here.`;

/** @param {number} round */
export const roundBegins = (round) => `Round ${round}. Retune, and read both outer strings again`;

export const STARTED_OVER = "The rounds are forgotten. Round 1";

export const ON_THE_LINE = "The bridge stands on the sheet's line";

/** @param {number} number @param {number} count of sheets */
export const sheetOf = (number, count) => `Sheet ${number} of ${count}`;

/** @param {number} index @param {number} count of strings */
export const stringTitle = (index, count) =>
  `String ${index + 1}${index === 0 ? ", treble side" : index === count - 1 ? ", bass side" : ""}`;

export const MICROPHONE_DENIED =
  "The browser may not use the microphone: allow it for this address, then press Listen again.";

export const NO_MICROPHONE = "No microphone was found: connect a microphone, then press Listen again.";

export const MICROPHONE_BUSY = "The microphone could not be opened: close other programs that use it, then press Listen again.";

export const MICROPHONE_ELSEWHERE =
  "At this address the browser offers no microphone: open the page on this computer, at 127.0.0.1.";

export const MICROPHONE_ENDED = "The microphone was switched off: press Listen to go on.";

export const MICROPHONE_LEFT = "The microphone was closed because you left this page: press Listen to go on.";

export const ASKS_AGAIN = "Pluck again";

export const STOPPED_LISTENING = "The microphone is closed";

export const HEARD_ALL = "All is heard, and the microphone is closed";

export const HEARD_FORGOTTEN = "What was heard is forgotten";

export const HEARD_PICTURE = "What was heard, on the scale of the fork";

export const PRESET_VALUE = "preset";

export const FROM_PRESET = "These values are the preset’s, not your instrument’s:";

export const STILL_OF_THE_PRESET = "Measure and fill in your own.";

/** @param {string} string */
export const likelyOn = (string) => `What is likely on ${string}`;

/** @param {number} number */
export const rowRemoved = (number) => `Row ${number} is removed`;

/** @param {number} count of rows @param {string} string @param {string} fret of the first */
export const rowsReady = (count, string, fret) =>
  `${count === 1 ? "1 row is" : `${count} rows are`} ready. Read string ${string} at fret ${fret}`;

/** @param {string} why */
export const notOnTheShelf = (why) => `It is kept here, but not on the shelf: ${why}. Go to the shelf to save it.`;

// ---- the shelf

export const OPEN = "Open";

export const COPY = "Copy";

export const OPEN_NOW = "open now";

export const CHANGED_ON_SHELF = "open now, and changed on the shelf since you opened it";

export const FROM_A_PRESET = "Your instrument";

export const NOT_ON_SHELF = "is not on the shelf yet.";

/** @param {number} count of changes */
export const sinceOpened = (count) =>
  count === 0 ? "has no changes since it was opened." : `has ${count === 1 ? "1 change" : `${count} changes`} since it was opened.`;

export const NOTHING_TO_SAVE = "Nothing has changed since it was opened.";

/** @param {string} file */
export const saved = (file) => `${file} is saved on the shelf.`;

/** @param {string} file */
export const opened = (file) => `${file} is open`;

/** @param {string} file @param {string} copy */
export const copied = (file, copy) => `${file} is copied as ${copy}.`;

/** @param {string} free a name that no file has */
export const saveBeside = (free) => `Save mine beside it as ${free}`;

/** @param {string | undefined} paper @param {string | undefined} printer */
export const drawnOn = (paper, printer) =>
  `Paper ${paper || "a4"}, ${printer ? `for the printer ${printer}` : "for a printer that is not measured"}: choose both under Print.`;

export const DRAWING_ALL = "The shelf is being drawn. You can go on meanwhile.";

export const NOTHING_TO_DRAW = "Save an instrument on the shelf first.";

export const DRAW_ALL_FIRST = "Draw all first.";

export const NOTHING_DRAWN = "The shelf was not drawn.";

export const NOTHING_TAKEN = "There is no such file yet.";
