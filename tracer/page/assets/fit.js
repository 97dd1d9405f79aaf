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
