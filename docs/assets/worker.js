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

async function start() {
  const fromFolder = self.location.protocol === "blob:";
  if (fromFolder) held = await new Promise((yes) => addEventListener("message", ({ data }) => yes(data.files), { once: true }));
  const runtime = fromFolder ? "file:///folder/" : new URL("runtime/", self.location.href).href;
  self.importScripts(runtime + "pyodide.js");
  pyodide = await loadPyodide({ indexURL: runtime, packages: ["calculators"] });
  // Python's own search for what is no longer used can take longer than an answer: it is made between answers
  tidy = pyodide.runPython("import gc\ngc.disable()\ngc.collect");
  reply = pyodide.runPython("from calculators.doors.browser import reply\ngc.freeze()\nreply");
}

const started = start().then(() => postMessage({ kind: "ready" }), failed);

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
