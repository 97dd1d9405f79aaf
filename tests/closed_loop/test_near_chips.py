"""Boards laid out for short wires: the place of a chip tells whether it is in the path, and wrong places do little harm.

What is counted is how many legs are likelier than the right one where a chip is met for the first time: those that a
person sweeps for it. Legs that are as likely count half. Chips are numbered by chance, so that no order helps.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from tests.closed_loop.beep_boards import CROWDED, beep_board
from tests.closed_loop.laid_out import laid_out, on_a_grid, renumbered, shuffled
from tracer.beeps.bench import set_up
from tracer.beeps.candidates import Candidates, Chances, Seen
from tracer.beeps.rehearsal import rehearse, undrawn
from tracer.beeps.rehearsal_text import rehearsal_as_text
from tracer.beeps.ways_back import find_wanted
from tracer.beeps.weights import load_wiring
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.library import load_library

SEEDS = range(100, 112)
#: How the places of parts are told -> the board with them.
TOLD: dict[str, Callable[[Netlist, int], Netlist]] = {
    "not at all": lambda board, _: board,
    "in millimetres": laid_out,
    "by the grid": on_a_grid,
    "wrongly": lambda board, seed: shuffled(laid_out(board, seed), seed),
}


@cache
def legs_before(kind: str, told: str) -> float:
    """On all seeds together."""
    return sum(_legs_before(renumbered(beep_board(kind, seed), seed), told, seed) for seed in SEEDS)


def _legs_before(netlist: Netlist, told: str, seed: int) -> float:
    library, numbers = load_library(), load_wiring()
    truth = set_up(netlist, library)
    whole = find_wanted(truth)
    placed = undrawn(TOLD[told](netlist, seed), truth.colours, is_placed=told != "not at all")
    kinds = ("driver", "input")
    wants = {kind: {c.want.held: c.want for c in whole.found if c.want.kind == kind} for kind in kinds}
    candidates = Candidates(set_up(placed, library), whole, wants, numbers)
    legs = 0.0
    for kind in kinds:
        seen = Seen()
        for connection in whole.found:
            if connection.want.kind == kind:
                if connection.end in candidates and connection.end.part not in seen.chips:
                    legs += _before(candidates.base(connection.want, seen), connection.end)
                seen.found.append(connection)
    return legs


def _before(chances: Chances, right: PinRef) -> float:
    own = chances[right]
    alike = sum(abs(chance - own) <= 1e-4 * own for chance in chances.values())
    return sum(chance > 1.0001 * own for chance in chances.values()) + alike / 2


@pytest.mark.parametrize(("kind", "share"), [("regular", 0.85), (CROWDED, 0.8), ("packs", 0.85)])
def test_places_in_millimetres_spare_touches(kind: str, share: float) -> None:
    assert legs_before(kind, "in millimetres") <= share * legs_before(kind, "not at all")


@pytest.mark.parametrize(("kind", "share"), [("regular", 0.95), (CROWDED, 0.95), ("packs", 0.95)])
def test_places_on_the_grid_spare_some(kind: str, share: float) -> None:
    assert legs_before(kind, "by the grid") <= share * legs_before(kind, "not at all")


@pytest.mark.parametrize("kind", ["regular", "packs", CROWDED])
def test_places_that_tell_nothing_cost_little(kind: str) -> None:
    assert legs_before(kind, "wrongly") <= 1.2 * legs_before(kind, "not at all")


def test_a_rehearsal_says_whether_places_were_used() -> None:
    netlist = laid_out(beep_board("mixed", 1), 1)
    placed, unplaced = (
        rehearse(netlist, load_library(), load_wiring(), is_placed=is_placed) for is_placed in (True, False)
    )
    assert placed.map_right
    assert unplaced.map_right
    assert (placed.located, unplaced.located) == (len(netlist.parts), 0)
    assert f"{len(netlist.parts)} of {len(netlist.parts)} parts sit" in rehearsal_as_text(placed)
    assert "without the places of parts" in rehearsal_as_text(unplaced)
