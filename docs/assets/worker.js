/* Runs the calculators: Pyodide with the package, in a worker of its own so that the page never waits.
   It carries text between the page and calculators.doors.browser.reply, nothing more. */
"use strict";

let reply = null;

async function start() {
  const runtime = new URL("runtime/", self.location.href).href;
  importScripts(runtime + "pyodide.js");
  const pyodide = await loadPyodide({ indexURL: runtime, packages: ["calculators"] });
  reply = pyodide.runPython("from calculators.doors.browser import reply\nreply");
}

const started = start().then(
  () => postMessage({ kind: "ready" }),
  (error) => postMessage({ kind: "failed", reason: String(error).slice(0, 300) }),
);

onmessage = async ({ data }) => {
  await started;
  if (reply) postMessage({ kind: "reply", id: data.id, text: reply(data.text) });
};
