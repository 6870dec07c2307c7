/* Runs the calculators: Pyodide with the package, in a worker of its own so that the page never waits.
   It carries text between the page and calculators.doors.browser.reply, nothing more. */
"use strict";

let reply = null;
let tidy = null;
let answered = 0;
let pyodide = null;
let held = null; // the runtime's files by name, where the page hands them over: a handbook opened from a folder

const TYPES = { wasm: "application/wasm", json: "application/json", js: "text/javascript" };
const typeOf = (name) => TYPES[name.split(".").pop()] ?? "application/octet-stream";

function failed(error) {
  if (!reply) postMessage({ kind: "failed", reason: String(error?.message ?? error).slice(0, 300) });
}

const nameOf = (address) => new URL(address?.url ?? address, "file:///folder/").pathname.split("/").pop();

function fromHand(name) {
  if (!held.has(name)) throw new Error(`${name} is not in this copy of the handbook`);
  return new Blob([held.get(name)], { type: typeOf(name) });
}

/* ---- the runtime's files ---- */

/* What Pyodide will ask for, on its way already: a promise of a response by name. */
const coming = new Map();
let compiled = null; // the program, while it is being compiled

// A file that is missing or damaged can leave the loader waiting for ever: say so at once.
const plainFetch = self.fetch;
self.fetch = async (...request) => {
  try {
    const name = nameOf(request[0]);
    if (coming.has(name)) return await coming.get(name);
    if (held) return new Response(fromHand(name));
    const response = await plainFetch(...request);
    if (!response.ok) throw new Error(`${response.url} answered ${response.status}`);
    return response;
  } catch (error) {
    failed(error);
    throw error;
  }
};
self.addEventListener("unhandledrejection", (event) => failed(event.reason));
const plainInstantiate = WebAssembly.instantiate;
WebAssembly.instantiateStreaming = async (response, imports) => {
  await response;
  const module = await compiled;
  return { module, instance: await plainInstantiate(module, imports) };
};
const plainImport = self.importScripts;
self.importScripts = (...addresses) =>
  plainImport(...addresses.map((each) => (held && !each.startsWith("blob:") ? URL.createObjectURL(fromHand(nameOf(each))) : each)));

/* A file that lies packed (gzip) on the host, so that any host sends few bytes. Some hosts unpack it on the way, and what the
   handbook's service worker keeps is unpacked and checked: only what still is packed is unpacked here. */
async function unpacked(runtime, name) {
  if (held) return new Response(fromHand(name));
  const response = await plainFetch(`${runtime}${name}.gz`);
  if (!response.ok) throw new Error(`${response.url} answered ${response.status}`);
  if (response.headers.has("Unpacked")) return response;
  const reader = response.body.getReader();
  const first = await reader.read();
  const whole = new ReadableStream({
    start: (to) => (first.done ? to.close() : to.enqueue(first.value)),
    pull: async (to) => {
      const { done, value } = await reader.read();
      if (done) to.close();
      else to.enqueue(value);
    },
    cancel: (why) => reader.cancel(why),
  });
  const packed = !first.done && first.value[0] === 0x1f && first.value[1] === 0x8b;
  return new Response(packed ? whole.pipeThrough(new DecompressionStream("gzip")) : whole, { headers: { "Content-Type": typeOf(name) } });
}

async function digestOf(content) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
  return [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/* The content of a file, which must be the very one that the lock file tells of. What is kept was checked when it was stored. */
async function checked(name, response, wanted) {
  const content = await response.arrayBuffer();
  if (!held && !response.headers.has("Unpacked") && (await digestOf(content)) !== (await wanted)) throw new Error(`${name} is damaged`);
  return content;
}

async function compiling(program, wanted) {
  try {
    const response = await program;
    if (held || response.headers.has("Unpacked")) return await WebAssembly.compileStreaming(response);
    const copy = response.clone();
    const [module] = await Promise.all([WebAssembly.compileStreaming(response), checked("pyodide.asm.wasm", copy, wanted)]);
    return module;
  } catch (error) {
    failed(`its program is damaged: ${error.message}`);
    throw error;
  }
}

/* ---- a start remembered ---- */

/* What Python's memory was when the package had just been imported, before it saw any answer: kept for the next start, which
   then imports nothing. It belongs to the very runtime whose lock file it is kept under. Without it, or when anything goes
   wrong with it, Python starts from its files. */
const REMEMBERED = "yard-start-remembered";
const mayKeep = self.name === "keep" && "caches" in self;
const PACKAGE = "/calculators.zip"; // in Python's own file system

/* What is kept, whatever it is kept under: read while it is not known yet which lock file there is. */
async function recalled() {
  const store = await caches.open(REMEMBERED);
  const [key] = await store.keys();
  const kept = key && (await store.match(key));
  if (!kept) return null;
  const memory = await kept.arrayBuffer();
  return `${memory.byteLength}` === kept.headers.get("Bytes") ? { key: key.url, memory } : null;
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

/* Begins all that takes long at once: what is kept is read, the program compiled and the files fetched side by side. */
async function start() {
  const fromFolder = self.location.protocol === "blob:";
  if (fromFolder) held = await new Promise((yes) => addEventListener("message", ({ data }) => yes(data.files), { once: true }));
  const runtime = fromFolder ? "file:///folder/" : new URL("runtime/", self.location.href).href;
  const memory = mayKeep ? recalled().catch(() => null) : null;
  const program = unpacked(runtime, "pyodide.asm.wasm");
  const script = unpacked(runtime, "pyodide.asm.js");
  const library = unpacked(runtime, "python_stdlib.zip");
  const lock = await fetch(runtime + "pyodide-lock.json").then((response) => response.text());
  const { packages, sha256 } = JSON.parse(lock);
  const ours = unpacked(runtime, packages.calculators.file_name);
  compiled = compiling(program, sha256["pyodide.asm.wasm"]);
  coming.set("pyodide.asm.wasm", Promise.resolve(new Response())); // it is being compiled, and is not looked at again
  coming.set("python_stdlib.zip", library.then((response) => checked("python_stdlib.zip", response, sha256["python_stdlib.zip"]))
    .then((content) => new Response(content)));
  const content = ours.then((response) => checked("calculators", response, packages.calculators.sha256));
  self.importScripts(runtime + "pyodide.js");
  const source = await checked("pyodide.asm.js", await script, sha256["pyodide.asm.js"]);
  self.importScripts(URL.createObjectURL(new Blob([source], { type: TYPES.js })));
  const options = { indexURL: runtime, packageBaseUrl: runtime, lockFileContents: JSON.parse(lock) };
  let key = "";
  if (mayKeep) {
    try {
      key = runtime + (await digestOf(new TextEncoder().encode(lock)));
      const kept = await memory;
      if (kept?.key === key) {
        pyodide = await fromMemory(options, kept.memory);
        pyodide.FS.writeFile(PACKAGE, new Uint8Array(await content));
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
  pyodide.FS.writeFile(PACKAGE, new Uint8Array(await content));
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
