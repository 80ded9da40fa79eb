// One look at a time: the same form, of which only what is asked now is seen. What is asked comes
// with the price; what was passed over stands in two fields of the form, so a draft holds it too.

const A_YEAR = 31536000;
const AT_ONCE = "nothing-found";
const STRIKING = "striking";
// These ask several things on one screen.
const WHOLE = [AT_ONCE, STRIKING];
// A second tap of the same thumb must not answer the question that came in between.
const DEAF = 250;

const cookie = (name) => document.cookie.split("; ").find((one) => one.startsWith(`${name}=`))?.split("=")[1];
const words = (field) => field.value.split(" ").filter(Boolean);

export function oneLookOf(form, { signs, chosen, radios, take, passed }) {
  const body = document.body;
  const back = document.getElementById("look-back");
  const fold = document.getElementById("card-fold");
  const next = () => document.getElementById("next");
  const trail = [];
  let asked = "";
  // The sign in hand stays while it is typed in, or was gone back to.
  let stays = false;

  const isOn = () => body.classList.contains("one-look");
  const nodeOf = (id) => (id ? document.getElementById(WHOLE.includes(id) ? id : `sign-${id}`) : null);
  const passedOver = () => [...words(form.elements.untold), ...words(form.elements.later)];
  const isAnswered = (sign) => Boolean(chosen(sign)?.value);

  function isDone(id) {
    const node = nodeOf(id);
    if (!node || node.hidden || passedOver().includes(id)) return true;
    if (id === STRIKING) return false;
    if (id !== AT_ONCE) return isAnswered(node);
    return Object.keys(JSON.parse(node.dataset.nothingFound)).every((one) => isAnswered(nodeOf(one)));
  }

  // Without the shop's machine: the looks before a ticket, then the signs that stand in front.
  function nextByHand() {
    const front = signs.filter((sign) => !sign.closest(".more"));
    const ids = (isLook) => front.filter((sign) => (sign.dataset.zone === "looks") === isLook).map((sign) => sign.dataset.sign);
    return [AT_ONCE, ...ids(true), STRIKING, ...ids(false)].find((id) => !isDone(id)) ?? "";
  }

  function ask(id, { goesBack = false } = {}) {
    const node = nodeOf(id);
    const isSwapped = asked && id !== asked;
    // The card folds away what is beside it, but never a field that is being typed in.
    if (id !== asked) showBeside(Boolean(document.activeElement.closest(".label-line, .beside-looks")));
    if (isSwapped && !goesBack) trail.push(asked);
    for (const one of form.querySelectorAll(".is-asked")) one.classList.remove("is-asked");
    asked = id;
    body.classList.toggle("is-enough", !node);
    body.classList.toggle("asks-many", id === AT_ONCE);
    body.classList.toggle("asks-striking", id === STRIKING);
    back.hidden = !trail.length;
    if (!node) return;
    node.classList.add("is-asked");
    const folds = node.closest(".more");
    if (folds) folds.open = true;
    if (!isOn()) return;
    if (!WHOLE.includes(id)) { node.querySelector(".how").open = true; take(node); }
    if (isSwapped) {
      body.classList.add("is-deaf");
      setTimeout(() => body.classList.remove("is-deaf"), DEAF);
    }
    fill();
    hold(node);
  }

  // The question fills the screen of a phone or a tablet; the head of the page lies above it.
  function fill() {
    if (!matchMedia("(max-width: 1159px)").matches) return;
    const top = asked !== STRIKING && document.getElementById("just-saved") || form;
    scrollTo(0, scrollY + top.getBoundingClientRect().top);
  }

  function showBeside(isShown) {
    body.classList.toggle("shows-beside", isShown);
    fold.setAttribute("aria-expanded", String(isShown));
  }

  // Whoever works by keys goes on where the question is; a keyboard on the screen stays away.
  function hold(node) {
    const byKeys = document.documentElement.classList.contains("with-keys");
    if (!byKeys && document.activeElement !== document.body && !document.activeElement.closest(".sign, .pass-row, #nothing-found, #striking")) return;
    const target = node.id === STRIKING ? node.querySelector(byKeys ? ".struck" : "h2") : node.matches("button") ? node : (byKeys && node.querySelector("input.typed")) || chosen(node)?.value && chosen(node) || radios(node)[1];
    target?.focus({ preventScroll: true });
  }

  const strikes = (button) => {
    const [sign, answer] = button.value.split(" ");
    return [sign, answer, radios(nodeOf(sign))];
  };
  function showStruck() {
    for (const button of form.querySelectorAll(".struck")) {
      const [, answer, all] = strikes(button);
      const isTaken = String(all.some((one) => one.checked && one.value === answer));
      if (button.getAttribute("aria-pressed") !== isTaken) button.setAttribute("aria-pressed", isTaken);
    }
  }
  // A second tap takes it back.
  function strike(button) {
    const [, answer, all] = strikes(button);
    const isTaken = button.getAttribute("aria-pressed") === "true";
    const field = all.find((one) => one.value === (isTaken ? "" : answer));
    field.checked = true;
    field.dispatchEvent(new Event("change", { bubbles: true }));
    showStruck();
  }

  // After an answer of the shop's machine, or its silence.
  function settled() {
    showStruck();
    if (stays || (asked && nodeOf(asked) && !isDone(asked))) return;
    const wanted = next().dataset.asked ?? nextByHand();
    if (wanted !== asked || !form.querySelector(".is-asked")) ask(wanted);
  }

  function answered(field) {
    stays = field.type !== "radio" && Boolean(field.closest(".sign"));
  }

  function pass(how) {
    stays = false;
    // Of a card there is nothing that could not be told.
    if (asked === STRIKING) how = "later";
    if (asked && !(how === "later" && isDone(asked))) {
      form.elements[how].value = [...new Set([...words(form.elements[how]), asked])].join(" ");
      const sign = nodeOf(asked);
      if (how === "untold" && asked !== AT_ONCE) for (const one of radios(sign)) one.checked = one.value === "";
    }
    passed();
  }

  function goBack() {
    const before = trail.pop();
    if (!before) return;
    for (const how of ["untold", "later"]) {
      form.elements[how].value = words(form.elements[how]).filter((one) => one !== before).join(" ");
    }
    stays = isDone(before);
    ask(before, { goesBack: true });
  }

  function show(way, hand) {
    body.classList.toggle("one-look", way === "one");
    body.classList.toggle("left-hand", hand === "left");
    if (asked) ask(asked, { goesBack: true });
  }

  function remember(name, value) {
    const secure = location.protocol === "https:" ? "; secure" : "";
    document.cookie = `${name}=${value}; path=/; max-age=${A_YEAR}; samesite=strict${secure}`;
    show(cookie("bench_way"), cookie("bench_hand"));
  }

  function reset() {
    asked = "";
    stays = false;
    trail.length = 0;
    settled();
  }

  // A button of this way; says whether it was one.
  function pressed(button) {
    const { way, hand, pass: how } = button.dataset;
    if (button.name === "struck") { strike(button); return true; }
    if (way) remember("bench_way", way);
    else if (hand) remember("bench_hand", hand);
    else if (how) pass(how);
    return Boolean(way || hand || how);
  }

  function key(event) {
    if (!isOn()) return false;
    const letter = event.key.toLowerCase();
    const field = event.target;
    if (letter === "c") pass("untold");
    else if (letter === "k") pass("later");
    else if (letter === "b") goBack();
    else if (/^Arrow/.test(event.key) && (field.type === "radio" || field.name === "struck")) step(field, /Down|Right/.test(event.key) ? 1 : -1);
    else return false;
    event.preventDefault();
    return true;
  }

  // An arrow would pick, and a pick goes on: here it only moves.
  function step(field, by) {
    const around = field.closest(".sign");
    const all = (around ? radios(around) : [...form.querySelectorAll(".struck")]).filter((one) => one.offsetParent);
    all[(all.indexOf(field) + by + all.length) % all.length].focus();
  }

  back.addEventListener("click", goBack);
  fold.addEventListener("click", () => showBeside(!body.classList.contains("shows-beside")));
  const begin = cookie("bench_way");
  if (begin) show(begin, cookie("bench_hand"));
  return { isOn, ask, settled, answered, reset, pressed, key, inHand: () => nodeOf(asked) };
}
