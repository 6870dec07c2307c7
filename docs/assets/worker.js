/* Runs the calculators: Pyodide with the package, in a worker of its own so that the page never waits.
   It carries text between the page and calculators.doors.browser.reply, nothing more. */
"use strict";

let reply = null;

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
  const pyodide = await loadPyodide({ indexURL: runtime, packages: ["calculators"] });
  reply = pyodide.runPython("from calculators.doors.browser import reply\nreply");
}

const started = start().then(() => postMessage({ kind: "ready" }), failed);

onmessage = async ({ data }) => {
  await started;
  if (reply) postMessage({ kind: "reply", id: data.id, text: reply(data.text) });
};
