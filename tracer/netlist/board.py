"""The netlist: what every importer returns.

Specification
-------------
A `Netlist` is a board as drawn: parts with their pins, and nets, each a set of
pins that a track joins. It is frozen, and every thing in it knows its
`Origin`.

1. Parts are in natural order of their references; a reference occurs once.
2. A net holds pins as `PinRef` (part, pin number), in natural order, none
   twice. Two nets have different names, compared to the letter.
3. A pin may stand on no net: it is *not stated*. A pin on a net of its own is
   *stated to be alone*. The two are different, and no reader makes one into
   the other.
4. A pin on two nets is legal and is reported by `check_netlist`; the nets are
   not merged.
5. A net may name a part that no part list declares (`check_netlist` says so).
6. `findings` are what the reader had to say; they travel with the board.
7. A net is *named* when a person named it. Whether one did is settled here, once, for all who read something out
   of a net's name (a colour, a supply): `Net.is_named`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from tracer.base.errors import PinNotFoundError
from tracer.base.findings import Finding, warning
from tracer.base.names import last_part, natural_key, similar_names
from tracer.netlist.net_names import is_made, says_alone
from tracer.netlist.notes import NO_NOTES, Evidence, Notes, Touch
from tracer.netlist.pins import Origin, Pin, PinRef
from tracer.netlist.spots import Segment, Spot

__all__ = [
    "Evidence",
    "Input",
    "Net",
    "Netlist",
    "Notes",
    "Origin",
    "Part",
    "Pin",
    "PinRef",
    "Segment",
    "Spot",
    "Touch",
    "make_netlist",
    "pin_groups",
    "with_markings",
]


@dataclass(frozen=True, slots=True)
class Part:
    """One component.

    Attributes
    ----------
    reference : str
        ``U9``.
    marking : str
        What is printed on it or typed as its value: ``SN74LS273N``, ``470``.
    symbol : str
        Name of the symbol it was drawn with, if any: ``74LS273``.
    library : str
        Library of that symbol.
    footprint, place : str
        Land pattern; where on the board it sits (``7E``).
    pins : tuple of Pin
        The pins that the drawing declares; may be empty or incomplete.
    fitted : bool
        False when it is marked as not fitted.
    origin : Origin or None
        Where it was read.
    spot : Spot or None
        Where it sits on the board, where a board drawing tells it.
    """

    reference: str
    marking: str = ""
    symbol: str = ""
    library: str = ""
    footprint: str = ""
    place: str = ""
    pins: tuple[Pin, ...] = ()
    fitted: bool = True
    origin: Origin | None = None
    spot: Spot | None = None


@dataclass(frozen=True, slots=True)
class Net:
    """Pins that a track joins.

    Attributes
    ----------
    name : str
        As in the file, with the sheets and the board it lies in.
    pins : tuple of PinRef
    origin : Origin or None
    is_named : bool
        Whether a person gave the name; one that a program made says nothing (`tracer.netlist.net_names`).
    is_alone : bool
        Whether the name says that the pin is joined to nothing.
    """

    name: str
    pins: tuple[PinRef, ...]
    origin: Origin | None = None
    is_named: bool = True
    is_alone: bool = False

    @property
    def given_name(self) -> str:
        """The name that a person gave, without the sheets that the net lies in; empty where a program made it."""
        return last_part(self.name) if self.is_named else ""


@dataclass(frozen=True, slots=True)
class Input:
    """One file that was read: its name, its format, its SHA-256 in hexadecimal."""

    file: str
    format: str
    sha256: str


@dataclass(frozen=True)
class Netlist:
    """A board. See the head of this module for what holds of it; `make_netlist` builds one.

    `beeped` says that its nets were measured with a meter: each net is then part of a net that may be larger.
    `outline` is the board's edge, where a board drawing tells it.
    """

    name: str
    parts: tuple[Part, ...]
    nets: tuple[Net, ...]
    inputs: tuple[Input, ...] = ()
    findings: tuple[Finding, ...] = field(default=())
    notes: Notes = NO_NOTES
    beeped: bool = False
    outline: tuple[Segment, ...] = ()

    @cached_property
    def by_reference(self) -> Mapping[str, Part]:
        """Reference -> part."""
        return {part.reference: part for part in self.parts}

    @cached_property
    def by_net_name(self) -> Mapping[str, Net]:
        """Name -> net."""
        return {net.name: net for net in self.nets}

    @cached_property
    def nets_of_pins(self) -> Mapping[PinRef, tuple[str, ...]]:
        """Pin -> names of the nets it stands on; more than one is reported by `check_netlist`."""
        found: dict[PinRef, tuple[str, ...]] = {}
        for net in self.nets:
            for pin in net.pins:
                found[pin] = (*found.get(pin, ()), net.name)
        return found

    @cached_property
    def pins_of_parts(self) -> Mapping[str, tuple[str, ...]]:
        """Reference -> all pin numbers that are declared or stand on a net, in natural order."""
        numbers: dict[str, set[str]] = {part.reference: {p.number for p in part.pins} for part in self.parts}
        for net in self.nets:
            for pin in net.pins:
                numbers.setdefault(pin.part, set()).add(pin.pin)
        return {ref: tuple(sorted(found, key=natural_key)) for ref, found in numbers.items()}

    def net_of(self, pin: PinRef) -> str | None:
        """The first net that `pin` stands on, or None when it is not stated."""
        nets = self.nets_of_pins.get(pin)
        return nets[0] if nets else None

    def find_pin(self, part: str, pin: str) -> PinRef:
        """Find a pin that a person named, in any case of letters.

        Raises
        ------
        PinNotFoundError
            No such part or no such pin; names the nearest ones.
        """
        reference = _find(part, list(self.pins_of_parts))
        if reference is None:
            raise PinNotFoundError(
                f"there is no part {part} on this board",
                fix=_nearest("parts", similar_names(part, list(self.pins_of_parts))),
            )
        number = _find(pin, list(self.pins_of_parts[reference]))
        if number is None:
            drawn = self.by_reference.get(reference, Part(reference)).pins
            same = [p.number for p in drawn if p.name and p.name.upper() == pin.upper()]
            if len(same) > 1:
                raise PinNotFoundError(
                    f"several pins of {reference} are called {pin}",
                    fix=f"say which one: {' '.join(same[:40])}",
                )
            number = same[0] if same else None
        if number is None:
            have = " ".join(self.pins_of_parts[reference][:40]) or "none"
            raise PinNotFoundError(f"part {reference} has no pin {pin}", fix=f"its pins are: {have}")
        return PinRef(reference, number)

    def find_net(self, name: str) -> str:
        """Find a net that a person named: to the letter, else in any case, else by the end of its name.

        Raises
        ------
        PinNotFoundError
            No net, or several, of that name; names them.
        """
        names = [net.name for net in self.nets]
        if name in self.by_net_name:
            return name
        for same in (
            [n for n in names if n.upper() == name.upper()],
            [n for n in names if n.rsplit("/", 1)[-1].upper() == name.rsplit("/", 1)[-1].upper()],
        ):
            if len(same) == 1:
                return same[0]
            if same:
                raise PinNotFoundError(
                    f"several nets are called {name}", fix="say which one: " + ", ".join(sorted(same)[:8])
                )
        raise PinNotFoundError(
            f"there is no net {name} on this board", fix=_nearest("nets", similar_names(name, names))
        )


def _find(name: str, known: list[str]) -> str | None:
    if name in known:
        return name
    same = [k for k in known if k.upper() == name.upper()]
    return same[0] if len(same) == 1 else None


def _nearest(what: str, names: list[str]) -> str:
    return f"the nearest {what} are: {', '.join(names)}" if names else f"no {what} have a name like it"


def make_netlist(
    name: str,
    parts: Iterable[Part],
    nets: Iterable[Net | tuple[str, Iterable[PinRef], Origin | None]],
    *,
    inputs: tuple[Input, ...] = (),
    findings: Iterable[Finding] = (),
    notes: Notes = NO_NOTES,
    beeped: bool = False,
    outline: tuple[Segment, ...] = (),
) -> Netlist:
    """Build a `Netlist` that keeps the promises of this module's head.

    Parts that share a reference are reported and the first is kept, with the
    pins of all. Nets that share a name to the letter are one net. A net whose
    naming is known comes as `Net`; of the others the name tells.
    """
    found = list(findings)
    by_reference: dict[str, Part] = {}
    for part in parts:
        first = by_reference.get(part.reference)
        if first is None:
            by_reference[part.reference] = part
            continue
        if (first.marking, first.symbol) != (part.marking, part.symbol):
            where = [str(o) for o in (first.origin, part.origin) if o]
            found.append(
                warning(
                    "duplicate-part",
                    f"two parts are called {part.reference}: {first.marking or first.symbol} and "
                    f"{part.marking or part.symbol}; the first is kept, the pins of both are on it",
                    part.reference,
                    *where,
                )
            )
        known = {p.number for p in first.pins}
        extra = tuple(p for p in part.pins if p.number not in known)
        by_reference[part.reference] = replace(first, pins=first.pins + extra)
    merged: dict[str, tuple[Net, dict[PinRef, None]]] = {}
    for each in nets:
        net = each if isinstance(each, Net) else _as_told(*each)
        first_net, kept = merged.setdefault(net.name, (net, {}))
        kept.update(dict.fromkeys(net.pins))
        if net.is_named and not first_net.is_named:
            merged[net.name] = replace(first_net, is_named=True), kept
    return Netlist(
        name=name,
        parts=tuple(sorted(by_reference.values(), key=lambda p: natural_key(p.reference))),
        nets=tuple(
            replace(net, pins=tuple(sorted(kept, key=lambda p: p.key)))
            for _, (net, kept) in sorted(merged.items(), key=lambda item: natural_key(item[0]))
        ),
        inputs=inputs,
        findings=tuple(found),
        notes=notes,
        beeped=beeped,
        outline=outline,
    )


def _as_told(name: str, pins: Iterable[PinRef], origin: Origin | None) -> Net:
    """A net of which nothing but the name tells whether a person gave it."""
    known = tuple(pins)
    return Net(name, known, origin, is_named=not is_made(name, known), is_alone=says_alone(name))


def with_markings(netlist: Netlist, markings: Mapping[str, str]) -> Netlist:
    """The same board with the markings of some parts replaced or added.

    Raises
    ------
    PinNotFoundError
        A reference that stands neither in the part list nor in a net.
    """
    parts = dict(netlist.by_reference)
    for wanted, marking in markings.items():
        reference = _find(wanted, list(netlist.pins_of_parts))
        if reference is None:
            raise PinNotFoundError(
                f"there is no part {wanted} on this board",
                fix=_nearest("parts", similar_names(wanted, list(netlist.pins_of_parts))),
            )
        old = parts.get(reference, Part(reference))
        parts[reference] = replace(old, marking=marking, symbol="", library="")
    return replace(netlist, parts=tuple(sorted(parts.values(), key=lambda p: natural_key(p.reference))))


def pin_groups(netlist: Netlist, *, at_least: int = 1) -> frozenset[frozenset[PinRef]]:
    """The nets as sets of pins, without their names: what two readings of one design must share."""
    return frozenset(frozenset(net.pins) for net in netlist.nets if len(net.pins) >= at_least)
