"use strict";
/* Selecting, searching and trying faults. Data: see tracer/page/json.py. Only text is written, never mark-up. */
(function () {
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
  const items = data.items;
  for (const item of items) item.paths = numbers(item.p);
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
    byId("all").disabled = number === null;
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
    if (number === null) {
      make("p", "Nothing: the whole board is shown.", told);
      return;
    }
    const item = items[number];
    make("p", item.n, told);
    for (const words of item.t) make("p", words, told).className = "soft";
    if (item.k === "leg") {
      const row = document.querySelector("tr[data-leg] .link[data-item='" + number + "']");
      const cells = row ? row.closest("tr").cells : [];
      if (cells.length) make("p", (cells.length > 3 ? [...cells[3].querySelectorAll(".line")].map((l) => l.textContent).join("; ") || "not known" : cells[1].textContent) + ".", detail);
      const [part, net] = item.o;
      if (part !== null) button(part, items[part].n, make("p", "on ", detail));
      if (net !== null) button(net, items[net].n, make("p", "joins ", detail));
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
      return;
    }
    const none = paths.length ? "no picture bit: it is how the memory is written" : "no colour bit passes here";
    const line = make("p", bits.length ? (bits.length === 1 ? "on the way of the bit" : "on the way of the bits") : none, detail);
    if (bits.length) line.append(document.createElement("br"));
    for (const bit of bits) button(bit, items[bit].s, line, "pick");
    if (bits.length === 1) showPaths(paths.filter((n) => data.paths[n].b === bits[0]), detail);
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
    if (byId("found").contains(at)) { close(); byId("find").value = ""; byId("selected").focus(); }
  });
  byId("all").addEventListener("click", () => { heal(); choose(null); byId("find").focus(); });
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

  /* Graphviz placed the texts by the widths of Arial: where the font is a wider one, squeeze what would meet its
     neighbour or its box. */
  function fit(svg) {
    const texts = [...svg.querySelectorAll("text")].map((e) => ({ e, box: e.getBBox(), y: e.getAttribute("y"), frame: e.closest("g.node") }));
    const edges = new Map();
    for (const node of svg.querySelectorAll("g.node")) {
      const boxes = [...node.querySelectorAll(":scope > polygon")].map((p) => p.getBBox());
      edges.set(node, Math.max(...boxes.map((b) => b.x + b.width)));
    }
    for (const one of texts) {
      const next = texts.filter((t) => t !== one && t.frame === one.frame && t.y === one.y && t.box.x > one.box.x + 0.01 && t.e.textContent.trim());
      const room = Math.min(...next.map((t) => t.box.x), one.frame ? (edges.get(one.frame) || Infinity) - 2 : Infinity) - one.box.x;
      if (one.e.textContent.trim() && room > 2 && one.box.width > room - 2) {
        one.e.setAttribute("textLength", (room - 2).toFixed(1));
        one.e.setAttribute("lengthAdjust", "spacingAndGlyphs");
      }
    }
  }

  /* -- searching -- */
  const find = byId("find"), found = byId("found");
  const ORDER = { bit: 0, colour: 1, part: 2, leg: 3, net: 4, line: 5 };
  function close() { found.hidden = true; found.replaceChildren(); }
  function search() {
    close();
    const words = find.value.trim().toLowerCase().split(/\s+/).filter(Boolean);
    if (!words.length) { byId("found-count").textContent = ""; return; }
    const whole = words.join(" ");
    const hits = items.map((item, n) => ({ item, n, text: item.n.toLowerCase() + " " + item.w }))
      .filter((h) => h.item.k !== "line" && words.every((w) => h.text.includes(w)))
      .sort((a, b) => rank(a, whole) - rank(b, whole) || ORDER[a.item.k] - ORDER[b.item.k] || a.n - b.n);
    byId("found-count").textContent = hits.length === 1 ? "1 found" : hits.length + " found";
    for (const hit of hits.slice(0, 30)) button(hit.n, hit.item.n, make("li", undefined, found), "hit");
    if (!hits.length) make("li", "nothing of that name on the picture's way", found);
    if (hits.length > 30) make("li", hits.length - 30 + " more: type more letters", found);
    found.hidden = false;
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

  /* -- faults -- */
  const place = byId("place"), kind = byId("kind");
  const places = new Map();
  for (const one of data.faults) {
    if (one.i === null) continue;
    if (!places.has(one.i)) places.set(one.i, []);
    places.get(one.i).push(one);
  }
  if (place) {
    make("option", "none", place).value = "";
    const groups = new Map();
    for (const n of places.keys()) {
      const part = items[n].k === "leg" ? items[n].o[0] : n;
      if (!groups.has(part)) groups.set(part, []);
      groups.get(part).push(n);
    }
    for (const [part, members] of groups) {
      const group = make("optgroup", undefined, place);
      group.label = items[part].n;
      for (const n of members) make("option", items[n].k === "leg" ? items[n].s : items[n].n + ", whole", group).value = n;
    }
    place.addEventListener("change", () => {
      kinds();
      if (place.value) choose(Number(place.value), true);
      show();
    });
    kind.addEventListener("change", show);
    byId("heal").addEventListener("click", () => { heal(); place.focus(); });
    kinds();
    show();
  }
  function kinds() {
    const before = kind.value;
    kind.replaceChildren();
    for (const one of places.get(Number(place.value)) || []) make("option", one.k, kind).value = one.m;
    if (!place.value) make("option", "none", kind).value = "";
    if ([...kind.options].some((o) => o.value === before)) kind.value = before;
    kind.disabled = !place.value;
  }
  function offer(number) {
    if (!place || !places.has(number) || String(number) === place.value) return;
    place.value = String(number);
    kinds();
    show();
  }
  function heal() {
    if (!place) return;
    place.value = "";
    kinds();
    show();
  }
  function show() {
    fault = place.value ? (places.get(Number(place.value)) || []).find((one) => one.m === kind.value) || null : null;
    byId("heal").disabled = fault === null;
    const effect = byId("effect"), ramps = byId("ramps");
    effect.replaceChildren();
    ramps.replaceChildren();
    if (fault) make("p", items[fault.i].n + " " + fault.k + ":", effect).className = "told";
    else make("p", "Healthy: no fault is chosen.", effect);
    for (const hit of fault ? fault.c : []) for (const [bit, level, gone, why] of hit.b) {
      const name = data.colours[hit.c].n + " bit " + bit;
      make("p", gone ? name + " is let go: its output holds nothing, the resistors stand without it." : level === null ? name + " is not known: " + why + "." : name + " is always " + (level ? "high" : "low") + " at its driver.", effect);
    }
    const states = data.colours.map((colour, c) => {
      const hit = fault ? fault.c.find((x) => x.c === c) : null;
      return { colour, hit, healthy: colour.volts, faulty: !fault || !hit ? colour.volts : hit.v === null ? null : data.volts[hit.v] };
    });
    for (const state of states) ramp(state, ramps);
    together(states, ramps);
    swatches(states);
  }
  function share(colour, volts) {
    const low = Math.min(...colour.volts), high = Math.max(...colour.volts);
    return high > low ? Math.max(0, Math.min(1, (volts - low) / (high - low))) : 0;
  }
  function paint(colour, x) {
    const v = Math.round(255 * x);
    return colour.rgb === null ? "rgb(" + v + "," + v + "," + v + ")" : "rgb(" + [0, 1, 2].map((i) => (i === colour.rgb ? v : 0)).join(",") + ")";
  }
  function runs(codes) {
    const found = [];
    for (const code of codes) {
      const last = found[found.length - 1];
      if (last && last[1] === code - 1) last[1] = code; else found.push([code, code]);
    }
    return found.map((r) => (r[0] === r[1] ? r[0] : r[0] + "-" + r[1])).join(", ");
  }
  function strip(svg, y, name, fills, heights) {
    const step = WIDE / fills.length;
    draw("text", { x: 0, y: y + HIGH / 2 + 4 }, svg).textContent = name;
    fills.forEach((fill, i) => draw("rect", { class: "sw", x: LEFT + i * step, y, width: step + 0.3, height: HIGH, fill }, svg));
    draw("rect", { class: "box", x: LEFT, y, width: WIDE, height: HIGH }, svg);
    if (!heights) return;
    const line = heights.map((h, i) => (i ? "L" : "M") + (LEFT + i * step).toFixed(1) + " " + (y + HIGH - 3 - h * (HIGH - 6)).toFixed(1) + "h" + step.toFixed(2)).join("");
    draw("path", { class: "bar-out", d: line }, svg);
    draw("path", { class: "bar-in", d: line }, svg);
  }
  function figure(name, parent) {
    const made = make("figure", undefined, parent);
    make("figcaption", name, made);
    return made;
  }
  function ramp(state, parent) {
    const { colour, healthy, faulty } = state;
    const made = figure(colour.n, parent);
    if (!healthy) {
      make("p", "Levels not known" + (colour.why ? ": " + colour.why : "") + ".", made);
      return;
    }
    const n = healthy.length, span = Math.max(...healthy) - Math.min(...healthy);
    const changed = faulty ? healthy.map((v, i) => (Math.abs(v - faulty[i]) > 2e-4 * span ? i : -1)).filter((i) => i >= 0) : [];
    const svg = draw("svg", { class: "ramp", viewBox: "0 0 " + (LEFT + WIDE + 2) + " 104", role: "img", "aria-label": colour.n + ", codes 0 to " + (n - 1) + ", healthy above, faulty below; the text below tells the difference" }, made);
    strip(svg, 1, "healthy", healthy.map((v) => paint(colour, share(colour, v))), healthy.map((v) => share(colour, v)));
    if (faulty) strip(svg, 50, fault ? "faulty" : "now", faulty.map((v) => paint(colour, share(colour, v))), faulty.map((v) => share(colour, v)));
    else {
      draw("rect", { class: "box", x: LEFT, y: 50, width: WIDE, height: HIGH, "stroke-dasharray": "4 3" }, svg);
      draw("text", { x: LEFT + 8, y: 71 }, svg).textContent = "not known";
      draw("text", { x: 0, y: 71 }, svg).textContent = "faulty";
    }
    const step = WIDE / n;
    for (const code of changed) {
      const x = LEFT + (code + 0.5) * step, w = Math.min(4, step / 2);
      draw("path", { class: "tick", d: "M" + (x - w) + " 48h" + 2 * w + "l" + -w + " -8z" }, svg);
    }
    draw("text", { x: LEFT, y: 101 }, svg).textContent = "code 0";
    draw("text", { x: LEFT + WIDE, y: 101, "text-anchor": "end" }, svg).textContent = "code " + (n - 1);
    const ends = (v) => Math.min(...v).toFixed(2) + " to " + Math.max(...v).toFixed(2) + " V";
    const words = !faulty ? "Faulty: not known." : !fault ? ends(healthy) + "." : changed.length
      ? changed.length + " of " + n + " codes change: " + runs(changed) + ". Healthy " + ends(healthy) + ", faulty " + ends(faulty) + "."
      : "Unchanged: " + ends(healthy) + ".";
    make("p", words, made);
    if (!faulty || !changed.length) return;
    const more = make("details", undefined, made);
    make("summary", "Volts by code", more);
    const table = make("table", undefined, more), head = make("tr", undefined, make("thead", undefined, table)), body = make("tbody", undefined, table);
    for (const words of ["code", "healthy", "faulty"]) make("th", words, head).scope = "col";
    healthy.forEach((v, code) => {
      const row = make("tr", undefined, body);
      make("th", String(code), row).scope = "row";
      make("td", v.toFixed(3) + " V", row);
      make("td", faulty[code].toFixed(3) + " V" + (changed.includes(code) ? ", changed" : ""), row);
    });
  }
  function primaries(states) {
    const found = [0, 1, 2].map((i) => states.find((s) => s.colour.rgb === i));
    return found.every((s) => s && s.healthy) ? found : null;
  }
  function mixed(three, which, codes) {
    return "rgb(" + three.map((s, i) => Math.round(255 * share(s.colour, s[which][codes[i]]))).join(",") + ")";
  }
  function together(states, parent) {
    const three = primaries(states);
    if (!three) return;
    const made = figure("red, green and blue together, black to white", parent);
    const n = Math.max(...three.map((s) => s.healthy.length));
    const codes = [...Array(n).keys()].map((i) => three.map((s) => Math.round((i * (s.healthy.length - 1)) / (n - 1 || 1))));
    const svg = draw("svg", { class: "ramp", viewBox: "0 0 " + (LEFT + WIDE + 2) + " 104", role: "img", "aria-label": "red, green and blue at the same step, healthy above, faulty below" }, made);
    strip(svg, 1, "healthy", codes.map((c) => mixed(three, "healthy", c)), null);
    if (three.every((s) => s.faulty)) strip(svg, 50, fault ? "faulty" : "now", codes.map((c) => mixed(three, "faulty", c)), null);
    else draw("text", { x: LEFT + 8, y: 71 }, svg).textContent = "not known";
    draw("text", { x: LEFT, y: 101 }, svg).textContent = "black";
    draw("text", { x: LEFT + WIDE, y: 101, "text-anchor": "end" }, svg).textContent = "white";
  }
  function swatches(states) {
    const healthy = byId("healthy-swatches"), out = byId("faulty-swatches");
    if (!healthy) return;
    out.replaceChildren();
    out.hidden = !fault;
    const palette = data.palette, three = primaries(states);
    if (!fault) return;
    make("figcaption", "With the fault: " + items[fault.i].n + " " + fault.k, out);
    const order = three && three.map((s) => palette.colours.indexOf(states.indexOf(s)));
    if (!three || order.includes(-1) || three.some((s) => !s.faulty)) { make("p", "Not known.", out); return; }
    const copy = healthy.cloneNode(true);
    copy.removeAttribute("id");
    let changed = 0;
    [...copy.querySelectorAll("rect")].forEach((rect, i) => {
      const codes = order.map((at) => palette.codes[i][at]);
      const fill = mixed(three, "faulty", codes);
      if (fill !== mixed(three, "healthy", codes)) changed++;
      rect.setAttribute("fill", fill);
      rect.querySelector("title").textContent += " with the fault: " + fill;
    });
    copy.setAttribute("aria-label", changed + " of " + palette.codes.length + " entries look different with the fault");
    out.append(copy);
    make("p", changed + " of " + palette.codes.length + " entries look different.", out);
  }

  for (const part of document.querySelectorAll(".bar, #fault")) part.hidden = false;
  choose(null);
})();
