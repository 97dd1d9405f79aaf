"""A board known by beeps alone: which legs its parts have, and what is joined though nobody beeped it.

Bench notes name only legs that were touched. The rest follows from the part library, from what the letters of a
reference mean, and from what a marking says; ground and supply legs of known chips are one net each.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace

from tracer.base.findings import note
from tracer.base.names import natural_key
from tracer.netlist.board import Net, Netlist, Part, Pin, PinRef
from tracer.netlist.net_names import name_of_joined
from tracer.netlist.notes import Told
from tracer.netlist.rail_names import named_rail
from tracer.netlist.union_find import UnionFind
from tracer.parts.connectors import connector_types
from tracer.parts.identify import identify
from tracer.parts.kinds import Kind
from tracer.parts.library import Library
from tracer.parts.packs import MOST_LEGS

__all__ = ["all_legs", "traceable"]

#: Legs by the letters of a reference, where no part list says how many: what these letters mean is the trade's.
_LEGS = {
    "R": 2, "C": 2, "L": 2, "D": 2, "FB": 2, "F": 2, "LK": 2, "Q": 3, "TR": 3, "VR": 3, "RV": 3, "BC": 3,
}  # fmt: skip
_LETTERS = re.compile(r"[A-Z]+", re.IGNORECASE)
_COUNT = re.compile(r"(?<!\d)(\d{1,9})\s*-?\s*(?:legs|pins|leg|pin)\b", re.IGNORECASE)
_PACK = re.compile(r"(?<!\d)(\d{1,9})\s*x\s*\S+", re.IGNORECASE)
_SUPPLY = re.compile(r"VCC\d*|VDD\d*|\+?5V", re.IGNORECASE)

GROUND, SUPPLY = "GND", "+5V"


def all_legs(netlist: Netlist, library: Library) -> Netlist:
    """The board with every leg of every part on a net, a net of its own until it has beeped with another."""
    parts = tuple(_with_legs(part, netlist, library) for part in netlist.parts)
    return replace(netlist, parts=parts, nets=tuple(_nets(netlist, parts, library)))


def traceable(netlist: Netlist, library: Library, told: Iterable[Told] = ()) -> Netlist:
    """The board as far as it was beeped, with what a trace needs and nobody has to beep.

    Colour pins that are `told` (``J1.12``) stand on a net though nothing has beeped with them yet.
    A follower's collector that was not touched is taken to be on the supply, and it is said.
    """
    whole = all_legs(netlist, library)
    stated = {pin for net in netlist.nets for pin in net.pins}
    stated |= {where for where in told if isinstance(where, PinRef)}
    nets = {net.name: net for net in whole.nets if len(net.pins) > 1 or net.pins[0] in stated}
    findings = [
        note(
            "value-unread",
            f"{part.reference} is {part.marking}: a part has up to {MOST_LEGS} legs here, so only those that the notes name "
            "count",
            part.reference,
        )
        for part in netlist.parts
        if _told_legs(part) > MOST_LEGS
    ]
    for part in whole.parts:
        numbers = tuple(p.number for p in part.pins)
        known = identify(part, numbers, library, frozenset())
        if known.kind != Kind.TRANSISTOR or not any(PinRef(part.reference, n) in stated for n in numbers):
            continue
        for pin in known.type.pins:
            leg = PinRef(part.reference, pin.number)
            if leg in stated or pin.letter != "C":
                continue
            rail = GROUND if known.polarity == "pnp" else SUPPLY
            old = nets.get(rail, Net(rail, ()))
            nets[rail] = replace(old, pins=(*old.pins, leg))
            findings.append(
                note(
                    "assumed-supply",
                    f"{leg}, the collector of a follower, was not beeped and is taken to be on {rail}",
                    str(leg),
                )
            )
    return replace(whole, nets=tuple(nets.values()), findings=(*whole.findings, *findings))


def _with_legs(part: Part, netlist: Netlist, library: Library) -> Part:
    """A part with all its legs: those noted, its type's, or as many as its letters or its marking say."""
    known = {p.number: p for p in part.pins}
    for number in netlist.pins_of_parts.get(part.reference, ()):
        known.setdefault(number, Pin(number))
    for number in _numbers(part, tuple(known), library):
        known.setdefault(number, Pin(number))
    return replace(part, pins=tuple(known[n] for n in sorted(known, key=natural_key)))


def _numbers(part: Part, noted: tuple[str, ...], library: Library) -> list[str]:
    if told := _told_legs(part):
        return _row(told) if told <= MOST_LEGS else []
    letters_of = _letters(part)
    if letters_of in _LEGS:
        return _row(_LEGS[letters_of])
    for connector in connector_types():
        if any(connector.named.search(text) for text in (part.marking, part.symbol) if text):
            return list(connector.pins)
    return [p.number for p in identify(part, noted, library, frozenset()).type.pins]


def _told_legs(part: Part) -> int:
    """How many legs the marking says that there are; 0 where it says nothing of them."""
    if count := _COUNT.search(part.marking):
        return int(count[1])
    if _letters(part) in ("RN", "RA", "RP") and (pack := _PACK.match(part.marking)):
        n = int(pack[1])
        return 2 * n if "isolated" in part.marking.lower() else n + 1
    return 0


def _letters(part: Part) -> str:
    found = _LETTERS.match(part.reference)
    return found[0].upper() if found else ""


def _row(legs: int) -> list[str]:
    return [str(i + 1) for i in range(legs)]


def _nets(netlist: Netlist, parts: tuple[Part, ...], library: Library) -> Iterator[Net]:
    joined = UnionFind()
    for net in netlist.nets:
        for pin in net.pins:
            joined.union(net.pins[0], pin)
    rails: dict[str, PinRef] = {}
    for pin, name in _on_rails(netlist, parts, library):
        joined.union(rails.setdefault(name, pin), pin)
    known = {joined.find(net.pins[0]): net for net in reversed(netlist.nets) if net.pins and not net.is_alone}
    known |= {joined.find(anchor): Net(name, ()) for name, anchor in rails.items()}
    groups: dict[object, list[PinRef]] = {}
    for part in parts:
        for drawn in part.pins:
            leg = PinRef(part.reference, drawn.number)
            groups.setdefault(joined.find(leg), []).append(leg)
    for key, pins in groups.items():
        ordered = tuple(sorted(pins, key=lambda p: p.key))
        net = known.get(key) or Net(name_of_joined(ordered[0]), (), is_named=False)
        yield Net(net.name, ordered, is_named=net.is_named)


def _on_rails(netlist: Netlist, parts: tuple[Part, ...], library: Library) -> Iterator[tuple[PinRef, str]]:
    """Legs on ground and on the logic supply: by the library, and by the names of nets."""
    for part in parts:
        yield from _supply_legs(part, library)
    for net in netlist.nets:
        named = named_rail(net)
        if named is not None and (named.is_ground or net.name in (SUPPLY, "VCC")):
            yield from ((pin, GROUND if named.is_ground else SUPPLY) for pin in net.pins[:1])


def _supply_legs(part: Part, library: Library) -> Iterator[tuple[PinRef, str]]:
    known = identify(part, tuple(p.number for p in part.pins), library, frozenset())
    if known.known_by != "library" or not part.fitted:
        return
    supplies = [p for p in known.type.pins if p.role == "supply"]
    for pin in known.type.pins:
        if pin.role == "ground":
            yield PinRef(part.reference, pin.number), GROUND
        elif pin.role == "supply" and (len(supplies) == 1 or _SUPPLY.fullmatch(pin.name)):
            yield PinRef(part.reference, pin.number), SUPPLY
