// The calm line about saves kept on this device, its list, and the clock that sends them.

import { keptOnes, onKeptChange } from "./kept_saves.js";
import { isTheirs, sendKept } from "./sending.js";

const FIRST_PAUSE = 2000;
const LONGEST_PAUSE = 60000;
const LAST_PERSON = "resale.person";

const section = document.getElementById("kept");
const line = document.getElementById("kept-line");
const list = document.getElementById("kept-list");
const written = new Intl.DateTimeFormat(section.dataset.locale, { dateStyle: "medium", timeStyle: "short" });

const person = whoIsOnThePage();
let pause = FIRST_PAUSE;
let timer = 0;
let running = null;
let again = false;
let signedOut = false;
let benchWaits = false;
let why = "";
let saved = [];

// A page from the worker's cache knows nobody: then it is whoever was seen last.
export const whoIsHere = () => person;
function whoIsOnThePage() {
  const { person: named = "", shell } = document.body.dataset;
  try {
    if (shell) return localStorage.getItem(LAST_PERSON) || "";
    localStorage.setItem(LAST_PERSON, named);
  } catch { /* off */ }
  return named;
}

// The bench hears "resale:back" with a fresh pass once the machine answers again.
export function tellWhenBack(isSignedOut, sentence = "") {
  benchWaits = true;
  why = sentence;
  signedOut = isSignedOut;
  if (!timer && !running) later();
  show();
}

export function askNow() {
  benchWaits = true;
  sendSoon();
}

function later() {
  clearTimeout(timer);
  timer = setTimeout(round, pause);
  pause = Math.min(pause * 2, LONGEST_PAUSE);
}

export function sendSoon() {
  pause = FIRST_PAUSE;
  return round();
}

function round() {
  clearTimeout(timer);
  timer = 0;
  if (running) { again = true; return running; }
  running = go().catch(() => {}).finally(() => {
    running = null;
    if (again) { again = false; round(); }
  });
  return running;
}

async function go() {
  const waits = (await ours()).length;
  if (!waits && !benchWaits) return;
  const report = await sendKept();
  // Somebody else signed in on another tab: this page's saves are not theirs.
  const isOurs = report.pass && (!person || report.pass.person === person);
  signedOut = report.signedOut || (report.reached && !isOurs);
  why = report.why;
  saved.push(...report.saved);
  if (isOurs && report.reached && !report.signedOut) {
    benchWaits = false;
    if (!report.left) pause = FIRST_PAUSE;
    document.dispatchEvent(new CustomEvent("resale:back", { detail: report.pass }));
  } else if (signedOut) {
    document.dispatchEvent(new CustomEvent("resale:signed-out"));
  }
  await show();
  if (benchWaits || (await ours()).length) later();
}

async function ours() {
  return (await kept()).filter((entry) => !entry.refused && isTheirs(entry, person));
}

// Where nothing can be kept there is nothing to show; the bench warns when it tries.
const kept = () => keptOnes().catch(() => []);

async function show() {
  const entries = await kept();
  const refused = entries.filter((entry) => entry.refused).length;
  const waiting = entries.length - refused;
  section.classList.toggle("is-empty", !entries.length);
  if (!entries.length) { line.replaceChildren(...savedWords()); return; }
  const counts = [waiting && `${waiting} waiting`, refused && `${refused} to be put right`].filter(Boolean);
  say(`Kept on this device: ${counts.join(", ")}. ${whenSent(waiting)}`.trim());
  document.getElementById("kept-sign-in").hidden = !signedOut || Boolean(document.querySelector("input[type=password]"));
  document.getElementById("kept-send").hidden = !waiting;
  list.replaceChildren(...entries.map(row));
}

function whenSent(waiting) {
  if (!waiting) return "Look at it again and save it.";
  const [it, is] = waiting === 1 ? ["It", "is"] : ["They", "are"];
  if (signedOut) return `Sign in again and ${it.toLowerCase()} ${is} sent; nothing is lost.`;
  if (why) return `${it} ${is} sent when the shop’s machine can write again. It says: ${why}`;
  return `${it} ${is} sent when the shop’s machine answers.`;
}

function say(sentence) {
  if (line.textContent !== sentence) line.textContent = sentence;
}

function savedWords() {
  if (!saved.length) return [];
  const links = saved.flatMap((number, place) => {
    const link = document.createElement("a");
    link.href = `/items/${encodeURIComponent(number)}`;
    link.textContent = number;
    return place ? [", ", link] : [link];
  });
  return ["What was kept on this device is saved: ", ...links, "."];
}

function row(entry) {
  const item = document.getElementById("kept-row").content.cloneNode(true);
  const { label, size, note, number } = entry.fields;
  const theirs = isTheirs(entry, person);
  const put = (name, text) => { item.querySelector(`.kept-${name}`).textContent = text; };
  put("kind", number ? `${entry.name} ${number}` : entry.name);
  put("note", theirs ? [label, size, note].filter(Boolean).join(", ") : "");
  put("time", written.format(entry.at));
  put("trouble", theirs ? entry.refused || "" : `Kept by ${entry.person}; it is sent when ${entry.person} has signed in.`);
  const look = item.querySelector(".kept-look");
  look.hidden = !theirs;
  look.href = `/bench/${encodeURIComponent(entry.kind)}${number ? `?item=${encodeURIComponent(number)}` : ""}#kept=${entry.key}`;
  look.addEventListener("click", (event) => {
    const onThisBench = new CustomEvent("resale:look-again", { cancelable: true, detail: entry });
    if (!document.dispatchEvent(onThisBench)) event.preventDefault();
  });
  return item;
}

document.getElementById("kept-send").addEventListener("click", sendSoon);
addEventListener("online", sendSoon);
addEventListener("pageshow", sendSoon);
onKeptChange(show);
document.getElementById("kept-sign-in").href = location.pathname + location.search;
show();
