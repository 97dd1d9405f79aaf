"""The paths of each bit as rows of legs, and levels along them."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.once import once
from tracer.bitmap.model import Bit, Path
from tracer.circuit.graph import Circuit
from tracer.parts.families import family_of
from tracer.tracing.pipeline import Traced

__all__ = ["MOST_BANKS", "LegPath", "PathLeg", "banked_paths", "leg_paths", "open_reads"]

#: Memories that take turns at one bit, up to which each is followed.
MOST_BANKS = 4


@dataclass(frozen=True, slots=True)
class PathLeg:
    """One leg; `inverts` when the level is turned over between the leg before it and this one."""

    part: str
    pin: str
    is_output: bool
    inverts: bool = False


@dataclass(frozen=True)
class LegPath:
    """A path of one bit, from the memory to the driver.

    Where several memories take turns (behind a multiplexer, by their enables), each is a bank; the main path is of bank 0.
    """

    colour: str
    bit: int
    legs: tuple[PathLeg, ...]
    bank: int = 0

    def level_at(self, start: int, level: int, at: int) -> int:
        """The level at leg `at` when it is `level` at leg `start`, which lies before it."""
        for leg in self.legs[start + 1 : at + 1]:
            if leg.inverts:
                level = 1 - level
        return level


@once
def leg_paths(traced: Traced) -> tuple[LegPath, ...]:
    """The main paths of all bits."""
    return tuple(
        LegPath(colour.name, bit.bit, tuple(_legs(bit, bit.main_path)))
        for colour in traced.bit_map.colours
        for bit in colour.bits
    )


@once
def banked_paths(traced: Traced) -> tuple[tuple[LegPath, ...], ...]:
    """The paths of all bits by bank, the main ones first; a bit that has no other memory is the same in each bank."""
    main = leg_paths(traced)
    others: list[tuple[LegPath, ...]] = []
    for bank in range(1, MOST_BANKS):
        bits = (
            (colour.name, bit, _other_paths(bit)[bank - 1 : bank])
            for colour in traced.bit_map.colours
            for bit in colour.bits
        )
        row = tuple(
            LegPath(colour, bit.bit, tuple(_legs(bit, own[0])), bank) if own else path
            for (colour, bit, own), path in zip(bits, main, strict=True)
        )
        if row == main:
            break
        others.append(row)
    return (main, *others)


def _other_paths(bit: Bit) -> list[Path]:
    """One path from each further memory that can bring the bit, in the order of the map."""
    main = bit.main_path
    found: dict[str, Path] = {}
    for path in bit.paths:
        part = path.source.part
        if path.role != "write path" and path.source.is_memory and part is not None:
            found.setdefault(part, path)
    return [path for part, path in found.items() if main is None or part != main.source.part]


def _legs(bit: Bit, path: Path | None) -> list[PathLeg]:
    legs: list[PathLeg] = []
    if path is not None and path.source.part and path.source.pin:
        legs.append(PathLeg(path.source.part, path.source.pin, True))
    for step in reversed(path.steps if path else ()):
        legs.append(PathLeg(step.part, step.source_pin, False))
        legs.append(PathLeg(step.part, step.target_pin, True, step.inverts))
    if not legs or (legs[-1].part, legs[-1].pin) != (bit.driver.part, bit.driver.pin):
        legs.append(PathLeg(bit.driver.part, bit.driver.pin, True))
    return legs


def open_reads(circuit: Circuit, part: str) -> int | None:
    """The level that an open input of a chip reads; None where it floats or its family is not known."""
    known = circuit.identified.get(part)
    family = family_of(known) if known is not None else None
    return 1 if family is not None and family.open_reads == "high" else None
