"""The tables of a page: the map, the legs of each part, the index; rows know the paths they stand on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Literal

from tracer.base.names import natural_key, readable_name
from tracer.base.text import bits_words, clean, leg
from tracer.bitmap.model import Colour, ColourState
from tracer.bitmap.text import driven_by_text, resistors_text, source_text, when_text
from tracer.card.chip_values import LegView
from tracer.levels.leg_values import LegReading, LegRole
from tracer.levels.words import cause_text
from tracer.page.items import Items, feeds_text, net_text
from tracer.page.paths import LegKey, as_spans
from tracer.page.text import ohms_words

__all__ = [
    "BitRow",
    "ColourTable",
    "IndexTable",
    "LegRow",
    "OtherLeg",
    "PartTable",
    "colour_tables",
    "index_tables",
    "part_tables",
    "reading_words",
]

#: What a leg is to the picture: its role, or what stands for one where it has no reading.
_Use = LegRole | Literal["write path", "end", "between"]
_DOES: Mapping[_Use, str] = {
    "source": "stores it",
    "data in": "in",
    "data out": "out",
    "control": "control",
    "colour pin": "colour pin",
    "write path": "write path",
    "end": "the way ends here",
    "between": "passes it on",
}
#: What to tell of a leg of a write path beside its reading.
_BESIDE = ("by it the memory is written",)


@dataclass(frozen=True, slots=True)
class BitRow:
    """A bit in the map's table; `item` and `paths` as the script reads them."""

    item: int
    paths: str
    tag: str
    number: int
    weight: str
    resistors: str
    driver: str
    steps: str
    source: str
    more: int
    because: str


@dataclass(frozen=True, slots=True)
class ColourTable:
    """A colour with its bits, and in words what a selector shows of it under other levels."""

    name: str
    item: int
    pin: str
    levels: str
    bits: tuple[BitRow, ...]
    states: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LegRow:
    """A leg: what it does, where it leads, what it should read; `is_side`: it gates the bits and does not carry them."""

    item: int
    paths: str
    pin: str
    name: str
    does: str
    bits: str
    net: str
    net_item: int | None
    reads: tuple[str, ...]
    is_side: bool


@dataclass(frozen=True, slots=True)
class PartTable:
    """A part with the legs that the bits pass."""

    item: int
    paths: str
    part: str
    what: str
    feeds: str
    rows: tuple[LegRow, ...]
    power: str
    others: tuple[OtherLeg, ...]


@dataclass(frozen=True, slots=True)
class OtherLeg:
    """A leg of a chip beside the paths."""

    item: int
    pin: str
    name: str
    role: str
    net: str
    net_item: int | None


@dataclass(frozen=True, slots=True)
class IndexTable:
    """The address legs of a memory: leg, net, what drives it."""

    part: str
    rows: tuple[tuple[str, str, str], ...]


def colour_tables(items: Items) -> list[ColourTable]:
    """The map, heaviest bit first."""
    found = []
    for index, colour in enumerate(items.map.colours):
        rows = []
        for bit in colour.bits:
            item = items.get("bit", colour.name, str(bit.bit))
            assert item is not None
            path = bit.main_path
            steps = (
                " ".join(
                    f"{s.part}.{s.source_pin}-{s.target_pin}{' (turned over)' if s.inverts else ''}"
                    for s in reversed(path.steps)
                )
                if path
                else ""
            )
            rows.append(
                BitRow(
                    item.number, as_spans(item.paths), items.tag(index, bit.bit), bit.bit, f"{bit.weight:.1%}",
                    clean(resistors_text(bit)), clean(leg(bit.driver.part, bit.driver.pin, readable_name(bit.driver.name))),
                    clean(steps), clean(source_text(path.source)) if path else "nothing",
                    max(0, sum(p.role != "write path" for p in bit.paths) - 1), clean(bit.because or ""),
                )
            )  # fmt: skip
        own = items.get("colour", colour.name)
        assert own is not None
        pin = leg(colour.pin.part, colour.pin.pin or "") if colour.pin.part else f"net {colour.pin.net}"
        levels = f"{colour.levels} levels" if colour.levels else "levels not known"
        levels += f", when {when_text(colour.when)}" if colour.when else ""
        states = tuple(clean(_state_text(colour, state)) for state in colour.states)
        found.append(
            ColourTable(clean(colour.name), own.number, clean(pin), clean(levels), tuple(rows), states)
        )
    return found


def _state_text(colour: Colour, state: ColourState) -> str:
    """``when U5.9 high: red 0 from U4.11 D0 over R1 470R``, a state of an analogue selector."""
    bits = (
        f"{bits_words([(colour.name, bit.bit)])} from "
        f"{source_text(bit.main_path.source) if bit.main_path else 'nothing'} over {resistors_text(bit)}"
        for bit in state.bits
    )
    return f"when {when_text(state.when)}: {'; '.join(bits)}"


