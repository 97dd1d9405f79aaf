"""Placed symbols -> parts: references, sections, pins as shown, fields."""

from __future__ import annotations

from tracer.base.findings import Finding, warning
from tracer.importers.kicad.names import PinName
from tracer.importers.kicad.netlist import PLACE_FIELDS
from tracer.importers.kicad.sheet_file import BodyPin, SheetFile, Symbol
from tracer.importers.kicad.sheets import Placed
from tracer.netlist.board import Part, Pin, PinRef

__all__ = ["DrawnParts", "pin_name", "shown_reference"]


class DrawnParts:
    """Collects the parts of a schematic; a part of several sections is placed several times."""

    def __init__(self, root: SheetFile) -> None:
        self.root = root
        self.findings: list[Finding] = []
        self._parts: dict[str, Part] = {}
        self._instances: dict[tuple[str, int], str] = {}

    def instance(self, symbol: Symbol, placed: Placed) -> tuple[str, int]:
        """Reference and section of a symbol on one placed sheet."""
        if symbol.instances:
            found = symbol.instances.get(placed.path)
            if found:
                return found
            # A sheet copied from another project keeps the instances of that one as well.
            last = placed.path.rsplit("/", 1)[-1]
            ends = [v for k, v in symbol.instances.items() if k.rsplit("/", 1)[-1] == last]
            if len(ends) == 1:
                return ends[0]
        path = placed.path[len(self.root.uuid) + 1 :]
        rooted = self.root.root_instances.get(f"{path}/{symbol.uuid}")
        return rooted or (symbol.fields.get("Reference", "?"), symbol.unit)

    def add(self, symbol: Symbol, reference: str, unit: int, path: str = "") -> None:
        """Take up a placed symbol; a second one of the same section under one reference is reported.

        With `path`, that of its placed sheet, one symbol of a sheet that is placed twice is two of them.
        """
        part = _part(symbol, reference)
        here = path + symbol.uuid
        twin = self._instances.get((reference, unit))
        if twin is not None and twin != here and reference in self._parts:
            first = self._parts[reference]
            self.findings.append(
                warning(
                    "duplicate-part",
                    f"two parts are called {reference} ({first.marking} and {part.marking}); "
                    "the first is kept, the pins of both are on it",
                    reference,
                    *(str(o) for o in (first.origin, part.origin) if o),
                )
            )
        self._instances.setdefault((reference, unit), here)
        self._parts.setdefault(reference, part)

    def parts(self) -> list[Part]:
        """All parts, each once."""
        return list(self._parts.values())


def _part(symbol: Symbol, reference: str) -> Part:
    fields = symbol.fields
    value = fields.get("Value", "")
    drawn = {p.number: _shown_pin(symbol, p) for p in symbol.body.pins}
    return Part(
        reference=reference,
        marking="" if value == "~" else value,
        symbol=symbol.library.rsplit(":", 1)[-1],
        library=symbol.library.rsplit(":", 1)[0] if ":" in symbol.library else "",
        footprint=fields.get("Footprint", ""),
        place=next((v for k, v in fields.items() if k.lower() in PLACE_FIELDS and v), ""),
        pins=tuple(drawn.values()),
        fitted=symbol.fitted,
        origin=symbol.origin,
    )


def _shown_pin(symbol: Symbol, pin: BodyPin) -> Pin:
    """A pin as drawn: by its alternate name where one was chosen."""
    chosen = symbol.alternates.get(pin.number)
    for name, kind in pin.alternates if chosen else ():
        if name == chosen:
            return Pin(pin.number, name, kind)
    return Pin(pin.number, pin.name, pin.kind)


def pin_name(symbol: Symbol, reference: str, shown: str, pin: BodyPin, *, repeated: bool) -> PinName:
    """What a net would be called after this pin; `shown` as `shown_reference` gives it."""
    return PinName(shown, _shown_pin(symbol, pin).name, pin.number, PinRef(reference, pin.number), repeated)


def shown_reference(symbol: Symbol, reference: str, unit: int) -> str:
    """The reference, with the section's letter in parts of several sections."""
    return reference + (
        _section_letters(unit) if len({p.unit for p in symbol.body.pins if p.unit}) > 1 else ""
    )


def _section_letters(unit: int) -> str:
    """1 -> A, 26 -> Z, 27 -> AA."""
    letters = ""
    while unit > 0:
        unit, rest = divmod(unit - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
