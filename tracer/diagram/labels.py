"""The labels of a diagram: boxes with their legs, the resistors of a colour, the connector."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracer.base.names import natural_key, readable_name
from tracer.bitmap.model import Bit, Colour, When
from tracer.bitmap.text import FOUND_BY, resistor_text
from tracer.diagram.html import cell, font, levelled, name_text, row, shorten, table, text, wrapped
from tracer.diagram.network import BitId, Box
from tracer.diagram.plan import DrawnBox, Legs, Row
from tracer.diagram.styles import GREY_TEXT, Style, bits_text, ink_of

__all__ = [
    "FONT_SIZE",
    "STAGE_GAP",
    "box_height",
    "box_label",
    "connector_label",
    "stage_height",
    "stage_label",
]

#: Letters of the longest net, type and leg name that a box shows whole.
NET_WIDTH, TYPE_WIDTH, LEG_WIDTH = 24, 18, 12
#: Columns at which a sentence in a box is broken.
SENTENCE_WIDTH = 34
#: Legs of a bundle that stand in one line.
LEGS_A_LINE = 4
#: Sizes in points: of rows, of references, of feet.
FONT_SIZE, BIG, LITTLE = 11, 14, 9
#: Mean width of a bold letter in the widest face that may be shown, as a share of its size: DejaVu Sans, measured.
WIDEST_FACE = 0.72
#: Points between the boxes of a column, and about what a row and the head of a colour's resistors take.
STAGE_GAP, ROW_HEIGHT, STAGE_HEAD = 15, 17, 23
#: Paper of a box's head, and the ink on it.
_MEMORY_HEAD, _STEP_HEAD, _PLAIN_HEAD = ("#2b2b2b", "white"), ("#dcdcdc", "black"), ("white", "black")

_FOUND_BY = FOUND_BY | {"shape": "found by shape: a guess"}


# -- boxes ------------------------------------------------------------------------------------------


def box_label(drawn: DrawnBox, styles: Sequence[Style]) -> str:
    """A part with its legs; `styles` by index of the colour."""
    kind = drawn.box.key.kind
    if kind == "small":
        return _small_label(drawn, styles)
    look: dict[str, str | int] = {"border": {"memory": 2, "stop": 3}.get(kind, 1), "cellpadding": 2}
    look["color"] = GREY_TEXT if kind == "write" else "black"
    if kind == "stop":
        look["style"] = "DASHED"
    shared = _shared_when(drawn)
    rows = [_head(drawn), "<HR/>"]
    rows += _rows_by_sentence(drawn, styles) if kind == "stop" else _rows(drawn, styles, shared)
    foot = [*([f"only if {shared}"] if shared else []), *_foot(drawn.box)]
    if foot:
        lines = "".join(f'{line}<BR ALIGN="LEFT"/>' for line in foot)
        words = font(lines, size=LITTLE, colour=GREY_TEXT)
        rows += ["<HR/>", row(cell(words, colspan=3, align="LEFT", balign="LEFT"))]
    return f"<{table(*rows, **look)}>"


def _head(drawn: DrawnBox) -> str:
    """Reference and what to buy; below them place and use."""
    box = drawn.box
    paper, ink = {"memory": _MEMORY_HEAD, "step": _STEP_HEAD}.get(box.key.kind, _PLAIN_HEAD)
    ink = GREY_TEXT if box.key.kind == "write" else ink
    rows = []
    if box.key.kind == "stop":
        rows.append(row(cell(font("STOPPED", size=BIG, bold=True), colspan=2)))
    does = ", ".join(x for x in (box.does, drawn.also) if x)
    for left, right, size in (
        (box.key.part, shorten(box.sold_as, TYPE_WIDTH), BIG),
        (box.place or "", does, None),
    ):
        if left or right:
            rows.append(
                row(
                    cell(font(text(left), size=size, colour=ink, bold=True), align="LEFT"),
                    cell(levelled(font(text(right), colour=ink)), align="RIGHT"),
                )
            )
    # A table without rows is none to Graphviz.
    rows = rows or [row(cell("?"))]
    return row(cell(table(*rows, cellpadding=1), colspan=3, bgcolor=paper, cellpadding=1))


def _rows(drawn: DrawnBox, styles: Sequence[Style], shared: str) -> list[str]:
    """All rows, with a rule where the colour changes."""
    rows: list[str] = []
    for before, one in zip((None, *drawn.rows), drawn.rows, strict=False):
        if before is not None and before.bits[0].colour != one.bits[0].colour:
            rows.append("<HR/>")
        rows += _leg_rows(one, drawn.box, styles, shared)
    return rows


def _leg_rows(one: Row, box: Box, styles: Sequence[Style], shared: str) -> list[str]:
    """A row as table rows: one an input, with bits and output beside them."""
    grey = GREY_TEXT if box.key.kind == "write" else ""
    tag = font(bits_text(one.bits, styles), colour=grey or ink_of(one.bits, styles), bold=not grey)
    out = _legs(one.out, box, shared, grey, number_last=True)
    if not one.ins:
        # The port on the left is for what writes into this leg, the one on the right for what reads it.
        return [
            row(
                cell(
                    levelled(tag) if grey else tag,
                    port=one.write_port,
                    align="LEFT",
                    width=_tag_width(one.bits, styles),
                ),
                cell(out, colspan=2, port=one.out.port, align="RIGHT", balign="RIGHT"),
            )
        ]
    span: dict[str, str | int] = {"rowspan": len(one.ins)} if len(one.ins) > 1 else {}
    beside = (
        cell(tag, width=_tag_width(one.bits, styles), **span),
        cell(out, port=one.out.port, align="RIGHT", balign="RIGHT", **span),
    )
    rows = []
    for i, legs in enumerate(one.ins):
        first = cell(_legs(legs, box, shared, grey), port=legs.port, align="LEFT", balign="LEFT")
        rows.append(row(first, *(() if i else beside)))
    return rows


def _tag_width(bits: Iterable[BitId], styles: Sequence[Style]) -> int:
    """Points that the bits' names take in the widest face that may stand in for Arial, so that they touch nothing."""
    return round(len(bits_text(bits, styles)) * FONT_SIZE * WIDEST_FACE)


