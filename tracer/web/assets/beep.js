/* The search by beeps, by thumb: one touch shown, one answer tapped, the notes kept, and the next. */
import { chipsOf } from "./chips.js";
import { byId, button, draw, make, sentence } from "./show.js";

const legName = (leg) => leg.part + "." + leg.pin;

export class Beeping {
  constructor(app) {
    this.app = app;
    /* How many touches were shown. */
    this.turn = 0;
    this.forget();
    byId("beep").addEventListener("click", (event) => {
      const leg = event.target.closest("[data-item]");
      if (leg && this.now && this.now.advice.next && !leg.classList.contains("held")) this.beeped(leg.dataset.item);
    });
  }
  /* Other notes: what was shown is not theirs. */
  forget() {
    this.now = null;
    this.of = null;
    this.noted = [];
    this.heard = null;
    /* Whoever begins, or goes on another day, is cautioned before the first touch. */
    this.isCautioned = false;
    byId("beep").replaceChildren();
    if (document.body.dataset.at === "beep") this.open();
  }
  get draft() { return this.app.notes.draft; }
  question(more) {
    const { pins, parts } = this.app.board.asked();
    return { notes: this.draft.notes, skipped: this.draft.skipped, pins, parts, ...more };
  }
  async open() {
    if (!this.draft.notes.trim()) { this.invite(); return; }
    if (this.now && this.of === this.draft.notes) return;
    const found = await this.ask(this.question({ do: "beep" }));
    if (found) this.show(found);
  }
  ask(question) {
    return this.app.ask(question, (words) => {
      const parent = byId("beep");
      for (const old of parent.querySelectorAll(".sentence")) old.remove();
      parent.prepend(sentence(words));
      if (!this.now) this.offerNotes(parent);
    });
  }
  invite() {
    const parent = byId("beep");
    parent.replaceChildren();
    make("p", "It says on which leg to hold one lead and which legs to touch with the other, best first; you tap what beeps, and it says about how many touches are left.", parent);
    make("p", "It needs the parts, their places and the pins of red, green and blue. Type them as notes, or begin with the parts of a board that was chosen.", parent);
    this.offerNotes(parent);
    for (const file of this.app.board.chosen.filter((one) => one.is_notes)) button("Go on with " + file.file, () => this.goOn(file), parent, "wide");
    if (this.app.results.board) button("Begin with the parts of " + this.app.results.map.name, () => this.fromParts(), parent, "wide");
  }
  offerNotes(parent) {
    button("Type notes", () => { this.app.show("board"); byId("notes").focus(); }, parent, "wide");
  }
  /* Notes of another day, or of a computer. */
  async goOn({ file }) {
    const notes = await this.app.board.textOf(file);
    this.app.board.reset();
    this.app.engine.lay({ files: [], demo: null });
    this.app.notes.change({ notes, skipped: [] });
    this.open();
  }
  async fromParts() {
    const notes = await this.ask({ do: "parts_as_notes", board: this.app.results.board });
    if (!notes) return;
    this.app.notes.putAside();
    this.app.notes.change({ notes, skipped: [] });
    this.open();
  }
  async answer(words, isSure) {
    const found = await this.ask(this.question({ do: "reply", answer: words, is_sure: Boolean(isSure) }));
    if (!found) return;
    if (found.doubts) { this.doubt(words, found.doubts); return; }
    this.isCautioned = true;
    this.noted = found.added;
    this.app.notes.change({ notes: found.notes, skipped: found.skipped });
    this.show(found.next);
  }
  async undo() {
    const found = await this.ask(this.question({ do: "undo" }));
    if (!found) return;
    this.noted = found.gone.length ? found.gone.map((line) => "taken back: " + line) : ["there is no answer to take back"];
    this.app.notes.change({ notes: found.notes, skipped: [] });
    this.show(found.next);
  }
  /* A tapped leg is the answer, or one of several that beep. */
  beeped(leg) {
    if (!this.heard) {
      const ohms = byId("ohms") ? byId("ohms").value.trim() : "";
      this.answer(leg + (ohms ? " " + ohms : ""));
      return;
    }
    if (!this.heard.delete(leg)) this.heard.add(leg);
    this.press();
  }
  press() {
    for (const made of byId("beep").querySelectorAll("[data-leg]")) made.setAttribute("aria-pressed", String(Boolean(this.heard && this.heard.has(made.dataset.leg))));
    const done = byId("these");
    done.hidden = !this.heard;
    done.disabled = !this.heard || !this.heard.size;
    byId("several").setAttribute("aria-pressed", String(Boolean(this.heard)));
  }
  doubt(words, doubts) {
    const parent = byId("doubt");
    parent.replaceChildren();
    for (const text of doubts) make("p", text, parent).className = "sure";
    make("p", "Is it so?", parent);
    const row = make("div", undefined, parent);
    row.className = "grid two";
    button("Yes, note it", () => this.answer(words, true), row).focus();
    button("No", () => parent.replaceChildren(), row);
    parent.scrollIntoView({ block: "center" });
  }
  show(now) {
    this.now = now;
    this.of = this.draft.notes;
    this.heard = null;
    this.turn += 1;
    byId("beep").dataset.turn = this.turn;
    const parent = byId("beep"), { advice } = now, touch = advice.next;
    parent.replaceChildren();
    make("p", now.progress, parent).className = "verdict";
    if (touch && !this.isCautioned) make("p", advice.caution, parent).className = "caution";
    const noted = make("p", this.noted.length ? "Noted: " + this.noted.slice(0, 3).join("; ") + (this.noted.length > 3 ? " and " + (this.noted.length - 3) + " lines more" : "") : "", parent);
    noted.className = "soft";
    noted.setAttribute("role", "status");
    for (const { text, lines } of advice.contradictions) {
      const box = make("div", undefined, parent);
      box.className = "sure";
      make("p", text, box);
      for (const line of lines) make("p", line, box).className = "soft";
    }
    const doubt = make("div", undefined, parent);
    doubt.id = "doubt";
    doubt.setAttribute("role", "alert");
    if (touch) this.touch(touch, parent);
    else this.end(now, parent);
    this.rest(advice, parent);
  }
  touch(touch, parent) {
    const hold = make("p", (touch.kind === "repeat" ? "Once more: hold" : "Hold") + " one lead on ", parent);
    hold.className = "hold";
    make("b", touch.held, hold);
    hold.append(" (" + touch.held_words + ")");
    make("p", touch.legs.length > 1 ? "Touch in this order. Which is the first that beeps?" : "Touch this leg. Does it beep?", parent).className = "question";
    const legs = make("div", undefined, parent);
    legs.className = "legs";
    for (const leg of touch.legs) {
      const made = button("", () => this.beeped(legName(leg)), legs);
      made.dataset.leg = legName(leg);
      made.setAttribute("aria-pressed", "false");
      make("b", legName(leg), made);
      if (leg.name && leg.name !== leg.pin) made.append(" " + leg.name);
    }
    button(touch.legs.length > 1 ? "None of them beeps" : "No beep", () => this.answer("none"), parent, "wide none-of-them");
    if (touch.ohms) {
      const label = make("label", touch.ohms, parent), typed = make("input", undefined, parent);
      label.htmlFor = typed.id = "ohms";
      typed.inputMode = "decimal";
      typed.placeholder = "ohms";
    }
    const row = make("div", undefined, parent);
    row.className = "grid";
    button("Skip", () => this.answer("skip"), row);
    button("Undo", () => this.undo(), row);
    button("Several beep", () => { this.heard = this.heard ? null : new Set(); this.press(); }, row).id = "several";
    button("Ground", () => this.answer("ground"), row);
    button("+5 V", () => this.answer("+5V"), row);
    const done = button("These beep", () => this.answer([...this.heard].join(", ")), row);
    done.id = "these";
    done.hidden = true;
    this.chips(touch, parent);
    const why = make("details", undefined, parent);
    make("summary", "Why this one", why);
    for (const words of [touch.why, "A beep: " + touch.if_beep, "No beep: " + touch.if_none]) make("p", words, why);
  }
  /* Lit legs are to be touched; the held one is filled. */
  chips(touch, parent) {
    const figures = make("div", undefined, parent), swept = touch.legs.map(legName), chips = this.now.chips;
    figures.className = "chips";
    const drawn = Object.fromEntries(chips.map((chip) => [chip.part, [chip.is_dip, chip.legs]]));
    const legItem = new Map(chips.flatMap((chip) => chip.legs.map(([number]) => [chip.part + "." + number, chip.part + "." + number])));
    const figure = chipsOf({ make, draw, drawn, legItem });
    for (const chip of chips) {
      const made = figure(chip.part, [touch.held, ...swept], figures, chips.length > 1);
      make("p", chip.part + " " + chip.what + (chip.place ? " at " + chip.place : ""), made).className = "soft";
      for (const leg of made.querySelectorAll("[data-item]")) leg.classList.toggle("held", leg.dataset.item === touch.held);
    }
    if (chips.length) make("p", "Black is the leg to hold, yellow those to touch. A leg that beeps can be tapped here too.", parent).className = "hint";
  }
  end(now, parent) {
    make("p", now.closed, parent).className = "sure";
    const row = make("div", undefined, parent);
    row.className = "grid two";
    button("See the map", () => { this.app.board.reset(); this.app.engine.lay({ files: [], demo: null }); this.app.board.trace(); }, row);
    button("Save the notes", () => this.app.notes.save(), row);
    if (this.draft.skipped.length) button("Ask again what was skipped", () => { this.app.notes.change({ skipped: [] }); this.of = null; this.open(); }, row);
    button("Undo", () => this.undo(), row);
  }
  rest(advice, parent) {
    if (advice.chips.length) {
      const fold = make("details", undefined, parent);
      make("summary", "Chips of the colour path", fold);
      const list = make("ul", undefined, fold);
      for (const chip of advice.chips) make("li", (chip.chance >= 1 ? "found" : Math.round(chip.chance * 100) + " %") + ": " + chip.part + " " + chip.type + (chip.place ? " at " + chip.place : "") + ", " + chip.does + ": " + chip.why, list);
    }
    const said = [...advice.stopped, ...advice.unknown, ...(advice.untouched.length ? ["not tried on every colour pin, as unlikely to be on one: " + advice.untouched.slice(0, 12).join(", ") + (advice.untouched.length > 12 ? " and " + (advice.untouched.length - 12) + " more" : "")] : []), ...(advice.unsure ? [advice.unsure] : [])];
    if (said.length) {
      const fold = make("details", undefined, parent);
      fold.open = !advice.next;
      make("summary", "To know", fold);
      const list = make("ul", undefined, fold);
      for (const words of said) make("li", words, list);
    }
    const fold = make("details", undefined, parent);
    make("summary", "The notes so far", fold);
    make("pre", this.draft.notes, fold).className = "sentence";
    button("Save as a file", () => this.app.notes.save(), fold);
  }
}
