"""What chips do: a small table of functions of our own, and the levels that they read and give.

Levels of all picture elements are held at once, a bit of a whole number for each element (a lane). A reader gets two
such masks, the lanes in which the level can be high and those in which it can be low; both is a level that moves within
the element, as a clock does.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from tracer.parts.model import PartType

__all__ = ["ALL", "FRAMES", "LANES", "NOTHING", "N_BLANK", "N_ELEMENTS", "VISIBLE", "Chip", "Section", "Wire", "constant", "frame_mask", "make_chip", "outputs_of"]  # fmt: skip

#: Picture elements, how often each is looked at, and moments of blanking.
N_ELEMENTS, FRAMES, N_BLANK = 40, 3, 24
LANES = N_ELEMENTS * FRAMES + N_BLANK
ALL = (1 << LANES) - 1
VISIBLE = (1 << N_ELEMENTS * FRAMES) - 1


def frame_mask(frame: int) -> int:
    """The lanes of one look at all elements."""
    return ((1 << N_ELEMENTS) - 1) << frame * N_ELEMENTS


class Wire(NamedTuple):
    """A level by lane: high, low (both: it moves), and neither one nor the other; nothing at all where none is set."""

    hi: int
    lo: int
    mid: int = 0

    def over(self, mask: int) -> Wire:
        """Only in some lanes, nothing in the others."""
        return Wire(self.hi & mask, self.lo & mask, self.mid & mask)


NOTHING = Wire(0, 0)
#: What a reader gets: can be high, can be low.
Read = tuple[int, int]


def constant(level: int) -> Wire:
    """The same in every lane."""
    return Wire(ALL, 0) if level else Wire(0, ALL)


@dataclass(frozen=True)
class Section:
    """One output, and the pins that it follows."""

    out: str
    ins: tuple[str, ...]
    controls: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True)
class Chip:
    """A chip that is simulated.

    Attributes
    ----------
    reference : str
    kind : str
        register, selector, gate, buffer, transceiver, memory.
    function : str
        Of a gate or buffer.
    sections : tuple of Section
    is_cmos : bool
        An open input wanders; else it reads high.
    legs : mapping of str to str
        Name -> number.
    """

    reference: str
    kind: str
    function: str
    sections: tuple[Section, ...]
    is_cmos: bool
    legs: Mapping[str, str]

    @property
    def inputs(self) -> tuple[str, ...]:
        """All pins that it hears."""
        heard = [p for s in self.sections for p in (*s.ins, *(c for cs in s.controls.values() for c in cs))]
        return tuple(dict.fromkeys(heard))


#: Number -> kind, function.
_KINDS: Mapping[str, tuple[str, str]] = {
    **dict.fromkeys(("273", "174", "175", "374", "574", "377", "378", "373"), ("register", "")),
    **dict.fromkeys(("157", "257", "158"), ("selector", "")),
    **dict.fromkeys(("244", "541", "367", "34"), ("buffer", "same")),
    **dict.fromkeys(("240", "04"), ("buffer", "not")),
    "08": ("gate", "and"), "11": ("gate", "and"), "32": ("gate", "or"), "00": ("gate", "nand"), "10": ("gate", "nand"),
    "02": ("gate", "nor"), "245": ("transceiver", ""),
}  # fmt: skip
_MEMORIES = frozenset(
    {"6116", "2018", "62256", "2114", "82S129", "82S123", "82S147", "27256", "2716", "2764"}
)
_CMOS = re.compile(r"74(HC|AC|HCT|ACT|C)\d|6116|62256|6264|27C|CD4")


def make_chip(reference: str, marking: str, type_: PartType) -> Chip | None:
    """The chip of a type; None where the table has none."""
    legs = {p.name: p.number for p in type_.pins}
    is_cmos = bool(_CMOS.match(marking)) or type_.name in ("6116", "62256", "2018")
    if type_.name in _MEMORIES:
        sections = _memory_sections(legs)
        return Chip(reference, "memory", "", sections, is_cmos, legs)
    number = type_.name.removeprefix("74x")
    if number not in _KINDS or number == type_.name:
        return None
    kind, function = _KINDS[number]
    make = {"register": _registers, "selector": _selectors, "gate": _gates, "buffer": _buffers, "transceiver": _both_ways}[kind]  # fmt: skip
    if number == "158":
        function = "not"
    return Chip(reference, kind, function, tuple(make(legs)), is_cmos, legs)


def _only(legs: Mapping[str, str], **names: str) -> dict[str, tuple[str, ...]]:
    found = {role: tuple(legs[n] for n in said.split() if n in legs) for role, said in names.items()}
    return {role: pins for role, pins in found.items() if pins}


def _registers(legs: Mapping[str, str]) -> list[Section]:
    controls = _only(legs, clock="CLK LE", clear="/CLR", hold="/EN", enable="/OE")
    return [
        Section(number, (legs[f"{m[2]}D"],), controls)
        for name, number in legs.items()
        if (m := re.fullmatch(r"(/?)(\d+)Q", name))
    ]


def _selectors(legs: Mapping[str, str]) -> list[Section]:
    controls = _only(legs, select="S", strobe="/G", enable="/OE")
    return [Section(legs[f"{i}Y"], (legs[f"{i}A"], legs[f"{i}B"]), controls) for i in range(1, 5)]


def _gates(legs: Mapping[str, str]) -> list[Section]:
    numbers = [n[:-1] for n in legs if n.endswith("Y")]
    return [Section(legs[f"{i}Y"], tuple(legs[f"{i}{x}"] for x in "ABC" if f"{i}{x}" in legs)) for i in numbers]  # fmt: skip


def _buffers(legs: Mapping[str, str]) -> list[Section]:
    found = []
    for name, number in legs.items():
        m = re.fullmatch(r"(\d?)Y(\d?)", name)
        if m:
            enable = _only(legs, enable=f"/{m[1]}OE /{m[1]}G" if m[1] and m[2] else "/G1 /G2")
            found.append(Section(number, (legs[f"{m[1]}A{m[2]}"],), enable))
    return found


def _both_ways(legs: Mapping[str, str]) -> list[Section]:
    controls = _only(legs, enable="/OE", direction="DIR")
    ways = [("A", "B"), ("B", "A")]
    return [Section(legs[f"{b}{i}"], (legs[f"{a}{i}"],), controls) for a, b in ways for i in range(1, 9)]


def _memory_sections(legs: Mapping[str, str]) -> tuple[Section, ...]:
    address = sorted((n for n in legs if re.fullmatch(r"A\d+", n)), key=lambda n: int(n[1:]))
    controls = _only(legs, enable="/CE /CE1 /CE2 /CS /OE", write="/WE")
    data = [n for n in legs if re.fullmatch(r"(D|O|IO|I/O)\d+", n)]
    return tuple(Section(legs[n], tuple(legs[a] for a in address), controls) for n in data)


# -- what they give ---------------------------------------------------------------------------------

Reader = Callable[[str], Read]


def outputs_of(chip: Chip, read: Reader, word: Callable[[int], int], rng: random.Random) -> dict[str, Wire]:
    """What each output drives; `word` is what a memory holds at an address."""
    if chip.kind == "memory":
        return _memory(chip, read, word)
    return {s.out: _section(chip, s, read, rng) for s in chip.sections}


def _section(chip: Chip, section: Section, read: Reader, rng: random.Random) -> Wire:
    ins = [read(p) for p in section.ins]
    if chip.kind == "gate":
        return _gate(chip.function, ins)
    pins = section.controls
    control = {role: [read(p) for p in of] for role, of in pins.items()}
    hi, lo = ins[0]
    if chip.kind == "register":
        clock_hi, clock_lo = control["clock"][0]
        moving = clock_hi & clock_lo
        for enable_hi, _ in control.get("hold", []):
            moving &= ~enable_hi
        # A latch that is not clocked stands as it woke up.
        held = ALL if rng.random() < 0.5 else 0
        hi, lo = (hi & moving) | (held & ~moving), (lo & moving) | (~held & ~moving & ALL)
        for clear_hi, clear_lo in control.get("clear", []):
            cleared = clear_lo & ~clear_hi
            hi, lo = hi & ~cleared, lo | cleared
        name = next(n for n, number in chip.legs.items() if number == section.out)
        if name.startswith("/"):
            hi, lo = lo, hi
    elif chip.kind == "selector":
        select_hi, select_lo = control["select"][0]
        other_hi, other_lo = ins[1]
        hi, lo = (hi & select_lo) | (other_hi & select_hi), (lo & select_lo) | (other_lo & select_hi)
        for off, _ in control.get("strobe", []):
            hi, lo = hi & ~off, lo | off
    if chip.function == "not":
        hi, lo = lo, hi
    on = ALL
    for off, _ in control.get("enable", []):
        on &= ~off
    if chip.kind == "transceiver":
        to_b, to_a = control["direction"][0]
        is_b = any(n.startswith("B") and number == section.out for n, number in chip.legs.items())
        on &= to_b if is_b else to_a & ~to_b
    return Wire(hi, lo).over(on)


def _gate(function: str, ins: list[Read]) -> Wire:
    hi, lo = ins[0]
    for other_hi, other_lo in ins[1:]:
        if function in ("and", "nand"):
            hi, lo = hi & other_hi, lo | other_lo
        else:
            hi, lo = hi | other_hi, lo & other_lo
    return Wire(lo, hi) if function in ("nand", "nor") else Wire(hi, lo)


def _memory(chip: Chip, read: Reader, word: Callable[[int], int]) -> dict[str, Wire]:
    first = chip.sections[0]
    # Address lines as strings, the highest first: a column of them is an address.
    lines = [format(read(p)[0], f"0{LANES}b") for p in reversed(first.ins)]
    words = [word(int("".join(column), 2)) for column in zip(*lines, strict=True)]
    on = ALL
    for off, _ in (read(p) for p in first.controls.get("enable", ())):
        on &= ~off
    for written_hi, _ in (read(p) for p in first.controls.get("write", ())):
        on &= written_hi
    found = {}
    for i, section in enumerate(chip.sections):
        hi = int("".join("1" if w >> i & 1 else "0" for w in words), 2)
        found[section.out] = Wire(hi, ALL & ~hi).over(on)
    return found
