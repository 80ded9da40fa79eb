// Keeps bare Bench pages and the files they load, for when the shop's machine does not answer.
// The machine is always asked first; no other page, and nothing that is sent, passes through here.
"use strict";

const STORE = "resale.bench.{{ version }}";
const PAGES = new Map(Object.entries({{ pages|tojson }}));
const FILES = {{ files|tojson }};
const PATIENCE = 5000;

async function fill() {
  const store = await caches.open(STORE);
  const wanted = [...PAGES.values(), ...FILES];
  for (const path of wanted) {
    const answer = await fetch(path, { cache: "no-cache" });
    // Signed out, or in trouble: half a bench is worse than none, and the next page tries again.
    if (!answer.ok || answer.redirected) { await caches.delete(STORE); return; }
    await store.put(path, answer);
  }
}

async function forget(all) {
  for (const name of await caches.keys()) {
    if (name.startsWith("resale.bench.") && (all || name !== STORE)) await caches.delete(name);
  }
}

const kept = async (path) => (await caches.has(STORE)) && (await caches.open(STORE)).match(path);

async function page(event, path) {
  try {
    const answer = await fetch(event.request, { signal: AbortSignal.timeout(PATIENCE) });
    // Sent to another page: somebody signed out, and leaves nothing behind.
    if (answer.type === "opaqueredirect") event.waitUntil(forget(true));
    else if (answer.ok) event.waitUntil(caches.has(STORE).then((there) => there || fill()).catch(() => {}));
    else if (answer.status > 500) throw new Error("away");
    return answer;
  } catch (fault) {
    const bare = await kept(PAGES.get(path));
    if (bare) return bare;
    throw fault;
  }
}

async function file(request, path) {
  try {
    return await fetch(request);
  } catch (fault) {
    const copy = await kept(path);
    if (copy) return copy;
    throw fault;
  }
}

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil(fill().catch(() => caches.delete(STORE)));
});
self.addEventListener("activate", (event) => {
  event.waitUntil(forget(false).then(() => self.clients.claim()));
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const at = new URL(request.url);
  if (at.origin !== location.origin) return;
  if (/sign-?out/.test(at.pathname)) event.waitUntil(forget(true));
  if (request.method !== "GET") return;
  if (request.mode === "navigate") { if (PAGES.has(at.pathname)) event.respondWith(page(event, at.pathname)); }
  else if (FILES.includes(at.pathname)) event.respondWith(file(request, at.pathname));
});
