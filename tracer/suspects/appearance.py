"""``white as blue``: what a colour looks like under each fault, and how likely a person names it so.

The word that the game wrote for the colour that should be is put at several
entries of the palette, each a little off, since nobody knows which shade was
meant. Of each fault its levels and its volts follow, as for all of the picture;
volts from the darkest to the brightest healthy ones stand for the figures 0 to
255 of a screen. A person names what shows by the nearest of the colours that
people have words for; how likely each is falls with its distance in CIE L*a*b*
(`tracer.suspects.cielab`) as the normal curve does.
"""

from __future__ import annotations

import math
import random
from collections.abc import Mapping, Sequence
from functools import cache
from itertools import product

from tracer.base.errors import UsageError
from tracer.suspects.cielab import COLOUR_NAMES, Lab, Rgb, colour_called, distance, lab_of
from tracer.suspects.fault import Fault
from tracer.suspects.hits import BitId
from tracer.suspects.picture import Picture, Shown
from tracer.suspects.priors import Priors, chance
from tracer.suspects.sample import Word

__all__ = ["SAID", "Appearance", "named_points", "words_known"]

#: Words that a person chooses from: the eleven basic terms of B. Berlin and P. Kay, Basic Color Terms (1969), and the two
#: mixtures of a screen that have names of their own in the trade.
SAID: tuple[str, ...] = (
    "white", "black", "red", "green", "yellow", "blue", "brown", "purple", "pink", "orange", "grey", "cyan", "magenta",
)  # fmt: skip
#: What a screen shows at full green is called green by everybody; CSS calls it lime. Common practice, no source.
_ALSO: Mapping[str, tuple[str, ...]] = {"green": ("lime",)}
_GUNS = ("red", "green", "blue")
#: Entries that may hold the colour that should be.
_ENTRIES, _SEED = 8, 1987
#: Up to so many bits all codes of a colour are tried, above it is filled from the heaviest on.
_MOST_TRIED = 8
_LEAST_WIDTH = 0.1


@cache
def named_points(word: str) -> tuple[Lab, ...]:
    """Where what a person calls so lies."""
    return tuple(lab_of(colour_called(name)) for name in (word, *_ALSO.get(word, ())))


class Appearance:
    """Chances of ``wanted as said`` under the faults of a board.

    Parameters
    ----------
    faults : sequence of Fault
    picture : Picture
    priors : Priors
    """

    def __init__(self, faults: Sequence[Fault], picture: Picture, priors: Priors) -> None:
        self.faults, self.picture, self.priors = faults, picture, priors
        self._shown: dict[str, tuple[tuple[Lab, ...], list[tuple[Lab, ...] | None]]] = {}
        self._named: dict[tuple[str, bool, str], list[Mapping[str, float]]] = {}

    @property
    def is_known(self) -> bool:
        """Whether mixed colours can be told of this board: its red, green and blue are all solved."""
        return all(gun in self.picture.stages for gun in _GUNS)

    def of(self, fault: int, wanted: str, said: str, errors: str = "error") -> float:
        """Chance that a person who errs so often calls so what shows where `wanted` should be."""
        error = chance(self.priors, errors, "word")
        known = words_known(said)
        return (1 - error) * self.shares(wanted, said)[fault].get(said, 0.0) + error / len(known)

    def shares(self, wanted: str, said: str) -> list[Mapping[str, float]]:
        """For each fault the words for what shows where `wanted` should be: word -> share of those who do not err.

        Words that nobody would say are left out; `said` tells from which words they choose.
        """
        is_basic = said in SAID
        key = wanted, is_basic, "" if is_basic else said
        if key not in self._named:
            self._named[key] = self._computed(wanted, words_known(said), is_basic=is_basic)
        return self._named[key]

    def shown(self, wanted: str) -> tuple[tuple[Lab, ...], list[tuple[Lab, ...] | None]]:
        """What the entries show on a good board, and under each fault; None where that is not computed.

        Raises
        ------
        UsageError
            The board has no red, green and blue, or the word is no colour.
        """
        if not self.is_known:
            have = ", ".join(self.picture.stages) or "none"
            raise UsageError(
                f"mixed colours such as {wanted} want the levels of red, green and blue, and this map has {have}",
                fix="say what each colour does, for example --seen red=missing",
            )
        if wanted not in self._shown:
            words = [self._word(rgb) for rgb in self._entries(wanted)]
            sample, at = self.picture.sample.holding(words)
            picture = self.picture.of(sample)
            usual = self._labs(picture.healthy, at)
            # Faults that show the same share one value, which the picture keeps.
            labs: dict[int, tuple[Lab, ...]] = {}
            listed: list[tuple[Lab, ...] | None] = []
            for fault in self.faults:
                if fault.what in ("outside", "unlisted"):
                    listed.append(None)
                    continue
                shown = picture.shown(fault.effect)
                if id(shown) not in labs:
                    labs[id(shown)] = self._labs(shown, at) if shown != picture.healthy else usual
                listed.append(labs[id(shown)])
            self._shown[wanted] = usual, listed
        return self._shown[wanted]

    def _computed(self, wanted: str, known: Sequence[str], *, is_basic: bool) -> list[Mapping[str, float]]:
        healthy, shown = self.shown(wanted)
        width = max(self.priors("appears", "width" if is_basic else "fine_width"), _LEAST_WIDTH)
        one = cache(lambda lab: _called(lab, known, width))

        @cache
        def called(labs: tuple[Lab, ...]) -> Mapping[str, float]:
            return _mean([(1.0, one(lab)) for lab in labs])

        own = [None if labs is None else called(labs) for labs in shown]
        listed = [(f.prior, named) for f, named in zip(self.faults, own, strict=True) if named is not None]
        any_of = dict.fromkeys(known, 1 / len(known))
        # A fault that is not listed shows what others do, or anything; one outside leaves it right, or shows anything.
        unlisted = _mean([(1.0, _mean(listed)), (1.0, any_of)])
        right = chance(self.priors, "appears", "right_outside")
        outside = _mean([(right, called(healthy)), (1 - right, any_of)])
        return [
            named if named is not None else outside if f.what == "outside" else unlisted
            for f, named in zip(self.faults, own, strict=True)
        ]

    # -- what the game wrote ------------------------------------------------------------------------

    def _entries(self, wanted: str) -> list[Rgb]:
        """Shades that may have been meant: the colour itself, and others around it."""
        names, chances = (wanted, *_ALSO.get(wanted, ())), random.Random(_SEED)
        spread = self.priors("appears", "spread")
        found = [colour_called(name) for name in names]
        while len(found) < _ENTRIES:
            r, g, b = found[len(found) % len(names)]
            found.append((_near(r, spread, chances), _near(g, spread, chances), _near(b, spread, chances)))
        return found

    def _word(self, rgb: Rgb) -> Word:
        """The levels of all bits that come nearest to a colour; bits of other colours are low."""
        word: dict[BitId, int] = dict.fromkeys(self.picture.paths, 0)
        for colour in self.picture.traced.bit_map.colours:
            if colour.name in _GUNS:
                share = rgb[_GUNS.index(colour.name)] / 255
                weights = tuple(bit.weight for bit in colour.bits)
                for bit, lit in zip(colour.bits, _nearest(weights, share), strict=True):
                    if (colour.name, bit.bit) in word:
                        word[colour.name, bit.bit] = lit if bit.weight >= 0 else 1 - lit
        return word

    # -- what shows ---------------------------------------------------------------------------------

    def _labs(self, shown: Shown, at: Sequence[int]) -> tuple[Lab, ...]:
        guns = [[self._figure(gun, shown.volts[gun][each]) for each in at] for gun in _GUNS]
        return tuple(lab_of((r, g, b)) for r, g, b in zip(*guns, strict=True))

    def _figure(self, gun: str, volts: float) -> float:
        """A voltage as a screen's figure: a monitor shows nothing below black, and its brightest above white."""
        healthy = self.picture.healthy.volts[gun]
        dark, bright = min(healthy), max(healthy)
        return min(max((volts - dark) / ((bright - dark) or 1e-9), 0.0), 1.0) * 255


