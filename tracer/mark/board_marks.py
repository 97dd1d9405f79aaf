"""A traced board -> what its pins carry."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from tracer.diagram.styles import styles_of
from tracer.export.carried import leg_bits, net_bits, stage_parts
from tracer.export.values import WHOLE
from tracer.mark.values import BoardMarks, Carried
from tracer.netlist.board import PinRef
from tracer.tracing.pipeline import Traced

__all__ = ["marks_of"]

_Key = TypeVar("_Key", str, PinRef)


def marks_of(traced: Traced) -> BoardMarks:
    """The marks of a board; what only writes to the memories has none."""
    colours = {colour.name: i for i, colour in enumerate(traced.bit_map.colours)}
    nets = _gathered(
        (pin, (colours[each.colour], each.bit))
        for each in net_bits(traced)
        if each.role != "write path"
        for pin in traced.circuit.pins_on(each.net)
    )
    legs = _gathered((each.leg, (colours[each.colour], each.bit)) for each in leg_bits(traced))
    parts = _gathered(
        (part, (i, WHOLE)) for colour, i in colours.items() for part in stage_parts(traced, colour)
    )
    return BoardMarks(styles_of(traced.bit_map), nets, legs, parts)


def _gathered(items: Iterable[tuple[_Key, tuple[int, int]]]) -> dict[_Key, Carried]:
    found: dict[_Key, set[tuple[int, int]]] = {}
    for key, bit in items:
        found.setdefault(key, set()).add(bit)
    return {key: frozenset(bits) for key, bits in found.items()}
