"""Resistor packs: pins -> arcs.

Legs of packs: isolated DIL packs join leg i with leg 2n+1-i, isolated SIL packs
join 1-2, 3-4 ..., bussed packs join leg 1 with every other (symbols R_Pack04,
R_Pack04_SIP, R_Network08 of Debian kicad-symbols 6.0.10, library Device). A chip
array, which its land pattern tells (RESCAV, RESCAX, RESCAF of IPC-7351; R_Array_Convex
of Debian's KiCad footprints), joins legs as a DIL pack does: its legs go around it too.
"""

from __future__ import annotations

import re

from tracer.base.findings import warning
from tracer.base.names import bare_name
from tracer.base.units import format_ohm, is_typed_value, parse_pack_ohm
from tracer.netlist.board import Part
from tracer.parts.kinds import Kind
from tracer.parts.model import Arc, PartType, PinType
from tracer.parts.passive_values import Passive, value_doubtful, value_unread

__all__ = ["MOST_LEGS", "pack"]

#: Legs of a resistor pack or a plug: a number beyond is no place in a row, and says nothing of how many legs there are.
MOST_LEGS = 400


#: Land patterns of chip arrays of isolated resistors; CAY, EXB, YC and 4D02 are makers' series, from memory.
_CHIP_ARRAY = re.compile(
    r"resca[vxfs]?|r_array_(?:convex|concave)|cay1\d|exb[-_]?\w*\d|[4-8]x0[46]0[23]|4d0[23]|yc1\d4"
)
_PAIRED_NAME = re.compile(r"R?(\d+)[._-]([12AB])|([1-9]\d?)([AB])")


def pack(part: Part, pins: tuple[PinType, ...], supply_pins: frozenset[str]) -> Passive:
    """A resistor pack: which legs its resistors join, by names, symbol, land pattern or count."""
    ohm = parse_pack_ohm(
        re.sub(r"\b(isolated|bussed|common|sil|dil|sip|dip|pack)\b", "", part.marking, flags=re.I)
    )
    findings = [] if ohm is not None else [value_unread(part, "its weights are not known")]
    if is_typed_value(part.marking):
        findings.append(value_doubtful(part))
    numbers = [p.number for p in pins]
    if re.search(r"R[-_/ ]?2R", f"{part.symbol} {part.marking}", re.IGNORECASE):
        return _ladderpack(part, pins, ohm)
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


def _ladderpack(part: Part, pins: tuple[PinType, ...], ohm: float | None) -> Passive:
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
