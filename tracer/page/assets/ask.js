/* What is wrong: from what the screen shows to the leg, one answer after the other. What follows from the answers is
   reasoning.js, what a leg is drawn on chip.js. */
const D = data.diagnosis;
/* Words of the screen in other words; see the head of tracer/suspects/words.py. */
const MEANS = { fine: "as it should be", missing: "none of it", "always on": "never dark", weak: "dimmer", "too strong": "brighter", coarse: "fewer steps", mixed: "follows another", flickers: "unsteady", wrong: "anything else" };
const SWATCH = { green: "#00ff00" };
const MOST_SHOWN = 6, LEAST_SHOWN = 0.01;
const store = "rgbroots " + [...document.querySelectorAll(".sum")].map((e) => e.textContent).join(" ");
const given = D ? D.seen.map((o) => ({ kind: o.k, where: o.w, word: o.a, denied: Boolean(o.n), line: o.l, given: o.g ? { known: o.g[0], shares: o.g[1] } : null })) : [];
/* told: the evidence; rest: legs of a sweep that were not told yet; instead: what is measured in place of the best;
   target: which leg of a sweep an answer is for; cured: the suspect that it was. */
let now = { told: given, sockets: {}, rest: [], cured: null }, before = [];
let instead = null, target = null, asked = null, wanted = null, state = null, toldIsOpen = false;

function withShares(o) {
  if (!o.given || typeof o.given.shares !== "string") return o;
  return { ...o, given: { known: o.given.known, shares: reasoning.runs(o.given.shares).map((p) => p / 100) } };
}
function change(next, words) {
  before.push(now);
  now = { rest: [], cured: null, ...next };
  instead = target = null;
  keep();
  renderAll(words);
}
function keep() {
  try { localStorage.setItem(store, JSON.stringify(now)); } catch { /* No storage: the answers last as long as the page. */ }
}
function kept() {
  try {
    const found = JSON.parse(localStorage.getItem(store));
    return found && Array.isArray(found.told) && found.told.every(isKnown) ? found : null;
  } catch { return null; }
}
const isKnown = (o) => o && typeof o.kind === "string" && Array.isArray(o.where) && typeof o.word === "string" && (!D.answers[o.kind] || D.answers[o.kind].includes(o.word));
function tellAll(observations, rest) {
  const colours = observations.filter((o) => o.kind === "seen").map((o) => o.where[0]);
  const whole = observations.map((o) => o.kind).filter((k) => k === "shapes" || k === "layer" || k === "warmth");
  /* What the screen does is said once of each colour: the last word counts. */
  const left = now.told.filter((o) => !(o.kind === "seen" && colours.includes(o.where[0])) && !whole.includes(o.kind));
  const swap = observations.find((o) => o.kind === "swapped" && o.word === "cured");
  const cured = swap ? reasoning.groups.findIndex((g) => g.what === "chip" && g.part === swap.where[0]) : null;
  change({ told: [...left, ...observations], sockets: now.sockets, rest: rest || [], cured }, "Told: " + observations.map(describe).join("; ") + ".");
}
const observation = (kind, where, word, more) => ({ kind, where, word, denied: false, ...more });

