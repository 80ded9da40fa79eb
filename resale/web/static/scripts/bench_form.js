// The bench form as plain fields: read, laid out, cleared for the next item.

const ALWAYS_THERE = (name) => name === "key" || name === "number" || name.startsWith("g-");

export function fieldsOf(form) {
  // A photo that was picked is no field of the item.
  const fields = Object.fromEntries([...new FormData(form)].filter(([, value]) => typeof value === "string"));
  delete fields.csrf_token;
  return fields;
}

export function isBare(fields) {
  return Object.entries(fields).every(([name, value]) => !value || ALWAYS_THERE(name));
}

// Whether anything was typed or picked since the page was written.
export function isTouched(form) {
  return [...form.querySelectorAll("input")].some((one) => one.checked !== one.defaultChecked || one.value !== one.defaultValue);
}

export function layOut(form, fields) {
  for (const one of form.querySelectorAll('input[type="checkbox"]')) one.checked = one.name in fields;
  for (const [name, value] of Object.entries(fields)) {
    const field = form.elements.namedItem(name);
    if (field && field.type !== "checkbox") field.value = value;
  }
}

// What a fresh page would show, without asking for one: the machine may be away.
export function clearOut(form) {
  for (const field of form.elements) {
    if (field.type === "radio") field.checked = field.value === "";
    else if (field.type === "checkbox") field.checked = false;
    else if (field.tagName === "SELECT") field.value = field.dataset.fresh;
    else if (field.tagName === "INPUT" && field.name !== "csrf_token") field.value = "";
    field.removeAttribute("aria-invalid");
  }
  for (const said of form.querySelectorAll(".said")) {
    said.replaceChildren();
    delete said.dataset.option;
  }
  for (const fold of form.querySelectorAll("details[open]")) fold.open = false;
  for (const again of form.querySelectorAll(".again")) again.remove();
  delete form.dataset.number;
}
