"""Resistors, packs, diodes, transistors, switches and the like: pins -> arcs.

Legs of packs: isolated DIL packs join leg i with leg 2n+1-i, isolated SIL packs
join 1-2, 3-4 ..., bussed packs join leg 1 with every other (symbols R_Pack04,
R_Pack04_SIP, R_Network08 of Debian kicad-symbols 6.0.10, library Device). A chip
array, which its land pattern tells (RESCAV, RESCAX, RESCAF of IPC-7351; R_Array_Convex
of Debian's KiCad footprints), joins legs as a DIL pack does: its legs go around it too.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from tracer.base.findings import Finding, note, warning
from tracer.base.names import bare_name, natural_key
from tracer.base.units import format_ohm, is_typed_value, parse_farad, parse_ohm, parse_pack_ohm
from tracer.netlist.board import Part
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, PartType, PinType
from tracer.parts.ways import leg_name, through, told_pairs, two_by_two

__all__ = ["MOST_LEGS", "Passive", "build_passive"]

#: Legs of a resistor pack or a plug: a number beyond is no place in a row, and says nothing of how many legs there are.
MOST_LEGS = 400


@dataclass(frozen=True, slots=True)
class Passive:
    """A passive part's type and its value."""

    type: PartType
    ohm: float | None = None
    farad: float | None = None
    polarity: str = ""
    findings: tuple[Finding, ...] = ()


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
        return _pack(part, pins, supply_pins)
    if kind == Kind.TRIMMER:
        return _trimmer(part, pins, numbers)
    if kind == Kind.CAPACITOR:
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


def _value_unread(part: Part, what: str) -> Finding:
    shown = repr(part.marking) if part.marking else "missing"
    return warning(
        "value-unread",
        f"the value of {part.reference} is {shown}; {what}. Tell it with --part {part.reference}=470",
        part.reference,
    )


def _value_doubtful(part: Part) -> Finding:
    ohm = float(part.marking[:2]) * 10.0 ** int(part.marking[2])
    return note(
        "value-doubtful",
        f"{part.reference} is marked {part.marking}: it was read as {part.marking} ohm, a value of the series E96; as a code "
        f"it would be {format_ohm(ohm)}, which E24 does not have. Measure it, or tell it with --part {part.reference}="
        f"{part.marking}R",
        part.reference,
        like=part.marking,
    )


def _resistor(part: Part, pins: tuple[PinType, ...], numbers: list[str]) -> Passive:
    ohm = parse_ohm(part.marking)
    findings = () if ohm is not None else (_value_unread(part, "its weight is not known"),)
    name = format_ohm(ohm) if ohm is not None else part.marking or "resistor"
    arcs = (Arc("series", numbers[0], numbers[1], ohm=ohm),) if len(numbers) >= 2 else ()
    return Passive(PartType(name, "resistor", Kind.RESISTOR, pins, arcs), ohm=ohm, findings=findings)


#: The taper of a variable resistor, a letter beside its value: B10K, 10KB.
_TAPER = re.compile(r"^[ABC](?=\d)|(?<=[\dkKmM])\s*[ABC]$")


def _trimmer(part: Part, pins: tuple[PinType, ...], numbers: list[str]) -> Passive:
    marking = _TAPER.sub("", part.marking.strip())
    ohm = parse_pack_ohm(marking)
    findings = [] if ohm is not None else [_value_unread(part, "its weight is not known")]
    if is_typed_value(marking):
        findings.append(_value_doubtful(part))
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


#: Land patterns of chip arrays of isolated resistors; CAY, EXB, YC and 4D02 are makers' series, from memory.
_CHIP_ARRAY = re.compile(
    r"resca[vxfs]?|r_array_(?:convex|concave)|cay1\d|exb[-_]?\w*\d|[4-8]x0[46]0[23]|4d0[23]|yc1\d4"
)
_PAIRED_NAME = re.compile(r"R?(\d+)[._-]([12AB])|([1-9]\d?)([AB])")


def _pack(part: Part, pins: tuple[PinType, ...], supply_pins: frozenset[str]) -> Passive:
    ohm = parse_pack_ohm(
        re.sub(r"\b(isolated|bussed|common|sil|dil|sip|dip|pack)\b", "", part.marking, flags=re.I)
    )
    findings = [] if ohm is not None else [_value_unread(part, "its weights are not known")]
    if is_typed_value(part.marking):
        findings.append(_value_doubtful(part))
    numbers = [p.number for p in pins]
    if re.search(r"R[-_/ ]?2R", f"{part.symbol} {part.marking}", re.IGNORECASE):
        return _ladder_pack(part, pins, ohm)
    pairs, sure = _pack_pairs(part, pins, numbers, supply_pins)
    if not sure:
        findings.append(
            warning(
                "value-unread",
                f"nothing says how the resistors of {part.reference} lie between its {len(numbers)} legs; they were "
                f"taken as {'bussed on leg 1' if pairs and pairs[-1][0] == numbers[0] else 'separate pairs'}. Tell it "
                f"with --part {part.reference}='8 x 470 isolated' or '... bussed'",
                part.reference,
            )
        )
    name = f"{format_ohm(ohm)} pack" if ohm is not None else part.marking or "resistor pack"
    arcs = tuple(Arc("series", a, b, ohm=ohm) for a, b in pairs)
    found = PartType(name, "resistor pack", Kind.RESISTOR_PACK, pins, arcs)
    return Passive(found, ohm=ohm, findings=tuple(findings))


