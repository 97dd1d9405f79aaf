/* Selecting, telling and searching. Data: see tracer/page/json.py. Only text is written, never mark-up. */
const data = JSON.parse(document.getElementById("data").textContent);
const byId = (id) => document.getElementById(id);
const SVG = "http://www.w3.org/2000/svg";
/* Of a ramp: where its strip begins, its width and height. */
const LEFT = 58, WIDE = 400, HIGH = 34;

function numbers(text) {
  const found = new Set();
  for (const span of (text || "").split(" ")) {
    if (!span) continue;
    const ends = span.split("-").map(Number);
    for (let n = ends[0]; n <= (ends.length > 1 ? ends[1] : ends[0]); n++) found.add(n);
  }
  return found;
}
function make(name, words, parent) {
  const element = document.createElement(name);
  if (words !== undefined) element.textContent = words;
  if (parent) parent.append(element);
  return element;
}
function draw(name, values, parent) {
  const element = document.createElementNS(SVG, name);
  for (const key of Object.keys(values)) element.setAttribute(key, values[key]);
  if (parent) parent.append(element);
  return element;
}
for (const one of data.faults) one.k = data.tried[one.k];
const items = data.items, drawn = data.drawn;
const reasoning = data.diagnosis ? reasoningOf(data.diagnosis) : null;
for (const item of items) {
  item.paths = numbers(item.p);
  if (item.e === undefined && (item.k === "leg" || item.k === "part")) item.e = item.s.split(" ")[0];
}
/* Leg, part or net by its name -> its item. */
const legItem = new Map(items.map((i, n) => [i.k === "leg" ? i.e : "", n]).filter(([e]) => e));
const partItem = new Map(items.map((i, n) => [i.k === "part" ? i.e : "", n]).filter(([e]) => e));
const lights = [...document.querySelectorAll("[data-paths]")].map((e) => ({ e, paths: numbers(e.dataset.paths), side: e.classList.contains("side") }));
const isWrite = (n) => data.paths[n].r === "write path";
let chosen = null;
let fault = null;

