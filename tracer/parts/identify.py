"""A part as drawn -> what it is: a type with pins and arcs, and how that is known.

The order of trust: a type the user told; a symbol that says resistor,
connector and the like; the marking, then the symbol's name, looked up in the
library and checked against the drawn pins; marking patterns of chips whose legs
the library does not list; the reference's letters; the drawn pin names; and
last a part without an entry, with what the drawing says of its pins.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from tracer.base.findings import Finding, note, warning
from tracer.base.units import parse_farad, parse_ohm
from tracer.netlist.board import Part
from tracer.parts.amplifiers import amplifier_from_pins, module_from_pins
from tracer.parts.by_pin_names import drawn_pins, processor_pins, type_from_names
from tracer.parts.drawn_rules import (
    chip_kind,
    is_header,
    kind_by,
    reference_letters,
    told_kind,
    transistor_legs,
)
from tracer.parts.fit import disagreement, fitting_package
from tracer.parts.kinds import Kind
from tracer.parts.library import Library
from tracer.parts.marking import Marking, nearest_types, read_marking
from tracer.parts.model import PartType, PinType
from tracer.parts.passives import build_passive

__all__ = ["Identified", "identify", "name_with_family"]

KnownBy = Literal["library", "symbol", "marking", "reference", "pin names", "nothing"]


@dataclass(frozen=True)
class Identified:
    """What a placed part is.

    Attributes
    ----------
    part : Part
        As drawn.
    type : PartType
        Its type; of kind ``unknown`` when there is no entry.
    known_by : str
        How the type is known.
    family : str or None
        Logic family: ``LS``, ``HC``.
    ohm, farad : float or None
        Value of a passive part.
    polarity : str
        Of a transistor: npn, pnp, nmos, pmos.
    findings : tuple of Finding
        What was odd about it; of interest where the part lies in a path.
    """

    part: Part
    type: PartType
    known_by: KnownBy
    family: str | None = None
    ohm: float | None = None
    farad: float | None = None
    polarity: str = ""
    findings: tuple[Finding, ...] = ()

    @property
    def kind(self) -> Kind:
        """The type's kind."""
        return self.type.kind

    @property
    def shown_type(self) -> str:
        """The type as outputs show it: ``74x273``, ``470R``, or the marking of a part without an entry."""
        return self.type.name

    @property
    def sold_as(self) -> str:
        """What to ask for at the counter: ``74LS273``; ``74x273`` where the family is not known."""
        return name_with_family(self.type.name, self.family)


def name_with_family(name: str, family: str | None) -> str:
    """A type's name with the family in the place that the library leaves open.

    >>> [name_with_family("74x04", family) for family in ("LS", "std", None)]
    ['74LS04', '7404', '74x04']
    """
    if family is None or not name.startswith(_ANY_FAMILY):
        return name
    # Standard TTL has no letters between the 74 and the number.
    letters = "" if family == "std" else family
    return f"74{letters}{name.removeprefix(_ANY_FAMILY)}"


#: What the names of types begin with that many families have.
_ANY_FAMILY = "74x"
#: No chip has fewer legs.
_FEWEST_CHIP_PINS = 3

#: Kinds of which the reference's letters alone are proof enough, before any marking is looked up.
_BY_REFERENCE_FIRST = frozenset({Kind.RESISTOR, Kind.CAPACITOR, Kind.RESISTOR_PACK, Kind.TRIMMER})


