// A number key marks an answer and Enter sends it, so that a stray digit sends nothing.
// Everything else works without this file.
(() => {
  "use strict";
  document.addEventListener("keydown", (event) => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.repeat) return;
    if (event.target.closest("input, select, textarea")) return;
    if (!/^[1-9]$/.test(event.key)) return;
    const reply = document.querySelectorAll("[data-answer]")[Number(event.key) - 1];
    if (reply) {
      event.preventDefault();
      reply.focus();
    }
  });
})();
