"""Legs of the output stages that are probed: those of transistors, and the drivers that blank a colour."""

from __future__ import annotations

from collections.abc import Iterable

from tracer.base.names import natural_key
from tracer.card.values import ProbeLeg
from tracer.levels.loaded_stage import loaded_stage
from tracer.tracing.pipeline import Traced

__all__ = ["clamp_legs", "stage_transistors", "transistor_legs"]


def stage_transistors(traced: Traced) -> tuple[str, ...]:
    """The transistors between the drivers and the colour pins."""
    stages = [loaded_stage(traced, c.name) for c in traced.bit_map.colours if c.bits]
    found = dict.fromkeys(q.part for stage in stages for q in stage.network.transistors)
    return tuple(sorted(found, key=natural_key))


def transistor_legs(traced: Traced) -> list[ProbeLeg]:
    """Their legs by name, with the volts of those that stand on a supply."""
    circuit, legs = traced.circuit, []
    for part in stage_transistors(traced):
        for leg in circuit.identified[part].type.pins:
            net = circuit.net_of(part, leg.number)
            rail = circuit.rails.get(net) if net is not None else None
            if net is not None:
                legs.append(ProbeLeg(part, leg.number, leg.name, volts=rail.volts if rail else None))
    return legs


def clamp_legs(traced: Traced) -> list[ProbeLeg]:
    """The outputs that blank a colour, each with the level that lets the picture through."""
    found: dict[tuple[str, str, int], list[str]] = {}
    for colour, clamps in traced.clamps.items():
        for driver, level in clamps:
            for pin in driver.pins:
                found.setdefault((pin.part, pin.pin, level), []).append(colour)
    return [ProbeLeg(part, pin, _all(of), level) for (part, pin, level), of in found.items()]


def _all(colours: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(colours))
