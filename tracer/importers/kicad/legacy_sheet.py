"""One legacy schematic file of KiCad, statement by statement -> `SheetFile`. The form is `grammars/kicad_legacy.lark`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import product
from pathlib import Path
from typing import Protocol

from tracer.importers.kicad.geometry import turned
from tracer.importers.kicad.legacy_library import STEPS_PER_MIL
from tracer.importers.kicad.sheet_file import Body, Label, Point, SheetFile, SheetPin, SheetSymbol, Symbol
from tracer.importers.statements import read_statements
from tracer.importers.text import Positions
from tracer.netlist.board import Origin

__all__ = ["LegacySheetReader"]

NEWEST_VERSION = 4

_WANTED = {
    "HEADER": "the first line EESchema Schematic File Version",
    "COMPONENT": "$Comp",
    "COMPONENT_LINE": "a line of this part",
    "END_COMPONENT": "$EndComp",
    "SHEET_LINE": "a line of this sheet",
    "END_SHEET": "$EndSheet",
    "END_DESCRIPTION": "$EndDescr",
    "END_BITMAP": "$EndBitmap",
    "END": "$EndSCHEMATC",
}

_FIELD = re.compile(r'F\s*(\d+)\s+"((?:[^"\\]|\\.)*)"(.*)')
#: Quotes that are not escaped (old writers): up to the last quote that a side and a place follow.
_ODD_FIELD = re.compile(r'F\s*(\d+)\s+"(.*)"(\s+[HV]\s+-?\d.*)')
_FIELD_NAME = re.compile(r'"((?:[^"\\]|\\.)*)"\s*$')
_INSTANCE = re.compile(r'AR\s+Path="([^"]*)"\s+Ref="([^"]*)"\s+Part="([^"]*)"')
_SHEET_FIELD = re.compile(r'F\s*(\d+)\s+"((?:[^"\\]|\\.)*)"\s*(.*)')
_ESCAPED = re.compile(r"\\(.)")
_FIELDS = {"0": "Reference", "1": "Value", "2": "Footprint", "3": "Datasheet"}
_KINDS = {"Label": "local", "GLabel": "global", "HLabel": "hierarchical"}

#: The four numbers of a symbol's matrix (where its x and y axes point, y upwards in the library) -> angle and mirror as `turned` has them.
_TURNS = {
    (x[0], y[0], x[1], y[1]): (angle, mirror)
    for mirror, angle in product(("y", "x", ""), (270, 180, 90, 0))
    for x, y in [(turned((1, 0), angle, mirror), turned((0, -1), angle, mirror))]
}


class Loader(Protocol):
    """Whoever loads the files of a schematic: knows its libraries and folders."""

    def body(self, name: str, reference: str, listed: list[str]) -> Body:
        """The body of a symbol."""

    def skip(self, path: Path, statement: str) -> None:
        """Count a line that is not understood."""

    def sheet_file(self, parent: Path, name: str) -> str:
        """The file of a sheet, seen from its parent's folder."""


