"""One schematic file of KiCad in colour: wires, labels and symbols of the path, and the bits' names at its legs.

Which words KiCad knows depends on the file's version: wires have a colour from KiCad 6 on, texts from KiCad 7 on.
(KiCad's file format documentation, and files of KiCad 6, 7, 8 and 9.0.2.)
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial
from uuid import NAMESPACE_URL, uuid5

from tracer.base.errors import EmitError
from tracer.base.visible import visible
from tracer.diagram.styles import Style
from tracer.importers.kicad.drawn import Drawing, DrawnLeg, DrawnSheet
from tracer.importers.kicad.sheet_file import KICAD_7, Point, SheetFile
from tracer.importers.kicad.sheet_reader import entry_of, place_of, points_of
from tracer.importers.sexpr import Expr, parse_sexpr
from tracer.mark.edits import Edit, applied, end_of, set_clause
from tracer.mark.name_places import NamePlaces, label_box
from tracer.mark.values import NOTHING, BoardMarks, Carried, MarkedFile, common, style_of
from tracer.netlist.board import PinRef

__all__ = ["mark_sheet", "sheet_edits"]

#: Graphviz's word for a line -> KiCad's.
_LINES = {"solid": "solid", "dashed": "dash", "dotted": "dot"}
#: Millimetres a point of the diagram's lines: 0.3 mm for a colour's, twice KiCad's own wire.
_MM_A_POINT = 0.2
_LABELS = ("label", "global_label", "hierarchical_label")
_BOM = "\ufeff"
_NAMESPACE = uuid5(NAMESPACE_URL, "rgbroots:mark")


def mark_sheet(drawing: Drawing, file: SheetFile, marks: BoardMarks, board: str = "") -> MarkedFile:
    """The copy of a file; `board` stands before its references where it was joined to others."""
    marker = _Marker(drawing, file, marks, board)
    text = applied(marker.text, marker.edits())
    return MarkedFile(text.encode("utf-8"), dict(marker.counts), tuple(marker.said()))


def sheet_edits(drawing: Drawing, file: SheetFile, marks: BoardMarks, board: str = "") -> list[Edit]:
    """The edits alone."""
    return list(_Marker(drawing, file, marks, board).edits())


class _Marker:
    def __init__(self, drawing: Drawing, file: SheetFile, marks: BoardMarks, board: str) -> None:
        self.file, self.marks, self.board = file, marks, board
        self.placed = drawing.of_file(file)
        try:
            self.text = file.data.decode("utf-8")
        except UnicodeDecodeError:
            raise EmitError(
                "this schematic is not in UTF-8, which is what KiCad writes, so no copy of it was made",
                file=str(file.path),
                fix="open and save it in KiCad, then try again",
            ) from None
        # The reader takes a byte order mark for a word; a blank keeps every offset.
        whole = " " + self.text[1:] if self.text.startswith(_BOM) else self.text
        self.tree = parse_sexpr(whole, str(file.path))
        self.counts: Counter[str] = Counter()
        self.differing: Counter[str] = Counter()
        self.has_text_colour = file.version >= KICAD_7
        labels = [
            item for item in self.tree if isinstance(item, Expr) and item.head in _LABELS and item.words()
        ]
        self.places = NamePlaces(
            [label_box(x.words()[0], *place_of(x), is_local=x.head == "label") for x in labels]
        )
        self._on_net = {net.name: self._carried_by(net.pins) for net in drawing.netlist.nets}

    def _ref(self, pin: PinRef) -> PinRef:
        """A pin of the file as the traced board calls it."""
        return PinRef(self._reference(pin.part), visible(pin.pin))

    def _reference(self, part: str) -> str:
        return f"{self.board}:{visible(part)}" if self.board else visible(part)

    def _carried_by(self, pins: Iterable[PinRef]) -> Carried:
        return next((c for pin in pins if (c := self.marks.nets.get(self._ref(pin)))), NOTHING)

    def _common(self, what: str, of_sheet: Callable[[DrawnSheet], Carried]) -> tuple[Style | None, str]:
        """The look of a thing on all sheets that the file stands for, and its words; counts it as `what`, if that is not empty."""
        each = [of_sheet(sheet) for sheet in self.placed]
        carried, words = common(each, self.marks.styles)
        if len(set(each)) > 1:
            self.differing["marked" if carried else "left"] += 1
        if not carried:
            return None, ""
        if what:
            self.counts[what] += 1
        return style_of(carried, self.marks.styles), words

    def edits(self) -> Iterator[Edit]:
        """All edits of the file."""
        n_symbols = 0
        names: list[str] = []
        for item in self.tree:
            if not isinstance(item, Expr):
                continue
            if item.head == "wire":
                yield from self._line(item, "wires", points_of(item)[:1])
            elif item.head == "bus_entry":
                yield from self._line(item, "bus entries", entry_of(item))
            elif item.head == "junction":
                yield from self._junction(item)
            elif item.head in _LABELS:
                yield from self._label(item)
            elif item.head == "sheet":
                yield from self._sheet_pins(item)
            elif item.head == "symbol":
                yield from self._symbol(item, n_symbols)
                names += self._names_at_legs(item, n_symbols)
                n_symbols += 1
        if names:
            end = end_of(self.text, self.tree) - 1
            at = len(self.text[:end].rstrip())
            line = "\r\n" if "\r\n" in self.text else "\n"
            yield Edit(at, "", "".join(line + name for name in names))

    def _on_wire(self, ends: Sequence[Point]) -> Callable[[DrawnSheet], Carried]:
        return lambda sheet: next(
            (self._on_net.get(sheet.wires[end], NOTHING) for end in ends if end in sheet.wires), NOTHING
        )

    def _line(self, item: Expr, what: str, ends: Sequence[Point]) -> Iterator[Edit]:
        style, _ = self._common(what, self._on_wire(ends))
        stroke = item.first("stroke")
        if style is None:
            return
        width = f"(width {round(style.width * _MM_A_POINT, 3):g})"
        line, colour = f"(type {_LINES[style.line]})", _colour(style.colour)
        if stroke is None:
            yield set_clause(self.text, item, "stroke", f"(stroke {width} {line} {colour})")
            return
        yield from self._set(stroke, width, line, colour)

    def _set(self, inside: Expr, *clauses: str) -> Iterator[Edit]:
        """Set clauses; those that are new go in as one, so that no two edits stand at one place."""
        new = [c for c in clauses if inside.first(c[1:].split()[0]) is None]
        for clause in clauses:
            if clause not in new:
                yield set_clause(self.text, inside, clause[1:].split()[0], clause)
        if new:
            yield set_clause(self.text, inside, new[0][1:].split()[0], " ".join(new))

    def _junction(self, item: Expr) -> Iterator[Edit]:
        style, _ = self._common("junctions", self._on_wire((place_of(item)[0],)))
        if style is not None:
            yield from self._set(item, _colour(style.colour))

    def _label(self, item: Expr) -> Iterator[Edit]:
        words = item.words()
        key = (words[0] if words else "", place_of(item)[0])
        yield from self._ink(item, "labels", lambda s: self._on_net.get(s.labels.get(key, ""), NOTHING))

    def _sheet_pins(self, item: Expr) -> Iterator[Edit]:
        for pin in item.all("pin"):
            yield from self._ink(pin, "sheet pins", partial(self._at_sheet_pin, place_of(pin)[0]))

    def _at_sheet_pin(self, at: Point, sheet: DrawnSheet) -> Carried:
        return self._on_net.get(sheet.sheet_pins.get(at, ""), NOTHING)

    def _ink(self, item: Expr, what: str, of_sheet: Callable[[DrawnSheet], Carried]) -> Iterator[Edit]:
        """Colour a text."""
        effects = item.first("effects")
        font = effects.first("font") if effects is not None else None
        if font is None or not self.has_text_colour:
            return
        style, _ = self._common(what, of_sheet)
        if style is not None:
            yield from self._set(font, _colour(style.ink))

    def _symbol(self, item: Expr, number: int) -> Iterator[Edit]:
        def carried(sheet: DrawnSheet) -> Carried:
            symbol = sheet.symbols[number]
            legs = [self.marks.legs.get(self._ref(leg.pin), NOTHING) for leg in symbol.legs]
            passing = frozenset[tuple[int, int]]().union(*legs)
            return passing or self.marks.parts.get(self._reference(symbol.reference), NOTHING)

        shown = [p for p in item.all("property") if p.words()[:1] and p.words()[0] in ("Reference", "Value")]
        for field in shown:
            yield from self._ink(field, "parts" if field.words()[0] == "Reference" else "", carried)

    def _names_at_legs(self, item: Expr, number: int) -> Iterator[str]:
        """The bits' names at the legs of a symbol, as new texts."""
        for index, leg in enumerate(self.placed[0].symbols[number].legs):
            style, words = self._common("legs", partial(self._at_leg, number, index))
            if style is not None and words:
                yield self._text(words, style, leg, f"{item.word('uuid')} {number} {leg.pin.pin}")

    def _at_leg(self, number: int, index: int, sheet: DrawnSheet) -> Carried:
        # A symbol may show another of its sections on another sheet, with other legs.
        legs = sheet.symbols[number].legs
        return self.marks.legs.get(self._ref(legs[index].pin), NOTHING) if index < len(legs) else NOTHING

    def _text(self, words: str, style: Style, leg: DrawnLeg, what: str) -> str:
        place = self.places.place(leg.at, leg.off, words, style.width * _MM_A_POINT)
        uuid = str(uuid5(_NAMESPACE, f"{self.file.uuid} {what} {leg.at} {words}"))
        uuid = f'"{uuid}"' if '(uuid "' in self.text else uuid
        colour = f" {_colour(style.ink)}" if self.has_text_colour else ""
        indent = "\t" if "\n\t(" in self.text else "  "
        return (
            f'{indent}(text "{words}" (at {place.x:g} {place.y:g} {place.angle}) '
            f"(effects (font (size {place.height:g} {place.height:g}){colour}) (justify {place.justify})) (uuid {uuid}))"
        )

    def said(self) -> Iterator[str]:
        """Where the sheets that the file stands for differ."""
        if not self.differing:
            return
        sheets = ", ".join(sheet.placed.shown for sheet in self.placed)
        text = f"{self.file.file} stands for {len(self.placed)} sheets ({sheets})"
        if n := self.differing["marked"]:
            text += f"; {n} things of it carry other bits on each and have what is common to all"
        if n := self.differing["left"]:
            text += f"; {n} are on the path of only some and were left as they are"
        yield text


def _colour(rgb: str) -> str:
    """``#c8202a`` as KiCad writes it."""
    red, green, blue = (int(rgb[i : i + 2], 16) for i in (1, 3, 5))
    return f"(color {red} {green} {blue} 1)"
