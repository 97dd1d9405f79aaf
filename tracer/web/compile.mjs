// node compile.mjs RUNTIME WORK SCRIPT: runs a Python script in the runtime of a folder, which sees WORK as /work.
// No hash seed and no columns: see in_runtime.py.
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [runtime, work, script] = process.argv.slice(2).map((path) => resolve(path));
const { loadPyodide } = await import(pathToFileURL(`${runtime}/pyodide.mjs`).href);
const python = await loadPyodide({ env: { PYTHONHASHSEED: "0", PYTHONNODEBUGRANGES: "1" } });
python.mountNodeFS("/work", work);
python.runPython(readFileSync(script, "utf8"));
