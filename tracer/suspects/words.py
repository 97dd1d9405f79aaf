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
"""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from tracer.suspects.picture import Shown

__all__ = ["NEIGHBOURS", "WORDS", "words_of"]

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

_FINE, _MISSING, _ALWAYS, _WEAK, _STRONG, _COARSE = 1 / 12, 1 / 8, 0.5, 0.85, 1.15, 0.6
_IN_ORDER, _SOMEWHAT, _FOLLOWS = 0.6, 0.3, 0.5


def words_of(shown: Shown, healthy: Shown) -> dict[str, str]:
    """Colour -> its word."""
    return {colour: _word(colour, shown, healthy) for colour in healthy.volts}


def _word(colour: str, shown: Shown, healthy: Shown) -> str:
    now, was = shown.volts[colour], healthy.volts[colour]
    black, white = min(was), max(was)
    full = (white - black) or 1e-9
    dark, bright = (min(now) - black) / full, (max(now) - black) / full
    off = fmean(abs(a - b) for a, b in zip(now, was, strict=True)) / full
    if colour in shown.unsteady and off > _FINE / 4:
        return "flickers"
    if off <= _FINE and _STRONG >= bright >= _WEAK:
        return "fine"
    if bright <= _MISSING:
        return "missing"
    if dark >= _ALWAYS:
        return "always on"
    own = correlation(now, was)
    others = [correlation(now, v) for c, v in healthy.volts.items() if c != colour]
    if others and max(others) >= max(own, _FOLLOWS) and len(set(now)) > 1:
        return "mixed"
    if bright > _STRONG:
        return "too strong"
    if bright <= _WEAK and own >= _SOMEWHAT:
        return "weak"
    if own >= _IN_ORDER and n_levels(now) <= _COARSE * n_levels(was):
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
