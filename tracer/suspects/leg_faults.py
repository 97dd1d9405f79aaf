"""What a fault of one leg or chip does to the bits, and to the volts of the colours.

A fault is carried along the bit's own way: the level that a leg is stuck at
passes the inverting steps behind it as the picture would; an open leg leaves
the next input to itself, which reads high in bipolar families and floats in
CMOS ones (`tracer.parts.families`); an open output of the stage itself lets
its net go, and the stage is solved without it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from tracer.circuit.graph import Circuit
from tracer.levels.at_rest import levels_at_rest
from tracer.levels.drive_values import Override
from tracer.levels.leg_paths import LegPath, leg_paths, open_reads
from tracer.levels.loaded_stage import loaded_stage, solver_of
from tracer.stage.nodal import NoConvergenceError
from tracer.tracing.pipeline import Traced

__all__ = ["BitEffect", "Fault", "FaultKind", "bits_hit", "faults_of_path", "volts_with"]

FaultKind = Literal["stuck low", "stuck high", "open", "out of its socket"]


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault of a leg, or of a whole chip when pin is None."""

    kind: FaultKind
    part: str
    pin: str | None = None

    def __str__(self) -> str:
        return f"{self.part}.{self.pin} {self.kind}" if self.pin else f"{self.part} {self.kind}"


@dataclass(frozen=True, slots=True)
class BitEffect:
    """What becomes of one bit at its driver.

    Attributes
    ----------
    level : int or None
        The level that the driver then always has; None: not told (an input that floats).
    let_go : bool
        The driver holds nothing; the stage stands without it.
    """

    level: int | None
    let_go: bool = False


def faults_of_path(traced: Traced) -> tuple[Fault, ...]:
    """Every fault of every data leg and chip of the picture's way, each once, source first."""
    legs = dict.fromkeys((leg.part, leg.pin) for way in leg_paths(traced) for leg in way.legs)
    chips = dict.fromkeys(part for part, _ in legs)
    kinds: tuple[FaultKind, ...] = ("stuck low", "stuck high", "open")
    return (
        *(Fault(kind, part, pin) for part, pin in legs for kind in kinds),
        *(Fault("out of its socket", part) for part in chips),
    )


def bits_hit(traced: Traced, fault: Fault) -> dict[tuple[str, int], BitEffect]:
    """The bits that a fault reaches on their main way, and what becomes of them."""
    found = {}
    for way in leg_paths(traced):
        effect = _effect(traced.circuit, way, fault)
        if effect is not None:
            found[way.colour, way.bit] = effect
    return found


def _effect(circuit: Circuit, way: LegPath, fault: Fault) -> BitEffect | None:
    # A chip's fault is one of its outputs; of several the one nearest to the driver decides.
    hit = [
        at
        for at, leg in enumerate(way.legs)
        if leg.part == fault.part and (leg.is_output if fault.pin is None else leg.pin == fault.pin)
    ]
    if not hit:
        return None
    start, last = hit[-1], len(way.legs) - 1
    if fault.kind in ("open", "out of its socket"):
        if start == last:
            return BitEffect(None, let_go=True)
        # Behind an open output the next input hears nothing.
        start += way.legs[start].is_output
        level = open_reads(circuit, way.legs[start].part)
    else:
        level = int(fault.kind == "stuck high")
    return BitEffect(None if level is None else way.level_at(start, level, last))


def volts_with(
    traced: Traced,
    colour: str,
    effects: Mapping[tuple[str, int], BitEffect],
    load_ohm: float | None,
    override: Override | None = None,
) -> tuple[float, ...] | None:
    """Volts at a colour pin by code with some of its bits changed; None where they cannot be known.

    The code is what the picture asks for. A bit whose level is not told keeps the whole colour unknown.
    """
    own = next(c for c in traced.bit_map.colours if c.name == colour)
    hits = {bit: effect for (name, bit), effect in effects.items() if name == colour}
    if any(e.level is None and not e.let_go for e in hits.values()):
        return None
    stage = loaded_stage(traced, colour)
    rest = levels_at_rest(traced, colour, load_ohm, override)
    n = len(own.bits)
    if None in rest.places or stage.unread or not n:
        return None
    solver = solver_of(traced, colour, load_ohm, override=override)
    missing = frozenset(
        at for bit, at in enumerate(rest.places) if at is not None and bit in hits and hits[bit].let_go
    )
    rows = [
        rest.levels(len(stage.drivers), [_level(code >> bit & 1, hits.get(bit)) for bit in range(n)])
        for code in range(2**n)
    ]
    try:
        if stage.network.charged:
            solver.settle_charges(rows)
        volts = [solver.solve(row, missing).volts[solver.out] for row in rows]
    except NoConvergenceError:
        return None
    black = volts[0] if stage.network.charged else 0.0
    return tuple(round(v - black, 6) + 0.0 for v in volts)


def _level(asked: int, effect: BitEffect | None) -> int:
    return asked if effect is None or effect.level is None else effect.level
