// Typing on the first screen: what goes by most of the words stays, Enter takes the first.
// Without it the form asks the machine for the same.
export function findKindOf(page) {
  const field = page.getElementById("find-kind");
  if (!field) return;
  const tiles = [...page.querySelectorAll("[data-words]")];
  const more = page.querySelector(".more-kinds");
  const none = page.querySelector(".kinds-none");

  // As the machine folds words; what it folds besides is met by sending the form.
  const folded = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replaceAll("ł", "l").replaceAll("ß", "ss");
  const parts = () => folded(field.value).split(/\s+/).filter(Boolean);
  const many = (tile, wanted, end) => wanted.filter((part) => ` ${tile.dataset.words} `.includes(` ${part}${end}`)).length;
  // A word that only begins one counts, and less than a whole one: a suit is no suitcase.
  const met = (tile, wanted) => many(tile, wanted, "") + many(tile, wanted, " ") / 100;

  function narrow() {
    const wanted = parts();
    const most = Math.max(...tiles.map((tile) => met(tile, wanted)));
    for (const tile of tiles) tile.hidden = wanted.length > 0 && (!most || met(tile, wanted) < most);
    if (more) more.open = wanted.length > 0;
    none.hidden = tiles.some((tile) => !tile.hidden);
    const said = field.value.trim();
    for (const link of page.querySelectorAll(".kind-else")) link.search = said && !none.hidden ? `?what=${encodeURIComponent(said)}` : "";
  }

  field.addEventListener("input", narrow);
  field.form.addEventListener("submit", (event) => {
    const first = tiles.find((tile) => !tile.hidden);
    if (!field.value.trim() || !first) return;
    event.preventDefault();
    first.querySelector("a").click();
  });
  page.addEventListener("keydown", (event) => {
    if (event.key !== "/" || event.target.closest("input, select")) return;
    event.preventDefault();
    field.focus();
  });
}
