"""All kinds of faults with their weights.

Every weight is a guess: nobody has counted how often each of these stands behind wrong colours. They are meant to hold
what happens on benches, not what the program lists.
"""

from __future__ import annotations

import random

from tests.closed_loop.bench.board import Board
from tests.closed_loop.bench.chip_faults import (
    address_inside,
    address_line,
    before_palette,
    chip_dead,
    clock_or_clear,
    input_shorted,
    memory_dead,
    one_layer,
    other_contents,
    output_fault,
    several_unstable,
    supply_leg,
    two_dead,
    write_path,
)
from tests.closed_loop.bench.choices import Make
from tests.closed_loop.bench.fault import Fault
from tests.closed_loop.bench.joint_faults import (
    cable_contact,
    joint_loose,
    joint_open,
    track_cut,
    track_shorted,
    tracks_joined,
)
from tests.closed_loop.bench.stage_faults import (
    clamp_short,
    colours_shorted,
    contact,
    monitor,
    pack_open,
    resistor_drifted,
    resistor_open,
    resistor_short,
    resistor_track,
    transistor_fault,
    wires_exchanged,
)

__all__ = ["CLASSES", "draw_fault", "make_fault"]

#: Weight and maker of each kind of fault. Guesses, all of them.
_MAKERS: tuple[tuple[float, Make], ...] = (
    (5, monitor), (1, wires_exchanged), (5, contact), (2, colours_shorted),
    (3, resistor_open), (2, resistor_drifted), (0.5, resistor_short), (0.5, pack_open), (2, resistor_track),
    (3, transistor_fault), (2, clamp_short),
    (10, output_fault(("low", "high"), "output stuck", memory=False)),
    (5, output_fault(("nothing",), "output floating", memory=False)),
    (4, output_fault(("weak", "half"), "output weak", memory=False)),
    (3, input_shorted), (10, chip_dead), (1, two_dead), (2, supply_leg), (6, clock_or_clear),
    (6, output_fault(("low", "high"), "memory bit stuck", memory=True)),
    (4, output_fault(("weak", "unstable"), "memory bits unstable", memory=True)),
    (2, several_unstable), (4, other_contents), (6, memory_dead), (4, address_inside),
    (8, address_line), (5, before_palette), (4, write_path), (2, one_layer),
    (14, joint_open), (6, joint_loose), (4, track_cut), (4, track_shorted), (3, tracks_joined), (4, cable_contact),
)  # fmt: skip

#: All of them by number, for tests that want each.
CLASSES = len(_MAKERS)


def make_fault(board: Board, rng: random.Random, which: int) -> Fault | None:
    """A fault of one kind; None where the board has no place for it."""
    return _MAKERS[which][1](board, rng)


def draw_fault(board: Board, rng: random.Random) -> Fault:
    """A fault drawn by the weights."""
    while True:
        [make] = rng.choices([m for _, m in _MAKERS], [w for w, _ in _MAKERS])
        fault = make(board, rng)
        if fault is not None:
            return fault