/* -- words -- */
const nameOf = (m) => (m.kind === "read" ? m.where.join(".") : m.where.join(m.kind === "exchanged" ? " and " : " to "));
function legText(name) {
  const item = legItem.get(name);
  return item === undefined ? name : items[item].s;
}
function describe(o) {
  const word = (o.denied ? "not " : "") + o.word;
  if (o.kind === "warmth") return o.denied ? "it does not change with warmth" : "it changes with warmth";
  if (o.kind === "layer") return o.denied ? "not one layer alone has it" : "only one layer has it";
  if (o.kind === "shapes") return "the shapes are " + word;
  if (o.kind === "appears") return o.where[0] + (o.denied ? " not" : "") + " as " + o.word;
  if (o.kind === "read") return legText(o.where.join(".")) + " reads " + (o.value ? o.value + " (" + word + ")" : word);
  if (o.kind === "press") return o.where[0] + " pressed: " + word;
  if (o.kind === "swapped") return o.where[0] + " swapped: " + word;
  if (o.kind === "exchanged") return o.where.join(" and ") + " exchanged at the plug: " + word;
  return o.where.join(" to ") + " " + (o.value ? o.value + " (" + word + ")" : word);
}
/* As tracer/suspects/noted.py writes it. */
function noteLine(o) {
  if (o.line) return o.line;
  const not = o.denied ? "not " : "", quoted = (name) => D.quoted[name] || name;
  if (D.of_all[o.kind]) return "seen " + D.of_all[o.kind][o.word][o.denied ? 1 : 0];
  if (o.kind === "seen") return "seen " + o.where[0] + " " + not + o.word;
  if (o.kind === "appears") return "seen " + o.where[0] + " " + not + "as " + o.word;
  const word = not + (o.value || o.word), names = o.kind === "read" ? [o.where.join(".")] : o.where;
  if (names[names.length - 1] === "ground") return D.noted[o.kind] + " " + quoted(names[0]) + " to ground, " + word;
  const where = o.kind === "exchanged" ? names.join(" and ") : names.map(quoted).join(" to ");
  return D.noted[o.kind] + " " + where + (["press", "swapped", "exchanged"].includes(o.kind) ? ", " : " ") + word;
}
const inOrder = (all) => [...all].sort((a, b) => a.natural - b.natural);
const isResistor = (m) => m.kind === "ohms" && m.where.length === 1 && m.ohm !== null;
function titleOf(m, swept) {
  const name = nameOf(m), more = swept && swept.length ? ", in one go also " + inOrder(swept).map(nameOf).join(", ") : "";
  if (m.kind === "read") return more ? "Read " + m.where[0] + " legs " + inOrder([m, ...swept]).map((s) => s.where[1]).join(" ") : "Read " + legText(name);
  if (m.kind === "beep") return "Beep " + name + more;
  if (m.kind === "press") return "Press " + name + more + ": does the picture change?";
  if (m.kind === "swapped") return "Swap " + name;
  if (m.kind === "exchanged") return "Exchange the wires of " + name + " at the board's plug: what becomes of the fault?";
  if (m.where.length > 1) return "Measure " + name + more + (m.where.includes("ground") || isPins(m) ? ": a short?" : ": a short to ground or supply?");
  return isResistor(m) ? "Measure " + name + more + " in ohms" : "Measure the junctions of " + name + " in the diode range, both ways";
}
/* Two colours' pins: a short is looked for between them. */
const isPins = (m) => m.where.every((e) => data.pins.includes(e));
function answerText(m, word) {
  if (m.kind === "ohms" && m.where.length > 1) return word === "short" ? "short" : "no short";
  return word;
}
const answersOf = (m) => (m.kind === "ohms" && m.where.length > 1 ? ["as it should be", "short"] : D.answers[m.kind]);
const shortName = (g) => ({ outside: "not in this path", unlisted: "not listed" })[reasoning.groups[g].what] || (["chip", "resistor", "transistor", "diode"].includes(reasoning.groups[g].what) ? "" : reasoning.groups[g].what === "beyond" ? "behind " : reasoning.groups[g].what + " ") + reasoning.groups[g].ends.join(" to ");
const percent = (p) => Math.round(100 * p) + "%";
function usualWord(m) {
  return D.answers[m.kind][m.usual.indexOf(Math.max(...m.usual))];
}

/* -- what is shown -- */
function action(words, parent, does, more) {
  const made = make("button", undefined, parent);
  made.type = "button";
  make("span", words, made);
  if (more) make("small", more, made);
  made.addEventListener("click", does);
  return made;
}
function group(label, parent, shape) {
  const made = make("div", undefined, parent);
  made.className = shape;
  made.setAttribute("role", "group");
  made.setAttribute("aria-label", label);
  return made;
}
function renderAll(words) {
  const focused = document.activeElement && byId("ask").contains(document.activeElement);
  state = reasoning.after(now.told.map(withShares), now.sockets);
  const next = state.next(4);
  renderScreen();
  renderNext(next);
  renderSuspects();
  renderTold();
  if (words) {
    const [top, p] = state.suspects()[0];
    byId("ask-said").textContent = words + " Most suspected: " + reasoning.groups[top].name + ", " + percent(p) + "." + (next[0] ? " Next: " + titleOf(next[0].m, next[0].swept) : "");
  }
  const open = coloursOpen();
  if (words && !open.length && asked === null) byId("ask-next").scrollIntoView({ block: "start" });
  if (focused) (open.length || asked !== null ? byId("h-ask") : byId("h-next") || byId("h-ask")).focus({ preventScroll: true });
}
const seenOf = (colour) => now.told.find((o) => o.kind === "seen" && o.where[0] === colour);
const coloursOpen = () => data.asked.filter((c) => !seenOf(c));