/* -- selecting -- */
function choose(number, heard) {
  chosen = number;
  const root = document.documentElement;
  const own = number === null ? new Set() : items[number].paths;
  /* What stands on no path leaves the picture as it is. */
  const fades = own.size > 0;
  root.classList.toggle("choosing", fades);
  const picture = [...own].filter((n) => !isWrite(n));
  const lit = new Set(picture.length ? picture : own);
  const also = new Set(picture.length ? [...own].filter(isWrite) : []);
  for (const { e, paths, side } of lights) {
    let is = !fades ? "" : [...paths].some((n) => lit.has(n)) ? "lit" : [...paths].some((n) => also.has(n)) ? "also" : "off";
    /* A control gates the bit, it does not carry it. */
    if (side && is === "lit" && !e.querySelector("[data-item='" + number + "']")) is = "also";
    for (const state of ["lit", "also", "off"]) e.classList.toggle(state, is === state);
  }
  for (const e of document.querySelectorAll("[data-item]")) {
    const on = number !== null && Number(e.dataset.item) === number;
    e.classList.toggle("own", on);
    if (e.matches("button")) e.classList.toggle("on", on && !e.classList.contains("link"));
    if (e.hasAttribute("aria-pressed")) e.setAttribute("aria-pressed", String(on));
  }
  for (const e of document.querySelectorAll("[data-of]")) e.setAttribute("aria-pressed", String(number !== null && Number(e.dataset.of) === number));
  tell(number);
  if (number !== null && !heard) offer(number);
}
function button(number, words, parent, shape) {
  const made = make("button", words, parent);
  made.type = "button";
  made.className = shape || "link";
  made.dataset.item = number;
  return made;
}
function tell(number) {
  const told = byId("told"), detail = byId("detail");
  told.replaceChildren();
  detail.replaceChildren();
  byId("sheet").hidden = number === null;
  document.documentElement.classList.toggle("sheet-open", number !== null);
  if (number === null) return;
  const item = items[number];
  make("p", item.n, told);
  for (const words of item.t) make("p", words, told).className = "soft";
  if (item.k === "leg") {
    make("p", readsOf(number) + ".", detail);
    const [part, net] = item.o;
    if (part !== null) button(part, items[part].n, make("p", "on ", detail));
    if (net !== null) button(net, items[net].n, make("p", "joins ", detail));
    if (part !== null) chipFigure(items[part].e, [item.e], detail);
    offerToTell("read", item.e, detail);
  }
  if (item.k === "part") {
    const name = item.e, of = data.diagnosis && data.diagnosis.after[name];
    chipFigure(name, [...legItem.keys()].filter((e) => items[legItem.get(e)].o[0] === number && items[legItem.get(e)].p), detail);
    const table = document.querySelector(".part[data-part='" + number + "'] > table");
    if (table) make("div", undefined, detail).append(table.cloneNode(true));
    else legsOf(number, detail);
    if (of && of.f) make("p", of.f, detail);
    if (of && of.d.length) make("p", "To try a swap with, from this board: " + of.d.join(", ") + ".", detail);
    waysToFail(number, detail);
  }
  if (item.k === "net") {
    const legs = items.map((i, n) => [i, n]).filter(([i]) => i.k === "leg" && i.o[1] === number);
    const line = make("p", "joins ", detail);
    for (const [leg, n] of legs) { button(n, leg.n, line); line.append(" "); }
  }
  const paths = [...item.paths];
  const bits = [...new Set(paths.filter((n) => !isWrite(n)).map((n) => data.paths[n].b))];
  if (item.k === "bit") {
    showPaths(paths, detail);
    lossOf(number, detail);
    return;
  }
  const none = paths.length ? "no picture bit: it is how the memory is written" : "no colour bit passes here";
  const line = make("p", bits.length ? (bits.length === 1 ? "on the way of the bit" : "on the way of the bits") : none, detail);
  if (bits.length) line.append(document.createElement("br"));
  for (const bit of bits) button(bit, items[bit].s, line, "pick");
  if (bits.length === 1) showPaths(paths.filter((n) => data.paths[n].b === bits[0]), detail);
}
/* What a leg should read, as the table of its part has it. */
function readsOf(number) {
  const row = document.querySelector("tr[data-leg] .link[data-item='" + number + "']");
  const cells = row ? row.closest("tr").cells : [];
  if (!cells.length) return "no reading of the picture";
  return cells.length > 3 ? [...cells[3].querySelectorAll(".line")].map((l) => l.textContent).join("; ") || "not known" : cells[1].textContent;
}
/* The legs of a part of an output stage: it has no table. */
function legsOf(part, parent) {
  const list = make("ul", undefined, parent);
  items.forEach((item, n) => {
    if (item.k !== "leg" || item.o[0] !== part) return;
    const line = make("li", undefined, list);
    button(n, item.s, line);
    if (item.o[1] !== null) { line.append(" on "); button(item.o[1], items[item.o[1]].s, line); }
  });
}
/* How a part or leg can fail, each to be tried; and what can be told of it. */
function waysToFail(number, parent) {
  const name = items[number].e, alike = new Map();
  if (!reasoning) return;
  for (const g of reasoning.groups) if (g.part === name) for (const i of g.members) {
    const seen = reasoning.shown(i), key = seen ? data.diagnosis.colours.map((c, k) => c + " " + seen[k]).join(", ") : "";
    if (!alike.has(key)) alike.set(key, { texts: [], prior: 0 });
    alike.get(key).texts.push(reasoning.texts[i]);
    alike.get(key).prior += reasoning.faults.prior[i];
  }
  if (!alike.size) return;
  make("h3", "If it fails", parent);
  const list = make("ul", undefined, parent);
  for (const [seen, { texts }] of [...alike].sort((a, b) => b[1].prior - a[1].prior).slice(0, MOST_WAYS)) {
    const each = [...new Set(texts)];
    make("li", (seen ? seen + ": " : "") + each.slice(0, 2).join(" or ") + (each.length > 2 ? " and " + (each.length - 2) + " more" : ""), list);
  }
  offerToTell("ohms", name, parent);
}
const MOST_WAYS = 7;
/* What the screen loses with a bit: its ramp with the bit low for good. */
function lossOf(number, parent) {
  const path = data.paths.find((p) => p.b === number && !isWrite(data.paths.indexOf(p)));
  const one = path && data.faults.find((f) => f.i === path.l[path.l.length - 1] && f.k === "stuck low");
  const state = one && statesOf(one).find((s) => s.hit);
  if (!state || !state.healthy || !state.faulty) return;
  make("h3", "Without it", parent);
  fault = one;
  ramp(state, parent);
  fault = null;
}
function showPaths(paths, detail) {
  const shown = paths.filter((n) => !isWrite(n));
  const rest = paths.filter(isWrite);
  shown.slice(0, 2).forEach((n) => showPath(n, shown.length, detail));
  if (shown.length > 2) {
    const more = make("details", undefined, detail);
    make("summary", shown.length - 2 + " more ways", more);
    shown.slice(2).forEach((n) => showPath(n, shown.length, more));
  }
  if (rest.length) {
    const more = make("details", undefined, detail);
    make("summary", rest.length === 1 ? "The write path" : rest.length + " write paths", more);
    rest.forEach((n) => showPath(n, 1, more));
  }
}
function showPath(number, many, parent) {
  const path = data.paths[number];
  if (many > 1 || path.u) make("h3", (many > 1 ? "One way of " + many : "") + (path.u ? (many > 1 ? ", if " : "If ") + path.u : ""), parent);
  const list = make("ol", undefined, parent);
  if (!path.f) make("li", "from " + path.s, list);
  let before = null;
  for (const leg of path.l) {
    const part = items[leg].o[0];
    const line = make("li", undefined, list);
    if (part !== null && part !== before) { button(part, items[part].n, line); line.append(" "); }
    button(leg, items[leg].s, line);
    make("span", readsOf(leg).split("; ").slice(0, 2).join("; "), line).className = "soft reads";
    before = part;
  }
  make("li", "over " + path.e, list);
  if (path.x) make("p", "Stopped: " + path.x, parent).className = "stop";
}