def _near(figure: float, spread: float, chances: random.Random) -> float:
    return min(max(figure + chances.uniform(-spread, spread), 0.0), 255.0)


@cache
def _nearest(weights: tuple[float, ...], share: float) -> tuple[int, ...]:
    """Which bits are lit for a share of the full scale; the heaviest comes first."""
    sizes = [abs(w) for w in weights]
    if len(sizes) <= _MOST_TRIED:
        codes = product((0, 1), repeat=len(sizes))
        return min(
            codes, key=lambda code: abs(sum(s for s, on in zip(sizes, code, strict=True) if on) - share)
        )
    lit, left = [], share
    for i, size in enumerate(sizes):
        lit.append(int(left >= size - sum(sizes[i + 1 :]) / 2 and left >= size / 2))
        left -= size * lit[-1]
    return tuple(lit)


def words_known(said: str) -> Sequence[str]:
    """The words that a person chooses from who said this: who says peachpuff, or figures, has looked closer."""
    return SAID if said in SAID else tuple(sorted({*COLOUR_NAMES, said}))


def _called(lab: Lab, known: Sequence[str], width: float) -> Mapping[str, float]:
    """Share of the persons who call a colour by each of the words known."""
    near = {word: min(distance(lab, point) for point in named_points(word)) for word in known}
    nearest = min(near.values())
    # Against the nearest, so that colours far from all words do not come to nothing.
    weights = {word: math.exp((nearest**2 - d**2) / (2 * width**2)) for word, d in near.items()}
    total = sum(weights.values())
    return {word: weight / total for word, weight in weights.items()}


def _mean(weighed: Sequence[tuple[float, Mapping[str, float]]]) -> Mapping[str, float]:
    """The mean of shares, each with its weight, in whole per cent: finer nobody knows how colours are named."""
    total = sum(weight for weight, _ in weighed) or 1.0
    found: dict[str, float] = {}
    for weight, shares in weighed:
        for word, share in shares.items():
            found[word] = found.get(word, 0.0) + weight * share
    return _in_percents({word: share / total for word, share in found.items()})


def _in_percents(shares: Mapping[str, float]) -> Mapping[str, float]:
    """The same as hundredths that add up to 1 (largest remainders)."""
    exact = {word: 100 * share for word, share in shares.items()}
    whole = {word: int(share) for word, share in exact.items()}
    short = round(sum(exact.values())) - sum(whole.values())
    for word in sorted(exact, key=lambda w: (whole[w] - exact[w], w))[: max(short, 0)]:
        whole[word] += 1
    return {word: percent / 100 for word, percent in whole.items() if percent}