def _legs(legs: Legs, box: Box, shared: str, grey: str, *, number_last: bool = False) -> str:
    """Leg numbers, the name of a single leg, and when it counts; the number stands on the side of the line."""
    if len(legs.pins) > 1:
        lines = [legs.pins[i : i + LEGS_A_LINE] for i in range(0, len(legs.pins), LEGS_A_LINE)]
        return font("<BR/>".join(text(" ".join(line)) for line in lines), colour=grey, bold=not grey)
    pin, name = legs.pins[0], legs.names[0]
    words = [font(name_text(pin, NET_WIDTH), colour=grey, bold=not grey)]
    if _says_more(name, pin):
        words.append(font(name_text(name, LEG_WIDTH), colour=grey))
    if legs.inverts:
        words.append("turned over")
    when = _when(legs.when, box.key.part)
    if when and when != shared:
        words.append(font(f"if {when}", size=LITTLE))
    words = [w for w in words if w] or ["?"]
    return " ".join(reversed(words) if number_last else words)


def _says_more(name: str, pin: str) -> bool:
    """Whether a leg's name says more than its number does; KiCad's connectors have names such as ``Pin_1``."""
    return name.lower() not in ("", pin.lower(), f"pin_{pin}".lower())


def _when(ways: Iterable[tuple[When, ...]], part: str) -> str:
    """Levels under which a leg counts; a leg of the box itself goes without its reference."""
    return " or ".join(", ".join(_level(w, part) for w in levels) for levels in ways)


def _level(when: When, part: str) -> str:
    if when.part == part:
        leg = name_text(when.name, LEG_WIDTH) if when.name else f"leg {text(when.pin)}"
    else:
        leg = f"{text(when.part)}.{text(when.pin)} {name_text(when.name, LEG_WIDTH)}".strip()
    return f"{leg} {'high' if when.level else 'low'}"


def _shared_when(drawn: DrawnBox) -> str:
    """The condition that all legs of a box have in common; it stands in the foot."""
    found = {_when(legs.when, drawn.box.key.part) for one in drawn.rows for legs in (one.ins or (one.out,))}
    return found.pop() if len(found) == 1 else ""


def _foot(box: Box) -> list[str]:
    """Controls, legs on one net together; what lies behind a write path."""
    lines = []
    for net, pins in box.controls.items():
        in_order = sorted(pins.items(), key=lambda item: natural_key(item[0]))
        named = ", ".join(
            f"{pin} {readable_name(name)}" if name not in ("", pin) else pin for pin, name in in_order
        )
        legs = named if len(pins) == 1 or len(named) <= NET_WIDTH else " ".join(pin for pin, _ in in_order)
        shown = "not stated" if net is None else name_text(net, NET_WIDTH)
        lines.append(f"{text(shorten(legs, NET_WIDTH))}: {shown}")
    if box.behind:
        lines += ["written from", *(text(shorten(part, NET_WIDTH + 8)) for part in box.behind)]
    return lines


def _rows_by_sentence(drawn: DrawnBox, styles: Sequence[Style]) -> list[str]:
    """Legs that stop for one reason, then the reason."""
    found: list[str] = []
    for rows, sentences in _reasons(drawn):
        if found:
            found.append("<HR/>")
        for one in rows:
            found += _leg_rows(one, drawn.box, styles, "")
        for sentence in sentences:
            shown = wrapped(sentence, SENTENCE_WIDTH)
            found.append(row(cell(shown, colspan=3, align="LEFT", balign="LEFT")))
    return found


