// Drafts in this browser's store: what stands on a bench and is not saved yet, each under the client
// key of its item, with the page that wrote it last.

import { newKey } from "./kept_saves.js";

const PREFIX = "resale.draft.";
const THIS_PAGE = newKey();
const notKept = document.getElementById("not-kept");

const rows = () => {
  try { return Object.keys(localStorage).filter((name) => name.startsWith(PREFIX)); } catch { return []; }
};

export function readDraft(key) {
  try { return JSON.parse(localStorage.getItem(PREFIX + key)); } catch { return null; }
}

// Says whether it is written down.
export function writeDraft(key, { kind, number, fields }) {
  const draft = { key, kind, number, fields: { ...fields, key }, page: THIS_PAGE, at: Date.now() };
  try {
    localStorage.setItem(PREFIX + key, JSON.stringify(draft));
    notKept.hidden = true;
    return true;
  } catch {
    warnNothingIsKept();
    return false;
  }
}

// Whether this page was the last to write it: else it was taken up, saved or dropped elsewhere.
export const isOfThisPage = (key) => readDraft(key)?.page === THIS_PAGE;

export function dropDraft(key) {
  try { localStorage.removeItem(PREFIX + key); } catch { /* nothing kept, nothing to drop */ }
}

// Drafts of a bench, the newest first.
export function draftsOf(kind, number = "") {
  bringOver();
  const all = rows().map((name) => readDraft(name.slice(PREFIX.length)));
  return all.filter((one) => one?.kind === kind && one.number === number).sort((one, other) => other.at - one.at);
}

// Drafts of before lay under their kind, one for all tabs.
function bringOver() {
  for (const name of rows()) {
    const slot = name.slice(PREFIX.length);
    const { kind, fields } = readDraft(slot) || {};
    if (kind || !fields) continue;
    const [kindOfSlot, number = ""] = slot.split(".");
    if (writeDraft(fields.key || newKey(), { kind: kindOfSlot, number, fields })) dropDraft(slot);
  }
}

export function warnNothingIsKept() {
  notKept.hidden = false;
}

export const isNothingKept = () => Boolean(notKept) && !notKept.hidden;
