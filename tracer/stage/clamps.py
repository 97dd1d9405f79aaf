"""Clamps: drivers that let the others through or not, and so blank a colour."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from tracer.stage.model import StageDriver
from tracer.stage.response import Response

__all__ = ["find_clamps", "open_level"]

#: A clamp leaves less than this of what a bit does without it, and does more than that itself.
CLAMPED = 0.15
CLAMPS = 0.6
#: Drivers that move the colour by less than this share do not speak for or against a clamp.
NOTICED = 0.05


def open_level(response: Response, index: int) -> int:
    """The level of a clamp at which the others move the colour most."""
    n = len(response.stage.drivers)

    def span(level: int) -> float:
        ends = [response.volts(tuple(level if i == index else b for i in range(n))) for b in (0, 1)]
        return abs(ends[1] - ends[0])

    return int(span(1) > span(0))


def find_clamps(
    response: Response, may_clamp: Callable[[StageDriver], bool], leaks: frozenset[str]
) -> tuple[dict[int, int], bool]:
    """Drivers that let the others through or not, each with the level that lets them through.

    `may_clamp` tells whether a driver can be one, `leaks` are nets of drivers of other colours, which are none.
    Two drivers that gate one another look alike; then nothing is held and the second value is True.
    """
    if response.superposes:
        return {}, False
    n = len(response.stage.drivers)
    own = [i for i, driver in enumerate(response.stage.drivers) if driver.net not in leaks]
    held: dict[int, int] = {}
    for _ in own:
        found = [c for c in _one_clamp(response, held, n, own) if may_clamp(response.stage.drivers[c[0]])]
        if len(found) == 1:
            held[found[0][0]] = found[0][1]
        else:
            return held, len(found) > 1
    return held, False


def _one_clamp(
    response: Response, held: Mapping[int, int], n: int, own: Sequence[int]
) -> list[tuple[int, int]]:
    rest = [i for i in own if i not in held]
    if len(rest) < 2:
        return []
    base = {b: tuple(held.get(i, b) for i in range(n)) for b in (0, 1)}
    flip = {
        b: {i: abs(response.volts(tuple(1 - x if k == i else x for k, x in enumerate(base[b]))) - response.volts(base[b])) for i in rest}
        for b in (0, 1)
    }  # fmt: skip
    span = max(max(flip[0].values()), max(flip[1].values()))
    if span < 1e-6:
        return []
    found = []
    for i in rest:
        for b in (0, 1):
            others = [k for k in rest if k != i and max(flip[0][k], flip[1][k]) > NOTICED * span]
            quiet = bool(others) and all(flip[b][k] < CLAMPED * max(flip[0][k], flip[1][k]) for k in others)
            if flip[b][i] >= CLAMPS * span and quiet:
                found.append((i, 1 - b))
    return found
