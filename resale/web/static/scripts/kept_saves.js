// Saves that could not be sent, kept in this browser under their client key until they are.
// Everything here may fail (private window, full store); whoever calls says so on the screen.

const SHELF = "saves";
const news = "BroadcastChannel" in window ? new BroadcastChannel("resale.kept") : null;
const listeners = [];
let opening = null;

function shelf() {
  opening ??= new Promise((resolve, reject) => {
    const wish = indexedDB.open("resale.kept", 1);
    wish.onupgradeneeded = () => wish.result.createObjectStore(SHELF, { keyPath: "key" });
    wish.onsuccess = () => resolve(wish.result);
    wish.onerror = () => reject(wish.error);
  }).catch((fault) => { opening = null; throw fault; });
  return opening;
}

async function within(mode, job) {
  const base = await shelf();
  return new Promise((resolve, reject) => {
    // Strict: a save that is told as kept must outlive a power cut.
    const deal = base.transaction(SHELF, mode, { durability: "strict" });
    let value;
    job(deal.objectStore(SHELF), (found) => { value = found; });
    deal.oncomplete = () => resolve(value);
    deal.onabort = () => reject(deal.error);
  });
}

function tell() {
  for (const listener of listeners) listener();
  if (news) news.postMessage("changed");
}

export function onKeptChange(listener) {
  if (news && !listeners.length) news.onmessage = () => listeners.forEach((one) => one());
  listeners.push(listener);
}

// Random bits without randomUUID, which a browser offers on a trusted address only.
export function newKey() {
  const hex = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
}

export async function keep(entry) {
  await within("readwrite", (saves) => saves.put({ ...entry, revision: newKey() }));
  tell();
  // Asked for once there is something to lose; a refusal changes nothing.
  navigator.storage?.persist?.().catch(() => {});
}

export async function keptOnes() {
  const all = await within("readonly", (saves, give) => {
    saves.getAll().onsuccess = (event) => give(event.target.result);
  });
  return all.sort((one, other) => one.at - other.at);
}

export function keptOne(key) {
  return within("readonly", (saves, give) => {
    saves.get(key).onsuccess = (event) => give(event.target.result);
  });
}

// Changes an entry that is still there: one sent meanwhile does not come back.
export async function changeKept(key, parts) {
  await within("readwrite", (saves) => {
    saves.get(key).onsuccess = (event) => {
      const entry = event.target.result;
      if (entry) saves.put({ ...entry, ...parts, revision: newKey() });
    };
  });
  tell();
}

// Lets an entry go; with a revision, only if nobody has changed it since it was read.
export async function letGo(key, revision = "") {
  await within("readwrite", (saves) => {
    saves.get(key).onsuccess = (event) => {
      const entry = event.target.result;
      if (entry && (!revision || entry.revision === revision)) saves.delete(key);
    };
  });
  tell();
}

// The name under which an entry is in hand: of the bench that mends it, or the tab that sends it.
export const handOf = (key) => `resale.kept.${key}`;
