/* Notes that are typed or beeped: one text, kept after each change, under a name that the tab goes on with. */
import { all, canKeep, drop, keepOfThisTab, newName, ofThisTab, read, whenChanged, write } from "./keep.js";
import { byId, button, fileName, make, save } from "./show.js";

const empty = () => ({ notes: "", skipped: [], turn: 0 });

export class Notes {
  constructor(app) {
    this.app = app;
    this.name = newName();
    this.draft = empty();
    this.isUnsaved = false;
    const box = byId("notes");
    box.addEventListener("input", () => this.change({ notes: box.value, skipped: [] }));
    byId("notes-save").addEventListener("click", () => this.save());
    byId("notes-new").addEventListener("click", () => this.open(newName()));
    byId("notes-trace").addEventListener("click", () => app.board.trace());
    byId("notes-beep").addEventListener("click", () => app.show("beep"));
    whenChanged((name) => { if (name === this.name) this.lookAgain(); else this.list(); });
    window.addEventListener("beforeunload", (event) => { if (this.isUnsaved) event.preventDefault(); });
  }
  /* After a reload the tab goes on where it was. */
  begin() {
    const name = ofThisTab("");
    if (!canKeep()) this.warn("This browser keeps nothing: save the notes as a file before you close the page.");
    this.open(name && read(name) ? name : this.name);
  }
  /* A board that is newly chosen begins without the notes of another; those are kept. */
  putAside() {
    if (this.draft.notes.trim()) this.open(newName());
  }
  open(name) {
    const { notes, skipped, turn } = { ...empty(), ...read(name) };
    this.name = name;
    this.draft = { notes, skipped: Array.isArray(skipped) ? skipped : [], turn };
    this.isUnsaved = false;
    keepOfThisTab("", name);
    byId("notes").value = notes;
    this.list();
    this.app.beeping?.forget();
  }
  /* Changes the notes and keeps them; what another tab wrote meanwhile is never written over. */
  change(more) {
    Object.assign(this.draft, more);
    if (byId("notes").value !== this.draft.notes) byId("notes").value = this.draft.notes;
    let kept = write(this.name, this.draft);
    if (kept === "newer") {
      this.name = newName();
      this.draft.turn = 0;
      keepOfThisTab("", this.name);
      kept = write(this.name, this.draft);
      this.list();
      this.warn("Another tab went on with these notes: what you do here is kept beside them, as notes of their own.");
    }
    if (kept === "refused") this.warn("This browser could not keep the notes: save them as a file before you close the page.");
    this.isUnsaved = kept === "refused" && this.draft.notes.trim() !== "";
  }
  lookAgain() {
    const there = read(this.name);
    if (there && there.turn !== this.draft.turn) this.warn("Another tab went on with these notes. Go on there, or here: then these are kept as notes of their own.");
  }
  warn(words) {
    byId("kept").textContent = words;
    byId("kept").hidden = false;
  }
  save() {
    const named = /^board[ \t]+(.+?)[ \t]*(?:#.*)?$/m.exec(this.draft.notes);
    save(fileName(named ? named[1] : "board") + ".notes", this.draft.notes);
    this.isUnsaved = false;
  }
  list() {
    const drafts = all().filter((draft) => draft.notes.trim() && draft.name !== this.name), parent = byId("drafts");
    byId("drafts-section").hidden = !drafts.length;
    parent.replaceChildren();
    for (const draft of drafts) {
      const line = make("div", undefined, parent), lines = draft.notes.trim().split("\n");
      line.className = "draft";
      make("span", lines[0].slice(0, 60) + ", " + lines.length + " lines, " + new Date(draft.when).toLocaleString(), line);
      button("Go on", () => { this.open(draft.name); byId("notes").scrollIntoView(); }, line);
      button("Delete", () => { drop(draft.name); this.list(); }, line);
    }
  }
}
