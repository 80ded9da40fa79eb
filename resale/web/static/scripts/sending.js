// Sending one save, or all that are kept, and reading what the shop's machine made of it.

import { inOneHand } from "./in_hand.js";
import { changeKept, handOf, keptOne, keptOnes, letGo } from "./kept_saves.js";

const PATIENCE = 15000;
const SIGNED_OUT = [400, 401, 403];
const TRY_LATER = [408, 429];
const DISK = [503, 507];

// A token that is good now, and whose; null where the shop asks to sign in first.
export async function freshPass() {
  const answer = await fetch("/bench-token", { cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });
  if (answer.redirected || SIGNED_OUT.includes(answer.status)) return null;
  if (!answer.ok) throw new Error("away");
  return answer.json();
}

// What came of a save: saved (number, url), refused (nodes, sentence), signed_out, or away.
export async function sendSave(entry, csrf, then = "next") {
  const body = new FormData();
  for (const [name, value] of Object.entries({ ...entry.fields, csrf_token: csrf, then })) body.set(name, value);
  try {
    const answer = await fetch(entry.save, { method: "POST", body, signal: AbortSignal.timeout(PATIENCE) });
    return await read(answer, entry);
  } catch {
    return { outcome: "away", cut: true };
  }
}

async function read(answer, entry) {
  const at = new URL(answer.url);
  if (answer.redirected) {
    const number = at.searchParams.get("saved");
    if (at.pathname === entry.save.replace(/\/save$/, "") && number) return { outcome: "saved", number, url: at.href };
    if (at.pathname.startsWith("/items/") && number) return { outcome: "saved", number: at.pathname.slice(7), url: at.href };
    return { outcome: "signed_out" };
  }
  if (SIGNED_OUT.includes(answer.status)) return { outcome: "signed_out" };
  const isAway = answer.ok || answer.status >= 500 || TRY_LATER.includes(answer.status);
  if (isAway && !DISK.includes(answer.status)) return { outcome: "away" };
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const told = page.querySelector("#trouble, .trouble-page p");
  // The machine is there, but cannot write: that has to be said, or nobody makes room.
  if (isAway) return { outcome: "away", sentence: told ? told.textContent.trim() : "" };
  const sentences = [...page.querySelectorAll("#trouble li")].map((line) => line.textContent.trim());
  const sentence = sentences.join(" ") || (told ? told.textContent.trim() : "") || "It was not taken; look it through.";
  return { outcome: "refused", nodes: told ? [...told.childNodes] : [], sentence };
}

// An entry is sent by whoever made it; one made by nobody in particular, by anybody.
export const isTheirs = (entry, person) => !entry.person || !person || entry.person === person;

export async function sendKept() {
  const report = { reached: false, signedOut: false, left: false, saved: [], pass: null, why: "" };
  try {
    report.pass = await freshPass();
  } catch {
    return report;
  }
  report.reached = true;
  report.signedOut = !report.pass;
  for (const { key } of report.pass ? await keptOnes() : []) {
    const { outcome, cut, sentence = "" } = (await inOneHand(handOf(key), () => sendOne(key, report))) || {};
    if (outcome === "signed_out") report.signedOut = true;
    if (outcome === "away") { report.left = true; report.why ||= sentence; }
    if (cut) report.reached = false;
    if (cut || report.signedOut) break;
  }
  return report;
}

async function sendOne(key, report) {
  // Read inside the lock: another tab may have sent it a moment ago.
  const entry = await keptOne(key);
  if (!entry || entry.refused || !isTheirs(entry, report.pass.person)) return {};
  const answer = await sendSave(entry, report.pass.csrf);
  if (answer.outcome === "saved") {
    await letGo(key, entry.revision);
    report.saved.push(answer.number);
  } else if (answer.outcome === "refused") {
    await changeKept(key, { refused: answer.sentence });
  }
  return answer;
}
