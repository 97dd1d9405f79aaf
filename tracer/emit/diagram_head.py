"""The head of a diagram: board, files, verdict, warnings, and a legend of what occurs in it."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.bitmap import BitMap
from tracer.emit.diagram_html import cell, font, row, shorten, table, text, wrapped
from tracer.emit.diagram_network import BitId
from tracer.emit.diagram_plan import Plan
from tracer.emit.diagram_styles import GREY_LINE, SHARED, Style, bits_text

__all__ = ["head_label"]

TITLE_SIZE, LITTLE = 16, 9
#: Letters of the title that are shown; columns at which sentences are broken.
TITLE_WIDTH, SENTENCE_WIDTH = 70, 110
#: Warnings that are shown whole; the others are counted.
MOST_WARNINGS = 3
#: Entries of the legend that stand in one line.
LEGEND_WIDTH = 5


def head_label(bit_map: BitMap, plan: Plan, styles: Sequence[Style]) -> str:
    """The label of the whole picture."""
    rows = [
        row(cell(font(text(shorten(bit_map.name, TITLE_WIDTH)), size=TITLE_SIZE, bold=True), align="LEFT")),
        row(cell(wrapped(_facts(bit_map), SENTENCE_WIDTH), align="LEFT", balign="LEFT")),
    ]
    warnings = [f.text for f in bit_map.findings if f.severity == "warning"]
    for words in warnings[:MOST_WARNINGS]:
        rows.append(row(cell(wrapped(f"! {words}", SENTENCE_WIDTH), align="LEFT", balign="LEFT")))
    if len(warnings) > MOST_WARNINGS:
        more = f"! {len(warnings) - MOST_WARNINGS} more warnings are in the map"
        rows.append(row(cell(more, align="LEFT")))
    entries = _legend(bit_map, plan, styles)
    for i in range(0, len(entries), LEGEND_WIDTH):
        rows.append(row(cell(table(row(*entries[i : i + LEGEND_WIDTH]), cellpadding=1), align="LEFT")))
    return f"<{table(*rows, cellpadding=1)}>"


def _facts(bit_map: BitMap) -> str:
    files = ", ".join(i.file for i in bit_map.inputs)
    colours = ""
    if bit_map.colours_possible:
        colours = f"; {bit_map.colours_possible:,} colours possible, {bit_map.colours_at_once:,} at once"
    return (
        (f"from {files}: " if files else "")
        + f"{bit_map.n_traced} of {bit_map.n_bits} bits traced to a memory pin{colours}"
    )


def _legend(bit_map: BitMap, plan: Plan, styles: Sequence[Style]) -> list[str]:
    """Table cells, sample and words in turn; only for what the picture has."""
    found = []
    for index, colour in enumerate(bit_map.colours):
        if colour.bits:
            style = styles[index]
            tag = font(bits_text((BitId(index, -colour.bits[0].bit),), styles), colour=style.colour, bold=True)
            words = f"{tag} {text(colour.name)}" + (", heaviest bit" if not found else "")
            found.append(_entry(_sample(style), words))
    lines = [line for line in plan.lines if line.role != "write path"]
    if any(len({bit.colour for bit in line.bits}) > 1 for line in lines):
        found.append(_entry(_sample(SHARED), "bits of several colours on one line"))
    if any(line.role == "write path" for line in plan.lines):
        found.append(_entry(_sample(Style("", GREY_LINE, "solid", 1)), "write path"))
    words = []
    if any(line.role == "alternative" for line in lines):
        words.append("hollow arrow: one of several ways, see its condition")
    if any(line.inverts for line in plan.lines):
        words.append("ring: level turned over")
    if any(line.n_legs > 1 or len(r.out.pins) > 1 for line in lines for b in plan.boxes for r in b.rows):
        words.append("thick line: a word of bits in turn, legs in the same order at both ends")
    if any(b.box.controls for b in plan.boxes):
        words.append("grey small print: control legs and their nets")
    found += [_entry("", w) for w in words]
    return found


def _entry(sample: str, words: str) -> str:
    shown = font(words, size=LITTLE)
    return (cell(sample) if sample else "") + cell(shown, align="LEFT") + cell(" ", width=6)


def _sample(style: Style) -> str:
    """A piece of line: the lower border of an empty cell, half a line high."""
    look = {"solid": {}, "dashed": {"style": "DASHED"}, "dotted": {"style": "DOTTED"}}[style.line]
    stroke = cell(" ", sides="B", border=max(1, round(style.width)), color=style.colour, width=30, height=6, fixedsize="TRUE", **look)
    return table(row(stroke), row(cell(" ", width=30, height=6, fixedsize="TRUE")), cellpadding=0)