function renderScreen() {
  const box = byId("ask-screen"), open = coloursOpen();
  box.replaceChildren();
  const colour = asked !== null ? asked : open[0];
  const tabs = group("Colours on the screen", box, "tabs");
  for (const name of data.asked) {
    const said = seenOf(name);
    const tab = action(name, tabs, () => { asked = asked === name && !open.includes(name) ? null : name; renderScreen(); }, said ? (said.denied ? "not " : "") + said.word : "not told");
    tab.className = "pick c-" + (data.colours.some((c) => c.n === name && c.rgb !== null) ? name : "other");
    tab.setAttribute("aria-pressed", String(name === colour));
  }
  if (colour !== undefined) {
    make("p", "What does " + colour + " do on the screen?", box).className = "question";
    const grid = group(colour + " is", box, "grid");
    const said = seenOf(colour);
    for (const word of D.words) {
      const one = action(word, grid, () => { asked = null; tellAll([observation("seen", [colour], word)]); }, MEANS[word]);
      one.setAttribute("aria-pressed", String(Boolean(said && !said.denied && said.word === word)));
    }
    const bad = now.told.some((o) => o.kind === "seen" && o.word !== "fine");
    if (bad && open.length) action(open.join(" and ") + (open.length > 1 ? " are fine" : " is fine"), box, () => { asked = null; tellAll(open.map((c) => observation("seen", [c], "fine"))); }).className = "wide";
  }
  const more = make("details", undefined, box);
  make("summary", "More of what you see", more);
  if (Object.keys(D.appears).length) mixedColours(more);
  const rest = group("Of the whole picture", more, "grid two");
  for (const [words, one] of [
    ["shapes are right", observation("shapes", [], "right")], ["shapes are broken", observation("shapes", [], "broken")],
    ["only one layer has it", observation("layer", [], "one")], ["all layers have it", observation("layer", [], "one", { denied: true })],
    ["it changes with warmth", observation("warmth", [], "changes")], ["warm or cold the same", observation("warmth", [], "changes", { denied: true })],
  ]) action(words, rest, () => tellAll([one])).setAttribute("aria-pressed", String(now.told.some((o) => o.kind === one.kind && o.word === one.word && o.denied === one.denied)));
  more.open = wanted !== null;
}
function mixedColours(parent) {
  make("p", "A colour that should be", parent).className = "question";
  const row = group("Colour that should be", parent, "swatch-row");
  for (const name of Object.keys(D.appears)) {
    const one = swatch(name, row, () => { wanted = wanted === name ? null : name; renderScreen(); });
    one.setAttribute("aria-pressed", String(wanted === name));
  }
  if (wanted === null) return;
  make("p", wanted + " comes as", parent).className = "question";
  const is = group(wanted + " comes as", parent, "swatch-row");
  for (const name of D.said) swatch(name, is, () => { const from = wanted; wanted = null; tellAll([observation("appears", [from], name)]); });
}
function swatch(name, parent, does) {
  const made = action(name, parent, does);
  made.className = "swatch";
  const colour = make("i", undefined, made);
  colour.style.background = SWATCH[name] || name;
  return made;
}

