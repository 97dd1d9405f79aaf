"""Which circuit is solved for the levels of a colour: its output stage with all that loads it."""

from __future__ import annotations

from dataclasses import replace

from tracer.base.once import once
from tracer.levels.drive import Corner, drive_of
from tracer.levels.drive_values import Override
from tracer.levels.solver import StageSolver
from tracer.stage.gather import gather_stage
from tracer.stage.model import Stage
from tracer.tracing.pipeline import Traced

__all__ = ["loaded_stage", "other_pins", "solver_of"]


@once
def loaded_stage(traced: Traced, colour: str) -> Stage:
    """The output stage of a colour with its coupling capacitors kept apart.

    Stages that share a driver with it are taken in: what hangs on an output loads it for all colours.
    """
    stage = traced.stages[colour]
    sharing = _sharing(traced, colour)
    if not stage.capacitors and not sharing:
        return stage
    kept = gather_stage(
        traced.circuit,
        stage.start,
        keep_capacitors=True,
        with_pins=sharing,
        still=stage.still,
        selected=stage.selected,
        beside=stage.beside,
    )
    apart = tuple(c for c in kept.capacitors if c.a != c.b)
    return replace(kept, network=replace(kept.network, charged=apart))


def _sharing(traced: Traced, colour: str) -> tuple[str, ...]:
    """Nets of the colour pins whose stages have a driver in common with a colour's, near or far."""
    nets = {
        name: {p for d in stage.drivers for p in d.pins}
        for name, stage in traced.stages.items()
    }  # fmt: skip
    reached, front = {colour}, [colour]
    while front:
        here = front.pop()
        near = [n for n in nets if n not in reached and nets[n] & nets[here]]
        reached.update(near)
        front += near
    return tuple(traced.stages[n].start for n in nets if n in reached and n != colour)


@once
def other_pins(traced: Traced, colour: str) -> tuple[str, ...]:
    """Nodes of the other colours' pins that stand in a colour's stage, over a driver they share or a common net."""
    stage = loaded_stage(traced, colour)
    nets = [c.pin.net for c in traced.bit_map.colours if c.name != colour and c.pin.net in stage.nets]
    return tuple(n for n in dict.fromkeys(stage.node(net) for net in nets) if n != stage.node(stage.start))


def solver_of(
    traced: Traced,
    colour: str,
    load_ohm: float | None,
    corner: Corner = "typical",
    override: Override | None = None,
    *,
    changed: Stage | None = None,
) -> StageSolver:
    """A solver of a colour's stage with the outputs that drive it and a load at every colour pin in it.

    `changed` is solved instead: the stage with other parts between the same nets.
    """
    stage = changed or loaded_stage(traced, colour)
    drives = [drive_of(traced.circuit, d, corner, override) for d in stage.drivers]
    return StageSolver(stage, drives, load_ohm, other_pins(traced, colour))