def identify(
    part: Part, numbers: tuple[str, ...], library: Library, supply_pins: frozenset[str]
) -> Identified:
    """Tell what a part is.

    Parameters
    ----------
    part : Part
        As drawn.
    numbers : tuple of str
        All its pin numbers, declared or on a net.
    library : Library
        The types that are known.
    supply_pins : frozenset of str
        Its pins that stand on nets named as supplies; tells a bussed pack from isolated resistors.
    """
    drawn = drawn_pins(part.pins, numbers)
    by_reference = kind_by("reference", reference_letters(part.reference), len(numbers), part.marking)
    if by_reference in _BY_REFERENCE_FIRST and not part.symbol:
        # R8 marked 2147 is a resistor, not a RAM.
        return _passive(part, drawn, by_reference, "reference", supply_pins)
    told = library.find(part.marking)
    if told is not None and (not part.symbol or part.marking in library.added):
        return _checked(part, drawn, numbers, told, read_marking(part.marking), supply_pins)
    if not part.symbol and (known := _by_told_kind(part, drawn, supply_pins)) is not None:
        return known
    kind = kind_by("symbol", part.symbol, len(numbers), part.marking)
    if kind is not None:
        return _passive(part, drawn, kind, "symbol", supply_pins)
    has_value = by_reference in _BY_REFERENCE_FIRST and (parse_ohm(part.marking) or parse_farad(part.marking))
    if has_value and by_reference is not None and len(numbers) <= _FEWEST_CHIP_PINS:
        # A resistor whose symbol happens to be called S11 is no 74S11.
        return _passive(part, drawn, by_reference, "reference", supply_pins)
    found = _by_marking(part, drawn, numbers, library, supply_pins)
    if found is not None:
        return found
    if has_value and by_reference is not None:
        return _passive(part, drawn, by_reference, "reference", supply_pins)
    chip = chip_kind(part)
    if chip is not None:
        return _drawn_chip(part, drawn, chip, supply_pins)
    if by_reference is not None and not _drawn_as_chip(part, by_reference, len(numbers)):
        return _passive(part, drawn, by_reference, "reference", supply_pins)
    if is_header(part):
        return _passive(part, drawn, Kind.CONNECTOR, "marking", supply_pins)
    return _by_names(part, drawn, library, supply_pins)


def _by_told_kind(part: Part, drawn: tuple[PinType, ...], supply_pins: frozenset[str]) -> Identified | None:
    """A part whose marking is a word for a kind: ``jumper 1-2``, ``connector``, ``amplifier``, ``trimmer 1k``."""
    told = told_kind(part.marking)
    if told is None:
        return None
    kind, rest = told
    if rest and not (kind.conducts or kind in (Kind.CAPACITOR, Kind.DIODE, Kind.TRANSISTOR)):
        return None
    if kind.is_discrete or kind.conducts or kind in (Kind.CAPACITOR, Kind.CONNECTOR, Kind.OTHER):
        if kind.conducts:
            # The value, or the legs that a jumper joins.
            as_value = replace(part, marking=part.marking if kind in (Kind.SWITCH, Kind.LINK) else rest)
            return _passive(as_value, drawn, kind, "marking", supply_pins)
        return _passive(part, drawn, kind, "marking", supply_pins)
    known = _drawn_chip(part, drawn, kind, supply_pins)
    if known.type.arcs or known.kind.may_drive:
        return known
    unknown = PartType(part.marking, "", Kind.UNKNOWN, drawn)
    text = (
        f"{part.reference} is told to be {_a(kind)}, which tells nothing of its legs; tell its type with --part "
        f"{part.reference}=TYPE, or its legs in a file given with --parts"
    )
    return Identified(part, unknown, "nothing", findings=(warning("told-in-vain", text, part.reference),))


def _from_library(part: Part, found: PartType, marking: Marking) -> Identified:
    findings: list[Finding] = []
    if not found.confirmed:
        findings.append(
            note(
                "from-memory",
                # What it is about stands last, as other parts go on behind it.
                "check one leg on the board first: no data sheet was compared for the legs of "
                f"{name_with_family(found.name, marking.family)}{f' as {found.package}' if found.package else ''} "
                f"({part.reference})",
                part.reference,
                like="from memory",
            )
        )
    return Identified(part, found, "library", marking.family, findings=tuple(findings))


