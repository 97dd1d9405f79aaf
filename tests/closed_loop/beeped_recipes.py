"""Boards of idioms for rehearsals of the search by beeps: what stands on benches without a drawing.

They are put together by `tests.closed_loop.built`, which asks the program nothing.
"""

from __future__ import annotations

import random

from tests.closed_loop.built.board import Drawing
from tests.closed_loop.built.chains import random_steps
from tests.closed_loop.built.chips import MEMORIES
from tests.closed_loop.built.make import Recipe

__all__ = ["beeped_recipe"]

_NETWORKS = (
    "weighted", "weighted", "weighted", "equal", "ladder", "two in series", "beads", "packs", "open collectors",
)  # fmt: skip
_ENTRIES = ("nothing", "nothing", "termination", "pull-up", "bias", "common pack")
_EXITS = ("straight", "straight", "series", "bead", "zero ohm")
_ENDS = ("memory", "memory", "memory", "two memories", "header board", "transceiver", "write register")


def beeped_recipe(seed: int, *, in_order: bool = False) -> Recipe:
    """What the board of this seed is made of, its sections taken in order or shuffled."""
    r = random.Random(f"beeped {seed}")
    kind = r.choice(_NETWORKS)
    n = r.choice((2, 3, 3, 4, 5 if kind == "weighted" else 4))
    bits = [n, n, max(n - 1, 2 if kind == "ladder" else 1) if r.random() < 0.2 else n]
    way = [r.choice(_ENTRIES), r.choice(_EXITS)]
    if r.random() < 0.25:
        way.insert(1, "emitter follower")
    return Recipe(
        bits=(bits[0], bits[1], bits[2]),
        network=kind,
        way=tuple(way),
        steps=random_steps(Drawing(random.Random(seed))),
        end=r.choice(_ENDS),
        memory=r.choice(tuple(MEMORIES)),
        clear_blanks=r.random() < 0.5,
        naming="automatic",
        in_order=in_order,
    )
