// The draft of this tab. Each tab writes one of its own, so that two items of a kind never share a
// client key; a draft whose tab is gone waits until a tab takes it up.

import { dropDraft, draftsOf, isOfThisPage, readDraft, writeDraft } from "./bench_drafts.js";
import { isBare } from "./bench_form.js";
import { takeInHand, takenElsewhere } from "./in_hand.js";
import { newKey } from "./kept_saves.js";

const HAND = "resale.draft.";
// A page that is just being left opens its hand a moment after the next one asks.
const OWN_PATIENCE = 500;

export function tabDraftOf(form) {
  let key = "";
  let isWritten = false;
  let hand = Promise.resolve(() => {});

  const bench = () => ({ kind: form.dataset.kind, number: form.dataset.number || "" });
  const memory = () => `resale.bench.${bench().kind}.${bench().number}`;

  function openHand() {
    const opened = hand.then((open) => open());
    hand = Promise.resolve(() => {});
    return opened;
  }

  function use(newOne, taken) {
    const opened = openHand();
    key = newOne;
    hand = taken;
    isWritten = isOfThisPage(key);
    form.elements.namedItem("key").value = key;
    return opened;
  }

  // Another item from here on, under this key, or a new one where another tab has it.
  function begin(fresh = newKey()) {
    const taken = takeInHand(HAND + fresh, OWN_PATIENCE);
    use(fresh, taken.catch(() => () => {}));
    taken.catch(() => { if (key === fresh) begin(); });
  }

  // Another page that took the draft up, or saved it, has its key; then this is an item of its own.
  function keep(fields) {
    if (isWritten && !isOfThisPage(key)) begin();
    if (isBare(fields)) drop();
    else if (writeDraft(key, { ...bench(), fields })) remember();
  }

  function remember() {
    isWritten = true;
    try { sessionStorage.setItem(memory(), key); } catch { /* a reload then finds it among those that wait */ }
  }

  function lastOfThisTab() {
    try { return sessionStorage.getItem(memory()) || ""; } catch { return ""; }
  }

  function drop() {
    dropDraft(key);
    isWritten = false;
  }

  // Takes a waiting draft up: its fields, or null where it is gone or in another tab's hand.
  async function takeUp(wanted, unless = () => false) {
    let open;
    try { open = await takeInHand(HAND + wanted, OWN_PATIENCE); } catch { return null; }
    const draft = readDraft(wanted);
    if (!draft || unless()) { open(); return null; }
    const opened = use(wanted, Promise.resolve(open));
    if (writeDraft(wanted, draft)) remember();
    await opened;
    return draft.fields;
  }

  async function waiting() {
    const taken = await takenElsewhere(HAND);
    const { kind, number } = bench();
    return draftsOf(kind, number).filter((one) => one.key !== key && !taken.has(HAND + one.key));
  }

  addEventListener("pagehide", openHand);
  addEventListener("pageshow", (event) => { if (event.persisted) hand = takeInHand(HAND + key).catch(() => () => {}); });
  return { begin, keep, drop, takeUp, lastOfThisTab, waiting, fields: () => readDraft(key)?.fields };
}
