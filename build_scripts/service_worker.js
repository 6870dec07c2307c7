/* Keeps the whole handbook on the device, one edition at a time: all files of an edition are stored and checked before any is
   shown, and pages, calculators and libraries always come from one edition. A newer one waits until the reader takes it, or
   until no page of the handbook is open. EDITION and FILES are filled in when the site is built. */
"use strict";

const EDITION = "%EDITION%";
const FILES = JSON.parse('%FILES%'); // address from here -> SHA-256 of its content
const PACKED = new Set(JSON.parse('%PACKED%')); // those that lie beside themselves packed, and are fetched so and kept unpacked
const PREFIX = "yard-handbook-";
const STORE = PREFIX + EDITION;
const GIVEN = PREFIX + "given";
const AT_ONCE = 4;

const address = (file) => new URL(file, self.registration.scope).href;

async function digest(content) {
  const found = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
  return [...found].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/* A file of this edition: from the store of the edition before where it is the same, else from the host, checked. */
async function obtained(file, older) {
  for (const store of older) {
    const kept = await store.match(address(file));
    if (kept && (await digest(await kept.clone().arrayBuffer())) === FILES[file]) return kept;
  }
  const packed = PACKED.has(file) && "DecompressionStream" in self;
  const response = await fetch(address(file) + (packed ? ".packed" : ""), { cache: "no-cache" });
  if (!response.ok) throw new Error(`${file} answered ${response.status}`);
  const body = packed ? response.body.pipeThrough(new DecompressionStream("gzip")) : response.body;
  const content = await new Response(body).arrayBuffer();
  if ((await digest(content)) !== FILES[file]) throw new Error(`${file} is not of this edition`);
  const type = file.endsWith(".wasm") ? "application/wasm" : packed ? "application/zip" : response.headers.get("Content-Type") ?? "";
  return new Response(content, { headers: { "Content-Type": type, ...(packed ? { Unpacked: "yes" } : {}) } });
}

async function store() {
  const names = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && ![STORE, GIVEN].includes(name));
  const older = await Promise.all(names.map((name) => caches.open(name)));
  const own = await caches.open(STORE);
  const left = Object.keys(FILES);
  const some = async () => {
    for (let file = left.pop(); file !== undefined; file = left.pop()) {
      if (!(await own.match(address(file)))) await own.put(address(file), await obtained(file, older));
    }
  };
  try {
    await Promise.all(Array.from({ length: AT_ONCE }, some));
  } catch (error) {
    await caches.delete(STORE); // a part of an edition is none
    throw error;
  }
}

self.addEventListener("install", (event) => event.waitUntil(store()));

/* Which edition a page, or a page's worker, was given: kept, since a later edition answers what they still ask for. */
const given = {
  lately: new Map(), // a page that is being opened is not among the clients yet
  known: new Map(), // what is noted, without asking the store for each file
  key: (id) => address(`given/${id}`),
  async of(id) {
    if (this.known.has(id)) return this.known.get(id);
    const noted = id && (await (await caches.open(GIVEN)).match(this.key(id)));
    return noted ? noted.text() : EDITION;
  },
  async note(id, edition) {
    if (!id) return;
    this.lately.set(this.key(id), Date.now());
    this.known.set(id, edition);
    await (await caches.open(GIVEN)).put(this.key(id), new Response(edition));
  },
};

/* Forgets pages that are closed, and removes editions that no page is of. */
async function tidy() {
  const alive = new Set((await self.clients.matchAll({ includeUncontrolled: true, type: "all" })).map((client) => given.key(client.id)));
  const notes = await caches.open(GIVEN);
  const used = new Set([STORE]);
  for (const noted of await notes.keys()) {
    if (alive.has(noted.url) || Date.now() - (given.lately.get(noted.url) ?? 0) < 60_000) used.add(PREFIX + (await (await notes.match(noted)).text()));
    else await notes.delete(noted);
  }
  // one that is being stored is of a newer worker than this
  const stored = self.registration.installing || self.registration.waiting ? [] : await caches.keys();
  for (const name of stored) if (name.startsWith(PREFIX) && name !== GIVEN && !used.has(name)) await caches.delete(name);
}

self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim().then(tidy)));

self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const asked = new URL(event.request.url);
  if (event.request.method !== "GET" || !asked.href.startsWith(self.registration.scope)) return;
  asked.search = asked.hash = "";
  if (asked.pathname.endsWith("/")) asked.pathname += "index.html";
  asked.pathname = asked.pathname.replace(/\.packed$/, "");
  event.respondWith((async () => {
    const opening = event.request.mode === "navigate";
    const edition = opening ? EDITION : await given.of(event.clientId);
    if (opening || event.request.destination === "worker") await given.note(event.resultingClientId, edition);
    const kept = await (await caches.open(PREFIX + edition)).match(asked.href);
    return kept ?? fetch(event.request); // evicted by the browser, or not of the handbook
  })());
  if (event.request.mode === "navigate") event.waitUntil(tidy());
});
