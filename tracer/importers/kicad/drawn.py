"""Where on its sheets a KiCad schematic's nets are drawn: wires, labels, sheet pins and legs, each with its net.

Everything here is asked of the reader that made the netlist (`tracer.importers.kicad.schematic`), so that a drawing and
its netlist cannot say different things.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from tracer.importers.kicad.bus import bus_members
from tracer.importers.kicad.geometry import PointGroups, pins_in_place, turned
from tracer.importers.kicad.schematic import Connector
from tracer.importers.kicad.sheet_file import BodyPin, Label, Point, SheetFile, Symbol
from tracer.importers.kicad.sheets import Placed, Sheets, load_sheets
from tracer.netlist.board import Netlist, PinRef

__all__ = ["Drawing", "DrawnLeg", "DrawnSheet", "DrawnSymbol", "read_drawing"]

#: Angle of a pin -> the way from its end to the body, y downwards.
_TO_BODY = {0: (1, 0), 90: (0, -1), 180: (-1, 0), 270: (0, 1)}


@dataclass(frozen=True, slots=True)
class DrawnLeg:
    """A leg of a placed symbol: where a wire meets it, and the way from there off the body."""

    pin: PinRef
    at: Point
    off: Point


@dataclass(frozen=True, slots=True)
class DrawnSymbol:
    """A placed symbol: the part it belongs to, and the legs it shows."""

    reference: str
    legs: tuple[DrawnLeg, ...]


@dataclass(frozen=True)
class DrawnSheet:
    """A sheet as reached by one way.

    Attributes
    ----------
    placed : Placed
    wires : mapping of Point to str
        End of a wire -> its net.
    labels : mapping of (str, Point) to str
        Text and place of a label that names one net -> that net.
    sheet_pins : mapping of Point to str
        Place of a sheet's pin -> its net.
    symbols : tuple of DrawnSymbol
        In the order of the file.
    """

    placed: Placed
    wires: Mapping[Point, str]
    labels: Mapping[tuple[str, Point], str]
    sheet_pins: Mapping[Point, str]
    symbols: tuple[DrawnSymbol, ...]


@dataclass(frozen=True)
class Drawing:
    """A schematic with its netlist: names of nets and parts are those of the files, nothing made visible.

    Attributes
    ----------
    netlist : Netlist
    files : mapping of Path to SheetFile
        Each file once, the root first.
    placed : tuple of DrawnSheet
    """

    netlist: Netlist
    files: Mapping[Path, SheetFile]
    placed: tuple[DrawnSheet, ...]

    def of_file(self, file: SheetFile) -> tuple[DrawnSheet, ...]:
        """All that one file stands for."""
        return tuple(sheet for sheet in self.placed if sheet.placed.sheet is file)


def read_drawing(path: Path) -> Drawing:
    """Read a schematic and all its sheets.

    Raises
    ------
    NetlistError
        A file is missing, not whole, no schematic, or a sheet holds itself.
    """
    sheets: Sheets = load_sheets(path)
    connector = Connector(sheets)
    netlist = connector.netlist(path.stem)
    placed = zip(sheets.placed, connector.groups, connector.net_labels, strict=True)
    return Drawing(netlist, sheets.files, tuple(_drawn_sheet(connector, *each) for each in placed))


def _drawn_sheet(
    connector: Connector, placed: Placed, groups: PointGroups, labels: frozenset[Label]
) -> DrawnSheet:
    ends = ((point, connector.net_at(placed, point, group)) for point, group in groups.ends())
    named = (((label.text, label.at), connector.net_at(placed, label.at)) for label in labels)
    sheet_pins = (
        (pin.at, connector.net_at(placed, pin.at))
        for symbol in placed.sheet.sheets
        for pin in symbol.pins
        if not bus_members(pin.name, connector.aliases)
    )
    return DrawnSheet(
        placed,
        {point: net for point, net in ends if net is not None},
        {key: net for key, net in named if net is not None},
        {at: net for at, net in sheet_pins if net is not None},
        tuple(_drawn_symbol(connector, placed, symbol) for symbol in placed.sheet.symbols),
    )


def _drawn_symbol(connector: Connector, placed: Placed, symbol: Symbol) -> DrawnSymbol:
    reference, unit = connector.drawn.instance(symbol, placed)
    if symbol.body.power or reference.startswith("#"):
        return DrawnSymbol(reference, ())
    return DrawnSymbol(reference, tuple(_legs(reference, symbol, unit)))


def _legs(reference: str, symbol: Symbol, unit: int) -> Iterator[DrawnLeg]:
    for pin, at in pins_in_place(symbol, unit):
        if not pin.hidden:
            yield DrawnLeg(PinRef(reference, pin.number), at, _off_body(symbol, pin))


def _off_body(symbol: Symbol, pin: BodyPin) -> Point:
    x, y = turned(_TO_BODY.get(pin.angle, (1, 0)), symbol.angle, symbol.mirror)
    return -x, -y
