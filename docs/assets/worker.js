/* Runs the calculators: Pyodide with the package, in a worker of its own so that the page never waits.
   It carries text between the page and calculators.doors.browser.reply, nothing more. */
"use strict";

let reply = null;
let tidy = null;
let answered = 0;
let pyodide = null;

/* Files that the page hands over, in a handbook opened from a folder: each is asked for once and comes when it is unpacked. */
const fromFolder = self.location.protocol === "blob:";
const handed = new Map();
function fromHand(name) {
  if (!handed.has(name)) {
    let given;
    const coming = new Promise((yes, no) => (given = { yes, no }));
    handed.set(name, { coming, given });
    postMessage({ kind: "wants", name });
  }
  return handed.get(name).coming;
}
function takeFromHand({ name, content, missing }) {
  if (missing) handed.get(name).given.no(new Error(missing));
  else handed.get(name).given.yes(new Blob([content], { type: TYPES[name.split(".").pop()] ?? "application/octet-stream" }));
}

const TYPES = { wasm: "application/wasm", json: "application/json", js: "text/javascript" };

function failed(error) {
  if (!reply) postMessage({ kind: "failed", reason: String(error?.message ?? error).slice(0, 300) });
}

const nameOf = (address) => new URL(address?.url ?? address, "file:///folder/").pathname.split("/").pop();

const runtime = fromFolder ? "file:///folder/" : new URL("runtime/", self.location.href).href;

/* A file of the runtime. The large ones lie beside themselves packed (gzip), since many hosts send them as they are; a handbook
   kept on the device has them unpacked already, and says so. */
const PACKED = /\.(wasm|whl|zip)$/;
const plainFetch = self.fetch;

async function obtained(address) {
  const name = nameOf(address);
  if (fromFolder) return new Response(await fromHand(name));
  if (PACKED.test(name) && "DecompressionStream" in self) {
    const response = await plainFetch(`${address}.packed`);
    if (response.ok && response.headers.get("Unpacked")) return response;
    if (response.ok) {
      const headers = { "Content-Type": TYPES[name.split(".").pop()] ?? "application/octet-stream" };
      return new Response(response.body.pipeThrough(new DecompressionStream("gzip")), { headers });
    }
  }
  const response = await plainFetch(address);
  if (!response.ok) throw new Error(`${response.url} answered ${response.status}`);
  return response;
}

// A file that is missing or damaged can leave the loader waiting for ever: say so at once.
const ahead = new Map(); // files asked for before the loader does
function fetchAhead(name) {
  const coming = obtained(runtime + name);
  coming.catch(failed);
  ahead.set(name, coming);
}
self.fetch = async (...request) => {
  try {
    const address = String(request[0]?.url ?? request[0]);
    const coming = ahead.get(nameOf(address));
    ahead.delete(nameOf(address));
    return await (coming ?? obtained(address));
  } catch (error) {
    failed(error);
    throw error;
  }
};
self.addEventListener("unhandledrejection", (event) => failed(event.reason));

// The program is compiled while the loader's scripts arrive; the loader is then given what is compiled.
let compiled = null;
function compileAhead(name) {
  compiled = obtained(runtime + name).then((response) => WebAssembly.compileStreaming(response).catch((error) => {
    throw new Error(`its program is damaged: ${error.message}`);
  }));
  compiled.catch(failed);
  ahead.set(name, Promise.resolve(new Response()));
}
WebAssembly.instantiateStreaming = async (response, imports) => {
  const module = await compiled;
  return { module, instance: await WebAssembly.instantiate(module, imports) };
};

/* Runs scripts of the runtime. */
async function run(...names) {
  const address = async (name) => (fromFolder ? URL.createObjectURL(await fromHand(name)) : runtime + name);
  self.importScripts(...(await Promise.all(names.map(address))));
}

/* ---- a start remembered ---- */

/* What Python's memory was when the package had just been imported and had answered about the example yard, before it saw any
   answer of the reader's: kept for the next start, which then imports nothing. It belongs to the very runtime whose lock file it
   is named after. Without it, or when anything goes wrong with it, Python starts from its files. */
const REMEMBERED = "yard-start-";
const mayKeep = self.name === "keep" && "storage" in navigator && "getDirectory" in navigator.storage;
const PACKAGE = "/calculators.zip"; // in Python's own file system
const FIRST = JSON.stringify({ answers: {}, parts: ["answer:bays", "head:bays", "details:bays"], forms: ["bays"] });

async function hex(content) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", content));
  return [...digest].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
const hexOfText = (text) => hex(new TextEncoder().encode(text));

/* Kept in the browser's own file system, from which a worker reads it in a fraction of the time that a cache takes: the memory, and
   behind it the library and the package, of which later answers may need more. The name tells the runtime and how many bytes each
   has: a file half written is none. */
async function recalled() {
  if (fromFolder) return keptIn(await (await fromHand(REMEMBERED + "in-folder")).arrayBuffer());
  if (!mayKeep) return null;
  const place = await navigator.storage.getDirectory();
  for await (const [name, file] of place.entries()) {
    if (name.startsWith(REMEMBERED)) return partsOf(name, await contentOf(file));
  }
  return null;
}

function partsOf(name, content) {
  const [digest, ...lengths] = name.slice(REMEMBERED.length).split("-");
  let at = 0;
  const [memory, library, program] = JSON.parse(`[${lengths.join()}]`).map((length) => content.subarray(at, (at += length)));
  return at === content.length && program ? { digest, memory, library, program } : null;
}

