"""The head of a diagram: board, files, verdict, warnings, and a legend of what occurs in it."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.bitmap.model import BitMap
from tracer.diagram.html import cell, font, levelled, row, shorten, table, text, wrapped
from tracer.diagram.network import BitId
from tracer.diagram.plan import Plan
from tracer.diagram.styles import SHARED, WRITE, Style, bits_text

__all__ = ["head_label"]

TITLE_SIZE, LITTLE = 16, 9
#: Points of a piece of line in the legend.
SAMPLE_WIDTH = 30
#: Letters of the title that are shown; columns at which sentences are broken.
TITLE_WIDTH, SENTENCE_WIDTH = 70, 110
#: Warnings that are shown whole; the others are counted.
MOST_WARNINGS = 3
#: Letters of the legend that stand in one line.
LEGEND_WIDTH = 140


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
    for line in _lines(_legend(bit_map, plan, styles)):
        rows.append(row(cell(table(row(*line), cellpadding=1), align="LEFT")))
    return f"<{table(*rows, cellpadding=1)}>"


def _lines(entries: list[tuple[int, str]]) -> list[list[str]]:
    """Entries of a legend, each with its width, in lines that are not too wide."""
    lines: list[list[str]] = []
    room = 0
    for width, entry in entries:
        if width > room:
            lines.append([])
            room = LEGEND_WIDTH
        lines[-1].append(entry)
        room -= width
    return lines


def _facts(bit_map: BitMap) -> str:
    files = ", ".join(i.file for i in bit_map.inputs)
    colours = ""
    if bit_map.colours_possible:
        colours = f"; {bit_map.colours_possible:,} colours possible, {bit_map.colours_at_once:,} at once"
    return (
        f"from {files}: " if files else ""
    ) + f"{bit_map.n_traced} of {bit_map.n_bits} bits traced to a memory pin{colours}"


def _legend(bit_map: BitMap, plan: Plan, styles: Sequence[Style]) -> list[tuple[int, str]]:
    """Entries for what the picture has, each with its width."""
    found = []
    for index, colour in enumerate(bit_map.colours):
        if colour.bits:
            bits = tuple(BitId(index, -bit.bit) for bit in colour.bits)
            found.append(_entry(styles[index], tag=bits_text(bits, styles)))
    if any(len(colour.bits) > 1 for colour in bit_map.colours):
        found.append(_entry(None, "bit 0: the lightest"))
    lines = [line for line in plan.lines if line.role != "write path"]
    if any(len({bit.colour for bit in line.bits}) > 1 for line in lines):
        found.append(_entry(SHARED, "bits of several colours on one line"))
    if any(line.role == "write path" for line in plan.lines):
        found.append(_entry(WRITE, "write path"))
    if any(line.role == "alternative" for line in lines):
        found.append(_entry(None, "hollow arrow: one of several ways, see its condition"))
    if any(line.inverts for line in plan.lines):
        found.append(_entry(None, "ring: level turned over"))
    if any(len(legs.pins) > 1 for b in plan.boxes for r in b.rows for legs in r.ins):
        words = "several legs in one cell: a word, bit after bit, in the same order at both ends"
        found.append(_entry(None, words))
    if any(b.box.controls for b in plan.boxes):
        found.append(_entry(None, "small print: control legs"))
    return found


def _entry(style: Style | None, words: str = "", tag: str = "") -> tuple[int, str]:
    """Letters that an entry takes about, and its cells; `tag` is escaped, `words` are not."""
    bold = font(tag, colour=style.ink, bold=True) if style and tag else ""
    shown = cell(
        font(levelled(" ".join(filter(None, (bold, text(words))))), size=LITTLE), align="LEFT"
    ) + cell("", width=6)
    sample = cell(_sample(style)) if style else ""
    return len(words) + len(tag) + (8 if style else 2), sample + shown


def _sample(style: Style) -> str:
    """A piece of line: the lower border of a cell that fills the upper half of a text line."""
    look = {"solid": "", "dashed": "DASHED", "dotted": "DOTTED"}[style.line]
    border, height = max(1, round(style.width)), LITTLE // 2
    stroke = cell(
        "", sides="B", border=border, color=style.colour, width=SAMPLE_WIDTH, height=height, style=look
    )
    return table(row(stroke), row(cell("", height=height)), cellpadding=0)
