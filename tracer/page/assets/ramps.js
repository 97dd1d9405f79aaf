/* What a fault would look like: ramps, swatches, entries. */
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
    for (const n of members) make("option", items[n].k === "leg" ? items[n].s : items[n].n + (data.drawn[items[n].e] ? ", whole" : ""), group).value = n;
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
  for (const one of places.get(Number(place.value)) || []) make("option", one.k, kind).value = one.k;
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
  fault = place.value ? (places.get(Number(place.value)) || []).find((one) => one.k === kind.value) || null : null;
  byId("heal").disabled = fault === null;
  const effect = byId("effect"), ramps = byId("ramps");
  effect.replaceChildren();
  ramps.replaceChildren();
  if (fault) make("p", items[fault.i].n + " " + fault.k + ":", effect).className = "told";
  else make("p", "Healthy: no fault is chosen.", effect);
  const seen = fault && reasoning ? reasoning.shown(fault.f) : null;
  if (seen) make("p", "On the screen: " + data.diagnosis.colours.map((c, i) => c + " " + seen[i]).join(", ") + ".", effect);
  if (fault && fault.a) make("p", movedWords(fault.a), effect);
  for (const hit of fault ? fault.c : []) for (const [bit, level, gone, why] of hit.b) {
    const name = data.colours[hit.c].n + " bit " + bit;
    make("p", gone ? name + " is let go: its output holds nothing, the resistors stand without it." : level === null ? name + " is not known: " + why + "." : name + " is always " + (level ? "high" : "low") + " at its driver.", effect);
  }
  const states = statesOf(fault);
  for (const state of states) ramp(state, ramps);
  together(states, ramps);
  swatches(states);
}
/* Each colour's volts by code, as they should be and with a fault. */
function statesOf(one) {
  return data.colours.map((colour, c) => {
    const hit = one ? one.c.find((x) => x.c === c) : null;
    return { colour, hit, healthy: colour.volts, faulty: !one || !hit ? colour.volts : hit.v === null ? null : data.volts[hit.v] };
  });
}
/* The entry that comes for the one that is asked for: AddressFault of tracer/suspects/fault.py. */
function movedIndex(a, index) {
  for (const [line, level] of a.h) index = level ? index | (1 << line) : index & ~(1 << line);
  if (a.j) { const both = (1 << a.j[0]) | (1 << a.j[1]); if ((index & both) !== both) index &= ~both; }
  return index;
}
function movedWords(a) {
  const n = 2 ** Math.min(a.n, 16), moved = [];
  for (let i = 0; i < n; i++) if (movedIndex(a, i) !== i) moved.push(i);
  const some = moved.slice(0, 4).map((i) => i + " shows as " + movedIndex(a, i)).join(", ");
  return "Of " + n + " entries " + moved.length + " show another's colour: " + some + (moved.length > 4 ? " ..." : "") + ". The ramps stay, as each entry holds what the game wrote.";
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
    const healthyCodes = order.map((at) => palette.codes[i][at]);
    const from = fault.a ? palette.codes[movedIndex(fault.a, i)] : null;
    const codes = three.map((s, k) => { const mask = from ? fault.a.m[states.indexOf(s)] : 0; return (healthyCodes[k] & ~mask) | ((from ? from[order[k]] : 0) & mask); });
    const fill = mixed(three, "faulty", codes);
    if (fill !== mixed(three, "healthy", healthyCodes)) changed++;
    rect.setAttribute("fill", fill);
    rect.querySelector("title").textContent += " with the fault: " + fill;
  });
  copy.setAttribute("aria-label", changed + " of " + palette.codes.length + " entries look different with the fault");
  out.append(copy);
  make("p", changed + " of " + palette.codes.length + " entries look different.", out);
}