def part_tables(items: Items) -> list[PartTable]:
    """Parts in the order of the picture: from the memory to the connector, then the write paths."""
    readings = {(r.part, r.pin): r for r in items.page.legs}
    legs: dict[str, dict[LegKey, None]] = {}
    for path in items.paths:
        for key in path.legs:
            legs.setdefault(key[0], {})[key] = None
    for key in readings:
        legs.setdefault(key[0], {})[key] = None
    for colour in items.map.colours:
        if colour.pin.part and colour.pin.pin:
            legs.setdefault(colour.pin.part, {})[colour.pin.part, colour.pin.pin] = None
    depth = _depths(items)
    order = sorted(legs, key=lambda p: (-depth.get(p, 0.0), natural_key(p)))
    return [_part(items, part, legs[part], readings) for part in order]


def _depths(items: Items) -> dict[str, float]:
    """Part -> how far from the connector it stands; less than none for parts of write paths only."""
    found: dict[str, float] = {}
    for path in items.paths:
        for back, (part, _) in enumerate(reversed(path.legs), start=1):
            if path.role == "write path":
                found.setdefault(part, -1.0)
            else:
                found[part] = max(found.get(part, 0.0), float(back))
    return found


def _part(items: Items, part: str, legs: Iterable[LegKey], readings: dict[LegKey, LegReading]) -> PartTable:
    item = items.get("part", part)
    assert item is not None
    own = sorted(legs, key=lambda k: natural_key(k[1]))
    view = next((c for c in items.page.chips if c.part == part), None)
    beside = [g for g in view.legs if (part, g.number) not in own] if view else []
    return PartTable(
        item.number,
        as_spans(item.paths),
        clean(part),
        "; ".join(item.says),
        feeds_text(items, item.paths),
        tuple(_leg(items, key, readings.get(key)) for key in own),
        clean(", ".join(f"{g.role} {g.number}" for g in beside if g.role in ("supply", "ground"))),
        tuple(_other(items, part, g) for g in beside),
    )


def _other(items: Items, part: str, view: LegView) -> OtherLeg:
    item = items.get("leg", part, view.number)
    assert item is not None
    net = items.get("net", view.net) if view.net is not None else None
    tied = {0: ", tied low", 1: ", tied high"}.get(view.tied if view.tied is not None else -1, "")
    role = f"{view.role or 'not known'}{tied}" + (f", driven by {view.driver}" if view.driver else "")
    shown = net_text(view.net) if view.net is not None else "not stated"
    return OtherLeg(
        item.number, clean(view.number), clean(readable_name(view.name)), clean(role), shown,
        net.number if net else None,
    )  # fmt: skip


def _leg(items: Items, key: LegKey, reading: LegReading | None) -> LegRow:
    item = items.get("leg", *key)
    assert item is not None
    net = items.net_of.get(key)
    net_item = items.get("net", net) if net is not None else None
    use: _Use = reading.role if reading else _use(items, key)
    reads = reading_words(reading)
    if reading is None and net is not None:
        # One net has one reading, whichever of its legs the probe is on.
        like = next((r for r in items.page.legs if r.net == net), None)
        reads = (*reading_words(like), f"one net with {like.part}.{like.pin}") if like else ()
    if use == "write path":
        reads = (*reads, *_BESIDE)
    return LegRow(
        item.number, as_spans(item.paths), clean(key[1]), clean(readable_name(items.leg_names.get(key, ""))), _DOES[use],
        _tags(items, item.paths), net_text(net) if net else "not stated",
        net_item.number if net_item else None, tuple(map(clean, reads)), use == "control",
    )  # fmt: skip


def _use(items: Items, key: LegKey) -> _Use:
    """What a leg does that has no reading: it stands on a write path alone, or is a path's end."""
    paths = [w for w in items.paths if key in w.legs]
    if all(w.role == "write path" for w in paths):
        return "write path"
    return "end" if any(w.legs[:1] == (key,) for w in paths) else "between"


def _tags(items: Items, paths: Iterable[int]) -> str:
    found: dict[int, set[int]] = {}
    for number in paths:
        path = items.paths[number]
        found.setdefault(path.colour, set()).add(path.bit)
    return clean(
        bits_words(
            (items.map.colours[colour].name, bit)
            for colour in sorted(found)
            for bit in sorted(found[colour], reverse=True)
        )
    )


def reading_words(reading: LegReading | None) -> tuple[str, ...]:
    """What to expect at a leg, board on and board off, a line each."""
    if reading is None:
        return ()
    lines = [reading.activity + (f" ({cause_text(reading.cause)})" if reading.cause else "")]
    levels = [
        f"{name} {low:.2f} V" if f"{low:.2f}" == f"{high:.2f}" else f"{name} {low:.2f} to {high:.2f} V"
        for name, ends in (("low", reading.low), ("high", reading.high))
        if ends is not None
        for low, high in [ends]
    ]
    if levels:
        lines.append(", ".join(levels))
    if reading.to_ground is not None:
        lines.append(f"board off: {ohms_words(reading.to_ground)} to ground")
    if reading.neighbour and reading.to_neighbour is not None:
        lines.append(f"{ohms_words(reading.to_neighbour)} to {reading.neighbour}")
    return tuple(clean(line) for line in lines)


def index_tables(items: Items) -> list[IndexTable]:
    """Address legs of the memories."""
    return [
        IndexTable(
            clean(index.part),
            tuple(
                (
                    clean(leg(index.part, line.pin, readable_name(line.name))),
                    net_text(line.net or "not stated"),
                    clean(driven_by_text(line)),
                )
                for line in index.lines
            ),
        )
        for index in items.map.index
    ]