def _reasons(drawn: DrawnBox) -> list[tuple[list[Row], list[str]]]:
    """Rows that stop for one reason, and its sentences; reasons that differ only by the leg count as one."""
    groups: dict[tuple[str, ...], list[Row]] = {}
    for one in drawn.rows:
        groups.setdefault(tuple(_without_leg(b, drawn.box, one) for b in one.because), []).append(one)
    found = []
    for rows in groups.values():
        likewise = " (the other legs above likewise)" if len({one.because for one in rows}) > 1 else ""
        found.append((rows, [f"stopped: {because}{likewise}" for because in rows[0].because]))
    return found


def _without_leg(because: str, box: Box, one: Row) -> str:
    leg = one.out.pins[0]
    for own in (f"{box.key.part}.{leg}", f" {leg} "):
        because = because.replace(own, "\0")
    return because


def _small_label(drawn: DrawnBox, styles: Sequence[Style]) -> str:
    """A part with one way through, on one line: leg, bits, reference and value, leg."""
    [one] = drawn.rows
    box = drawn.box
    tag = font(bits_text(one.bits, styles), colour=ink_of(one.bits, styles), bold=True)
    name = f"{font(text(box.key.part), bold=True)} {text(shorten(box.sold_as, TYPE_WIDTH))}"
    shown = row(
        cell(font(text(one.ins[0].pins[0]), size=LITTLE), port=one.ins[0].port),
        cell(f"{tag} {name}"),
        cell(font(text(one.out.pins[0]), size=LITTLE), port=one.out.port),
    )
    return f"<{table(shown, border=1, cellpadding=1, style='ROUNDED')}>"


# -- resistors and connector ------------------------------------------------------------------------


def stage_label(colour: Colour, index: int, styles: Sequence[Style]) -> str:
    """A colour's bits with their resistors and weights, heaviest first."""
    style = styles[index]
    ink = style.ink
    levels = f"{colour.levels} levels" if colour.levels else "levels not known"
    head = f"{font(text(colour.name.upper()), size=BIG, colour=ink, bold=True)} {levels}"
    rows = [row(cell(head, colspan=3)), "<HR/>"]
    for bit in colour.bits:
        shown = "<BR/>".join(_resistor_lines(bit))
        rows.append(
            row(
                cell(
                    font(bits_text((BitId(index, -bit.bit),), styles), colour=ink, bold=True),
                    port=f"bit-{bit.bit}",
                    align="LEFT",
                    width=_tag_width((BitId(index, -bit.bit),), styles),
                ),
                cell(levelled(shown), align="LEFT", balign="LEFT"),
                cell(levelled(f"{bit.weight:.1%}"), port=f"to-pin-{bit.bit}", align="RIGHT"),
            )
        )
    if not colour.bits:
        rows.append(row(cell(font("nothing drives it", bold=True), colspan=3)))
    return f"<{table(*rows, border=1, cellpadding=2, color=style.colour)}>"


def _resistor_lines(bit: Bit) -> list[str]:
    resistors = [text(resistor_text(r)) for r in bit.resistors] or ["no resistor"]
    return [" + ".join(resistors[i : i + 2]) for i in range(0, len(resistors), 2)]


def box_height(drawn: DrawnBox) -> int:
    """About how tall a box is drawn, in points."""
    if drawn.box.key.kind == "small":
        return ROW_HEIGHT
    rows = sum(max(len(one.ins), -(-len(one.out.pins) // LEGS_A_LINE)) or 1 for one in drawn.rows)
    said = [1 + len(s) // SENTENCE_WIDTH for _, sentences in _reasons(drawn) for s in sentences]
    return 2 * ROW_HEIGHT + 10 + ROW_HEIGHT * rows + 14 * sum(said) + 12 * len(_foot(drawn.box))


def stage_height(colour: Colour) -> int:
    """About how tall a colour's resistors are drawn: its leg of the connector stands beside them."""
    return STAGE_HEAD + ROW_HEIGHT * max(1, sum(len(_resistor_lines(bit)) for bit in colour.bits))


def connector_label(part: str | None, colours: Sequence[tuple[int, Colour]], styles: Sequence[Style]) -> str:
    """The legs of a connector that carry colours, each with a port; part None: nets that leave the drawing."""
    title = font(text(part), size=BIG, bold=True) if part else "no connector drawn"
    rows = [row(cell(title, bgcolor=_STEP_HEAD[0])), "<HR/>"]
    for index, colour in colours:
        pin = colour.pin
        leg = text(pin.pin) if pin.part and pin.pin else f"net {name_text(pin.net, NET_WIDTH)}"
        words = font(leg, size=BIG, bold=True)
        if pin.part and pin.name.lower() != colour.name.lower() and _says_more(pin.name, pin.pin or ""):
            words += f" {name_text(pin.name, LEG_WIDTH)}"
        words += f"<BR/>{font(text(colour.name), colour=styles[index].ink, bold=True)}"
        rows.append(row(cell(words, port=f"pin-{index}", height=stage_height(colour))))
    how = "<BR/>".join(dict.fromkeys(_FOUND_BY[colour.pin.found_by] for _, colour in colours))
    rows += ["<HR/>", row(cell(font(how, size=LITTLE, colour=GREY_TEXT)))]
    return f"<{table(*rows, border=2, cellpadding=4)}>"
