/* Runs the calculators: Pyodide with the package, in a worker of its own so that the page never waits.
   It carries text between the page and calculators.doors.browser.reply, nothing more. */
"use strict";

let reply = null;
let pyodide = null;

function failed(error) {
  if (!reply) postMessage({ kind: "failed", reason: String(error?.message ?? error).slice(0, 300) });
}

// A file that is missing or damaged can leave the loader waiting for ever: say so at once.
const plainFetch = self.fetch;
self.fetch = async (...request) => {
  try {
    const response = await plainFetch(...request);
    if (!response.ok) throw new Error(`${response.url} answered ${response.status}`);
    return response;
  } catch (error) {
    failed(error);
    throw error;
  }
};
self.addEventListener("unhandledrejection", (event) => failed(event.reason));

async function start() {
  const runtime = new URL("runtime/", self.location.href).href;
  importScripts(runtime + "pyodide.js");
  pyodide = await loadPyodide({ indexURL: runtime, packages: ["calculators"] });
  reply = pyodide.runPython("from calculators.doors.browser import reply\nreply");
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
let turn = started;
onmessage = ({ data }) => {
  turn = turn.then(async () => {
    if (!reply) return;
    const missing = await fetched(data.needs);
    if (missing) postMessage({ kind: "reply", id: data.id, missing });
    else postMessage({ kind: "reply", id: data.id, text: reply(data.text) });
  });
};
