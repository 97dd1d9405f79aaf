"""Levels of the drivers of an output stage that are no bits of its colour.

Blanking is held where it lets the colour through, sync at rest (where it leaves
the colour brighter), bits of other colours low.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from tracer.base.once import once
from tracer.bitmap.model import Bit
from tracer.levels.drive_values import Override
from tracer.levels.loaded_stage import loaded_stage, solver_of
from tracer.stage.model import Stage
from tracer.stage.nodal import NoConvergenceError
from tracer.tracing.pipeline import Traced

__all__ = ["AtRest", "levels_at_rest"]

#: A driver gates the stage if one of its levels takes more than this share of what the bits do.
_GATES = 0.5


@dataclass(frozen=True, slots=True)
class AtRest:
    """Places of drivers among those of the stage.

    Attributes
    ----------
    places : tuple of int or None
        Of the bits, lightest first; None for a bit that no driver of the stage carries.
    held : dict of int to int
        Drivers that are no bits -> their level.
    blanked : dict of int to int
        Those that blank the stage -> the level at which they do.
    """

    places: tuple[int | None, ...]
    held: dict[int, int] = field(default_factory=dict)
    blanked: dict[int, int] = field(default_factory=dict)

    def levels(self, n_drivers: int, code: Sequence[int], *, blank: bool = False) -> tuple[int, ...]:
        """Levels of all drivers for a code, whose first is the lightest bit."""
        own = {at: level for at, level in zip(self.places, code, strict=True) if at is not None}
        held = {**self.held, **self.blanked} if blank else self.held
        return tuple(own.get(i, held.get(i, 0)) for i in range(n_drivers))


@once
def levels_at_rest(
    traced: Traced, colour: str, load_ohm: float | None, override: Override | None = None
) -> AtRest:
    """Find what the drivers that are no bits do while the picture shows; low where the stage has no solution."""
    stage = loaded_stage(traced, colour)
    own = next(c for c in traced.bit_map.colours if c.name == colour)
    places = tuple(_place(stage, bit) for bit in reversed(own.bits))
    known = {d.net: level for d, level in traced.clamps[colour]}
    others = {
        (b.driver.part, b.driver.pin) for c in traced.bit_map.colours if c.name != colour for b in c.bits
    }
    rest = AtRest(places)
    solver = solver_of(traced, colour, load_ohm, override=override)
    n = len(stage.drivers)
    for i, driver in enumerate(stage.drivers):
        if i in places:
            continue
        if driver.net in known:
            rest.held[i] = known[driver.net]
            rest.blanked[i] = 1 - known[driver.net]
        elif any((p.part, p.pin) in others for p in driver.pins):
            rest.held[i] = 0
        else:
            ends: dict[int, list[float]] = {}
            try:
                for level in (0, 1):
                    rest.held[i] = level
                    ends[level] = [solver.volts(rest.levels(n, (b,) * len(places))) for b in (0, 1)]
            except NoConvergenceError:
                rest.held[i] = 0
                continue
            spans = [abs(ends[level][1] - ends[level][0]) for level in (0, 1)]
            gates = abs(spans[1] - spans[0]) > _GATES * max(spans)
            rest.held[i] = int(spans[1] > spans[0]) if gates else int(max(ends[1]) > max(ends[0]))
            if gates:
                rest.blanked[i] = 1 - rest.held[i]
    return rest


def _place(stage: Stage, bit: Bit) -> int | None:
    for i, driver in enumerate(stage.drivers):
        if any((p.part, p.pin) == (bit.driver.part, bit.driver.pin) for p in driver.pins):
            return i
    return None
