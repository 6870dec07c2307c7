// Start the shipped runtime under Node and pass lines between this process's pipes and Python.
// Usage: node run_in_runtime.mjs RUNTIME_FOLDER [LIBRARY ...]
//
// A line on standard input is one request for the Python in in_runtime_worker.py; its reply is one line on
// standard output. Nothing is parsed here, so numbers reach Python as they were written. Whatever Python
// prints goes to standard error.

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { createInterface } from "node:readline";
import { pathToFileURL } from "node:url";

// Node's own report of an uncaught error would print the line it came from: a megabyte of Pyodide.
process.on("uncaughtException", (error) => {
  console.error(error.stack ?? error);
  process.exit(1);
});

const folder = resolve(process.argv[2]);
const { loadPyodide } = await import(pathToFileURL(resolve(folder, "pyodide.mjs")).href);

const toStandardError = (text) => process.stderr.write(text + "\n");
const pyodide = await loadPyodide({
  indexURL: folder,
  packages: ["calculators", ...process.argv.slice(3)],
  stdout: toStandardError,
  stderr: toStandardError,
});
const program = new URL("in_runtime_worker.py", import.meta.url);
pyodide.runPython(readFileSync(program, "utf8"), { filename: "in_runtime_worker.py" });
const answer = pyodide.globals.get("answer");

process.stdout.write("ready\n");
for await (const line of createInterface({ input: process.stdin, crlfDelay: Infinity })) {
  process.stdout.write(answer(line) + "\n");
}
process.exit(0);
