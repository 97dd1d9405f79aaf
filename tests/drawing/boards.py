"""The demo boards, and their true bit maps by construction."""

from __future__ import annotations

from functools import cache

from tests.drawing.avocet import avocet, avocet_truth
from tests.drawing.design import Project, TrueBit
from tests.drawing.dunlin import dunlin
from tests.drawing.plover import plover
from tests.drawing.wren import wren

__all__ = ["boards", "colour_pins", "truths"]


@cache
def boards() -> tuple[Project, ...]:
    """Every board; avocet is two."""
    return wren(), dunlin(), plover(), *avocet()


def truths() -> dict[str, dict[str, tuple[TrueBit, ...]]]:
    """Board -> colour -> bits, heaviest first; ``avocet`` is both its boards joined by the ribbon."""
    found = {board.name: dict(board.truth) for board in boards() if board.truth}
    *_, main, video = boards()
    return {**found, "avocet": avocet_truth(main, video)}


def colour_pins() -> dict[str, dict[str, str]]:
    """Board -> colour -> connector leg."""
    found = {board.name: dict(board.colour_pins) for board in boards() if board.colour_pins}
    joined = {colour: f"avocet-video:{leg}" for colour, leg in found["avocet-video"].items()}
    return {**found, "avocet": joined}