def _pack_pairs(
    part: Part, pins: tuple[PinType, ...], numbers: list[str], supply_pins: frozenset[str]
) -> tuple[list[tuple[str, str]], bool]:
    """Pairs of legs with a resistor between them, and whether that is certain."""
    numbers = _all_legs(part, numbers)
    bussed = [(numbers[0], n) for n in numbers[1:]]
    by_name: dict[str, list[str]] = {}
    for pin in pins:
        match = _PAIRED_NAME.fullmatch(bare_name(pin.name))
        if match:
            by_name.setdefault(match[1] or match[3], []).append(pin.number)
    if by_name and all(len(ends) == 2 for ends in by_name.values()):
        return [(a, b) for a, b in by_name.values()], True
    common = [p.number for p in pins if re.match(r"COM", p.name, re.IGNORECASE)]
    if len(common) == 1:
        return [(common[0], n) for n in numbers if n != common[0]], True
    text = f"{part.symbol} {part.marking} {part.footprint}".lower()
    count = re.search(r"(\d+)\s*[x×]|[x×]\s*(\d+)\b", part.marking)
    resistors = int(count[1] or count[2]) if count else 0
    half = len(numbers) // 2
    across = [(numbers[i], numbers[len(numbers) - 1 - i]) for i in range(half)]
    beside = [(numbers[2 * i], numbers[2 * i + 1]) for i in range(half)]
    if len(common) == 2 or "divider" in text:
        ends = common or [numbers[0], numbers[-1]]
        return [(e, n) for n in numbers if n not in ends for e in ends], True
    if (
        "bussed" in text
        or "network" in text
        or "common" in text
        or len(numbers) % 2
        or resistors == len(numbers) - 1
    ):
        return bussed, True
    if _CHIP_ARRAY.search(part.footprint.lower()) and len(numbers) % 2 == 0 and "bussed" not in text:
        return across, True
    if "r_pack" in text or "isolated" in text or resistors == half:
        sil = "sip" in text or "sil" in text
        return (
            beside if sil else across
        ), "sip" in text or "sil" in text or "dip" in text or "r_pack" in text or len(numbers) > 10
    if numbers[0] in supply_pins:
        return bussed, True
    return (across if len(numbers) >= 14 else beside), False


def _ladder_pack(part: Part, pins: tuple[PinType, ...], ohm: float | None) -> Passive:
    """An R-2R ladder in one case: drawn as binary-weighted resistors, which are its equal at the output.

    By superposition a ladder of n bits gives V/2 for the heaviest, V/4 for the next, and has R behind it
    (textbook); so have resistors of 2R, 4R, 8R ... and one of R 2^n to ground. The legs are told by name
    only: makers order them differently (common practice, no source).
    """
    out = [p.number for p in pins if re.fullmatch(r"OUT\w*|VOUT|AOUT|O", bare_name(p.name))]
    ground = [p.number for p in pins if re.fullmatch(r"GND|COM\w*|VSS", bare_name(p.name))]
    bits = sorted(
        (int(m[1]), p.number)
        for p in pins
        if (m := re.fullmatch(r"(?:B|D|BIT|IN|I)_?(\d+)", bare_name(p.name)))
    )
    marking = part.marking or part.symbol
    if len(out) != 1 or len(bits) < 2:
        finding = warning(
            "value-unread",
            f"{part.reference} ({marking}) is a ladder in one case; makers order its legs differently, and the drawing "
            "does not name them, so its weights are not known",
            part.reference,
        )
        return Passive(
            PartType(marking, "R-2R ladder", Kind.RESISTOR_PACK, pins), ohm=ohm, findings=(finding,)
        )
    base = ohm or 10_000.0
    n = len(bits)
    arcs = [Arc("series", pin, out[0], ohm=base * 2 ** (n - i)) for i, (_, pin) in enumerate(bits)]
    arcs += [Arc("series", g, out[0], ohm=base * 2**n) for g in ground]
    return Passive(PartType(marking, "R-2R ladder", Kind.RESISTOR_PACK, pins, tuple(arcs)), ohm=ohm)


def _all_legs(part: Part, numbers: list[str]) -> list[str]:
    """All legs of the package, also those that no net names: without them the places would shift.

    The size is that of the symbol (R_Pack04 has 8 legs, R_Network08 has 9), else the highest leg.
    """
    if not all(n.isdecimal() and len(n) < 5 for n in numbers):
        return numbers
    highest = max((int(n) for n in numbers), default=0)
    size = re.search(r"R_?(PACK|NETWORK)(\d+)", part.symbol.upper())
    if size and "DIVIDERS" not in part.symbol.upper():
        legs = int(size[2][:5]) * 2 if size[1] == "PACK" else int(size[2][:5]) + 1
        highest = max(highest, legs)
    if highest > MOST_LEGS:
        return numbers
    return [str(i + 1) for i in range(highest)]


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
