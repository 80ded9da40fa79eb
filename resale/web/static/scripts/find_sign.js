// Find a sign by typing any of its words: its name, its answers, or what fools people. A number
// after a blank picks that answer of the sign on top.

const MOST = 6;
const plain = (text) => text.normalize("NFD").replace(/\p{M}/gu, "").toLowerCase();
const wordsOf = (text) => plain(text).split(/[^\p{L}\p{N}]+/u).filter(Boolean);

export function findOf(form, { signs, radios, pick, goTo }) {
  const field = document.getElementById("find");
  const list = document.getElementById("found");
  const answersOf = (sign) => radios(sign).filter((one) => one.value);
  const nameOf = (sign) => sign.querySelector("legend").firstElementChild.nextSibling.textContent.trim();
  const wordOf = (radio) => radio.getAttribute("aria-label") || radio.parentElement.querySelector(".word").textContent;
  let index = null;
  let found = [];
  let active = 0;

  // Read once, when somebody first looks for something.
  const indexed = () => (index ??= signs.map((sign) => ({
    sign,
    fields: [nameOf(sign), answersOf(sign).map(wordOf).join(" "), sign.querySelector(".how-body").textContent].map(wordsOf),
  })));

  // A word in the name weighs more than one in an answer, and that more than one in the how-to.
  function weight({ sign, fields }, typed) {
    if (sign.hidden) return 0;
    const places = typed.map((word) => fields.findIndex((words) => words.some((one) => one.startsWith(word))));
    return places.includes(-1) ? 0 : places.reduce((sum, place) => sum + 1 / (1 + 9 * place), 0);
  }

  function search() {
    const typed = wordsOf(field.value);
    found = typed.length
      ? indexed().map((one) => ({ ...one, weight: weight(one, typed) })).filter((one) => one.weight)
        .sort((one, other) => other.weight - one.weight).slice(0, MOST).map((one) => one.sign)
      : [];
    active = 0;
    show();
  }

  function row(sign, place) {
    const line = document.createElement("li");
    line.id = `found-${place}`;
    line.role = "option";
    line.ariaSelected = String(place === active);
    const name = document.createElement("b");
    name.textContent = nameOf(sign);
    const answers = answersOf(sign).slice(0, 9).map((one, at) => `${at + 1} ${wordOf(one)}`).join(", ");
    line.append(name, ` ${answers}`);
    line.addEventListener("pointerdown", (event) => { event.preventDefault(); close(); goTo(sign); });
    return line;
  }

  function show() {
    list.replaceChildren(...found.map(row));
    list.hidden = !found.length;
    field.ariaExpanded = String(Boolean(found.length));
    if (found.length) field.setAttribute("aria-activedescendant", `found-${active}`);
    else field.removeAttribute("aria-activedescendant");
  }

  function close() {
    field.value = "";
    found = [];
    show();
  }

  function picked(number) {
    const sign = found[active];
    const answer = sign && answersOf(sign)[number - 1];
    if (!answer) return false;
    close();
    pick(sign, answer);
    return true;
  }

  field.addEventListener("input", (event) => {
    event.stopPropagation();
    const number = /\s([1-9])$/.exec(field.value);
    if (!number || !picked(Number(number[1]))) search();
  });
  field.addEventListener("change", (event) => event.stopPropagation());
  field.addEventListener("blur", close);
  field.addEventListener("keydown", (event) => {
    const by = { ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (by && found.length) { active = (active + by + found.length) % found.length; show(); }
    else if (event.key === "Escape") close();
    else if (event.key === "Enter") { const sign = found[active]; close(); if (sign) goTo(sign); }
    else return;
    event.preventDefault();
    event.stopPropagation();
  });
  return { focus: () => field.focus() };
}