class LegacySheetReader:
    """Collects the things of one file."""

    def __init__(self, loader: Loader, path: Path, data: bytes, positions: Positions) -> None:
        self._loader, self._path, self._positions = loader, path, positions
        self._libraries: list[str] = []
        self._stamps: set[str] = set()
        self._lines: list[tuple[str, int, int]] = []
        self.sheet = SheetFile(path.name, path, data, 0, "")
        for statement in read_statements("kicad_legacy", positions, _WANTED):
            self._take(statement.type, str(statement), statement.start_pos or 0, statement.line or 1)

    def _take(self, kind: str, text: str, at: int, line: int) -> None:
        sheet = self.sheet
        if kind in ("COMPONENT", "SHEET"):
            self._lines = []
        elif kind in ("COMPONENT_LINE", "SHEET_LINE"):
            self._lines.append((text, at, line))
        elif kind == "END_COMPONENT":
            sheet.symbols.append(self._symbol(at))
        elif kind == "END_SHEET":
            sheet.sheets.append(self._sheet(at))
        elif kind == "LINE":
            self._line(text, at)
        elif kind == "TEXT":
            self._label(text, at)
        elif kind == "CONNECTION":
            sheet.junctions.append(self._point(text.split()[2:4], at))
        elif kind == "NO_CONNECTION":
            sheet.no_connects.append(self._point(text.split()[2:4], at))
        elif kind == "LIBS":
            self._libraries += [name.strip() for name in text[5:].split(",") if name.strip()]
        elif kind == "HEADER":
            self._header(text, at)
        elif kind == "OTHER":
            self._loader.skip(self._path, text)

    def _header(self, text: str, at: int) -> None:
        found = re.search(r"Version (\d+)", text)
        version = int(found[1]) if found and len(found[1]) < 4 else 0
        if not 1 <= version <= NEWEST_VERSION:
            raise self._positions.error(
                f"this reader knows legacy schematics up to version {NEWEST_VERSION}, this is another",
                at,
                "open and save it once in KiCad 6 or later, or export its netlist",
            )
        self.sheet.version = version

    def _numbers(self, words: list[str], count: int, at: int) -> list[int]:
        try:
            numbers = [int(word) for word in words[:count]]
        except ValueError:
            numbers = []
        if len(numbers) < count:
            raise self._positions.error(
                f"{count} numbers must stand here", at, "open and save the schematic in KiCad, then try again"
            )
        return numbers

    def _point(self, words: list[str], at: int) -> Point:
        x, y = self._numbers(words, 2, at)
        return x * STEPS_PER_MIL, y * STEPS_PER_MIL

    def _line(self, text: str, at: int) -> None:
        head, _, below = text.partition("\n")
        words = head.split()
        if words[1:2] == ["Notes"]:
            return
        ax, ay, bx, by = (n * STEPS_PER_MIL for n in self._numbers(below.split(), 4, at + len(head) + 1))
        segment = (ax, ay), (bx, by)
        if words[0] == "Entry":
            self.sheet.bus_entries.append(segment)
        elif segment[0] != segment[1]:
            (self.sheet.buses if words[1:2] == ["Bus"] else self.sheet.wires).append(segment)

    def _label(self, text: str, at: int) -> None:
        head, _, below = text.partition("\n")
        words = head.split()
        kind = words[1] if len(words) > 1 else ""
        if kind == "GLabel" and self.sheet.version == 1:
            kind = "HLabel"
        if kind in _KINDS:
            point = self._point(words[2:4], at)
            if below:
                self.sheet.labels.append(Label(_KINDS[kind], below, point))
        elif kind != "Notes":
            self._loader.skip(self._path, head)

    def _symbol(self, end: int) -> Symbol:
        name, reference, stamp = "", "", ""
        unit, style, at = 1, 1, (0, 0)
        matrix: tuple[int, ...] | None = None
        fields: dict[str, str] = {}
        instances: dict[str, tuple[str, int]] = {}
        first = self._lines[0][2] if self._lines else 1
        for text, start, _ in self._lines:
            words = text.split()
            if words[0] == "L" and len(words) > 1:
                name, reference = words[1], words[2] if len(words) > 2 else ""
            elif words[0] == "U":
                unit, style = self._numbers(words[1:], 2, start)
                stamp = words[3].upper() if len(words) > 3 else ""
            elif words[0] == "P":
                at = self._point(words[1:], start)
            elif words[0] == "AR":
                if found := _INSTANCE.match(text):
                    above, _, _ = found[1].upper().rpartition("/")
                    instances[above] = found[2], self._numbers([found[3]], 1, start)[0]
            elif words[0].startswith("F"):
                fields.update(_field(text))
            elif len(words) == 4 and words[0].lstrip("-").isdecimal():
                matrix = tuple(self._numbers(words, 4, start))
        if not name or matrix not in _TURNS:
            raise self._positions.error(
                "this part has no symbol" if not name else "this part does not say how it is turned",
                self._lines[0][1] if self._lines else end,
                "open and save the schematic in KiCad, then try again",
            )
        angle, mirror = _TURNS[matrix]
        fields["Reference"] = _reference(fields.get("Reference", ""), reference)
        return Symbol(
            # Stamps of old files are not always different.
            uuid=f"{stamp}:{first}",
            body=self._loader.body(name, fields["Reference"], self._libraries),
            library=name,
            at=at,
            angle=angle,
            mirror=mirror,
            unit=unit,
            body_style=style,
            fields=fields,
            instances=instances,
            alternates={},
            fitted=True,
            origin=Origin(self._path.name, first),
        )

    def _sheet(self, end: int) -> SheetSymbol:
        stamp, name, file = "", "", ""
        pins: list[SheetPin] = []
        line = self._lines[0][2] if self._lines else 1
        for text, start, _ in self._lines:
            words = text.split()
            found = _SHEET_FIELD.match(text)
            if words[0] == "U" and len(words) > 1:
                stamp = words[1].upper()
            elif found and found[1] == "0":
                name = _unescaped(found[2])
            elif found and found[1] == "1":
                file = _unescaped(found[2])
            elif found:
                # Direction, side, place.
                pins.append(SheetPin(_unescaped(found[2]), self._point(found[3].split()[2:], start)))
        if not file:
            raise self._positions.error(
                "this sheet names no file",
                self._lines[0][1] if self._lines else end,
                "open and save the schematic in KiCad, then try again",
            )
        name = name or f"Sheet{stamp}"
        if stamp in self._stamps:
            stamp = f"{stamp}:{line}"
        self._stamps.add(stamp)
        origin = Origin(self._path.name, line)
        return SheetSymbol(stamp, name, self._loader.sheet_file(self._path, file), tuple(pins), origin)


def _field(text: str) -> Iterator[tuple[str, str]]:
    """Name and text of a part's field; a ``~`` alone stands for nothing."""
    found = _FIELD.match(text) or _ODD_FIELD.match(text)
    if found:
        named = _FIELD_NAME.search(found[3])
        name = _FIELDS.get(found[1]) or (named[1] if named else f"Field{found[1]}")
        value = _unescaped(found[2])
        yield name, "" if value == "~" else value


def _reference(field: str, line: str) -> str:
    return next((text for text in (field, line) if text and text != "~"), "?")


def _unescaped(text: str) -> str:
    return _ESCAPED.sub(r"\1", text)