document.addEventListener("click", (event) => {
  const at = event.target.closest("[data-item]");
  if (!at) return;
  const number = Number(at.dataset.item);
  const again = number === chosen;
  const inside = byId("detail").contains(at);
  choose(again && !inside ? null : number);
  if (inside) byId("selected").focus({ preventScroll: true });
  if (chosen !== null && !again) byId("sheet").scrollTop = 0;
  if (byId("found").contains(at)) { close(); byId("find").value = ""; byId("selected").focus(); }
});
byId("all").addEventListener("click", () => { heal(); choose(null); });
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  if (!byId("found").hidden) { close(); byId("find").focus(); } else { heal(); choose(null); }
});

/* -- the diagram: one stop of the Tab key, arrows inside -- */
const picture = document.querySelector("svg.diagram");
if (picture) {
  const wide = Number(picture.dataset.wide);
  picture.style.minWidth = Math.round(wide * 0.95) + "px";
  picture.style.maxWidth = Math.round(wide * 1.4) + "px";
  picture.setAttribute("role", "group");
  picture.setAttribute("aria-label", "Boxes, bits and lines");
  for (const box of picture.querySelectorAll("g.node")) {
    const size = box.getBBox(), first = box.querySelector("title");
    const frame = draw("rect", { class: "frame", x: size.x - 2, y: size.y - 2, width: size.width + 4, height: size.height + 4 });
    if (first) first.after(frame); else box.prepend(frame);
  }
  /* The button is the frame, the plate or the wide line, so that none holds another and none holds text. */
  const stops = [...picture.querySelectorAll("[data-item] > .frame, [data-item] > .plate, [data-item] > .under")];
  for (const stop of stops) {
    const thing = stop.parentElement, title = thing.querySelector(":scope > title");
    stop.setAttribute("role", "button");
    stop.setAttribute("tabindex", "-1");
    stop.setAttribute("aria-pressed", "false");
    stop.setAttribute("data-of", thing.dataset.item);
    stop.setAttribute("aria-label", title ? title.textContent : items[Number(thing.dataset.item)].n);
  }
  if (stops.length) stops[0].setAttribute("tabindex", "0");
  fit(picture);
  /* On the region, not on the picture: a listener for focus would make the picture itself a stop. */
  byId("scroller").addEventListener("focusin", (event) => {
    if (!stops.includes(event.target)) return;
    for (const stop of stops) stop.setAttribute("tabindex", stop === event.target ? "0" : "-1");
    event.target.scrollIntoView({ block: "nearest", inline: "nearest" });
  });
  picture.addEventListener("keydown", (event) => {
    const at = stops.indexOf(event.target);
    if (at < 0) return;
    const to = { ArrowRight: at + 1, ArrowDown: at + 1, ArrowLeft: at - 1, ArrowUp: at - 1, Home: 0, End: stops.length - 1 }[event.key];
    if (to !== undefined) stops[(to + stops.length) % stops.length].focus();
    else if (event.key === "Enter" || event.key === " ") event.target.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    else return;
    event.preventDefault();
  });
  byId("diagram-hint").hidden = false;
}