#: Drawn types of outputs; what is drawn so is a chip, whatever its reference begins with.
_OUTPUT_KINDS = frozenset({"output", "tri_state", "open_collector", "open_emitter"})
#: Reference letters of plugs, the legs of which are often drawn as outputs and inputs of the board.
_PLUGS = re.compile(r"J|P|CN|CON|CONN|BUS|XS|XP|PL|SK|TB|EDGE|JAMMA|JK|TP", re.IGNORECASE)


def _drawn_as_chip(part: Part, by_reference: Kind, legs: int) -> bool:
    """Whether drawn outputs overrule what the letters of a reference say (K1, X2, H3, S4 with outputs)."""
    if by_reference == Kind.CONNECTOR and _PLUGS.fullmatch(reference_letters(part.reference)):
        return False
    least = _FEWEST_CHIP_PINS + (by_reference == Kind.TRANSISTOR)
    return legs >= least and any(pin.kind in _OUTPUT_KINDS for pin in part.pins)


def _checked(
    part: Part,
    drawn: tuple[PinType, ...],
    numbers: tuple[str, ...],
    found: PartType,
    marking: Marking,
    supply_pins: frozenset[str],
) -> Identified:
    """A type of the library in the package that was drawn; by the drawn names where the legs cannot be its."""
    found = fitting_package(part, numbers, found, supply_pins)
    odd = disagreement(part, numbers, found)
    if odd is None:
        return _from_library(part, found, marking)
    by_names = type_from_names(found.name, found.what, found.kind, drawn)
    if by_names is None and found.kind == Kind.AMPLIFIER:
        by_names = amplifier_from_pins(found.name, drawn) or module_from_pins(
            found.name, drawn, supply_pins, is_amplifier=True
        )
    finding = warning(
        "pins-disagree",
        f"{part.reference} is drawn with pins unlike those of {found.name} ({odd}); "
        + ("it was read by the drawn pin names" if by_names else "it was left as a part without an entry"),
        part.reference,
    )
    if by_names is None:
        by_names = PartType(found.name, found.what, Kind.UNKNOWN, drawn)
    return Identified(part, by_names, "pin names", marking.family, findings=(finding,))


def _by_marking(
    part: Part,
    drawn: tuple[PinType, ...],
    numbers: tuple[str, ...],
    library: Library,
    supply_pins: frozenset[str],
) -> Identified | None:
    for text in dict.fromkeys((part.marking, part.symbol)):
        marking = read_marking(text)
        if marking.type is None:
            continue
        found = library.find(marking.type)
        if found is None:
            continue
        known = _checked(part, drawn, numbers, found, marking, supply_pins)
        if known.known_by != "library":
            return known
        return replace(known, findings=(*known.findings, *_other_symbol(part, known.type, library)))
    marking = read_marking(part.marking) if part.marking else read_marking(part.symbol)
    if marking.type is not None:
        return _understood_without_entry(part, drawn, marking, library)
    return None


def _other_symbol(part: Part, found: PartType, library: Library) -> tuple[Finding, ...]:
    """A chip marked as one type and drawn with the symbol of another whose legs differ."""
    symbol = read_marking(part.symbol) if part.symbol else None
    drawn = library.find(symbol.type) if symbol is not None and symbol.type else None
    if (
        drawn is None
        or drawn.name == found.name
        or [(p.number, p.direction) for p in drawn.pins] == [(p.number, p.direction) for p in found.pins]
    ):
        return ()
    text = (
        f"{part.reference} is marked {part.marking} but drawn with the symbol of {part.symbol}, whose legs differ; "
        f"the legs of {found.name} were taken"
    )
    return (warning("pins-disagree", text, part.reference),)


def _understood_without_entry(
    part: Part, drawn: tuple[PinType, ...], marking: Marking, library: Library
) -> Identified:
    """The marking makes sense but the library has no such type: read it by the drawn pin names, and say so."""
    name = marking.type or part.marking
    by_names = type_from_names(name, "", None, drawn) or amplifier_from_pins(name, drawn)
    if by_names is not None:
        return Identified(part, by_names, "pin names", marking.family, findings=(_named(part, by_names),))
    return Identified(
        part,
        PartType(name, "", Kind.UNKNOWN, drawn),
        "nothing",
        marking.family,
        findings=(_unknown(part, library),),
    )