/* A copy opened from a folder brings a start remembered by the machine that made it: a line with the name, then the content. */
function keptIn(buffer) {
  const whole = new Uint8Array(buffer);
  const end = whole.indexOf(10);
  return partsOf(new TextDecoder().decode(whole.subarray(0, end)), whole.slice(end + 1));
}

async function contentOf(file) {
  try {
    const handle = await file.createSyncAccessHandle({ mode: "read-only" });
    const content = new Uint8Array(handle.getSize());
    handle.read(content, { at: 0 });
    handle.close();
    return content;
  } catch {
    return new Uint8Array(await (await file.getFile()).arrayBuffer()); // another page reads it, and this browser lets one at a time
  }
}

async function forget() {
  const place = await navigator.storage.getDirectory();
  for await (const name of place.keys()) if (name.startsWith(REMEMBERED)) await place.removeEntry(name);
}

async function remember(digest, ...contents) {
  try {
    await forget();
    const name = REMEMBERED + [digest, ...contents.map((each) => each.length)].join("-");
    const file = await (await navigator.storage.getDirectory()).getFileHandle(name, { create: true });
    const handle = await file.createSyncAccessHandle();
    let at = 0;
    for (const content of contents) at += handle.write(content, { at });
    handle.flush();
    handle.close();
  } catch {
    // no room, or another page is at it: the next start is from files again
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

/* Keeps the memory as it is after an answer about the example yard, before any that holds something of the reader's: what an answer
   is made with is then remembered too. Where the first request is such a one, the reader does not wait for it. */
let memorise = null; // the digest of the runtime, its library and the package, where a memory is to be kept
function keepMemory() {
  const { digest, library, program } = memorise;
  memorise = null;
  try {
    remember(digest, pyodide.makeMemorySnapshot(), library, program);
  } catch {
    // this browser can't: the next start is from files again
  }
}

const isBlank = ({ answers, name, money, about, guessed, link, file, start, others, workshop, take }) =>
  Object.keys(answers ?? {}).length === 0 && !name && !money && !about && !guessed?.length &&
  [link, file, start, others, workshop, take].every((each) => each === undefined);

/* ---- starting ---- */

/* The package, checked: it is Python's whole program. */
async function packageOf(lock) {
  const { file_name, sha256 } = JSON.parse(lock).packages.calculators;
  const content = await (await fetch(runtime + file_name)).arrayBuffer();
  if ((await hex(content)) !== sha256) throw new Error(`${file_name} is damaged`);
  return new Uint8Array(content);
}

/* Everything is asked for at once, and the memory of an earlier start is read meanwhile. */
async function start() {
  const memory = await recalled().catch(() => null); // read before the loader's scripts hold this thread up
  compileAhead("pyodide.asm.wasm");
  const lock = fetch(runtime + "pyodide-lock.json").then((response) => response.text());
  if (!memory) fetchAhead("python_stdlib.zip");
  const program = memory ? null : lock.then(packageOf);
  await run("pyodide.js", "pyodide.asm.js");
  const options = { indexURL: runtime, packageBaseUrl: runtime, lockFileContents: lock.then(JSON.parse) };
  const digest = mayKeep || memory ? await lock.then(hexOfText) : "";
  let keeps = mayKeep;
  if (memory && memory.digest === digest) {
    try {
      ahead.set("python_stdlib.zip", Promise.resolve(new Response(memory.library)));
      pyodide = await fromMemory(options, memory.memory);
      pyodide.FS.writeFile(PACKAGE, memory.program);
      reply = pyodide.runPython("from calculators.doors.browser import reply\nreply");
      tidy = pyodide.runPython("import gc\ngc.collect");
      return "memory";
    } catch {
      keeps = false; // what failed once is not kept again
      forget().catch(() => {});
    }
  }
  const library = new Uint8Array(await (await (ahead.get("python_stdlib.zip") ?? obtained(`${runtime}python_stdlib.zip`))).arrayBuffer());
  ahead.set("python_stdlib.zip", Promise.resolve(new Response(library)));
  const ours = await (memory ? lock.then(packageOf) : program);
  pyodide = await loadPyodide({ ...options, _makeSnapshot: keeps });
  pyodide.FS.writeFile(PACKAGE, ours);
  // Python's own search for what is no longer used can take longer than an answer: it is made between answers
  pyodide.runPython(`import dataclasses, gc, marshal, sys, zipimport, zlib
gc.disable()
sys.path.insert(0, "${PACKAGE}")
# what dataclasses would compile was compiled when the handbook was built: see runtime.py
made = marshal.loads(zipimport.zipimporter("${PACKAGE}").get_data("methods.bin"))
dataclasses.exec = lambda source, *names: exec(made.get(zlib.crc32(source.encode())) or source, *names)
import calculators.doors.browser
del dataclasses.exec, made
gc.freeze()`);
  if (keeps) memorise = { digest, library, program: ours };
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
  if (data.file) {
    takeFromHand(data.file);
    return;
  }
  turn = turn.then(async () => {
    if (!reply) return;
    const missing = await fetched(data.needs);
    if (missing) postMessage({ kind: "reply", id: data.id, missing });
    else {
      const blank = memorise && isBlank(JSON.parse(data.text));
      if (memorise && !blank) {
        reply(FIRST);
        keepMemory();
      }
      postMessage({ kind: "reply", id: data.id, text: reply(data.text) });
      if (blank) keepMemory();
    }
    clearTimeout(tidying);
    if (++answered % ANSWERS_UNTIDIED) tidying = setTimeout(tidy, REST_MS);
    else tidy();
  });
};