function renderNext(next) {
  const box = byId("ask-next");
  box.replaceChildren();
  if (!now.told.length) return;
  if (now.cured !== null) { renderCured(box); return; }
  for (const words of warnings()) make("p", words, box).className = "stop";
  if (now.rest.length) {
    const rest = now.rest.map(([kind, where]) => reasoning.find(kind, where)).filter(Boolean), words = [...new Set(rest.map(usualWord))];
    action("The other " + rest.length + ": " + words.join(", "), box, () => tellAll(rest.map((m) => observation(m.kind, m.where, usualWord(m))))).className = "wide";
  }
  const [sure, p] = state.suspects()[0];
  if (p >= D.limits.sure && D.repairs[reasoning.groups[sure].what]) {
    const strip = make("p", percent(p) + ": " + reasoning.groups[sure].name + (reasoning.groups[sure].ends.length > 1 ? ", " + reasoning.groups[sure].ends.join(" to ") : "") + ". ", box);
    strip.className = "sure";
    strip.append(D.repairs[reasoning.groups[sure].what]);
  }
  /* What is all but certain and was proved is repaired, not measured again. */
  const proof = reasoning.measurables[reasoning.groups[sure].proof], isProved = p >= D.limits.sure && proof && state.count(proof) > 0 && !instead;
  const best = isProved ? null : instead ? { m: instead, swept: [], minutes: state.minutes(instead, null) } : next[0];
  const head = make("h3", best ? "Next: " + titleOf(best.m, best.swept) : isProved ? "Next: repair it" : "Nothing more tells the suspects apart", box);
  head.id = "h-next";
  head.tabIndex = -1;
  const others = make("div", undefined, box);
  if (best) showMeasurement(best, others);
  const line = group("Other ways on", box, "row");
  const undo = action("Undo", line, () => { if (before.length) { now = before.pop(); keep(); renderAll("Taken back."); } });
  undo.disabled = !before.length;
  action("Repaired: the picture is right", line, () => whatWasIt(box, line));
  const more = make("details", undefined, box);
  make("summary", "Measure something else", more);
  const list = make("div", undefined, more);
  list.className = "stack";
  for (const c of next.filter((c) => !best || c.m !== best.m)) action(titleOf(c.m), list, () => { instead = c.m; renderNext(next); byId("h-next").focus({ preventScroll: true }); }, minuteText(c.minutes));
  make("p", "Or tap any leg of a chip in the diagram or a table and tell what it reads.", more).className = "hint";
}
const minuteText = (t) => (t < 1 ? "less than a minute" : t === 1 ? "1 minute" : Math.round(t) + " minutes");
function showMeasurement(best, parent) {
  const { m, swept } = best, all = [m, ...swept], aim = target && all.includes(target) ? target : m;
  const place = m.kind === "read" || m.kind === "press" || m.kind === "swapped" ? D.places[m.where[0]] : "";
  make("p", [place ? "at " + place : "", minuteText(best.minutes)].filter(Boolean).join(", "), parent).className = "soft";
  make("p", D.cautions[m.kind], parent).className = "caution";
  const figures = make("div", undefined, parent);
  figures.className = "chips";
  const lit = all.flatMap((one) => (one.kind === "read" ? [nameOf(one)] : one.where));
  if (m.kind !== "press" && m.kind !== "swapped" && m.kind !== "exchanged") {
    const parts = [...new Set(lit.map((e) => e.slice(0, Math.max(e.lastIndexOf("."), 0))))].filter((part) => drawn[part]);
    for (const part of parts) chipFigure(part, lit, figures, parts.length > 1);
  }
  if (m.kind === "swapped") swapWords(m, parent);
  if (swept.length) {
    action("All " + all.length + ": " + [...new Set(all.map(usualWord))].map((w) => answerText(m, w)).join(", "), parent, () => tellAll(all.map((one) => observation(one.kind, one.where, usualWord(one))))).className = "wide";
    make("p", "or the one that differs:", parent).className = "question";
    const row = group("Which one", parent, "row");
    for (const one of inOrder(all)) {
      const pick = action(one.kind === "read" ? "leg " + one.where[1] : nameOf(one), row, () => { target = one; parent.replaceChildren(); showMeasurement(best, parent); });
      pick.setAttribute("aria-pressed", String(one === aim));
    }
  }
  answers(aim, parent, (o) => tellAll([o], all.filter((one) => one !== aim).map((one) => [one.kind, one.where])));
}
function answers(m, parent, tell) {
  const means = new Map(state.outcomes(m).map((o) => [o.word, o]));
  const grid = group(nameOf(m) + ": what you found", parent, "grid");
  for (const word of answersOf(m)) {
    const then = means.get(word);
    action(answerText(m, word), grid, () => tell(observation(m.kind, m.where, word)), then ? shortName(then.group) + " " + percent(then.after) : "");
  }
  if (m.kind === "read") typed(parent, "volts", "V", (value) => { const found = reasoning.volts(value, m.scale); return found.wrong ? found : observation(m.kind, m.where, found.word, { value: value + " V" }); }, tell);
  if (isResistor(m)) typed(parent, "ohms", "ohm", (value) => observation(m.kind, m.where, reasoning.ohms(value, m.ohm), { value: value + " ohm" }), tell);
}
function typed(parent, label, unit, read, tell) {
  const form = make("form", undefined, parent), id = "typed-" + label + "-" + (parent.closest("#sheet") ? "sheet" : "ask");
  form.className = "typed";
  const name = make("label", "or in " + label, form), input = make("input", undefined, form);
  name.htmlFor = input.id = id;
  input.inputMode = "decimal";
  input.autocomplete = "off";
  input.maxLength = 12;
  const send = make("button", "Tell", form), wrong = make("p", "", form);
  wrong.className = "wrong";
  wrong.setAttribute("role", "alert");
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    const number = unit === "ohm" ? ohmsOf(input.value) : voltsOf(input.value);
    if (number === null) { wrong.textContent = "Write a number of " + label + ": " + (unit === "ohm" ? "470 or 4k7" : "0.2"); return; }
    const found = read(number);
    if (found.wrong) wrong.textContent = found.wrong + "."; else tell(found);
  });
  return send;
}
function voltsOf(text) {
  const found = /^(-?\d+(?:[.,]\d+)?)\s*v?$/i.exec(text.trim());
  return found ? Number(found[1].replace(",", ".")) : null;
}
/* 470, 470R, 4k7, 1.2k, 2M. */
function ohmsOf(text) {
  const found = /^(\d+(?:[.,]\d+)?)\s*([rkm]?)(\d*)\s*(?:ohm)?$/i.exec(text.trim());
  if (!found || (found[3] && (!found[2] || /[.,]/.test(found[1])))) return null;
  return Number(found[1].replace(",", ".") + (found[3] ? "." + found[3] : "")) * ({ k: 1e3, m: 1e6 }[found[2].toLowerCase()] || 1);
}
function swapWords(m, parent) {
  const part = m.where[0], of = D.after[part];
  for (const words of of ? [...of.b, ...(of.f ? [of.f] : [])] : []) make("p", words, parent).className = "soft";
  if (of && of.d.length) make("p", "To try a swap with, from this board: " + of.d.join(", ") + ".", parent).className = "soft";
  const row = group("How it is fitted", parent, "row");
  for (const [words, is] of [["it is in a socket", true], ["it is soldered", false]]) {
    const pick = action(words, row, () => change({ told: now.told, sockets: { ...now.sockets, [part]: is } }, part + ": " + words + "."));
    pick.setAttribute("aria-pressed", String(now.sockets[part] === is));
  }
}
function warnings() {
  const found = state.contradictions().map(([a, b]) => describe(a) + " and " + describe(b) + " contradict one another: look again, and take back the one that does not hold.");
  const pieces = now.told.filter((o, i) => now.told.findIndex((p) => JSON.stringify(p) === JSON.stringify(o)) === i);
  if (pieces.length < D.limits.least_pieces) return found;
  const odd = pieces.filter((o) => !["warmth", "layer", "shapes", "appears"].includes(o.kind)).map((o) => [state.chanceOf(withShares(o)), o]).filter(([p]) => p < D.limits.odd_evidence).sort((a, b) => a[0] - b[0]);
  return [...found, ...odd.slice(0, 2).map(([p, o]) => describe(o) + ": by all else that was told its chance was " + percent(p) + "; look at it again before you trust it.")];
}
function whatWasIt(box, line) {
  const old = byId("was-it");
  if (old) { old.remove(); return; }
  const made = group("What was it?", box, "stack");
  made.id = "was-it";
  line.after(made);
  make("p", "What was it?", made).className = "question";
  for (const [g] of state.suspects().slice(0, MOST_SHOWN)) {
    const { what, part, name } = reasoning.groups[g];
    action(name, made, () => (what === "chip" ? tellAll([observation("swapped", [part], "cured")]) : change({ told: now.told, sockets: now.sockets, cured: g }, "Repaired: " + name + ".")), reasoning.groups[g].ends.join(" to "));
  }
  made.querySelector("button").focus();
}
function renderCured(box) {
  const { what, part, name, ends } = reasoning.groups[now.cured], of = D.after[part];
  const head = make("h3", "Cured: " + name + (ends.length > 1 ? ", " + ends.join(" to ") : ""), box);
  head.id = "h-next";
  head.tabIndex = -1;
  const list = make("ul", undefined, box), said = [...new Set(now.told.filter((o) => o.kind === "seen" && (o.word === "fine") === o.denied).map((o) => o.where[0]))];
  const colours = said.length ? said : of ? of.c : [], s = D.sentences;
  make("li", s.cured[colours.length > 1 ? 1 : 0].replace("{}", colours.join(" and ") || "every colour"), list);
  if (of && of.r && what === "chip") make("li", s.ram, list);
  if (what === "chip") make("li", s.aside, list);
  make("li", "Keep the notes below with the board.", list);
  action("Undo", group("Other ways on", box, "row"), () => { now = before.pop() || { ...now, cured: null }; keep(); renderAll("Taken back."); });
}