def _by_names(
    part: Part, drawn: tuple[PinType, ...], library: Library, supply_pins: frozenset[str]
) -> Identified:
    name = part.marking or part.symbol or "unknown part"
    by_names = type_from_names(name, "", None, drawn)
    if by_names is None or not by_names.kind.stores:
        by_names = amplifier_from_pins(name, drawn)
    if by_names is not None:
        return Identified(part, by_names, "pin names", findings=(_named(part, by_names),))
    module = module_from_pins(name, drawn, supply_pins)
    if module is not None:
        return Identified(part, module, "pin names", findings=(_as_module(part, module),))
    return Identified(
        part, PartType(name, "", Kind.UNKNOWN, drawn), "nothing", findings=(_unknown(part, library),)
    )


def _named(part: Part, found: PartType) -> Finding:
    return warning(
        "by-pin-names",
        f"the library has no entry for {part.reference} ({part.marking or part.symbol}); by the drawn pin names "
        f"it was read as {_a(found.kind)}",
        part.reference,
    )


def _as_module(part: Part, module: PartType) -> Finding:
    outputs = "its output" if len(module.arcs) == 1 else "each of its outputs"
    which = "its input" if len(module.arcs) == 1 else "the input of the same number"
    return warning(
        "by-pin-names",
        f"the library has no entry for {part.reference} ({part.marking or part.symbol}); by its names {outputs} was taken as "
        f"{which}. That is assumed: beep or probe it",
        part.reference,
        like=f"module {part.marking or part.symbol}",
    )


def _a(kind: Kind) -> str:
    return f"an {kind}" if kind[0] in "aeo" else f"a {kind}"


def _unknown(part: Part, library: Library) -> Finding:
    shown = part.marking or part.symbol
    marking = read_marking(shown)
    if marking.type is None and marking.understood:
        return note(
            "unknown-part",
            f"the marking of {part.reference} ({shown}) was not read: {marking.understood[0]}. Tell it with --part "
            f"{part.reference}=TYPE or, in bench notes, {part.reference} is TYPE",
            part.reference,
        )
    near = nearest_types(shown, library.names()) if shown else ()
    hint = f" (nearest: {', '.join(near)})" if near else ""
    what = f"{part.reference} ({shown})" if shown else f"{part.reference}: its marking is not known"
    return note(
        "unknown-part",
        f"the library has no entry for {what}{hint}; tell it with --part {part.reference}=TYPE or, in bench notes, "
        f"{part.reference} is TYPE; or describe it in a file given with --parts",
        part.reference,
        like="no entry",
    )


def _drawn_chip(
    part: Part, drawn: tuple[PinType, ...], kind: Kind, supply_pins: frozenset[str]
) -> Identified:
    name = part.marking or part.symbol
    if kind == Kind.AMPLIFIER and amplifier_from_pins(name, drawn) is None:
        module = module_from_pins(name, drawn, supply_pins, is_amplifier=True)
        if module is not None:
            return Identified(part, module, "pin names", findings=(_as_module(part, module),))
    if kind == Kind.CPU:
        drawn = processor_pins(drawn)
    by_names = (
        amplifier_from_pins(name, drawn) if kind == Kind.AMPLIFIER else type_from_names(name, "", kind, drawn)
    )
    found = by_names or PartType(name, "", kind, drawn)
    return Identified(part, found, "marking")


def _passive(
    part: Part, drawn: tuple[PinType, ...], kind: Kind, known_by: KnownBy, supply_pins: frozenset[str]
) -> Identified:
    legs, polarity = transistor_legs(part) if kind == Kind.TRANSISTOR else ("", "")
    built = build_passive(part, drawn, kind, legs, supply_pins)
    return Identified(
        part, built.type, known_by, ohm=built.ohm, farad=built.farad, polarity=built.polarity or polarity,
        findings=built.findings,
    )  # fmt: skip
