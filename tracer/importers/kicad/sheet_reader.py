"""One KiCad schematic file, of KiCad 6 or later -> `SheetFile`."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise
from pathlib import Path

from tracer.base.errors import NetlistError
from tracer.importers.kicad.sheet_file import (
    STEPS_PER_MM,
    Body,
    BodyPin,
    Label,
    Point,
    Segment,
    SheetFile,
    SheetPin,
    SheetSymbol,
    Symbol,
)
from tracer.importers.kicad.tree import load_tree
from tracer.importers.sexpr import Expr
from tracer.importers.text import decode, read_bytes
from tracer.netlist.board import Origin

__all__ = ["entry_of", "load_sheet_file", "place_of", "points_of"]

_UUID = re.compile(r'\(uuid "?([0-9A-Fa-f-]{8,})"?\)')


def load_sheet_file(path: Path) -> SheetFile:
    """Load one `.kicad_sch` file.

    Raises
    ------
    NetlistError
        It is not there, not whole, or no KiCad schematic.
    """
    data = read_bytes(path)
    text, assumed = decode(data, str(path))
    if assumed:
        raise NetlistError(
            "this schematic is not in UTF-8, which is what KiCad writes",
            file=str(path),
            fix="open and save it in KiCad, then try again",
        )
    tree = load_tree(path, text)
    if tree.head != "kicad_sch":
        raise NetlistError(
            f"this is no KiCad schematic: it starts with ({tree.head}",
            file=str(path),
            fix="check the file's name",
        )
    return _Reader(path, data, tree, _lines(text)).read()


def _lines(text: str) -> dict[str, int]:
    """Line of each UUID, in one pass."""
    found: dict[str, int] = {}
    for number, line in enumerate(text.split("\n"), 1):
        if "(uuid" in line:
            for match in _UUID.finditer(line):
                found.setdefault(match[1], number)
    return found


def _steps(millimetres: str) -> int:
    return round(float(millimetres) * STEPS_PER_MM)


def place_of(node: Expr) -> tuple[Point, int]:
    """The point and the angle of a clause."""
    words = node.first("at")
    values = words.words() if words is not None else []
    if len(values) < 2:
        return (0, 0), 0
    return (_steps(values[0]), _steps(values[1])), round(float(values[2])) % 360 if len(values) > 2 else 0


def points_of(node: Expr) -> list[Point]:
    """The points of a wire or bus."""
    found = node.first("pts")
    return [
        (_steps(xy.words()[0]), _steps(xy.words()[1]))
        for xy in (found.all("xy") if found is not None else ())
        if len(xy.words()) >= 2
    ]


def entry_of(node: Expr) -> Segment:
    """The two ends of a bus entry."""
    (x, y), _ = place_of(node)
    size = node.first("size")
    dx, dy = (_steps(w) for w in size.words()[:2]) if size is not None else (0, 0)
    return (x, y), (x + dx, y + dy)


def _flag(node: Expr, name: str) -> bool:
    """``(dnp yes)``, ``(dnp)`` or a bare word ``dnp``."""
    found = node.first(name)
    if found is not None:
        return not found.words() or found.words()[0] in ("yes", "true")
    return name in node[1:]


class _Reader:
    """Collects the things of one file."""

    def __init__(self, path: Path, data: bytes, tree: Expr, lines: dict[str, int]) -> None:
        self.path, self.data, self.tree, self.lines = path, data, tree, lines
        self.bodies: dict[str, Body] = {}

    def read(self) -> SheetFile:
        tree = self.tree
        version = tree.word("version", "0")
        sheet = SheetFile(
            self.path.name,
            self.path,
            self.data,
            int(version) if version.isdecimal() else 0,
            tree.word("uuid"),
        )
        libraries = tree.first("lib_symbols")
        for symbol in libraries.all("symbol") if libraries is not None else ():
            with self._understood(symbol):
                body = _body(symbol)
                self.bodies[body.name] = body
        for item in tree:
            if isinstance(item, Expr):
                with self._understood(item):
                    self._take(item, sheet)
        return sheet

    @contextmanager
    def _understood(self, item: Expr) -> Iterator[None]:
        """Turn what a damaged clause leads to into an error that names it."""
        try:
            yield
        except (ValueError, IndexError, OverflowError):
            raise NetlistError(
                f"a ({item.head} ...) clause lacks a word or has one that is no number",
                file=str(self.path),
                line=self._origin(item).line,
                fix="open and save the schematic in KiCad, then try again",
            ) from None

    def _take(self, item: Expr, sheet: SheetFile) -> None:
        head = item.head
        if head == "symbol":
            sheet.symbols.append(self._symbol(item))
        elif head in ("wire", "bus"):
            points = points_of(item)
            target = sheet.wires if head == "wire" else sheet.buses
            target += [(a, b) for a, b in pairwise(points)]
        elif head == "bus_entry":
            sheet.bus_entries.append(entry_of(item))
        elif head == "junction":
            sheet.junctions.append(place_of(item)[0])
        elif head == "no_connect":
            sheet.no_connects.append(place_of(item)[0])
        elif head in ("label", "global_label", "hierarchical_label"):
            kind = {"label": "local", "global_label": "global", "hierarchical_label": "hierarchical"}[head]
            sheet.labels.append(Label(kind, item.words()[0] if item.words() else "", place_of(item)[0]))
        elif head == "sheet":
            sheet.sheets.append(self._sheet(item))
        elif head == "bus_alias":
            members = item.first("members")
            sheet.aliases[item.words()[0]] = members.words() if members is not None else []
        elif head == "symbol_instances":
            for path in item.all("path"):
                unit = path.word("unit", "1")
                sheet.root_instances[path.words()[0]] = (path.word("reference"), int(unit))

    def _origin(self, item: Expr) -> Origin:
        return Origin(self.path.name, self.lines.get(item.word("uuid")))

    def _symbol(self, item: Expr) -> Symbol:
        fields = {p.words()[0]: p.words()[1] for p in item.all("property") if len(p.words()) > 1}
        library = item.word("lib_id")
        name = item.word("lib_name") or library
        instances: dict[str, tuple[str, int]] = {}
        clause = item.first("instances")
        for project in clause.all("project") if clause is not None else ():
            for path in project.all("path"):
                unit = path.word("unit", "1")
                instances[path.words()[0]] = (path.word("reference"), int(unit))
        at, angle = place_of(item)
        style = item.word("convert") or item.word("body_style") or "1"
        unit_word = item.word("unit", "1")
        return Symbol(
            uuid=item.word("uuid"),
            body=self.bodies.get(name) or Body(name, "", ()),
            library=library,
            at=at,
            angle=angle,
            mirror=item.word("mirror"),
            unit=int(unit_word),
            body_style=int(style),
            fields=fields,
            instances=instances,
            alternates={p.words()[0]: p.word("alternate") for p in item.all("pin") if p.word("alternate")},
            fitted=not _flag(item, "dnp"),
            origin=self._origin(item),
        )

    def _sheet(self, item: Expr) -> SheetSymbol:
        # The name of the file property is translated in KiCad 6 ("Sheet file", "Fichier de feuille").
        values = [p.words()[1] for p in item.all("property") if len(p.words()) > 1]
        file = next((v for v in values if v.endswith(".kicad_sch")), "")
        name = next((v for v in values if v != file), "")
        pins = tuple(SheetPin(p.words()[0], place_of(p)[0]) for p in item.all("pin") if p.words())
        return SheetSymbol(item.word("uuid"), name, file, pins, self._origin(item))


def _body(symbol: Expr) -> Body:
    name = symbol.words()[0]
    power = symbol.first("power")
    pins = []
    own = name.rsplit(":", 1)[-1]
    for sub in symbol.all("symbol"):
        unit, style = _sub_symbol(sub.words()[0], own)
        for pin in sub.all("pin"):
            words = pin.words()
            at, angle = place_of(pin)
            alternates = tuple(
                (a.words()[0], a.words()[1]) for a in pin.all("alternate") if len(a.words()) > 1
            )
            text = pin.word("name")
            pins.append(
                BodyPin(
                    number=pin.word("number").replace("~", ""),
                    name="" if text == "~" else text,
                    kind=words[0] if words else "",
                    hidden=_flag(pin, "hide"),
                    at=at,
                    unit=unit,
                    body=style,
                    alternates=alternates,
                    angle=angle,
                )
            )
    kind = "" if power is None else (power.words()[0] if power.words() else "global")
    return Body(name, kind, tuple(pins))


def _sub_symbol(name: str, own: str) -> tuple[int, int]:
    """Unit and body style out of ``NAME_unit_style``."""
    tail = name[len(own) + 1 :] if name.startswith(own + "_") else "_".join(name.rsplit("_", 2)[1:])
    unit, _, style = tail.partition("_")
    return (int(unit) if unit.isdecimal() else 0), (int(style) if style.isdecimal() else 0)
