/* Chips from above: leg 1 at the dot, the legs that count lit. */
const ROW = 17;
/* isNarrow: beside another one. */
function chipFigure(name, lit, parent, isNarrow) {
  const chip = drawn[name];
  if (!chip) return null;
  const [isDip, legs] = chip, BODY = isNarrow ? 84 : 132, STUB = isNarrow ? 44 : 46, letters = isNarrow ? 6 : 9;
  const figure = make("figure", undefined, parent);
  figure.className = "chip";
  const own = new Set(lit.filter((e) => e.startsWith(name + ".")).map((e) => e.slice(name.length + 1)));
  const shown = isDip ? legs : legs.filter(([n]) => own.has(n) || legs.length <= 16);
  const half = isDip ? legs.length / 2 : shown.length, high = half * ROW + 14, wide = isDip ? BODY + 2 * STUB : BODY + STUB;
  const words = own.size ? "legs " + [...own].join(", ") + " marked" : "no leg marked";
  const svg = draw("svg", { class: "chip-drawing", viewBox: "0 0 " + wide + " " + high, role: "img", "aria-label": name + (isDip ? " from above, leg 1 at the top left" : ", its legs as a list") + "; " + words }, figure);
  svg.style.maxWidth = Math.round(wide * (isNarrow ? 1 : 1.25)) + "px";
  draw("rect", { class: "body", x: STUB, y: 3, width: BODY, height: high - 6, rx: 3 }, svg);
  if (isDip) {
    draw("path", { class: "notch", d: "M" + (STUB + BODY / 2 - 9) + " 3a9 9 0 0 0 18 0" }, svg);
    draw("circle", { class: "dot", cx: STUB + 7, cy: 11, r: 2.6 }, svg);
  }
  (isDip ? legs : shown).forEach(([n, label], i) => {
    const left = i < half, at = left ? i : legs.length - 1 - i, y = 7 + at * ROW + ROW / 2, on = own.has(n);
    const g = draw("g", { class: on ? "leg on" : "leg" }, svg);
    draw("rect", { class: "pad", x: left ? STUB - 32 : STUB + BODY, y: y - 7, width: 32, height: 14 }, g);
    draw("text", { class: "no", x: left ? STUB - 16 : STUB + BODY + 16, y: y + 4.4, "text-anchor": "middle" }, g).textContent = n;
    const cut = label.length > letters ? label.slice(0, letters - 1) + "\u2026" : label;
    if (label && label !== n) draw("text", { class: "of", x: left ? STUB + (isDip && i === 0 ? 14 : 6) : STUB + BODY - 6, y: y + 4, "text-anchor": left ? "start" : "end" }, g).textContent = cut;
    if (on) draw("path", { class: "sign", d: left ? "M" + (STUB - 44) + " " + (y - 5) + "l9 5l-9 5z" : "M" + (STUB + BODY + 44) + " " + (y - 5) + "l-9 5l9 5z" }, g);
    const item = legItem.get(name + "." + n);
    if (item !== undefined) g.dataset.item = item;
  });
  make("figcaption", name + (isDip ? (isNarrow ? ", leg 1 at the dot" : " from above, leg 1 at the dot") : ""), figure);
  return figure;
}
