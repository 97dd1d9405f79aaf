/* What follows from a board: its map, its page and its card. The page and the card are made when they are first seen. */
import { fit } from "./fit.js";
import { byId, button, fileName, make, save, sentence } from "./show.js";

const KINDS = { wrong: { ask: "report", title: "What is wrong with it", file: ".html" }, card: { ask: "card", title: "Bench card", file: "-card.html" } };
/* Width in CSS pixels of a sheet of A4 with some ground beside it. */
const SHEET = 820;
const HEAD = ["bit", "share", "resistors", "stored in", "way back", "driver"];

export class Results {
  constructor(app) {
    this.app = app;
    this.board = null;
    this.map = null;
    this.made = {};
    this.turn = 0;
  }
  forget() {
    this.board = this.map = null;
    this.made = {};
    this.turn += 1;
    for (const id of ["map", "wrong", "card"]) byId(id).replaceChildren();
  }
  take(board, map) {
    this.board = board;
    this.map = map;
    const parent = byId("map");
    parent.replaceChildren();
    if (map.svg) {
      const frame = make("div", undefined, parent), picture = document.importNode(new DOMParser().parseFromString(map.svg, "image/svg+xml").documentElement, true);
      frame.className = "scroller picture-frame";
      frame.tabIndex = 0;
      frame.setAttribute("role", "group");
      frame.setAttribute("aria-label", "Diagram: memory on the left, connector on the right");
      picture.setAttribute("role", "img");
      picture.setAttribute("aria-label", "The colour path of " + map.name + ", from the memory to the connector; the tables below say the same");
      picture.removeAttribute("width");
      picture.removeAttribute("height");
      frame.append(picture);
      this.picture = picture;
    } else sentence(map.no_svg, parent);
    const tables = make("div", undefined, parent);
    tables.className = "maps";
    for (const colour of map.colours) for (const set of colour.sets) this.table(colour, set, tables);
    if (map.findings.length) {
      make("h3", "To know", parent).className = "strong";
      const list = make("ul", undefined, parent);
      for (const { severity, text } of map.findings) make("li", (severity === "warning" ? "Warning: " : "") + text, list);
    }
    make("h3", "Save", parent).className = "strong";
    const row = make("div", undefined, parent), name = fileName(map.name);
    row.className = "row";
    button("Map as JSON", () => save(name + ".map.json", map.json, "application/json"), row);
    button("Map as CSV", () => save(name + ".csv", map.csv, "text/csv"), row);
    if (map.svg) button("Diagram as SVG", () => save(name + ".svg", map.svg, "image/svg+xml"), row);
  }
  /* A colour has a table for each state of an analogue selector on its way, where there is one. */
  table(colour, set, parent) {
    const scroller = make("div", undefined, parent);
    scroller.className = "scroller";
    scroller.tabIndex = 0;
    scroller.setAttribute("role", "group");
    scroller.setAttribute("aria-label", "Bits of " + colour.name + (set.when ? " when " + set.when : ""));
    const table = make("table", undefined, scroller), levels = set.levels ? set.levels + " levels" : "levels not known";
    table.className = "map";
    make("caption", colour.name + ": leaves at " + colour.pin + ", " + levels + ", " + colour.found + (set.when ? ", when " + set.when : ""), table);
    const head = make("tr", undefined, make("thead", undefined, table));
    for (const words of HEAD) {
      const cell = make("th", words, head);
      cell.scope = "col";
      if (words === "driver") cell.className = "driver";
    }
    const body = make("tbody", undefined, table);
    for (const bit of set.bits) {
      const row = make("tr", undefined, body), cell = make("th", bit.tag, row);
      cell.scope = "row";
      make("td", bit.share, row);
      make("td", bit.resistors, row);
      const source = make("td", undefined, row);
      if (!bit.is_traced) make("strong", "stopped ", source);
      source.append(bit.source || "nothing", bit.when ? " when " + bit.when : "", bit.others ? " and " + bit.others + " more" : "");
      make("td", bit.way || "direct", row);
      make("td", bit.driver, row).className = "driver";
      if (bit.because) {
        const why = make("td", bit.tag + ": " + bit.because, make("tr", undefined, body));
        why.colSpan = HEAD.length;
      }
    }
    if (!set.bits.length) make("td", "nothing drives it", make("tr", undefined, body)).colSpan = HEAD.length;
  }
  /* Texts are measured where they are seen. */
  fit() {
    if (this.picture) fit(this.picture);
    this.picture = null;
  }
  /* A page of its own in a frame: it has the same policy, and its answers are kept as in a file of its own. */
  async open(view) {
    if (!this.board || this.made[view]) return;
    const { ask, title, file } = KINDS[view], turn = this.turn, parent = byId(view);
    this.made[view] = true;
    parent.replaceChildren();
    make("p", "It is being made ...", parent);
    const text = await this.app.ask({ do: ask, board: this.board }, (words) => {
      if (turn !== this.turn) return;
      this.made[view] = false;
      parent.replaceChildren();
      sentence(words, parent);
      button("Try again", () => this.open(view), parent);
    });
    if (text === undefined || turn !== this.turn) return;
    parent.replaceChildren();
    const frame = make("iframe", undefined, parent), row = make("div", undefined, parent);
    row.className = "row";
    button("Save as a file", () => save(fileName(this.map.name) + file, text, "text/html"), row);
    button("Print", () => frame.contentWindow.print(), row);
    frame.title = title;
    frame.className = "board-page " + view;
    /* A sheet of paper is shown whole; who reads it on a phone spreads two fingers. */
    if (view === "card") {
      const room = parent.clientWidth;
      if (room && room < SHEET) {
        frame.style.width = SHEET + "px";
        frame.style.zoom = room / SHEET;
        frame.style.height = "calc((100dvh - 8rem) * " + SHEET / room + ")";
      }
    }
    frame.srcdoc = text;
  }
}
