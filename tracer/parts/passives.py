"""Resistors, diodes, transistors, switches and the like: pins -> arcs; packs stand in `packs`."""

from __future__ import annotations

import re
from dataclasses import replace

from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.base.units import format_ohm, is_typed_value, parse_farad, parse_ohm, parse_pack_ohm
from tracer.netlist.board import Part
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, PartType, PinType
from tracer.parts.packs import pack
from tracer.parts.passive_values import Passive, value_doubtful, value_unread
from tracer.parts.ways import leg_name, through, told_pairs, two_by_two

__all__ = ["build_passive"]

#: A capacitor of three legs is a filter: the line goes in and out, the third leg is on ground (symbol C_Feedthrough of
#: Debian kicad-symbols 6.0.10).
FEED_THROUGH_LEGS = 3


def build_passive(
    part: Part, drawn: tuple[PinType, ...], kind: Kind, legs: str, supply_pins: frozenset[str]
) -> Passive:
    """Make the type of a part that is no chip.

    Parameters
    ----------
    part : Part
        As drawn; its marking is the value.
    drawn : tuple of PinType
        Its pins.
    kind : Kind
        One that is no chip.
    legs : str
        For a transistor whose drawing names no legs: their letters in the order 1 2 3; else empty.
    supply_pins : frozenset of str
        Pins on nets named as supplies.
    """
    pins = tuple(replace(p, direction="passive", role="terminal") for p in drawn)
    numbers = [p.number for p in pins]
    marking = part.marking or part.symbol
    if kind == Kind.RESISTOR:
        return _resistor(part, pins, numbers)
    if kind == Kind.RESISTOR_PACK:
        return pack(part, pins, supply_pins)
    if kind == Kind.TRIMMER:
        return _trimmer(part, pins, numbers)
    if kind == Kind.CAPACITOR:
        pairs, sure = through(pins, supply_pins)
        if len(pins) == FEED_THROUGH_LEGS and sure:
            # What passes a line is a coil to whoever follows it.
            arcs = tuple(Arc("series", a, b, ohm=0.0) for a, b in pairs)
            return Passive(PartType(marking or "filter", "feed-through capacitor", Kind.INDUCTOR, pins, arcs))
        farad = parse_farad(marking)
        return Passive(PartType(marking or "capacitor", "capacitor", kind, pins), farad=farad)
    if kind in (Kind.SWITCH, Kind.LINK) and (told := told_pairs(marking)) is not None:
        return _told_bridge(part, pins, told)
    if kind in (Kind.INDUCTOR, Kind.LINK):
        pairs, sure = through(pins, supply_pins)
        arcs = tuple(Arc("series", a, b, ohm=0.0) for a, b in pairs)
        return Passive(
            PartType(marking or kind, kind, kind, pins, arcs),
            findings=() if sure else (_filter_legs(part, pairs),),
        )
    if kind == Kind.SWITCH:
        return _switch(part, pins, numbers)
    if kind == Kind.DIODE:
        return _diode(marking, pins)
    if kind == Kind.TRANSISTOR:
        return _transistor(part, pins, legs)
    return Passive(PartType(marking or kind, kind, kind, pins if kind != Kind.CONNECTOR else drawn))


def _told_bridge(part: Part, pins: tuple[PinType, ...], told: list[tuple[str, str]]) -> Passive:
    """A jumper or switch of which a person says what it joins: a link, nothing is assumed."""
    known = {p.number for p in pins}
    pairs = [(a, b) for a, b in told if {a, b} <= known]
    lost = [f"{a}-{b}" for a, b in told if not {a, b} <= known]
    findings = (
        (
            warning(
                "told-in-vain",
                f"{part.reference} is told to join {', '.join(lost)}, but it has no such legs; they are "
                f"{', '.join(sorted(known, key=natural_key))}",
                part.reference,
            ),
        )
        if lost
        else ()
    )
    arcs = tuple(Arc("series", a, b, ohm=0.0) for a, b in pairs)
    what = "jumper as told" if pairs else "open jumper, as told"
    return Passive(PartType(part.marking, what, Kind.LINK, pins, arcs), findings=findings)


def _filter_legs(part: Part, pairs: list[tuple[str, str]]) -> Finding:
    shown = " and ".join(f"{a} with {b}" for a, b in pairs)
    return note(
        "way-assumed",
        f"nothing says which legs of {part.reference} ({part.marking or part.symbol}) are in, out and ground; {shown} was "
        "taken as its way through. Beep it",
        part.reference,
        like="filter",
    )


def _resistor(part: Part, pins: tuple[PinType, ...], numbers: list[str]) -> Passive:
    ohm = parse_ohm(part.marking)
    findings = () if ohm is not None else (value_unread(part, "its weight is not known"),)
    name = format_ohm(ohm) if ohm is not None else part.marking or "resistor"
    arcs = (Arc("series", numbers[0], numbers[1], ohm=ohm),) if len(numbers) >= 2 else ()
    return Passive(PartType(name, "resistor", Kind.RESISTOR, pins, arcs), ohm=ohm, findings=findings)


#: The taper of a variable resistor, a letter beside its value: B10K, 10KB.
_TAPER = re.compile(r"^[ABC](?=\d)|(?<=[\dkKmM])\s*[ABC]$")


