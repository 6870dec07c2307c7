/* Runs the calculators: Pyodide with the package, in a worker of its own so that the page never waits.
   It carries text between the page and calculators.doors.browser.reply, nothing more. */
"use strict";

let reply = null;
let tidy = null;
let answered = 0;
let pyodide = null;
let held = null; // the runtime's files by name, where the page hands them over: a handbook opened from a folder

const TYPES = { wasm: "application/wasm", json: "application/json", js: "text/javascript" };

function failed(error) {
  if (!reply) postMessage({ kind: "failed", reason: String(error?.message ?? error).slice(0, 300) });
}

const nameOf = (address) => new URL(address?.url ?? address, "file:///folder/").pathname.split("/").pop();

function fromHand(name) {
  if (!held.has(name)) throw new Error(`${name} is not in this copy of the handbook`);
  return new Blob([held.get(name)], { type: TYPES[name.split(".").pop()] ?? "application/octet-stream" });
}

// A file that is missing or damaged can leave the loader waiting for ever: say so at once.
const plainFetch = self.fetch;
self.fetch = async (...request) => {
  try {
    if (held) return new Response(fromHand(nameOf(request[0])));
    const response = await plainFetch(...request);
    if (!response.ok) throw new Error(`${response.url} answered ${response.status}`);
    return response;
  } catch (error) {
    failed(error);
    throw error;
  }
};
self.addEventListener("unhandledrejection", (event) => failed(event.reason));
for (const name of ["instantiateStreaming", "instantiate"]) {
  const plain = WebAssembly[name];
  WebAssembly[name] = (...given) => plain(...given).catch((error) => {
    failed(`its program is damaged: ${error.message}`);
    throw error;
  });
}
const plainImport = self.importScripts;
self.importScripts = (...addresses) =>
  plainImport(...addresses.map((each) => (held ? URL.createObjectURL(fromHand(nameOf(each))) : each)));

/* ---- a start remembered ---- */

/* What Python's memory was when the package had just been imported, before it saw any answer: kept for the next start, which
   then imports nothing. It belongs to the very runtime whose lock file it is kept under. Without it, or when anything goes
   wrong with it, Python starts from its files. */
const REMEMBERED = "yard-start-remembered";
const mayKeep = self.name === "keep" && "caches" in self;
const PACKAGE = "/calculators.zip"; // in Python's own file system

async function keyOf(runtime, lock) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", new TextEncoder().encode(lock)));
  return runtime + [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

async function recalled(key) {
  const kept = await (await caches.open(REMEMBERED)).match(key);
  if (!kept) return null;
  const memory = await kept.arrayBuffer();
  return `${memory.byteLength}` === kept.headers.get("Bytes") ? memory : null;
}

async function remember(key, memory) {
  try {
    const store = await caches.open(REMEMBERED);
    for (const older of await store.keys()) await store.delete(older);
    await store.put(key, new Response(memory, { headers: { Bytes: String(memory.length) } }));
  } catch {
    // no room: the next start is from files again
  }
}

async function fromMemory(options, memory) {
  self.importScripts(options.indexURL + "pyodide.asm.js");
  const plain = self._createPyodideModule;
  // room for all of it; Pyodide asks for it in a way that this build does not hear
  self._createPyodideModule = async (settings) => {
    const made = await plain(settings);
    if (made.HEAP8.length < memory.byteLength) made._emscripten_resize_heap(memory.byteLength);
    return made;
  };
  try {
    return await loadPyodide({ ...options, _loadSnapshot: memory });
  } finally {
    self._createPyodideModule = plain;
  }
}

/* ---- starting ---- */

async function packageOf(runtime, lock) {
  const { file_name, sha256 } = JSON.parse(lock).packages.calculators;
  const digest = btoa(String.fromCharCode(...sha256.match(/../g).map((byte) => parseInt(byte, 16))));
  return new Uint8Array(await (await fetch(runtime + file_name, { integrity: `sha256-${digest}` })).arrayBuffer());
}

async function start() {
  const fromFolder = self.location.protocol === "blob:";
  if (fromFolder) held = await new Promise((yes) => addEventListener("message", ({ data }) => yes(data.files), { once: true }));
  const runtime = fromFolder ? "file:///folder/" : new URL("runtime/", self.location.href).href;
  const lock = fetch(runtime + "pyodide-lock.json").then((response) => response.text());
  const program = lock.then((text) => packageOf(runtime, text));
  self.importScripts(runtime + "pyodide.js");
  const options = { indexURL: runtime, packageBaseUrl: runtime, lockFileContents: lock.then(JSON.parse) };
  let key = "";
  if (mayKeep) {
    try {
      key = await keyOf(runtime, await lock);
      const memory = await recalled(key);
      if (memory) {
        pyodide = await fromMemory(options, memory);
        pyodide.FS.writeFile(PACKAGE, await program);
        reply = pyodide.runPython("from calculators.doors.browser import reply\nreply");
        tidy = pyodide.runPython("import gc\ngc.collect");
        return "memory";
      }
    } catch (error) {
      key = ""; // what failed once is not kept again
      caches.delete(REMEMBERED).catch(() => {});
    }
  }
  pyodide = await loadPyodide({ ...options, _makeSnapshot: Boolean(key) });
  pyodide.FS.writeFile(PACKAGE, await program);
  // Python's own search for what is no longer used can take longer than an answer: it is made between answers
  pyodide.runPython(`import gc, sys
gc.disable()
sys.path.insert(0, "${PACKAGE}")
import calculators.doors.browser
gc.freeze()`);
  if (key) {
    try {
      remember(key, pyodide.makeMemorySnapshot());
    } catch {
      // this browser can't: the next start is from files again
    }
  }
  reply = pyodide.runPython("from calculators.doors.browser import reply\nreply");
  tidy = pyodide.runPython("import gc\ngc.collect");
  return "files";
}

const started = start().then((from) => postMessage({ kind: "ready", from }), failed);

/* Fetches libraries that only this request needs; gives what is missing, in words. */
async function fetched(libraries) {
  if (!libraries?.length) return "";
  let missing = "";
  try {
    await pyodide.loadPackage(libraries, { messageCallback: () => {}, errorCallback: (words) => (missing = words) });
  } catch (error) {
    missing = String(error?.message ?? error);
  }
  return missing.slice(0, 300);
}

// one after the other, in the order asked
const REST_MS = 1_000;
const ANSWERS_UNTIDIED = 100;
let tidying = 0;
let turn = started;
onmessage = ({ data }) => {
  if (data.files) return;
  turn = turn.then(async () => {
    if (!reply) return;
    const missing = await fetched(data.needs);
    if (missing) postMessage({ kind: "reply", id: data.id, missing });
    else postMessage({ kind: "reply", id: data.id, text: reply(data.text) });
    clearTimeout(tidying);
    if (++answered % ANSWERS_UNTIDIED) tidying = setTimeout(tidy, REST_MS);
    else tidy();
  });
};
