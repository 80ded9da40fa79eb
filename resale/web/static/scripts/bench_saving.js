// Saving from the bench. A machine that does not answer must not take anything away: the form goes
// into the kept saves and the sorter goes on with the next item.

import { isNothingKept, warnNothingIsKept } from "./bench_drafts.js";
import { clearOut, fieldsOf, isBare, isTouched, layOut } from "./bench_form.js";
import { offersOf } from "./draft_offers.js";
import { takeInHand } from "./in_hand.js";
import { changeKept, handOf, keep, keptOne, letGo } from "./kept_saves.js";
import { freshPass, sendSave } from "./sending.js";
import { tabDraftOf } from "./tab_draft.js";
import { sendSoon, tellWhenBack, whoIsHere } from "./waiting.js";

const HASH = "#kept=";

export function savingOf(form, { say, relaid, stopWork }) {
  const trouble = document.getElementById("trouble");
  const draftLine = document.getElementById("draft");
  const draftWord = document.getElementById("draft-word");
  const afresh = document.getElementById("afresh");
  const putBack = document.getElementById("put-back");
  // The kept save that is on the bench again, with the hand that holds it.
  let mended = null;
  let saving = false;
  let leaving = false;

  const draft = tabDraftOf(form);
  const offers = offersOf(draft, takeUp);
  // What was started afresh from, until something else stands there.
  let thrownAway = null;
  const token = () => form.elements.namedItem("csrf_token");

  function keepDraft() {
    if (mended) {
      changeKept(mended.key, { fields: fieldsOf(form) }).catch(warnNothingIsKept);
    } else {
      draft.keep(fieldsOf(form));
      if (thrownAway) { thrownAway = null; draftLine.hidden = true; }
    }
  }

  function lay(fields) {
    if (fields.number && !form.dataset.number) headNumber(fields.number);
    layOut(form, fields);
    headDraft("Picked up where you left off", "Start afresh");
  }

  // The page as it came: what this tab wrote before it was loaded again lies on it once more.
  async function start(isFresh) {
    const last = draft.lastOfThisTab();
    draft.begin(isFresh ? undefined : form.elements.namedItem("key").value);
    const isUsed = () => !isFresh || isTouched(form);
    if (isUsed()) keepDraft();
    // Tapped while it was looked up: it lies with those that wait, and this is another item.
    const fields = last && !isUsed() ? await draft.takeUp(last, isUsed) : null;
    if (fields) { lay(fields); relaid(); }
    await offers.show();
    fromHash();
  }

  // A draft that waited comes to the bench; what stands here waits in its place.
  async function takeUp(key) {
    const fields = await draft.takeUp(key);
    if (!fields) { say("That one is open in another tab, or was saved meanwhile."); return offers.show(); }
    leaveMended();
    clear();
    lay(fields);
    relaid();
    return offers.show();
  }

  function headDraft(words, button) {
    draftWord.textContent = words;
    afresh.textContent = button;
    putBack.hidden = !mended;
    draftLine.hidden = false;
  }

  function clear() {
    clearOut(form);
    trouble.replaceChildren();
    document.getElementById("just-saved")?.remove();
    history.replaceState(null, "", location.pathname);
  }

  function leaveMended() {
    if (mended) mended.open();
    mended = null;
  }

  // The bench as it stood before a kept save came back to it, or bare.
  function next() {
    leaveMended();
    clear();
    draftLine.hidden = true;
    const fields = draft.fields();
    if (fields) lay(fields);
    else draft.begin();
    offers.show();
    relaid();
  }

  // ---------------------------------------------------------------- save
  async function save(by) {
    if (saving) return;
    saving = true;
    keepDraft();
    const entry = {
      ...mended?.entry,
      key: form.elements.namedItem("key").value,
      kind: form.dataset.kind,
      name: form.dataset.name,
      save: form.dataset.save,
      fields: fieldsOf(form),
      person: mended?.entry.person || whoIsHere(),
      at: mended?.entry.at || Date.now(),
      refused: "",
    };
    try {
      await took(await answerTo(entry, by.value), entry);
    } finally {
      saving = false;
    }
  }

  // A page that stood for hours, or came from the cache, may carry a token that is no good.
  async function answerTo(entry, then) {
    const answer = await sendSave(entry, token().value, then);
    if (answer.outcome !== "signed_out") return answer;
    const pass = await freshPass().catch(() => null);
    if (!pass || (entry.person && pass.person !== entry.person)) return answer;
    token().value = pass.csrf;
    return sendSave(entry, pass.csrf, then);
  }

  async function took(answer, entry) {
    if (answer.outcome === "saved") {
      if (mended) await letGo(entry.key).catch(() => {});
      else draft.drop();
      leaving = true;
      location.assign(answer.url);
    } else if (answer.outcome === "refused") {
      if (mended) await changeKept(entry.key, { fields: entry.fields, refused: answer.sentence }).catch(() => {});
      trouble.replaceChildren(...answer.nodes.map((one) => document.importNode(one, true)));
      if (!trouble.textContent.trim()) say(answer.sentence);
      trouble.tabIndex = -1;
      trouble.focus();
    } else {
      await putAside(entry, answer);
    }
  }

  async function putAside(entry, answer) {
    stopWork();
    try {
      await keep(entry);
    } catch {
      say("The shop’s machine does not answer, and this browser can keep nothing. Leave this page open and save again; what stands here stays.");
      warnNothingIsKept();
      return;
    }
    if (!mended) draft.drop();
    next();
    scrollTo(0, 0);
    document.getElementById("main").focus({ preventScroll: true });
    tellWhenBack(answer.outcome === "signed_out", answer.sentence);
  }

  // ---------------------------------------------------------------- look at a kept save again
  async function lookAgain(key) {
    let open;
    try {
      open = await takeInHand(handOf(key));
    } catch {
      say("That one is open in another tab, or on its way just now.");
      return;
    }
    const entry = await keptOne(key).catch(() => null);
    if (!entry || entry.kind !== form.dataset.kind) {
      open();
      history.replaceState(null, "", location.pathname + location.search);
      if (!entry) say("That one is no longer kept here: it was sent, or thrown away.");
      return;
    }
    if (mended) mended.open();
    mended = { key, entry, open };
    clear();
    if (entry.fields.number) headNumber(entry.fields.number);
    layOut(form, entry.fields);
    // A reload comes back to it.
    history.replaceState(null, "", location.pathname + HASH + key);
    headDraft("Kept on this device, not saved yet", "Throw it away");
    if (entry.refused) say(entry.refused);
    relaid();
  }

  function headNumber(number) {
    const again = document.createElement("span");
    again.className = "again";
    again.textContent = ` ${number}, on the bench again`;
    form.querySelector("h1").append(again);
    form.dataset.number = number;
  }

  document.addEventListener("resale:look-again", (event) => {
    if (event.detail.kind !== form.dataset.kind) return;
    event.preventDefault();
    lookAgain(event.detail.key);
  });
  const fromHash = () => { if (location.hash.startsWith(HASH)) lookAgain(location.hash.slice(HASH.length)); };
  addEventListener("hashchange", fromHash);

  putBack.addEventListener("click", () => { next(); sendSoon(); });
  afresh.addEventListener("click", () => (mended ? throwAway() : thrownAway ? bringBack() : startAfresh()));
  async function throwAway() {
    const last = "Throw it away for good?";
    if (afresh.textContent !== last) { afresh.textContent = last; return; }
    await letGo(mended.key).catch(() => {});
    next();
  }
  function startAfresh() {
    const fields = fieldsOf(form);
    draft.drop();
    next();
    thrownAway = fields;
    headDraft("Started afresh", "Bring back what stood here");
  }
  function bringBack() {
    const fields = thrownAway;
    thrownAway = null;
    lay(fields);
    draft.begin(fields.key);
    keepDraft();
    relaid();
  }
  addEventListener("beforeunload", (event) => {
    if (!leaving && isNothingKept() && !isBare(fieldsOf(form))) event.preventDefault();
  });

  return { save, keepDraft, start };
}
