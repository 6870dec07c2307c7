// Run compile_archives.py inside a stock Pyodide on a folder of this machine.
// Usage: node compile_in_runtime.mjs PYODIDE_FOLDER FOLDER_OF_ARCHIVES

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

// Node's own report of an uncaught error would print the line it came from: a megabyte of Pyodide.
process.on("uncaughtException", (error) => {
  console.error(error.stack ?? error);
  process.exit(1);
});

const [pyodideFolder, archives] = process.argv.slice(2).map((path) => resolve(path));
const { loadPyodide } = await import(pathToFileURL(resolve(pyodideFolder, "pyodide.mjs")).href);

const pyodide = await loadPyodide({ indexURL: pyodideFolder });
pyodide.mountNodeFS("/archives", archives);
const program = new URL("compile_archives.py", import.meta.url);
pyodide.runPython(readFileSync(program, "utf8"), { filename: "compile_archives.py" });
console.log(pyodide.runPython("' '.join(compile_folder('/archives'))"));
process.exit(0);
