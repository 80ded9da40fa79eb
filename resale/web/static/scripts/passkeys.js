// Passkeys: what the page was told to ask goes to the browser, and its answer into the form.
const bytes = (text) =>
  Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));
const text = (buffer) =>
  btoa(String.fromCharCode(...new Uint8Array(buffer)))
    .replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");

function optionsOf(form) {
  const told = JSON.parse(form.dataset.challenge);
  told.challenge = bytes(told.challenge);
  if (told.user) told.user.id = bytes(told.user.id);
  for (const list of [told.excludeCredentials, told.allowCredentials])
    for (const one of list ?? []) one.id = bytes(one.id);
  return told;
}

function plain(credential) {
  const response = { clientDataJSON: text(credential.response.clientDataJSON) };
  for (const name of ["attestationObject", "authenticatorData", "signature", "userHandle"]) {
    const part = credential.response[name];
    if (part) response[name] = text(part);
  }
  return JSON.stringify({
    id: credential.id,
    rawId: text(credential.rawId),
    type: credential.type,
    response,
    clientExtensionResults: credential.getClientExtensionResults(),
  });
}

async function answer(form) {
  const status = form.querySelector('[role="status"]');
  status.textContent = "The browser asks …";
  try {
    const publicKey = optionsOf(form);
    const how = form.dataset.passkey;
    const credential = await navigator.credentials[how]({ publicKey });
    form.elements.answer.value = plain(credential);
    form.submit();
  } catch {
    status.textContent = "Nothing came of it. Try once more, or take another way.";
  }
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  if (!window.PublicKeyCredential) continue;
  form.hidden = false;
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    answer(form);
  });
}
