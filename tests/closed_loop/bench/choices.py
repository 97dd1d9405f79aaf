"""Where a fault can lie on a board: legs and nets of the colour path, drawn by chance."""

from __future__ import annotations

import random
from collections.abc import Callable

from tests.closed_loop.bench.behaviour import Chip, Section
from tests.closed_loop.bench.board import Board
from tests.closed_loop.bench.fault import Fault
from tracer.netlist.board import PinRef

__all__ = ["Make", "legs_of_path", "outputs_on_nets", "path_input", "path_net", "path_output", "section_of"]

Make = Callable[[Board, random.Random], Fault | None]


def path_output(board: Board, rng: random.Random, *, memory: bool | None = False) -> PinRef | None:
    """An output that carries a colour; of a memory, of another chip, or of any (None)."""
    legs = [
        PinRef(r, out) for r, outs in board.path.items() for out in sorted(outs)
        if memory is None or (r in board.palettes) == memory
    ]  # fmt: skip
    return rng.choice(legs) if legs else None


def section_of(board: Board, leg: PinRef) -> tuple[Chip, Section]:
    chip = board.chips[leg.part]
    return chip, next(s for s in chip.sections if s.out == leg.pin)


def outputs_on_nets(board: Board, part: str) -> list[PinRef]:
    """All outputs of a chip that stand on nets."""
    legs = (PinRef(part, s.out) for s in board.chips[part].sections)
    return [leg for leg in legs if leg in board.net_of]


def legs_of_path(board: Board, part: str) -> set[PinRef]:
    """The legs of a chip by which the colours enter and leave it."""
    sections = [s for s in board.chips[part].sections if s.out in board.path.get(part, ())]
    pins = {s.out for s in sections} | (
        {p for s in sections for p in s.ins} if part not in board.palettes else set()
    )
    legs = (PinRef(part, pin) for pin in pins)
    return {leg for leg in legs if board.net_of.get(leg) not in (None, *board.rails)}


def path_net(board: Board, rng: random.Random) -> str | None:
    leg = path_output(board, rng, memory=None)
    return board.net_of[leg] if leg else None


def path_input(board: Board, rng: random.Random) -> PinRef | None:
    """An input of the path's chips."""
    leg = path_output(board, rng)
    if leg is None:
        return None
    _, section = section_of(board, leg)
    return PinRef(leg.part, rng.choice(section.ins))
