/* Choosing a board: files, a folder, a demo board; which of the files are it, and what is told beside them. */
import { boardOf, keepBoard, keepOfThisTab, newName, ofThisTab } from "./keep.js";
import { byId, button, make, sentence } from "./show.js";

const WORDS = { board: "", sheet: "a sheet of it", parts: "part types of your own", other: "not read" };
/* What is told beside the files. */
const FIELDS = ["pin-red", "pin-green", "pin-blue", "pin-others", "load", "markings", "joins", "contents", "encoding"];
const said = (id) => byId(id).value.trim();
const several = (id) => said(id).split(/[\s,;]+/).filter(Boolean);

export class Board {
  constructor(app) {
    this.app = app;
    this.chosen = [];
    this.demo = null;
    /* Counts what was begun: an answer that comes when something else was begun is nobody's any more. */
    this.turn = 0;
    for (const id of ["files", "folder"]) byId(id).addEventListener("change", (event) => { this.take([...event.target.files], id === "folder"); event.target.value = ""; });
    byId("trace").addEventListener("click", () => this.trace());
    const zone = document.body;
    zone.addEventListener("dragover", (event) => { event.preventDefault(); byId("drop").classList.add("over"); });
    zone.addEventListener("dragleave", (event) => { if (!event.relatedTarget) byId("drop").classList.remove("over"); });
    zone.addEventListener("drop", (event) => { event.preventDefault(); byId("drop").classList.remove("over"); this.dropped(event.dataTransfer); });
  }
  textOf(name) {
    return this.app.engine.desk.files.find((one) => one.name === name).file.text();
  }
  offer(demos) {
    byId("demos").replaceChildren();
    for (const { name, what } of demos) {
      const made = button("", () => this.takeDemo(name), byId("demos"));
      make("b", name, made);
      make("span", what, made);
    }
  }
  /* Files and folders that were dropped, with the ways to them. */
  async dropped(data) {
    const entries = [...data.items].map((item) => item.webkitGetAsEntry && item.webkitGetAsEntry()).filter(Boolean);
    if (!entries.some((entry) => entry.isDirectory)) return this.take([...data.files], false);
    const files = [];
    const walk = async (entry) => {
      if (entry.isFile) {
        const file = await new Promise((resolve, reject) => entry.file(resolve, reject));
        files.push({ name: entry.fullPath.replace(/^\//, ""), file });
        return;
      }
      const reader = entry.createReader();
      for (;;) {
        const some = await new Promise((resolve, reject) => reader.readEntries(resolve, reject));
        if (!some.length) return;
        for (const one of some) await walk(one);
      }
    };
    try { for (const entry of entries) await walk(entry); } catch { /* What could be read is taken. */ }
    return this.laid(files, true);
  }
  take(files, isFolder) {
    return this.laid(files.map((file) => ({ name: (isFolder && file.webkitRelativePath) || file.name, file })), isFolder);
  }
  /* After a reload the tab goes on with its board. */
  async begin() {
    const name = ofThisTab("'s board");
    const board = name && (await boardOf(name));
    if (!board || this.chosen.length) return false;
    this.name = name;
    for (const id of FIELDS) byId(id).value = board.told[id] || "";
    this.demo = board.demo;
    this.app.engine.lay({ files: board.files, demo: board.demo });
    this.chosen = board.chosen;
    this.list();
    await this.trace(true);
    return true;
  }
  keep() {
    const { files, demo } = this.app.engine.desk;
    this.name = this.name || newName();
    if (keepOfThisTab("'s board", this.name)) keepBoard({ name: this.name, files, demo, chosen: this.chosen, told: Object.fromEntries(FIELDS.map((id) => [id, said(id)])) });
  }
  async laid(files, isFolder) {
    if (!files.length) return;
    const all = files.map((f) => f.name.split("/")[0]), isOne = isFolder && all.every((top) => top === all[0]) && files.every((f) => f.name.includes("/"));
    /* Names begin below a folder that holds everything: that is how its files name each other on any machine. */
    const named = isOne ? files.map((f) => ({ ...f, name: f.name.slice(all[0].length + 1) })) : files;
    this.reset();
    this.app.notes.putAside();
    this.app.engine.lay({ files: named, demo: null });
    const turn = ++this.turn;
    const looked = await this.app.ask({ do: "look", is_folder: isFolder }, (words) => this.say(words));
    if (!looked || turn !== this.turn) return;
    this.chosen = looked.map((file) => ({ ...file }));
    this.list();
    if (this.chosen.some((file) => file.use === "board" && file.is_taken)) await this.trace();
    else this.say("No board is among these files." + (this.chosen.length > 1 ? " What each of them is stands beside it." : ""));
  }
  reset() {
    this.chosen = [];
    if (this.demo) byId("joins").value = "";
    this.demo = null;
    this.app.enable(false);
    this.app.results.forget();
    this.app.name();
    byId("file-list").replaceChildren();
    this.say("");
    byId("trace").hidden = true;
  }
  async takeDemo(name) {
    this.reset();
    this.app.notes.putAside();
    this.app.engine.lay({ files: [], demo: name });
    const turn = ++this.turn;
    const found = await this.app.ask({ do: "demo", name }, (words) => this.say(words));
    if (!found || turn !== this.turn) return;
    this.demo = name;
    byId("joins").value = found.joins.join(" ");
    this.chosen = found.files.map((file) => ({ file, use: "board", form: "demo board", is_taken: true, said: "" }));
    this.list();
    await this.trace();
  }
  list() {
    const all = byId("file-list"), others = this.chosen.filter((file) => file.use === "other").length;
    all.replaceChildren();
    const shown = make("div", undefined, all), fold = make("details");
    make("summary", others + (others === 1 ? " file that is no board" : " files that are no board"), fold);
    fold.open = others === this.chosen.length;
    if (others) all.append(fold);
    this.chosen.forEach((file, number) => {
      const line = make("div", undefined, file.use === "other" ? fold : shown), isUsable = file.use !== "other" && file.use !== "sheet";
      line.className = "file";
      if (isUsable) {
        const box = make("input", undefined, line), label = make("label", file.file, line);
        box.type = "checkbox";
        box.id = "file-" + number;
        label.htmlFor = box.id;
        box.checked = file.is_taken;
        box.addEventListener("change", () => { file.is_taken = box.checked; });
      } else make("span", file.file, line).className = "none";
      make("span", WORDS[file.use] || file.form, line).className = "soft";
      if (file.said) sentence(file.said, line).removeAttribute("role");
    });
    byId("trace").hidden = !this.chosen.some((file) => file.use === "board");
  }
  say(words) {
    byId("board-said").replaceChildren();
    byId("notes-said").replaceChildren();
    if (!words) return;
    /* Said where the eye is: by the files, or by the notes where these are all there is. */
    sentence(words, byId(this.chosen.length || this.app.engine.desk.files.length || this.demo ? "board-said" : "notes-said"));
  }
  asked() {
    const pins = ["red", "green", "blue"].filter((colour) => said("pin-" + colour)).map((colour) => colour + "=" + said("pin-" + colour)).concat(several("pin-others"));
    const taken = this.chosen.filter((file) => file.is_taken);
    return {
      files: taken.filter((file) => file.use === "board").map((file) => file.file), parts: taken.filter((file) => file.use === "parts").map((file) => file.file),
      joins: several("joins"), contents: several("contents"), markings: several("markings"), pins, load: said("load"), encoding: said("encoding"), notes: this.app.notes.draft.notes,
    };
  }
  /* Quietly: the view stays what it is. */
  async trace(isQuiet) {
    this.say("");
    this.app.enable(false);
    this.app.results.forget();
    const board = this.asked(), turn = ++this.turn;
    this.keep();
    const map = await this.app.ask({ do: "map", board }, (words, kind) => {
      if (turn !== this.turn) return;
      /* Where the colour pins can be told is where the eye goes next. */
      if (kind === "ColourPinError") byId("more").open = true;
      if (!isQuiet) this.app.show("board");
      this.say(words);
    });
    if (!map || turn !== this.turn) return;
    this.app.results.take(board, map);
    this.app.enable(true);
    this.app.name(map.name, map.verdict);
    if (!isQuiet) this.app.show("map");
  }
}