/* Whole per cent that add up to 100 with what is left over (largest remainders), as the terminal has them. */
function wholePercents(shares) {
  const exact = [...shares, Math.max(0, 1 - shares.reduce((a, b) => a + b, 0))].map((p) => 100 * p), whole = exact.map(Math.floor);
  const short = Math.round(100 - whole.reduce((a, b) => a + b, 0));
  exact.map((p, i) => [whole[i] - p, i]).sort((a, b) => a[0] - b[0] || a[1] - b[1]).slice(0, Math.max(short, 0)).forEach(([, i]) => { whole[i]++; });
  return whole;
}
function renderSuspects() {
  const box = byId("ask-suspects");
  const open = new Set([...box.querySelectorAll("details[open]")].map((e) => e.dataset.group));
  box.replaceChildren();
  if (!now.told.length) return;
  make("h3", "Suspects", box);
  const shown = state.suspects().filter(([, p]) => p >= LEAST_SHOWN).slice(0, MOST_SHOWN);
  const shares = wholePercents(shown.map(([, p]) => p)), list = make("ol", undefined, box);
  list.className = "suspects";
  shown.forEach(([g, p], at) => {
    const one = make("details", undefined, make("li", undefined, list)), head = make("summary", undefined, one);
    one.dataset.group = g;
    make("b", shares[at] + "%", head);
    head.append(" " + reasoning.groups[g].name);
    const bar = make("i", undefined, head);
    bar.className = "share";
    bar.style.width = Math.max(100 * p, 0.5) + "%";
    one.addEventListener("toggle", () => { if (one.open && one.childElementCount === 1) suspectDetail(g, one); });
    if (open.has(String(g))) one.open = true;
  });
  const rest = shares[shares.length - 1];
  if (rest) make("p", rest + "% all others together", box).className = "soft";
}
function suspectDetail(g, parent) {
  const ways = state.waysOf(g), { what, part, ends } = reasoning.groups[g];
  if (ends.length > 1) make("p", ends.join(" to "), parent);
  for (const way of ways.slice(0, 3)) {
    const texts = [...new Set(way.faults.map((i) => reasoning.texts[i]))];
    make("p", percent(way.probability) + " " + texts.slice(0, 2).join(" or ") + (texts.length > 2 ? " and " + (texts.length - 2) + " more alike" : ""), parent);
  }
  const first = ways[0].faults[0], seen = reasoning.shown(first), weighed = now.told.filter((o) => !["warmth", "layer", "shapes"].includes(o.kind)).map(withShares);
  const list = (is) => weighed.filter((o) => reasoning.fits(first, o) === is).map(describe).join(", ");
  if (seen) make("p", "It would show " + D.colours.map((c, i) => c + " " + seen[i]).join(", ") + "." + (list(true) ? " Explains: " + list(true) + "." : "") + (list(false) ? " Against it: " + list(false) + "." : ""), parent).className = "soft";
  else if (what === "outside") make("p", "Nothing measured yet proves that the path is at fault" + D.direction + ".", parent).className = "soft";
  else make("p", "It stands for all that no fault here describes: the more it grows, the likelier one reading is a slip, or the board differs from its drawing.", parent).className = "soft";
  const of = D.after[part], swap = now.told.filter((o) => o.kind === "swapped" && o.where[0] === part).pop();
  if (what === "chip" && of) for (const words of swap ? (swap.word === "cured" ? [] : [of.s]) : of.b) make("p", words, parent).className = "soft";
  if (partItem.has(part)) action("Show " + part, parent, () => { choose(partItem.get(part)); byId("selected").focus({ preventScroll: true }); });
}

