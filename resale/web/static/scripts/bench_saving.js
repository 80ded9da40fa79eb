// Saving from the bench. A machine that does not answer must not take anything away: the form goes
// into the kept saves and the sorter goes on with the next item.

import { dropDraft, isNothingKept, readDraft, warnNothingIsKept, writeDraft } from "./bench_drafts.js";
import { clearOut, fieldsOf, isBare, layOut } from "./bench_form.js";
import { changeKept, keep, keptOne, letGo, takeInHand } from "./kept_saves.js";
import { freshPass, sendSave } from "./sending.js";
import { sendSoon, tellWhenBack, whoIsHere } from "./waiting.js";

const HASH = "#kept=";

export function savingOf(form, { say, relaid }) {
  const trouble = document.getElementById("trouble");
  const draftLine = document.getElementById("draft");
  const draftWord = document.getElementById("draft-word");
  const afresh = document.getElementById("afresh");
  const putBack = document.getElementById("put-back");
  // The kept save that is on the bench again, with the hand that holds it.
  let mended = null;
  let saving = false;
  let leaving = false;

  const slot = () => (form.dataset.number ? `${form.dataset.kind}.${form.dataset.number}` : form.dataset.kind);
  const token = () => form.elements.namedItem("csrf_token");

  function keepDraft() {
    const fields = fieldsOf(form);
    if (mended) changeKept(mended.key, { fields }).catch(warnNothingIsKept);
    else if (isBare(fields)) dropDraft(slot());
    else writeDraft(slot(), fields);
  }

  function layDraft() {
    const draft = readDraft(slot());
    if (!draft) { draftLine.hidden = true; return false; }
    layOut(form, draft.fields);
    headDraft("Picked up where you left off", "Start afresh");
    return true;
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

  // The bench as it stood before a kept save came back to it, or bare.
  function next() {
    if (mended) mended.open();
    mended = null;
    clear();
    layDraft();
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
      else dropDraft(slot());
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
    try {
      await keep(entry);
    } catch {
      say("The shop’s machine does not answer, and this browser can keep nothing. Leave this page open and save again; what stands here stays.");
      warnNothingIsKept();
      return;
    }
    if (!mended) dropDraft(slot());
    next();
    scrollTo(0, 0);
    document.getElementById("main").focus({ preventScroll: true });
    tellWhenBack(answer.outcome === "signed_out", answer.sentence);
  }

  // ---------------------------------------------------------------- look at a kept save again
  async function lookAgain(key) {
    let open;
    try {
      open = await takeInHand(key);
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
  afresh.addEventListener("click", async () => {
    const last = "Throw it away for good?";
    if (mended && afresh.textContent !== last) { afresh.textContent = last; return; }
    if (mended) await letGo(mended.key).catch(() => {});
    else dropDraft(slot());
    next();
  });
  addEventListener("beforeunload", (event) => {
    if (!leaving && isNothingKept() && !isBare(fieldsOf(form))) event.preventDefault();
  });

  return { save, keepDraft, layDraft, fromHash };
}
