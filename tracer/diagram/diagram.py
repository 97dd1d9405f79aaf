"""The diagram: memory on the left, connector on the right, a line a bit; as SVG, PNG or Graphviz text.

Graphviz does the layout (see `tracer.diagram.layout`). The picture fits a sheet of A4. In the SVG
each chip and line is a group with an id (``chip-U4``, ``line-7``) and the
classes of its bits (``bit-red-3``) and role; text stays text.
"""

from __future__ import annotations

import re
from typing import Any

import graphviz

from tracer.bitmap.model import BitMap
from tracer.diagram.head import head_label
from tracer.diagram.html import text
from tracer.diagram.labels import (
    FONT_SIZE,
    STAGE_GAP,
    box_height,
    box_label,
    connector_label,
    stage_height,
    stage_label,
)
from tracer.diagram.layout import laid_out
from tracer.diagram.network import BitId
from tracer.diagram.plan import Line, Plan, identifier, make_plan
from tracer.diagram.styles import SHARED, WRITE, Style, styles_of

__all__ = ["emit"]

#: Name of the graph; the SVG's title is the board's name.
_NAME = "rgbroots"
#: Arial's widths are those of Liberation Sans and Arimo, so one of the three is on most machines.
_FONT = "Arial"
_FONT_FAMILY = "Arial, Liberation Sans, Arimo, Helvetica, sans-serif"
#: Printable part of A4 in inches, longer side first: 297 x 210 mm less 10 mm a side.
_A4 = (10.9, 7.5)
_PNG_DPI = 150
#: Inches between columns, by how many columns of chips there are; and for more.
_GAPS, _LEAST_GAP = {0: 1.1, 1: 1.1, 2: 1.1, 3: 0.9}, 0.6
#: Points by which the line of a bundle is thicker.
_BUNDLE_EXTRA = 1.5
#: About how wide a column of chips is, and how far the picture may be shrunk to fit the sheet.
_COLUMN_INCHES, _SMALLEST = 1.6, 0.6


def emit(bit_map: BitMap, form: str = "svg") -> str | bytes:
    """Draw a map.

    Parameters
    ----------
    bit_map : BitMap
    form : {'svg', 'png', 'dot'}
        `dot` needs no Graphviz program.

    Returns
    -------
    str or bytes
        Text of an SVG or of a Graphviz graph; bytes of a PNG.

    Raises
    ------
    EmitError
        No Graphviz program is there, or it failed.
    ValueError
        `form` is none of the three.

    Notes
    -----
    The same map gives the same Graphviz text, and with the same program the same picture.
    """
    if form not in ("svg", "png", "dot"):
        raise ValueError(f"no such form of a diagram: {form!r}")
    graph = _graph(bit_map, form)
    if form == "dot":
        return str(graph.source)
    drawn = laid_out(str(graph.source), form)
    return _tidy(drawn.decode("utf-8"), bit_map.name) if form == "svg" else drawn


# -- the graph --------------------------------------------------------------------------------------


def _graph(bit_map: BitMap, form: str) -> Any:
    """The picture as a graph of the graphviz package."""
    plan, styles = make_plan(bit_map), styles_of(bit_map)
    graph = graphviz.Digraph(_NAME, encoding="utf-8")
    graph.attr(
        "graph",
        rankdir="LR",
        label=head_label(bit_map, plan, styles),
        labelloc="t",
        labeljust="l",
        fontname=_FONT,
        fontsize=str(FONT_SIZE),
        nodesep=str(STAGE_GAP / 72),
        ranksep=f"{_gap(plan):g}",
        size=",".join(f"{inches:g}" for inches in _sheet(plan, bit_map)),
        **({"dpi": str(_PNG_DPI)} if form == "png" else {}),
    )
    graph.attr("node", shape="plain", fontname=_FONT, fontsize=str(FONT_SIZE))
    graph.attr("edge", arrowsize="0.6")
    _add_boxes(graph, plan, styles, bit_map)
    to_connector = _add_stages(graph, plan, styles, bit_map)
    for number, line in enumerate((*plan.lines, *to_connector), start=1):
        _add_line(graph, line, number, styles, bit_map)
    return graph


def _gap(plan: Plan) -> float:
    """Inches between columns: more where there are few, so that lines that cross are easy to follow."""
    return _GAPS.get(max(plan.columns.values(), default=0), _LEAST_GAP)


def _sheet(plan: Plan, bit_map: BitMap) -> tuple[float, float]:
    """Width and height in inches that the picture may take: A4 lying or upright, more where text would get too small.

    The size before shrinking is estimated; Graphviz shrinks what is larger and never enlarges.
    """
    heights = {0: sum(STAGE_GAP + stage_height(colour) for colour in bit_map.colours)}
    for drawn in plan.boxes:
        column = plan.columns[drawn.node]
        heights[column] = heights.get(column, 0) + STAGE_GAP + box_height(drawn)
    wide = 3.2 + max(heights) * (_COLUMN_INCHES + _gap(plan))
    high = 1.0 + max(heights.values()) / 72
    lying, upright = (min(w / wide, h / high) for w, h in (_A4, _A4[::-1]))
    width, height = _A4 if 1.1 * lying >= upright else _A4[::-1]
    grown = max(1.0, _SMALLEST / max(lying, upright))
    return round(width * grown, 1), round(height * grown, 1)


