/* The engine beside the page: it is started at once, asked one question after the other, and can be stopped. */

/* What the service worker gives has the policy; it must be asked by the file's name, as not every browser lets it answer
   workers that are made of a text. Where there is none, such a worker has the page's policy, wherever the files lie. */
function newWorker() {
  const file = new URL("worker.js", document.baseURI).href;
  if (navigator.serviceWorker && navigator.serviceWorker.controller) return { worker: new Worker(file, { type: "module" }), url: "" };
  const source = "import " + JSON.stringify(file) + ";";
  const url = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
  return { worker: new Worker(url, { type: "module" }), url };
}

const GAVE_UP = ["MemoryError", "RecursionError"];
export class Stopped extends Error {}
/* A mistake with the sentence that the command line says. */
export class Told extends Error {}

export class Engine {
  /* changed: gets {is: "starting" | "ready" | "working" | "failed", what, since}. */
  constructor(changed) {
    this.changed = changed;
    this.waiting = new Map();
    this.number = 0;
    this.times = null;
    /* Files that the desk must hold before a question can be asked; what it holds now. */
    this.desk = { files: [], demo: null };
    this.laying = null;
    this.start();
  }
  say(is, what) {
    this.state = { is, what: what || "", since: performance.now() };
    this.changed(this.state);
  }
  start() {
    this.laying = null;
    this.isReady = false;
    this.say("starting", "starting");
    this.ready = new Promise((resolve, reject) => { this.resolve = resolve; this.reject = reject; });
    this.ready.catch(() => {});
    const { worker, url } = newWorker();
    this.worker = worker;
    this.ready.then(() => URL.revokeObjectURL(url), () => {});
    worker.onmessage = ({ data }) => { if (worker === this.worker) this.heard(data); };
    worker.onerror = (event) => { event.preventDefault(); if (worker === this.worker) this.failed(event.message || "it could not be loaded"); };
  }
  heard(data) {
    if (data.progress) this.say("working", data.progress);
    else if (data.ready) {
      this.times = data.times;
      this.isReady = true;
      this.say(this.waiting.size ? "working" : "ready", this.waiting.size ? "working" : "");
      this.resolve(data.ready);
    } else if (data.failed) this.failed(data.failed);
    else if (this.waiting.has(data.id)) {
      const { resolve, reject } = this.waiting.get(data.id);
      this.waiting.delete(data.id);
      if (!this.waiting.size) this.say("ready");
      const found = JSON.parse(data.answer);
      /* What memory is left is not known: the next question finds a new engine. */
      if (found.error && GAVE_UP.includes(found.error.kind)) { reject(new Told(found.error.text)); this.stop(); return; }
      if (found.error) reject(Object.assign(new Told(found.error.text), { kind: found.error.kind }));
      else resolve(found.ok);
    }
  }
  /* The runtime itself gave up: memory, or a browser that cannot. */
  failed(why) {
    const wasReady = this.isReady;
    this.end(new Told("the program gave up: " + why + "\nfix: try a smaller file; your notes are kept"));
    if (wasReady) this.start();
    else { this.reject(new Error(why)); this.say("failed", why); }
  }
  end(error) {
    this.worker.terminate();
    for (const { reject } of this.waiting.values()) reject(error);
    this.waiting.clear();
  }
  /* Whatever runs is given up; the next question finds a new engine, and the same files. */
  stop() {
    this.end(new Stopped("stopped"));
    this.start();
  }
  lay(desk) {
    this.desk = desk;
    this.laying = null;
  }
  send(question, files) {
    const id = ++this.number;
    return new Promise((resolve, reject) => {
      this.waiting.set(id, { resolve, reject });
      if (this.isReady) this.say("working", "working");
      this.worker.postMessage({ id, question, files }, (files || []).filter((f) => f.bytes).map((f) => f.bytes.buffer));
    });
  }
  async ask(question) {
    if (!this.laying) {
      const laying = this.layFiles();
      this.laying = laying;
      /* What could not be laid is laid once more for the next question. */
      laying.catch(() => { if (this.laying === laying) this.laying = null; });
    }
    await this.laying;
    return this.send(question);
  }
  async layFiles() {
    if (this.desk.demo) { await this.send({ do: "demo", name: this.desk.demo }); return; }
    await this.send({ do: "clear" });
    const { largest } = await this.ready;
    const files = [];
    for (const { name, file } of this.desk.files) {
      files.push({ name, size: file.size, bytes: file.size > largest ? null : new Uint8Array(await file.arrayBuffer()) });
    }
    if (files.length) await this.send({ do: "start" }, files);
  }
}
