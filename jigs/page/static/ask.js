/** Questions to the program behind the page: one at a time, and the latest counts. */

import * as words from "./words.js";

/**
 * @typedef {{code: string, field: string, where: string, what: string, remedy: string}} Fault
 * @typedef {{base: Base, fields: Record<string, string>, draw: Record<string, string>, readings: Record<string, string>}} Question
 * @typedef {{preset: string} | {text: string, name: string, stamp?: string}} Base
 */

/** @type {Fault} */
const SILENT = {
  code: "page-silent",
  field: "",
  where: "",
  ...words.SILENT,
};

let over = false;

/** Send no further request: the program was stopped. */
export function askNoMore() {
  over = true;
}

/** Whether a fault only says that no answer came. @param {Fault} fault */
export const isSilent = (fault) => fault.code === SILENT.code;

/** @param {string} route @param {object} question @returns {Promise<Response>} */
function send(route, question) {
  return post(route, "application/json", JSON.stringify(question));
}

/** @param {string} route @param {string} kind @param {BodyInit} body @returns {Promise<Response>} */
const post = (route, kind, body) =>
  over ? Promise.reject(new Error(SILENT.code)) : fetch(route, { method: "POST", headers: { "Content-Type": kind }, body });

/** What the program hears in a sound, or the faults. @param {string} route @param {Blob} wav @returns {Promise<any>} */
export async function askSound(route, wav) {
  try {
    return await (await post(route, "audio/wav", wav)).json();
  } catch {
    return { faults: [SILENT], notes: [] };
  }
}

/**
 * Whatever happens, an answer with `faults`.
 * @param {string} route @param {object} question @returns {Promise<any>}
 */
export async function ask(route, question) {
  try {
    const reply = await send(route, question);
    return await reply.json();
  } catch {
    return { faults: [SILENT], notes: [] };
  }
}

/**
 * A file, or the faults that prevent it.
 * @param {string} route @param {Question} question @returns {Promise<{blob?: Blob, faults: Fault[]}>}
 */
export async function fetchFile(route, question) {
  try {
    const reply = await send(route, question);
    return reply.ok ? { blob: await reply.blob(), faults: [] } : await reply.json();
  } catch {
    return { faults: [SILENT], notes: [] };
  }
}

/**
 * A function that runs `work`. Called while it runs, it runs it once more afterwards, however often it was called. The
 * promise ends when all of it is done.
 * @param {() => Promise<void>} work @returns {() => Promise<void>}
 */
export function oneAtATime(work) {
  /** @type {Promise<void> | null} */
  let busy = null;
  let again = false;
  async function run() {
    try {
      while (again) {
        again = false;
        await work();
      }
    } finally {
      busy = null;
    }
  }
  return () => {
    again = true;
    busy ??= run();
    return busy;
  };
}

/** @param {Blob} blob @param {string} name */
export function download(blob, name) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}
