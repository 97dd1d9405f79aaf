"""What a fault of one leg or chip does to the bits, and to the volts of the colours.

A fault is carried along the bit's own way: the level that a leg is stuck at
passes the inverting steps behind it as the picture would; an open leg leaves
the next input to itself, which reads high in bipolar families and floats in
CMOS ones (`tracer.parts.families`); an open output of the stage itself lets
its net go, and the stage is solved without it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from tracer.at_rest import levels_at_rest
from tracer.bitmap import Bit, Path
from tracer.circuit import Circuit
from tracer.drive import drive_of
from tracer.hold import Override
from tracer.nodal import NoConvergenceError
from tracer.parts.families import family_of
from tracer.solved_stage import other_pins, stage_to_solve
from tracer.stage_solver import StageSolver
from tracer.tracing import Traced

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
    legs: dict[tuple[str, str], None] = {}
    chips: dict[str, None] = {}
    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            path = bit.main_path
            for part, pin in _legs(bit, path):
                legs[part, pin] = None
                chips[part] = None
    kinds: tuple[FaultKind, ...] = ("stuck low", "stuck high", "open")
    return (
        *(Fault(kind, part, pin) for part, pin in legs for kind in kinds),
        *(Fault("out of its socket", part) for part in chips),
    )


def _legs(bit: Bit, path: Path | None) -> Iterator[tuple[str, str]]:
    """Data legs of a bit's way in the order of the picture."""
    if path is not None and path.source.part and path.source.pin:
        yield path.source.part, path.source.pin
    for step in reversed(path.steps if path else ()):
        yield step.part, step.source_pin
        yield step.part, step.target_pin
    if path is None or not path.steps:
        yield bit.driver.part, bit.driver.pin


def bits_hit(traced: Traced, fault: Fault) -> dict[tuple[str, int], BitEffect]:
    """The bits that a fault reaches on their main way, and what becomes of them."""
    found = {}
    for colour in traced.bit_map.colours:
        for bit in colour.bits:
            effect = _effect(traced.circuit, bit, fault)
            if effect is not None:
                found[colour.name, bit.bit] = effect
    return found


def _effect(circuit: Circuit, bit: Bit, fault: Fault) -> BitEffect | None:
    path = bit.main_path
    driver = (bit.driver.part, bit.driver.pin)
    hit: tuple[int, str] | None = None
    # Of several legs that a chip's fault hits the one nearest to the driver decides.
    for at, (part, pin, way) in enumerate(_ways(bit, path)):
        if part == fault.part and (fault.pin is None or pin == fault.pin):
            if fault.pin is None and way == "in":
                continue
            hit = (at, way)
    if hit is None:
        return None
    legs = list(_ways(bit, path))
    at, way = hit
    part, pin, _ = legs[at]
    is_open = fault.kind in ("open", "out of its socket")
    if is_open and (part, pin) == driver and way == "out":
        return BitEffect(None, let_go=True)
    if is_open:
        reader = part if way == "in" else legs[at + 1][0]
        level = _open_reads(circuit, reader)
    else:
        level = int(fault.kind == "stuck high")
    if level is None:
        return BitEffect(None)
    # Inversions lie between a step's input and its output.
    for step in path.steps if path else ():
        place = next(i for i, (p, q, w) in enumerate(legs) if (p, q, w) == (step.part, step.source_pin, "in"))
        if step.inverts and (place > at or (place == at and way == "in")):
            level = 1 - level
    return BitEffect(level)


def _ways(bit: Bit, path: Path | None) -> Iterator[tuple[str, str, str]]:
    """Legs from the source to the driver, each with the way that the bit takes through it."""
    if path is not None and path.source.part and path.source.pin:
        yield path.source.part, path.source.pin, "out"
    for step in reversed(path.steps if path else ()):
        yield step.part, step.source_pin, "in"
        yield step.part, step.target_pin, "out"
    if path is None or (
        not path.steps and (path.source.part, path.source.pin) != (bit.driver.part, bit.driver.pin)
    ):
        yield bit.driver.part, bit.driver.pin, "out"


def _open_reads(circuit: Circuit, part: str) -> int | None:
    """The level that an open input of a chip reads; None where it floats or is not known."""
    family = family_of(circuit.identified[part]) if part in circuit.identified else None
    return 1 if family is not None and family.open_reads == "high" else None


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
    stage = stage_to_solve(traced, colour)
    try:
        rest = levels_at_rest(traced, colour, stage, load_ohm, override)
    except NoConvergenceError:
        return None
    n = len(own.bits)
    if None in rest.places or stage.unread or not n:
        return None
    drives = [drive_of(traced.circuit, d, "typical", override) for d in stage.drivers]
    solver = StageSolver(stage, drives, load_ohm, other_pins(traced, colour, stage))
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
