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
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

from tracer.base.errors import PinNotFoundError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key, similar_names

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
    "Touch",
    "check_netlist",
    "make_netlist",
    "pin_groups",
    "with_markings",
]


class Origin(NamedTuple):
    """Where a fact was read: file, line and column, counted from 1."""

    file: str
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        return ":".join(str(x) for x in self if x is not None)


class PinRef(NamedTuple):
    """A pin of a placed part: reference and pin number."""

    part: str
    pin: str

    def __str__(self) -> str:
        return f"{self.part}.{self.pin}"

    @property
    def key(self) -> tuple[object, object]:
        """Natural sort key."""
        return natural_key(self.part), natural_key(self.pin)


@dataclass(frozen=True, slots=True)
class Pin:
    """One pin as the drawing describes it.

    Attributes
    ----------
    number : str
        The leg: ``"11"``, ``"N"``, ``"AF16"``.
    name : str
        As drawn, overbars and all; empty when the form has none.
    kind : str
        KiCad's word (input, output, tri_state, bidirectional, passive,
        open_collector, power_in ...); empty when the form has none.
    """

    number: str
    name: str = ""
    kind: str = ""


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


@dataclass(frozen=True, slots=True)
class Net:
    """Pins that a track joins."""

    name: str
    pins: tuple[PinRef, ...]
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Evidence:
    """Something seen or measured on the board, as noted.

    Attributes
    ----------
    kind : str
        seen, read, swapped, measured.
    where : tuple of str
        Pins or parts it is about; for seen, nothing.
    words : str
        What was noted.
    origin : Origin or None
    """

    kind: str
    where: tuple[str, ...]
    words: str
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Touch:
    """One line of beeps: legs that beep together, or two that do not.

    Attributes
    ----------
    pins : tuple of PinRef
        As noted; the first is the one on which the lead was held.
    heard : bool
        Whether it beeped.
    origin : Origin or None
    """

    pins: tuple[PinRef, ...]
    heard: bool
    origin: Origin | None = None


@dataclass(frozen=True, slots=True)
class Notes:
    """What bench notes say beyond parts and nets.

    Attributes
    ----------
    colour_pins : tuple of (str, str)
        Colour, and ``REF.PIN`` or ``net:NAME``.
    apart : tuple of (PinRef, PinRef)
        Pins between which no beep was heard.
    evidence : tuple of Evidence
        Oldest first.
    touches : tuple of Touch
        The beeps that nets and `apart` were made from, oldest first.
    """

    colour_pins: tuple[tuple[str, str], ...] = ()
    apart: tuple[tuple[PinRef, PinRef], ...] = ()
    evidence: tuple[Evidence, ...] = ()
    touches: tuple[Touch, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.colour_pins or self.apart or self.evidence)


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
    """

    name: str
    parts: tuple[Part, ...]
    nets: tuple[Net, ...]
    inputs: tuple[Input, ...] = ()
    findings: tuple[Finding, ...] = field(default=())
    notes: Notes = Notes()
    beeped: bool = False

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
    nets: Iterable[tuple[str, Iterable[PinRef], Origin | None]],
    *,
    inputs: tuple[Input, ...] = (),
    findings: Iterable[Finding] = (),
    notes: Notes = Notes(),
    beeped: bool = False,
) -> Netlist:
    """Build a `Netlist` that keeps the promises of this module's head.

    Parts that share a reference are reported and the first is kept, with the
    pins of all. Nets that share a name to the letter are one net.
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
    merged: dict[str, tuple[dict[PinRef, None], Origin | None]] = {}
    for net_name, pins, origin in nets:
        kept, first_origin = merged.setdefault(net_name, ({}, origin))
        kept.update(dict.fromkeys(pins))
        merged[net_name] = (kept, first_origin)
    return Netlist(
        name=name,
        parts=tuple(sorted(by_reference.values(), key=lambda p: natural_key(p.reference))),
        nets=tuple(
            Net(n, tuple(sorted(pins, key=lambda p: p.key)), origin)
            for n, (pins, origin) in sorted(merged.items(), key=lambda item: natural_key(item[0]))
        ),
        inputs=inputs,
        findings=tuple(found),
        notes=notes,
        beeped=beeped,
    )


def check_netlist(netlist: Netlist) -> tuple[Finding, ...]:
    """All that is odd about a netlist, its reader's findings first."""
    return (*netlist.findings, *_odd(netlist))


def _odd(netlist: Netlist) -> Iterator[Finding]:
    for pin, nets in netlist.nets_of_pins.items():
        if len(nets) > 1:
            yield warning(
                "pin-on-two-nets",
                f"{pin} is listed on {len(nets)} nets: {', '.join(nets)}; they were not joined. If one is a slip, beep the "
                "leg to both",
                str(pin),
                *nets,
            )
    folded: dict[str, list[str]] = {}
    for net in netlist.nets:
        folded.setdefault(net.name.upper(), []).append(net.name)
    for twins in folded.values():
        if len(twins) > 1:
            yield note(
                "case-twins", f"nets {' and '.join(twins)} differ only in case; they were kept apart", *twins
            )
    undeclared = sorted(set(netlist.pins_of_parts) - set(netlist.by_reference), key=natural_key)
    if undeclared:
        yield note(
            "undeclared-part",
            f"{len(undeclared)} part(s) stand in nets but not in the part list, so nothing says what they are: "
            f"{', '.join(undeclared[:8])}{' ...' if len(undeclared) > 8 else ''}; tell it with --part "
            f"{undeclared[0]}=MARKING, or give the part list too",
            *undeclared,
        )
    if not any(len(net.pins) > 1 for net in netlist.nets):
        yield warning(
            "nothing-connected",
            f"no net of {netlist.name} joins two pins, so nothing can be traced; is it a part list without its net list?",
        )
    for a, b in netlist.notes.apart:
        shared = set(netlist.nets_of_pins.get(a, ())) & set(netlist.nets_of_pins.get(b, ()))
        if shared:
            yield warning(
                "contradiction",
                f"no beep was heard between {a} and {b}, but both stand on {min(shared)}: an open joint or track, or the "
                "drawing is wrong",
                str(a),
                str(b),
            )
    loose = [p.reference for p in netlist.parts if p.reference.endswith("?")]
    if loose:
        yield warning(
            "unannotated", f"parts without a number: {', '.join(loose)}; number them in the drawing", *loose
        )


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