function renderTold() {
  const box = byId("ask-told");
  box.replaceChildren();
  if (!now.told.length && !before.length) return;
  const fold = make("details", undefined, box);
  fold.open = toldIsOpen || now.cured !== null;
  fold.addEventListener("toggle", () => { toldIsOpen = fold.open; });
  make("summary", "Told so far (" + now.told.length + "), notes to keep", fold);
  const list = make("ol", undefined, fold);
  list.className = "told-list";
  now.told.forEach((o, at) => {
    const line = make("li", undefined, list);
    make("span", describe(o), line);
    action("take back", line, () => change({ told: now.told.filter((_, i) => i !== at), sockets: now.sockets }, "Taken back: " + describe(o) + ".")).setAttribute("aria-label", "take back: " + describe(o));
  });
  const id = "notes-text", name = make("label", "Lines for the notes of this board", fold), text = make("textarea", undefined, fold);
  name.htmlFor = text.id = id;
  text.readOnly = true;
  text.value = noteText();
  text.rows = Math.min(text.value.split("\n").length, 12);
  const row = group("Notes", fold, "row"), said = make("p", "", fold);
  said.setAttribute("role", "status");
  action("Copy", row, () => copy(text, said));
  action("Save as file", row, () => save(text.value));
  action("Start again", row, () => { asked = null; change({ told: given, sockets: {} }, "Begun again."); });
  make("p", "rgbroots suspect BOARD saved.notes goes on from these lines on a computer.", fold).className = "hint";
}
function noteText() {
  const lines = now.told.map(noteLine);
  for (const [part, is] of Object.entries(now.sockets)) lines.push((D.quoted[part] || part) + " is " + (is ? "in a socket" : "soldered"));
  if (now.cured !== null && reasoning.groups[now.cured].what !== "chip") lines.push("# repaired: " + reasoning.groups[now.cured].name + " " + reasoning.groups[now.cured].ends.join(" to "));
  return lines.join("\n") + "\n";
}
function copy(text, said) {
  const done = () => { said.textContent = "Copied."; };
  const byHand = () => { text.focus(); text.select(); said.textContent = "Marked: copy it with the keys or the menu of your device."; };
  if (navigator.clipboard && window.isSecureContext) navigator.clipboard.writeText(text.value).then(done, byHand); else byHand();
}
function save(words) {
  const link = make("a"), address = URL.createObjectURL(new Blob([words], { type: "text/plain" }));
  link.href = address;
  link.download = "saved.notes";
  link.click();
  setTimeout(() => URL.revokeObjectURL(address), 1000);
}

/* In the sheet of a leg or a part: what can be told of it. */
function offerToTell(kind, name, parent) {
  if (!reasoning) return;
  const dot = name.lastIndexOf("."), m = reasoning.find(kind, kind === "read" ? [name.slice(0, dot), name.slice(dot + 1)] : [name]);
  if (!m) return;
  const fold = make("details", undefined, parent);
  make("summary", kind === "read" ? "Tell what it reads" : "Tell what you measured", fold);
  make("p", D.cautions[m.kind], fold).className = "caution";
  fold.addEventListener("toggle", () => {
    if (fold.open && fold.childElementCount === 2) answers(m, fold, (o) => { choose(null); tellAll([o]); });
  });
}
