// A photographed label: sent, and what the shop's machine read put into the fields of this page.
// The page that comes back is the one for a browser without scripts; its fields are taken over.

const PATIENCE = 180000;
const WAITS = "Reading the label …";
const AWAY = "The label was not read: the shop’s machine does not answer. Type what it says.";
const SIGNED_OUT = "The label was not read: sign in again. What stands here is kept on this device.";

export function labelPhotoOf(form, { taken }) {
  const said = document.getElementById("label-said");
  const shot = document.getElementById("label-shot");

  function tell(words) {
    const line = document.createElement("p");
    line.textContent = words;
    said.replaceChildren(line);
  }

  async function read(button) {
    button.disabled = true;
    tell(WAITS);
    try {
      const answer = await fetch(button.formAction, { method: "POST", body: new FormData(form), signal: AbortSignal.timeout(PATIENCE) });
      if (answer.redirected || [400, 401, 403].includes(answer.status)) return tell(SIGNED_OUT);
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const told = page.getElementById("label-said");
      if (!told) return tell(page.querySelector(".trouble-page p, p")?.textContent.trim() || AWAY);
      said.replaceChildren(...[...told.childNodes].map((one) => document.importNode(one, true)));
      if (answer.ok) take(page.getElementById("bench"));
    } catch {
      tell(AWAY);
    } finally {
      button.disabled = false;
    }
  }

  // Only what stands empty here: somebody may have typed while the label was read.
  function take(there) {
    let isAny = false;
    for (const field of there.querySelectorAll('input.typed[name^="m-"], input[name="care"]')) {
      const own = form.elements.namedItem(field.name);
      if (!field.value || !own || own.value) continue;
      own.value = field.value;
      isAny = true;
    }
    shot.value = "";
    if (isAny) taken();
  }

  return { pressed: (by) => "readLabel" in by.dataset && (read(by), true) };
}