def _trimmer(part: Part, pins: tuple[PinType, ...], numbers: list[str]) -> Passive:
    marking = _TAPER.sub("", part.marking.strip())
    ohm = parse_pack_ohm(marking)
    findings = [] if ohm is not None else [value_unread(part, "its weight is not known")]
    if is_typed_value(marking):
        findings.append(value_doubtful(part))
    # Of two legs, 1 and 3 are the ends; the wiper goes nowhere.
    ends_alone = numbers == ["1", "3"]
    half = None if ohm is None else ohm if ends_alone else ohm / 2
    pairs = [(numbers[0], numbers[1]), (numbers[1], numbers[2])] if len(numbers) == 3 else two_by_two(numbers)
    if ohm is not None and not ends_alone:
        # Where the wiper stands no drawing tells.
        findings.append(
            note(
                "trimmer-middle",
                f"{part.reference} is a trimmer: it was taken at the middle of its travel",
                part.reference,
                like="trimmer",
            )
        )
    arcs = tuple(Arc("series", a, b, ohm=half) for a, b in pairs)
    name = format_ohm(ohm) if ohm is not None else part.marking or "trimmer"
    found = PartType(name, "trimmer", Kind.TRIMMER, pins, arcs)
    return Passive(found, ohm=ohm, findings=tuple(findings))


def _switch(part: Part, pins: tuple[PinType, ...], numbers: list[str]) -> Passive:
    symbol = f"{part.symbol} {part.marking}".upper()
    kind = Kind.SWITCH
    if re.search(r"JUMPER_NO|SOLDERJUMPER_\d_OPEN|SW_PUSH|PUSH|RESET|_OPEN", symbol) and len(numbers) == 2:
        return Passive(PartType(part.marking or "switch", "open jumper or button", kind, pins))
    if len(numbers) == 3:
        # A change-over: the middle leg is the common one (symbols SW_SPDT, Jumper_3).
        pairs = [(numbers[1], numbers[0])] if "OPEN" not in symbol else []
    elif len(numbers) == 2:
        pairs = [(numbers[0], numbers[1])]
    else:
        pairs = (
            [(numbers[i], numbers[-1 - i]) for i in range(len(numbers) // 2)] if len(numbers) % 2 == 0 else []
        )
    arcs = tuple(Arc("series", a, b, ohm=0.0) for a, b in pairs)
    return Passive(PartType(part.marking or "switch", "switch or jumper", kind, pins, arcs))


def _diode(marking: str, pins: tuple[PinType, ...]) -> Passive:
    """Diode arcs run from anode to cathode."""
    names = {p.number: leg_name(p) for p in pins}
    anodes = [n for n, name in names.items() if re.fullmatch(r"A\d?|ANODE\d?|\+", name)]
    cathodes = [n for n, name in names.items() if re.fullmatch(r"K\d?|C|CATHODE\d?|-|KK", name)]
    middles = [n for n, name in names.items() if re.fullmatch(r"COM.*|AK|KA|COMAC|AC", name)]
    pairs: list[tuple[str, str]] = []
    if anodes and cathodes and not middles:
        if len(anodes) == len(cathodes):
            pairs = list(zip(anodes, cathodes, strict=True))
        else:
            pairs = [(a, k) for a in anodes for k in cathodes]
    elif middles and (anodes or cathodes):
        pairs = [(a, m) for a in anodes for m in middles] + [(m, k) for m in middles for k in cathodes]
    elif len(pins) == 2:
        # Leg 1 is the cathode (symbol D of Debian kicad-symbols 6.0.10).
        pairs = [(pins[1].number, pins[0].number)]
    arcs = tuple(Arc("series", a, k, ohm=0.0) for a, k in pairs)
    return Passive(PartType(marking or "diode", "diode", Kind.DIODE, pins, arcs))


_LEG_LETTERS = {
    "B": "B",
    "C": "C",
    "E": "E",
    "G": "B",
    "D": "C",
    "S": "E",
    "BASE": "B",
    "COLLECTOR": "C",
    "EMITTER": "E",
}


def _leg(name: str) -> str:
    """``B``, ``C`` or ``E`` of a pin's name, with the number of the transistor in a case of several."""
    match = re.fullmatch(r"([A-Z]+?)_?(\d?)", name)
    letter = _LEG_LETTERS.get(match[1]) if match else None
    return letter + match[2] if match and letter else ""


def _transistor(part: Part, pins: tuple[PinType, ...], legs: str) -> Passive:
    """Pins named B, C, E (G, D, S of a field-effect transistor count as B, C, E)."""
    text = f"{part.marking} {part.symbol}".upper()
    polarity = ""
    if re.search(r"PMOS|P-?CH", text):
        polarity = "pmos"
    elif re.search(r"NMOS|N-?CH|2N700|BS170|BSS1", text):
        polarity = "nmos"
    elif "PNP" in text:
        polarity = "pnp"
    elif "NPN" in text:
        polarity = "npn"
    named = [_leg(leg_name(p)) for p in pins]
    order = re.search(r"(?:NPN|PNP|NMOS|PMOS)_([BCEGDS]{3})", text)
    if not {"B", "C", "E"} <= {n[:1] for n in named}:
        letters = order[1] if order else legs
        named = [_leg(letters[i]) if i < len(letters) else "" for i in range(len(pins))]
    findings: tuple[Finding, ...] = ()
    if "B" not in {n[:1] for n in named} and len(pins) >= 3:
        findings = (
            warning(
                "value-unread",
                f"nothing says which leg of {part.reference} ({part.marking}) is base, collector and emitter",
                part.reference,
            ),
        )
    built = tuple(replace(p, name=letter or p.name) for p, letter in zip(pins, named, strict=True))
    marking = part.marking or part.symbol or "transistor"
    return Passive(
        PartType(marking, "transistor", Kind.TRANSISTOR, built), polarity=polarity, findings=findings
    )
