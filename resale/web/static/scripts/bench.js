// The bench at work: asks for the price after each tap, keeps the draft, minds the keys.
// Everything here is a convenience; the form does its job without it.
import { dropDraft, draftsOf } from "./bench_drafts.js";
import { savingOf } from "./bench_saving.js";
import { findKindOf } from "./find_kind.js";
import { findOf } from "./find_sign.js";
import { labelPhotoOf } from "./label_photo.js";
import { oneLookOf } from "./one_look.js";
import { askNow, tellWhenBack } from "./waiting.js";

(() => {
  const root = document.documentElement;
  root.classList.add("js");
  const form = document.getElementById("bench");

  // ---------------------------------------------------------------- on every screen
  const saved = document.getElementById("just-saved");
  if (saved) dropDraft(saved.dataset.key);

  for (const link of document.querySelectorAll("[data-kind-link]")) {
    if (!draftsOf(link.dataset.kindLink).length) continue;
    link.querySelector(".kind-draft").hidden = false;
    // What was begun is in sight, however seldom the shop has such a thing.
    if (link.closest(".more-kinds")) document.querySelector("ul.kinds").append(link.closest("li"));
  }
  // The worker is offered on trusted addresses only; the kept saves do without it.
  if (document.querySelector("#bench, .kinds") && !document.body.dataset.shell) {
    navigator.serviceWorker?.register("/bench-worker.js").catch(() => {});
  }
  if (!form) {
    findKindOf(document);
    document.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.metaKey || event.altKey || event.target.closest("input, select")) return;
      const link = document.querySelector(`[data-key="${CSS.escape(event.key)}"][data-kind-link]`);
      if (link) link.click();
    });
    return;
  }

  // ---------------------------------------------------------------- the bench
  const trouble = document.getElementById("trouble");
  const signs = [...form.querySelectorAll(".sign")];
  // Every tap reads all answers several times, and a sign's fields never change.
  const answersOf = new WeakMap();
  function radios(sign) {
    if (!answersOf.has(sign)) answersOf.set(sign, [...sign.querySelectorAll("input[type=radio]")]);
    return answersOf.get(sign);
  }
  const chosen = (sign) => radios(sign).find((one) => one.checked);
  const isShown = (node) => node.offsetParent !== null;
  let later = 0;

  function work() { htmx.trigger("#result", "work"); }
  function workSoon() { clearTimeout(later); later = setTimeout(work, 300); }
  // A price that was asked for while the machine still answered is of an item that lies aside by now.
  function stopWork() { clearTimeout(later); htmx.trigger("#result", "htmx:abort"); }

  // Signs asked only where another has some answer.
  function showConditional() {
    for (const sign of signs) {
      if (!sign.dataset.onlyIf) continue;
      const other = document.getElementById(`sign-${sign.dataset.onlyIf}`);
      const answer = other && chosen(other);
      sign.hidden = answer && answer.value
        ? !sign.dataset.onlyOptions.split(" ").includes(answer.value)
        : !("whileOpen" in sign.dataset);
    }
  }

  function countZones() {
    for (const link of form.querySelectorAll("[data-zone].tape-zone, .tape [data-zone]")) {
      const looked = signs.filter((sign) => sign.dataset.zone === link.dataset.zone && !sign.hidden && chosen(sign) && chosen(sign).value);
      link.querySelector(".count").textContent = looked.length || "";
    }
    for (const sign of signs) {
      const answer = chosen(sign);
      sign.classList.toggle("is-looked", Boolean(answer && answer.value));
      const word = sign.querySelector(".by-hand .chosen-name");
      const usual = form.elements.namedItem(`a-${sign.dataset.sign}`);
      // A look takes the place of what was accepted as usual.
      if (usual && answer?.value) usual.checked = false;
      if (word) word.textContent = answer && answer.value ? answer.parentElement.querySelector(".word").textContent : "Pick by hand";
    }
    countUsual();
  }

  function countUsual() {
    const count = document.getElementById("usual-count");
    if (count) count.textContent = form.querySelectorAll("#usual :checked").length || "";
  }

  function changed(event) {
    const field = event.target;
    // A pick by hand takes the place of a measure: both cannot hold.
    if (field.type === "radio") {
      const typed = form.elements.namedItem(`m-${field.name.slice(2)}`);
      if (typed) typed.value = "";
    }
    showConditional();
    countZones();
    hush();
    oneLook.answered(field);
    // The machine is asked first: the draft is written while it answers.
    if (event.type === "input" && field.type !== "radio") workSoon();
    else if (event.type === "change" && !(field.type === "text" && !field.classList.contains("typed"))) work();
    saving.keepDraft();
  }
  form.addEventListener("change", changed);
  form.addEventListener("input", (event) => { if (event.target.type !== "radio") changed(event); });

  const oneLook = oneLookOf(form, {
    signs,
    chosen,
    radios,
    take: (sign) => take(sign),
    passed() { countZones(); work(); saving.keepDraft(); },
  });

  // After an answer: fill the option that a measure came to, and move the needle mark.
  let openWhys = new Set();
  let isNew = false;
  document.addEventListener("htmx:beforeSwap", () => {
    isNew = true;
    openWhys = new Set([...document.querySelectorAll("#result details[open]")].map((one) => one.id));
  });
  // It is told once for each piece of the answer; all of them stand there by the first time.
  document.addEventListener("htmx:afterSettle", () => {
    if (!isNew) return;
    isNew = false;
    for (const id of openWhys) { const one = document.getElementById(id); if (one) one.open = true; }
    for (const said of form.querySelectorAll(".said[data-option]")) {
      const sign = said.closest(".sign");
      for (const one of radios(sign)) one.checked = one.value === said.dataset.option;
    }
    markNext();
    showConditional();
    countZones();
    oneLook.settled();
  });
  function markNext() {
    const next = document.getElementById("next").dataset.next;
    for (const sign of signs) sign.classList.toggle("is-next", sign.dataset.sign === next);
  }

  function say(sentence) {
    const line = document.createElement("p");
    line.className = "fault";
    line.textContent = sentence;
    document.getElementById("silence").replaceChildren(line);
  }

  // What was said stands until the sorter goes on: an answer that comes late must not take it away.
  function hush() { document.getElementById("silence").replaceChildren(); }

  // ---------------------------------------------------------------- a machine that does not answer
  const ASKING = "The price is being worked out.";
  const AWAY = "No price now: the shop’s machine does not answer. Go on choosing; what you save is kept on this device.";
  const SIGNED_OUT = "No price now: you are signed out. Sign in again; what stands here is kept on this device.";
  const pane = document.getElementById("result");
  let priceLess = false;
  let renewed = false;

  // A price of another item, or of before the last tap, must not stand there as this one's.
  function noPrice(sentence) {
    priceLess = true;
    const line = document.createElement("p");
    line.className = "no-price";
    line.textContent = sentence;
    pane.replaceChildren(line);
    document.getElementById("strip").textContent = "No price now";
    const next = document.getElementById("next");
    next.textContent = "What to look at next is asked of the shop’s machine; go on by the zones.";
    delete next.dataset.next;
    delete next.dataset.asked;
    markNext();
    oneLook.settled();
  }
  function lostSight(sentence) {
    noPrice(sentence);
    tellWhenBack(sentence === SIGNED_OUT);
  }
  document.addEventListener("htmx:sendError", () => lostSight(AWAY));
  document.addEventListener("htmx:timeout", () => lostSight(AWAY));
  document.addEventListener("htmx:beforeSwap", (event) => {
    const { xhr, pathInfo } = event.detail;
    if (pathInfo.requestPath !== pane.getAttribute("hx-post")) return;
    const elsewhere = xhr.responseURL && new URL(xhr.responseURL).pathname !== pathInfo.requestPath;
    const isTokenOld = xhr.status === 400 && !renewed;
    if (elsewhere || [401, 403].includes(xhr.status)) lostSight(SIGNED_OUT);
    else if (xhr.status >= 500) lostSight(AWAY);
    else if (isTokenOld) { renewed = true; noPrice(ASKING); askNow(); }
    else { if (xhr.status < 300) priceLess = renewed = false; return; }
    event.detail.shouldSwap = false;
  });
  document.addEventListener("resale:signed-out", () => { if (priceLess) noPrice(SIGNED_OUT); });
  document.addEventListener("resale:back", (event) => {
    form.elements.namedItem("csrf_token").value = event.detail.csrf;
    if (priceLess) work();
  });

  // ---------------------------------------------------------------- saving
  const saving = savingOf(form, {
    say,
    stopWork,
    relaid() {
      hush();
      showConditional();
      countZones();
      noPrice(ASKING);
      oneLook.reset();
      work();
    },
  });
  form.addEventListener("submit", async (event) => {
    const by = event.submitter;
    if (by && labelPhoto.pressed(by)) { event.preventDefault(); return; }
    if (by && oneLook.pressed(by)) { event.preventDefault(); return; }
    if (by && by.dataset.sameLabel) { event.preventDefault(); sameLabel(by); return; }
    if (by && by.dataset.usual) { event.preventDefault(); acceptUsual(); return; }
    if (by && by.dataset.nothingFound) { event.preventDefault(); nothingFound(JSON.parse(by.dataset.nothingFound)); return; }
    if (by && by.dataset.foundNone) { event.preventDefault(); foundNone(by.dataset.foundNone); return; }
    if (!by || by.formAction !== new URL(form.dataset.save, location).href) return;
    event.preventDefault();
    await saving.save(by);
  });

  const labelPhoto = labelPhotoOf(form, {
    taken() { hush(); saving.keepDraft(); work(); },
  });

  // One tap stores each answer that is still open; what was answered otherwise stays.
  function nothingFound(answers) {
    for (const [id, value] of Object.entries(answers)) {
      const sign = document.getElementById(`sign-${id}`);
      const answer = sign && chosen(sign);
      if (!sign || (answer && answer.value)) continue;
      for (const one of radios(sign)) one.checked = one.value === value;
    }
    countZones();
    saving.keepDraft();
    work();
  }

  // One label answers for several parts: its words go into the question of another.
  function sameLabel(by) {
    const other = form.elements.namedItem(`m-${by.value}`);
    if (!other) return;
    other.value = form.elements.namedItem(`m-${by.dataset.sameLabel}`).value;
    by.closest("p").remove();
    saving.keepDraft();
    work();
  }

  // What was looked at needs no acceptance.
  function acceptUsual() {
    for (const one of form.querySelectorAll('#usual input[type="checkbox"]')) one.checked = !isLooked(one);
    countZones();
    saving.keepDraft();
    work();
  }
  function isLooked(accepted) {
    const sign = document.getElementById(`sign-${accepted.name.slice(2)}`);
    return Boolean(sign && chosen(sign)?.value);
  }

  function foundNone(zone) {
    for (const sign of signs) {
      if (sign.dataset.zone !== zone || sign.dataset.shape !== "finding" || sign.closest(".more")) continue;
      const answer = chosen(sign);
      if (answer && answer.value) continue;
      for (const one of radios(sign)) one.checked = one.value === "none";
    }
    countZones();
    saving.keepDraft();
    work();
  }

  // ---------------------------------------------------------------- the sign in hand
  const aside = document.getElementById("in-hand");
  let inHand = null;
  function take(sign) {
    if (!sign || sign === inHand) return;
    inHand = sign;
    const title = document.createElement("h2");
    title.textContent = sign.querySelector("legend").firstElementChild.nextSibling.textContent.trim();
    aside.replaceChildren(title, sign.querySelector(".how-body").cloneNode(true));
    aside.hidden = false;
  }
  form.addEventListener("focusin", (event) => take(event.target.closest(".sign")));
  form.addEventListener("pointerover", (event) => {
    if (event.pointerType === "mouse" && !form.contains(document.activeElement)) take(event.target.closest(".sign"));
  });

  function goTo(sign) {
    const folds = sign.closest(".more");
    if (folds) folds.open = true;
    const field = sign.querySelector("input.typed") || chosen(sign) || radios(sign)[0];
    field.focus();
  }
  function takeUp(sign) {
    if (oneLook.isOn()) oneLook.ask(sign.dataset.sign);
    goTo(sign);
  }
  const find = findOf(form, {
    signs,
    radios,
    goTo: takeUp,
    pick(sign, answer) { reveal(sign.id); if (oneLook.isOn()) oneLook.ask(sign.dataset.sign); choose(answer); },
  });
  function reveal(id) {
    const sign = document.getElementById(id);
    const folds = sign && sign.closest(".more");
    if (folds) folds.open = true;
    return sign;
  }
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#sign-"]');
    if (!link) return;
    event.preventDefault();
    takeUp(reveal(link.getAttribute("href").slice(1)));
  });

  // ---------------------------------------------------------------- keys
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const field = event.target;
    const writes = field.matches("input:not([type=radio]):not([type=checkbox]), select, textarea");
    const sign = field.closest(".sign") || (oneLook.isOn() ? oneLook.inHand()?.closest(".sign") : null);
    if (oneLook.isOn() && event.key === "Enter" && sign && !writes && field.type === "radio") { event.preventDefault(); if (!field.checked) field.click(); return; }
    if (oneLook.isOn() && event.key === "Enter" && sign && writes) { event.preventDefault(); oneLook.pressed(form.querySelector("[data-pass=later]")); return; }
    if (event.key === "Enter" && (sign || writes) && !field.matches("button, summary, a")) {
      event.preventDefault();
      nextSign(sign);
      return;
    }
    if (writes) return;
    root.classList.add("with-keys");
    if (oneLook.key(event)) return;
    const digit = /^Digit(\d)$/.exec(event.code) || /^Numpad(\d)$/.exec(event.code);
    if (digit && sign) { event.preventDefault(); pick(sign, Number(digit[1]), event.shiftKey); }
    else if (event.key === "/") { event.preventDefault(); find.focus(); }
    else if (event.key === "n" || event.key === "N") { const link = document.getElementById("next-link"); if (link) { event.preventDefault(); link.click(); } }
    else if (event.key === "s" || event.key === "S") { event.preventDefault(); saving.save(document.getElementById("save")); }
  });

  function pick(sign, digit, seen) {
    const all = radios(sign);
    const place = sign.dataset.shape === "finding" && seen && digit > 1 ? digit + 5 : digit;
    if (all[place]) choose(all[place]);
  }

  function choose(one) {
    const fold = one.closest(".by-hand");
    if (fold) fold.open = true;
    one.checked = true;
    one.focus();
    one.dispatchEvent(new Event("change", { bubbles: true }));
  }

  function nextSign(sign) {
    const open = signs.filter((one) => isShown(one));
    const after = sign ? open[open.indexOf(sign) + 1] : open[0];
    if (after) goTo(after);
    else document.getElementById("save").focus();
  }

  // ---------------------------------------------------------------- the pinned ticket
  const narrow = matchMedia("(max-width: 719px)");
  const pinned = document.getElementById("pinned");
  const fit = () => { pinned.open = !narrow.matches; };
  narrow.addEventListener("change", fit);
  fit();

  showConditional();
  // A page written in answer to a form has its item on it; any other is fresh.
  const isFresh = form.dataset.save === `${location.pathname}/save` && !form.elements.namedItem("like").value;
  // A tap that came before this script did is not lost, only late.
  const isTapped = [...form.querySelectorAll("input[type=radio]")].some((one) => one.checked !== one.defaultChecked);
  if (document.body.dataset.shell) lostSight(AWAY);
  countZones();
  oneLook.settled();
  // The form takes orders only once the page has been looked through.
  addEventListener("DOMContentLoaded", () => { saving.start(isFresh); if (isTapped) work(); });
  const first = document.getElementById("next").dataset.next;
  take(first ? document.getElementById(`sign-${first}`) : signs[0]);
})();
