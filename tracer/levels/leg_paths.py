"""The main path of each bit as a row of legs, and levels along it."""

from __future__ import annotations

from dataclasses import dataclass

from tracer.base.once import once
from tracer.bitmap.model import Bit
from tracer.circuit.graph import Circuit
from tracer.parts.families import family_of
from tracer.tracing.pipeline import Traced

__all__ = ["LegPath", "PathLeg", "leg_paths", "open_reads"]


@dataclass(frozen=True, slots=True)
class PathLeg:
    """One leg; `inverts` when the level is turned over between the leg before it and this one."""

    part: str
    pin: str
    is_output: bool
    inverts: bool = False


@dataclass(frozen=True)
class LegPath:
    """The main path of one bit, from the memory to the driver."""

    colour: str
    bit: int
    legs: tuple[PathLeg, ...]

    def level_at(self, start: int, level: int, at: int) -> int:
        """The level at leg `at` when it is `level` at leg `start`, which lies before it."""
        for leg in self.legs[start + 1 : at + 1]:
            if leg.inverts:
                level = 1 - level
        return level


@once
def leg_paths(traced: Traced) -> tuple[LegPath, ...]:
    """Of all bits."""
    return tuple(
        LegPath(colour.name, bit.bit, tuple(_legs(bit)))
        for colour in traced.bit_map.colours
        for bit in colour.bits
    )


def _legs(bit: Bit) -> list[PathLeg]:
    path = bit.main_path
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
