// The rail by keys: arrows move, space picks, Enter opens the price. Without it the forms do the job.
"use strict";

(() => {
  document.documentElement.classList.add("js");
  const table = document.getElementById("rail-table");
  if (!table) return;
  const rows = [...table.tBodies[0].rows];
  const box = (row) => row.querySelector('input[name="pick"]');
  const boxes = rows.map(box).filter(Boolean);
  const all = document.getElementById("pick-all");
  const count = document.getElementById("picked-count");

  function tell() {
    const picked = boxes.filter((one) => one.checked).length;
    count.textContent = picked ? `${picked} picked` : "";
    all.checked = picked > 0 && picked === boxes.length;
    all.indeterminate = picked > 0 && picked < boxes.length;
  }

  all.addEventListener("change", () => {
    for (const one of boxes) one.checked = all.checked;
    tell();
  });
  table.addEventListener("change", tell);

  function move(row, step, field) {
    let place = rows.indexOf(row) + step;
    while (rows[place]) {
      const next = field ? rows[place].querySelector(".price-field") : box(rows[place]);
      if (next) {
        next.focus({ preventScroll: true });
        next.closest("tr").scrollIntoView({ block: "nearest" });
        if (field) next.select();
        return;
      }
      place += step;
    }
  }

  table.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const row = event.target.closest("tbody tr");
    if (!row) return;
    const inPrice = event.target.matches(".price-field");
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      event.preventDefault();
      move(row, event.key === "ArrowDown" ? 1 : -1, inPrice);
    } else if (event.key === "Enter" && event.target === box(row)) {
      event.preventDefault();
      const field = row.querySelector(".price-field");
      field.focus();
      field.select();
    } else if (event.key === "Escape" && inPrice) {
      event.target.value = event.target.defaultValue;
      box(row).focus();
    }
  });
  tell();
})();
