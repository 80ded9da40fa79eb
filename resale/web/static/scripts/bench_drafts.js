// Drafts: what stands on a bench and is not saved yet, by kind, in this browser.

const PREFIX = "resale.draft.";
const nowhere = document.getElementById("not-kept");

export function readDraft(slot) {
  try { return JSON.parse(localStorage.getItem(PREFIX + slot)); } catch { return null; }
}

export function writeDraft(slot, fields) {
  try {
    localStorage.setItem(PREFIX + slot, JSON.stringify({ fields }));
    nowhere.hidden = true;
  } catch {
    warnNothingIsKept();
  }
}

export function warnNothingIsKept() {
  nowhere.hidden = false;
}

export const isNothingKept = () => Boolean(nowhere) && !nowhere.hidden;

export function dropDraft(slot) {
  try { localStorage.removeItem(PREFIX + slot); } catch { /* off */ }
}

export function dropDraftsOf(key) {
  try {
    for (const name of Object.keys(localStorage)) {
      if (!name.startsWith(PREFIX)) continue;
      const draft = JSON.parse(localStorage.getItem(name));
      if (draft && draft.fields.key === key) localStorage.removeItem(name);
    }
  } catch { /* nothing kept, nothing to drop */ }
}
