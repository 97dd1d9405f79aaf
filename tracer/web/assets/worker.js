/* Python with the program in it, beside the page: questions come as messages, answers go as messages.
   All that it needs lies in modules, so that it never has to fetch; the page's policy forbids every connection. */
import { loadPyodide } from "./runtime/pyodide.mjs";
import { instance } from "./runtime/viz.js";
import wasm from "./runtime/wasm.js";
import stdlib from "./runtime/stdlib.js";
import packages from "./runtime/packages.js";
import lock from "./runtime/lock.js";

const bytesOf = (text) => (Uint8Array.fromBase64 ? Uint8Array.fromBase64(text) : Uint8Array.from(atob(text), (c) => c.charCodeAt(0)));
const opened = (text, kind) => new Response(new Blob([bytesOf(text)]).stream().pipeThrough(new DecompressionStream("gzip")), { headers: { "Content-Type": kind } });
const held = {
  "pyodide.asm.wasm": () => opened(wasm, "application/wasm"),
  "python_stdlib.zip": () => opened(stdlib, "application/zip"),
};
const UNPACK = `
import io, sys, tarfile
from compression import zstd
tarfile.open(fileobj=io.BytesIO(zstd.decompress(bytes(packed)))).extractall("/program", filter="data")
sys.path.insert(0, "/program")
del packed
`;
/* The runtime asks for its files by this; whoever asks for anything else gets none. */
globalThis.fetch = async (wanted) => {
  const name = String(wanted.url || wanted).split("/").pop().split("?")[0];
  if (held[name]) return held[name]();
  throw new TypeError("there are no connections here");
};

async function start() {
  const began = performance.now();
  const runtime = loadPyodide({ indexURL: new URL("./runtime/", import.meta.url).href, lockFileContents: lock, stdLibURL: new URL("./runtime/python_stdlib.zip", import.meta.url).href });
  const [python, viz] = await Promise.all([runtime, instance()]);
  const loaded = performance.now();
  python.globals.set("packed", python.toPy(bytesOf(packages)));
  python.runPython(UNPACK);
  const engine = python.pyimport("tracer.web.in_browser").start(
    (source) => viz.renderString(source, { format: "svg", engine: "dot" }),
    (what) => self.postMessage({ progress: what }),
  );
  /* What is at hand anyway, before somebody waits for it. */
  const answer = engine.answer(JSON.stringify({ do: "start" }));
  self.postMessage({ ready: JSON.parse(answer).ok, times: { runtime: loaded - began, program: performance.now() - loaded } });
  return { python, engine };
}

const started = start();
started.catch((error) => self.postMessage({ failed: String(error) }));
self.onmessage = async ({ data }) => {
  const { python, engine } = await started;
  try {
    for (const file of data.files || []) engine.lay(file.name, file.bytes ? python.toPy(file.bytes) : undefined, file.size);
    self.postMessage({ id: data.id, answer: engine.answer(JSON.stringify(data.question)) });
  } catch (error) {
    /* The engine answers whatever goes wrong in Python: this is the runtime itself. */
    self.postMessage({ failed: String(error).split("\n")[0] });
  }
};