/* -- searching -- */
const find = byId("find"), found = byId("found");
const ORDER = { bit: 0, colour: 1, part: 2, leg: 3, net: 4, line: 5 };
const MOST_HITS = 30;
function close() { found.hidden = true; found.replaceChildren(); }
function search() {
  close();
  const typed = find.value.trim().toLowerCase().split(/\s+/).filter(Boolean);
  /* A marking with its maker's letters and its package: SN74LS273N is a 74LS273. */
  const words = typed.map((w) => w.replace(/^[a-z]{1,4}(?=74[a-z]{0,4}\d)/, "").replace(/^(74[a-z]{0,4}\d+)[a-z]{1,3}$/, "$1"));
  if (!words.length) { byId("found-count").textContent = ""; return; }
  const whole = words.join(" ");
  const hits = items.map((item, n) => ({ item, n, text: item.n.toLowerCase() + " " + item.w }))
    .filter((h) => h.item.k !== "line" && words.every((w) => h.text.includes(w)))
    .sort((a, b) => rank(a, whole) - rank(b, whole) || ORDER[a.item.k] - ORDER[b.item.k] || a.n - b.n);
  const far = beside(words, whole), count = hits.length + far.length;
  byId("found-count").textContent = count + " found";
  const first = hits.filter((h) => rank(h, whole) === 0), rest = hits.filter((h) => rank(h, whole) > 0);
  const exact = far.filter((f) => f.exact), others = far.filter((f) => !f.exact);
  for (const hit of first.slice(0, MOST_HITS)) button(hit.n, hit.item.n, make("li", undefined, found), "hit");
  for (const one of exact.slice(0, MOST_HITS)) make("li", one.text, found).className = "far";
  for (const hit of rest.slice(0, Math.max(MOST_HITS - first.length, 0))) button(hit.n, hit.item.n, make("li", undefined, found), "hit");
  for (const one of others.slice(0, 8)) make("li", one.text, found).className = "far";
  if (!count) make("li", "nothing of that name on this board", found);
  if (hits.length > MOST_HITS) make("li", hits.length - MOST_HITS + " more: type more letters", found);
  found.hidden = false;
}
/* Parts beside the colour path, with their legs and nets: what each is and why it is not in it. */
function beside(words, whole) {
  const hits = [];
  for (const [part, what, at, why, legs] of data.others) {
    const head = part + " " + what + (at ? " at " + at : "");
    const leg = legs.find(([n]) => (part + "." + n).toLowerCase() === whole);
    const net = legs.find(([, n]) => n.toLowerCase() === whole);
    if (leg) hits.push({ exact: true, text: part + "." + leg[0] + " on net " + leg[1] + ", of " + head + ": not in the colour path, " + why });
    else if (words.every((w) => head.toLowerCase().includes(w))) hits.push({ exact: part.toLowerCase() === whole || at.toLowerCase() === whole, text: head + ": not in the colour path, " + why });
    else if (net) hits.push({ exact: false, text: part + "." + net[0] + " on net " + net[1] + ", of " + head });
  }
  return hits;
}
/* Its own name first, then what names it as a word, then what holds the letters. */
function rank(hit, whole) {
  const name = hit.item.s.toLowerCase();
  return name === whole || name.startsWith(whole + " ") ? 0 : hit.text.split(" ").includes(whole) ? 1 : 2;
}
find.addEventListener("input", search);
find.addEventListener("keydown", (event) => {
  const first = found.querySelector("button");
  if (event.key === "Enter" && first) { event.preventDefault(); first.click(); }
  if (event.key === "ArrowDown" && first) { event.preventDefault(); first.focus(); }
});
found.addEventListener("keydown", (event) => {
  const all = [...found.querySelectorAll("button")], at = all.indexOf(event.target);
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!step) return;
  event.preventDefault();
  if (at + step < 0) find.focus(); else if (all[at + step]) all[at + step].focus();
});
document.addEventListener("focusin", (event) => { if (!event.target.closest("search")) close(); });
