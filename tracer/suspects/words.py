"""Words for what the screen shows of a colour, each a measurement on the computed picture.

``full`` is the distance between the darkest and the brightest healthy element.

fine         no element off by more than a twelfth of full on the mean
missing      nothing brighter than an eighth of full
always on    nothing darker than half of full
mixed        follows another colour at least as well as its own
too strong   the brightest more than 115 % of full
weak         the brightest at most 85 % of full, still following its own
coarse       at most three in five of the levels left, the rest in order
flickers     bits float or come and go
wrong        anything else

People do not agree on where one word ends and the next begins. So what a fault shows has not one word but a share for
each: that of the persons who would say it, whose limits lie around those above.
"""

from __future__ import annotations

import random
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from statistics import fmean

from tracer.suspects.picture import Shown

__all__ = ["NEIGHBOURS", "WORDS", "word_shares", "words_of"]

WORDS: tuple[str, ...] = (
    "fine", "missing", "always on", "weak", "too strong", "coarse", "mixed", "flickers", "wrong",
)  # fmt: skip

#: Words that are easily taken for one another: most wrong words are among these. Guess.
NEIGHBOURS: dict[str, tuple[str, ...]] = {
    "fine": ("coarse", "weak"),
    "missing": ("weak",),
    "always on": ("too strong", "wrong"),
    "weak": ("missing", "coarse"),
    "too strong": ("always on", "coarse"),
    "coarse": ("weak", "wrong", "fine"),
    "mixed": ("wrong", "too strong"),
    "flickers": ("wrong", "coarse"),
    "wrong": ("mixed", "coarse", "flickers"),
}


@dataclass(frozen=True, slots=True)
class _Limits:
    """Where one person's words end: shares of ``full``, of the levels, and how closely a colour is followed."""

    fine: float = 1 / 12
    missing: float = 1 / 8
    always: float = 0.5
    weak: float = 0.85
    strong: float = 1.15
    coarse: float = 0.6
    in_order: float = 0.6
    somewhat: float = 0.3
    follows: float = 0.5


_USUAL = _Limits()
#: How many persons are asked, and how far their limits lie around the usual ones: guesses.
_PERSONS, _APART, _SEED = 40, 0.35, 1931


@cache
def _persons() -> tuple[_Limits, ...]:
    """Persons, drawn by a fixed seed: each limit as far off as it is from where the word would mean nothing."""
    chance = random.Random(_SEED)

    def around(usual: float) -> float:
        return usual * (1 + chance.uniform(-_APART, _APART))

    return tuple(
        _Limits(
            around(_USUAL.fine),
            around(_USUAL.missing),
            around(_USUAL.always),
            1 - around(1 - _USUAL.weak),
            1 + around(_USUAL.strong - 1),
            around(_USUAL.coarse),
            around(_USUAL.in_order),
            around(_USUAL.somewhat),
            around(_USUAL.follows),
        )
        for _ in range(_PERSONS)
    )


@dataclass(frozen=True, slots=True)
class _Measured:
    """What of a colour the words speak of; see the head of the module."""

    off: float
    dark: float
    bright: float
    own: float
    other: float
    moves: bool
    levels: float
    is_unsteady: bool


def words_of(shown: Shown, healthy: Shown) -> dict[str, str]:
    """Colour -> its usual word."""
    return {colour: _word(own, _USUAL) for colour, own in _all_measured(shown, healthy).items()}


def word_shares(shown: Shown, healthy: Shown) -> dict[str, Mapping[str, float]]:
    """Colour -> word -> share of the persons who would say it; words that nobody would say are left out."""
    return {colour: _shares(own) for colour, own in _all_measured(shown, healthy).items()}


def _all_measured(shown: Shown, healthy: Shown) -> dict[str, _Measured]:
    """What is measured of each colour; most faults leave the others as they are."""
    was = tuple(healthy.volts.values())
    return {
        colour: _measured(shown.volts[colour], at, was, is_unsteady=colour in shown.unsteady)
        for at, colour in enumerate(healthy.volts)
    }


@cache
def _shares(measured: _Measured) -> Mapping[str, float]:
    found: dict[str, float] = {}
    for limits in _persons():
        word = _word(measured, limits)
        found[word] = found.get(word, 0.0) + 1 / _PERSONS
    return found


@lru_cache(maxsize=4096)
def _measured(
    now: tuple[float, ...], at: int, every: tuple[tuple[float, ...], ...], *, is_unsteady: bool
) -> _Measured:
    """What of the colour number `at` the words speak of, among all colours as they should be."""
    was = every[at]
    black, white = min(was), max(was)
    full = (white - black) or 1e-9
    others = [correlation(now, other) for i, other in enumerate(every) if i != at]
    return _Measured(
        round(fmean(abs(a - b) for a, b in zip(now, was, strict=True)) / full, 4),
        round((min(now) - black) / full, 4),
        round((max(now) - black) / full, 4),
        round(correlation(now, was), 4),
        round(max(others, default=0.0), 4),
        len(set(now)) > 1,
        round(n_levels(now) / n_levels(was), 4),
        is_unsteady,
    )


def _word(m: _Measured, limits: _Limits) -> str:
    if m.is_unsteady and m.off > limits.fine / 4:
        return "flickers"
    if m.off <= limits.fine and limits.strong >= m.bright >= limits.weak:
        return "fine"
    if m.bright <= limits.missing:
        return "missing"
    if m.dark >= limits.always:
        return "always on"
    if m.moves and m.other >= max(m.own, limits.follows):
        return "mixed"
    if m.bright > limits.strong:
        return "too strong"
    if m.bright <= limits.weak and m.own >= limits.somewhat:
        return "weak"
    if m.own >= limits.in_order and m.levels <= limits.coarse:
        return "coarse"
    return "wrong"


def n_levels(volts: Sequence[float]) -> int:
    """How many of the voltages differ, to a millivolt."""
    return len({round(v, 3) for v in volts})


def correlation(a: Sequence[float], b: Sequence[float]) -> float:
    """Pearson's coefficient; 0 where one does not move."""
    ma, mb = fmean(a), fmean(b)
    top = sum((x - ma) * (y - mb) for x, y in zip(a, b, strict=True))
    below = sum((x - ma) ** 2 for x in a) * sum((y - mb) ** 2 for y in b)
    return top / below**0.5 if below > 1e-18 else 0.0
