// The drafts that no tab has in hand, under the bench's heading, each to be taken up by a tap.

const section = document.getElementById("begun");

export function offersOf(draft, takeUp) {
  const list = section.querySelector("ul");
  const written = new Intl.DateTimeFormat(section.dataset.locale, { dateStyle: "medium", timeStyle: "short" });

  function row({ key, fields, at }) {
    const line = document.getElementById("begun-row").content.cloneNode(true);
    const words = [fields.label, fields.size, fields.note].filter(Boolean).join(", ");
    const answers = Object.entries(fields).filter(([name, value]) => name.startsWith("s-") && value).length;
    line.querySelector(".begun-what").textContent = words || `${answers} ${answers === 1 ? "answer" : "answers"}`;
    line.querySelector(".begun-time").textContent = written.format(at);
    line.querySelector("button").addEventListener("click", () => takeUp(key));
    return line;
  }

  async function show() {
    const waiting = await draft.waiting();
    section.hidden = !waiting.length;
    list.replaceChildren(...waiting.map(row));
  }

  // Another tab began, saved or closed one.
  addEventListener("storage", show);
  addEventListener("focus", show);
  return { show };
}