def _add_boxes(graph: Any, plan: Plan, styles: tuple[Style, ...], bit_map: BitMap) -> None:
    ends: list[str] = []
    for drawn in plan.boxes:
        kind = drawn.box.key.kind
        classes = {"small": "part", "stop": "stopped", "write": "chip write"}.get(kind, "chip")
        if kind == "memory":
            classes = "chip memory"
        graph.node(
            drawn.node,
            box_label(drawn, styles),
            id=drawn.node,
            **{"class": " ".join([classes, *_bit_classes(drawn.bits, bit_map)])},
        )
        if kind in ("memory", "stop"):
            ends.append(drawn.node)
    _rank(graph, ends)


def _rank(graph: Any, nodes: list[str]) -> None:
    """Stand nodes above one another."""
    if len(nodes) > 1:
        with graph.subgraph() as column:
            column.attr(rank="same")
            for node in nodes:
                column.node(node)


def _add_stages(graph: Any, plan: Plan, styles: tuple[Style, ...], bit_map: BitMap) -> list[Line]:
    """The colours' resistors one below the other, and the connectors; gives the lines between them."""
    lines: list[Line] = []
    connectors: dict[str | None, list[int]] = {}
    for index, (colour, node) in enumerate(zip(bit_map.colours, plan.stages, strict=True)):
        bits = tuple(BitId(index, -bit.bit) for bit in colour.bits)
        classes = ["stage", identifier(colour.name), *_bit_classes(bits, bit_map)]
        graph.node(node, stage_label(colour, index, styles), id=node, **{"class": " ".join(classes)})
        connectors.setdefault(colour.pin.part, []).append(index)
    _rank(graph, list(plan.stages))
    for above, below in zip(plan.stages, plan.stages[1:], strict=False):
        graph.edge(above, below, style="invis")
    for part, members in connectors.items():
        node = f"connector-{identifier(part)}" if part else "connector"
        label = connector_label(part, [(i, bit_map.colours[i]) for i in members], styles)
        graph.node(node, label, id=node, **{"class": "connector"})
        for index in members:
            for bit in bit_map.colours[index].bits:
                own = (BitId(index, -bit.bit),)
                lines.append(
                    Line(
                        plan.stages[index],
                        f"to-pin-{bit.bit}",
                        node,
                        f"pin-{index}",
                        own,
                        "picture",
                        inverts=False,
                        n_legs=1,
                        leaves_chips=True,
                    )
                )
    return lines


def _add_line(graph: Any, line: Line, number: int, styles: tuple[Style, ...], bit_map: BitMap) -> None:
    colours = {bit.colour for bit in line.bits}
    style = styles[line.bits[0].colour] if len(colours) == 1 else SHARED
    if line.role == "write path":
        style = WRITE
    thicker = _BUNDLE_EXTRA if line.n_legs > 1 and style is not WRITE else 0.0
    # Weight draws a line straight; those to the resistors and of write paths may bend instead.
    bends = style is WRITE or line.leaves_chips
    look = {
        "color": style.colour,
        "style": style.line,
        "penwidth": f"{style.width + thicker:g}",
        "weight": "1" if bends else "4",
    }
    if line.role == "alternative":
        look["arrowhead"] = "onormal"
    if line.inverts:
        look |= {"dir": "both", "arrowtail": "odot"}
    classes = ["line", line.role.replace(" ", "-"), *_bit_classes(line.bits, bit_map)]
    graph.edge(
        f"{line.tail}:{line.tail_port}:e",
        f"{line.head}:{line.head_port}:w",
        id=f"line-{number}",
        **{"class": " ".join(classes)},
        **look,
    )


def _bit_classes(bits: tuple[BitId, ...], bit_map: BitMap) -> list[str]:
    return [f"bit-{identifier(bit_map.colours[bit.colour].name)}-{bit.bit}" for bit in bits]


def _tidy(svg: str, name: str) -> str:
    """Leave out what changes with the program's version and what makes a reader fetch something; set the title."""
    svg = re.sub(r"<!DOCTYPE[^>]*>\s*", "", svg)
    svg = re.sub(r"<!--.*?-->\n?", "", svg, flags=re.DOTALL)
    svg = svg.replace(f'font-family="{_FONT}"', f'font-family="{_FONT_FAMILY}"')
    return svg.replace(f"<title>{_NAME}</title>", f"<title>{text(name)}</title>", 1)
