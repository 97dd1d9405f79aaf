"""A traced board, or a saved map and the part library -> its chips and connectors as seen at the bench."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from tracer.base.names import natural_key, readable_name
from tracer.base.once import once
from tracer.bitmap.model import BitMap, Chip
from tracer.card.chip_values import (
    DIP_COUNTS,
    ChipView,
    ConnectorPin,
    ConnectorView,
    LegMark,
    LegView,
    Outline,
)
from tracer.circuit.graph import Circuit
from tracer.parts.library import Library
from tracer.parts.model import PartType
from tracer.tracing.pipeline import Traced

__all__ = ["chip_views", "chip_views_of_map", "connector_views"]

#: Words in the name of a land pattern of packages whose legs do not stand in two rows.
_NOT_TWO_ROWS = re.compile(r"PLCC|QFP|QFN|SIP|SIL|PGA|BGA|ZIP|TO-?\d|PinHeader|Connector", re.IGNORECASE)
_SYNC = re.compile(r".*(SYNC|SYN\b|[HVC]S\b)", re.IGNORECASE)


@once
def chip_views(traced: Traced) -> tuple[ChipView, ...]:
    """The chips of the path in the order of the map, those of write paths last."""
    circuit = traced.circuit
    carried = _Carried.of(traced.bit_map)
    views = []
    for chip in _ordered(traced.bit_map):
        known = circuit.identified.get(chip.part)
        if known is None or known.kind == "connector":
            continue
        numbers = {*known.type.by_number, *circuit.netlist.pins_of_parts.get(chip.part, ())}
        from_library = known.known_by == "library"
        is_whole = from_library or bool(known.part.pins)
        wires = {}
        for number in numbers:
            net = circuit.net_of(chip.part, number)
            wires[number] = _Wire(net, circuit.tied_level(net), _driver(circuit, chip.part, number))
        view = _view(chip, carried, known.type, wires)
        views.append(
            replace(
                view,
                marking=known.part.marking or chip.sold_as,
                outline=_outline(numbers, known.part.footprint) if is_whole else "list",
                is_whole=is_whole,
                confirmed=bool(known.type.confirmed) or not from_library,
            )
        )
    return tuple(views)


def chip_views_of_map(bit_map: BitMap, library: Library) -> tuple[ChipView, ...]:
    """The same from a saved map, which has no leg tables.

    Where the library has a type of the map's name whose legs bear the names that the map gives, they are
    the library's; else only the legs that the map names are there and `is_whole` is False.
    """
    carried = _Carried.of(bit_map)
    views = []
    for chip in _ordered(bit_map):
        if chip.does == "connector":
            continue
        known = library.find(chip.type)
        named = carried.names.get(chip.part, {})
        if known is not None and not _agrees(known, named):
            known = None
        numbers = {*(known.by_number if known else ()), *named}
        wires = {
            n: _Wire(
                carried.nets.get((chip.part, n)),
                carried.tied.get((chip.part, n)),
                carried.drivers.get((chip.part, n), ""),
            )
            for n in numbers
        }
        view = _view(chip, carried, known, wires)
        if known is not None:
            view = replace(
                view, outline=_outline(numbers, ""), is_whole=True, confirmed=bool(known.confirmed)
            )
        views.append(view)
    return tuple(views)


def _agrees(known: PartType, named: Mapping[str, str]) -> bool:
    """Whether a type has all legs that a map names, under the same names."""
    return all(n in known.by_number and name in ("", known.by_number[n].name) for n, name in named.items())


def connector_views(bit_map: BitMap, circuit: Circuit | None = None) -> tuple[ConnectorView, ...]:
    """The connectors that the colours leave by; without a circuit only their colour pins are known."""
    views = []
    for part in dict.fromkeys(c.pin.part for c in bit_map.colours):
        colours = {c.pin.pin or c.pin.net: (c.name, c.pin) for c in bit_map.colours if c.pin.part == part}
        known = circuit.identified.get(part) if circuit and part else None
        numbers = circuit.netlist.pins_of_parts.get(part, ()) if circuit and part else ()
        pins = []
        for number in sorted({*numbers, *colours}, key=natural_key):
            colour, pin = colours.get(number, ("", None))
            leg = known.type.by_number.get(number) if known else None
            net = pin.net if pin else circuit.net_of(part, number) if circuit and part else None
            name = readable_name((leg.name if leg else "") or (pin.name if pin else ""))
            use = "colour" if colour else _use(circuit, net, name)
            pins.append(ConnectorPin(number if part else "", name, net, use, colour))
        views.append(
            ConnectorView(
                part,
                known.part.marking if known else "",
                (known.part.place or None) if known else None,
                tuple(pins),
                is_whole=bool(numbers) and known is not None and bool(known.part.pins),
            )
        )
    return tuple(views)


def _use(circuit: Circuit | None, net: str | None, name: str) -> str:
    if circuit is not None and net is not None and net in circuit.rails:
        return "ground" if circuit.rails[net].is_ground else "supply"
    if any(_SYNC.match(word) for word in (name, circuit.given_name(net) if circuit and net else "")):
        return "sync"
    return ""


@dataclass
class _Carried:
    """What the paths of a map say of legs, by part and pin."""

    marks: dict[tuple[str, str], list[LegMark]] = field(default_factory=dict)
    of_part: dict[str, list[LegMark]] = field(default_factory=dict)
    controls: set[tuple[str, str]] = field(default_factory=set)
    nets: dict[tuple[str, str], str] = field(default_factory=dict)
    names: dict[str, dict[str, str]] = field(default_factory=dict)
    drivers: dict[tuple[str, str], str] = field(default_factory=dict)
    tied: dict[tuple[str, str], int] = field(default_factory=dict)

    @classmethod
    def of(cls, bit_map: BitMap) -> _Carried:
        found = cls()
        for colour in bit_map.colours:
            for bit in colour.bits:
                mark = LegMark(colour.name, bit.bit)
                found._mark(bit.driver.part, bit.driver.pin, mark, bit.driver.name)
                for path in bit.paths:
                    if path.role == "write path":
                        continue
                    for step in path.steps:
                        found._mark(step.part, step.target_pin, mark)
                        found._mark(step.part, step.source_pin, mark)
                        for control in step.controls:
                            found.controls.add((step.part, control.pin))
                            found.names.setdefault(step.part, {})[control.pin] = control.name
                            if control.net is not None:
                                found.nets[step.part, control.pin] = control.net
                    if path.source.part and path.source.pin:
                        found._mark(path.source.part, path.source.pin, mark, path.source.name)
        for memory in bit_map.index:
            for line in memory.lines:
                found.names.setdefault(memory.part, {})[line.pin] = line.name
                if len(line.drivers) == 1 and line.over is None:
                    driver = line.drivers[0]
                    found.drivers[memory.part, line.pin] = f"{driver.part}.{driver.pin}"
                if line.level is not None:
                    found.tied[memory.part, line.pin] = line.level
                if line.net is not None:
                    found.nets[memory.part, line.pin] = line.net
        return found

    def _mark(self, part: str, pin: str, mark: LegMark, name: str = "") -> None:
        for marks in (self.marks.setdefault((part, pin), []), self.of_part.setdefault(part, [])):
            if mark not in marks:
                marks.append(mark)
        names = self.names.setdefault(part, {})
        names[pin] = names.get(pin, "") or name


def _driver(circuit: Circuit, part: str, pin: str) -> str:
    net = circuit.net_of(part, pin)
    known = circuit.identified[part].type
    if net is None or net in circuit.rails or known.drives(pin):
        return ""
    drivers = circuit.drivers_of(net)
    if not drivers:
        drivers = tuple(ref for ref, other in circuit.parts_on(net) if other.kind == "connector")
    return str(drivers[0]) if len(drivers) == 1 else ""


def _ordered(bit_map: BitMap) -> list[Chip]:
    return sorted(bit_map.chips, key=lambda chip: not chip.is_on_path)


def _outline(numbers: set[str], footprint: str) -> Outline:
    n = len(numbers)
    two_rows = n in DIP_COUNTS and numbers == {str(i) for i in range(1, n + 1)}
    return "dip" if two_rows and not _NOT_TWO_ROWS.search(footprint) else "list"


class _Wire(NamedTuple):
    """What a leg stands on: net, level it is tied to, the one leg that drives it."""

    net: str | None
    tied: int | None
    driver: str


def _view(chip: Chip, carried: _Carried, known: PartType | None, wires: Mapping[str, _Wire]) -> ChipView:
    """A list of legs, as far as the input tells them; those who know more say so."""
    names: Mapping[str, str] = carried.names.get(chip.part, {})
    legs = []
    for number in sorted(wires, key=natural_key):
        leg = known.by_number.get(number) if known else None
        legs.append(
            LegView(
                number,
                readable_name((leg.name if leg else "") or names.get(number, "")),
                leg.role.replace("_", " ") if leg else "",
                tuple(carried.marks.get((chip.part, number), ())),
                (chip.part, number) in carried.controls,
                *wires[number],
            )
        )
    return ChipView(
        chip.part,
        chip.type,
        chip.sold_as,
        chip.place,
        chip.does,
        known.what if known else "",
        "list",
        tuple(legs),
        tuple(carried.of_part.get(chip.part, ())),
        is_whole=False,
        confirmed=False,
    )
