"""The faults that a page lets people try: those listed for the path that a leg, a chip or a part of a stage shows.

Volts are kept once for each change of bits, as many legs of one path change the same bit in the same way.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from tracer.levels.codes import bench_levels
from tracer.page.values import FaultAt, FaultedBit, FaultedColour, MovedIndex, OpenInput
from tracer.parts.families import family_of
from tracer.suspects.fault import Fault, What
from tracer.suspects.hits import AtDriver, BitId, Hit, in_bank, stands_from
from tracer.suspects.path_legs import LegKey, PathLegs, path_legs
from tracer.suspects.picture import Picture, picture_of
from tracer.tracing.pipeline import Traced

__all__ = ["MOST_BITS", "faults_shown"]

#: Colours of more bits have no ramps: 256 steps are what a page can show side by side.
MOST_BITS = 8
_LEVELS = ("low", "high")
_AT_LEGS = (("chip", "stuck"), ("track", "shorted"), ("joint", "open"))
_STUCK = {"low": "stuck low", "high": "stuck high", "open": "open"}
_OF_STAGE = frozenset({"resistor", "transistor", "diode"})

#: What is tried: its fault's number, the words for it, and where: part, and leg or None for the whole part.
_Trial = tuple[int, str, str, str | None]


def faults_shown(
    traced: Traced, load_ohm: float | None, faults: Sequence[Fault]
) -> tuple[tuple[FaultAt, ...], tuple[tuple[float, ...], ...]]:
    """Faults in the order of their legs, source first, then of whole chips, address lines and the stage; and their volts.

    Parameters
    ----------
    traced : Traced
    load_ohm : float or None
    faults : sequence of Fault
        All of the path, as `tracer.suspects.listing.list_faults` gives them.
    """
    picture, legs = picture_of(traced, load_ohm), path_legs(traced)
    shown = _Shown(traced, picture, load_ohm)
    found = []
    tried: set[tuple[str, str, str | None]] = set()
    for number, words, part, pin in _trials(legs, faults):
        if (words, part, pin) in tried:
            continue  # A chip that holds a line and a line that is shorted look alike.
        tried.add((words, part, pin))
        effect = faults[number].effect
        hit = picture.bits_hit(effect)
        colours = []
        for colour, volts in shown.changed(faults[number]).items():
            ends = {bit: end for (name, bit), end in hit.items() if name == colour}
            bits = tuple(
                _faulted(legs, faults[number], (colour, bit), ends[bit]) for bit in sorted(ends, reverse=True)
            )
            colours.append(FaultedColour(colour, bits, volts))
        moved = _moved(legs, faults[number])
        if colours or moved is not None:
            found.append(FaultAt(words, number, part, pin, tuple(colours), moved))
    return tuple(found), tuple(shown.pool)


class _Shown:
    """Volts of the colours that faults change, each ramp once."""

    def __init__(self, traced: Traced, picture: Picture, load_ohm: float | None) -> None:
        self.picture = picture
        self.pool: dict[tuple[float, ...], int] = {}
        self.names = [c.name for c in traced.bit_map.colours if c.bits]
        levels = bench_levels(traced, load_ohm)
        self.known = {c.colour for c in levels.colours if c.loads and c.n_bits <= MOST_BITS}
        self._solved: dict[object, dict[str, int | None]] = {}

    def changed(self, fault: Fault) -> dict[str, int | None]:
        """Colours that a fault reaches in their bits, their stage or behind it -> place in the pool."""
        effect = fault.effect
        bits = self.picture.bits_hit(effect)
        own = {name for name, _ in bits} | {change.colour for change in effect.stage}
        own |= {
            *effect.joined,
            *effect.severed,
            *effect.lifted,
            *effect.swapped,
            *(name for name, _ in effect.gains),
        }
        change = (
            tuple(bits.items()),
            effect.stage,
            effect.joined,
            effect.severed,
            effect.gains,
            effect.swapped,
        )
        if change not in self._solved:
            ramps = self.picture.ramps(effect) if own & self.known else {}
            self._solved[change] = {
                name: None if (volts := ramps.get(name)) is None or name not in self.known
                else self.pool.setdefault(volts, len(self.pool))
                for name in self.names if name in own
            }  # fmt: skip
        return self._solved[change]


def _trials(legs: PathLegs, faults: Sequence[Fault]) -> Iterator[_Trial]:
    """What can be tried.

    A leg that stands at a level: an output by its chip's fault, an input by that of the track it hangs on.
    """
    of_leg: dict[tuple[What, LegKey], dict[str, int]] = {}
    pulled = {fault.part: number for number, fault in enumerate(faults) if fault.manner == "loose"}
    for number, fault in enumerate(faults):
        if fault.effect.hits and (fault.what, fault.manner) in _AT_LEGS:
            (leg,) = fault.legs
            trial = "open" if fault.level is None else _LEVELS[fault.level]
            of_leg.setdefault((fault.what, (leg.part, leg.pin)), {})[trial] = number
    for key, uses in legs.uses.items():
        path, at = uses[0]
        if path.bank:
            continue
        if legs.is_output(key):
            found = of_leg.get(("chip", key), {})
        else:
            start = path.legs[max(at - 1, 0)]
            found = of_leg.get(("track", (start.part, start.pin)), {})
        found = found | of_leg.get(("joint", key), {})
        yield from ((number, _STUCK[trial], *key) for trial, number in found.items())
    chips = dict.fromkeys(part for part, _ in legs.uses)
    yield from ((pulled[part], "out of its socket", part, None) for part in chips if part in pulled)
    for number, fault in enumerate(faults):
        yield from _beside(number, fault)


def _beside(number: int, fault: Fault) -> Iterator[_Trial]:
    """Faults of address lines, of parts of the stages, at the colours' pins and behind them."""
    if (
        fault.effect.address is not None
        and fault.legs
        and fault.manner in ("address stuck", "stuck", "shorted")
    ):
        words = f"stuck {_LEVELS[fault.level or 0]}"
        yield number, words, fault.legs[0].part, fault.legs[0].pin
    elif fault.manner == "address shorted":
        first, second = fault.legs
        yield number, f"shorted with leg {second.pin}", first.part, first.pin
    elif fault.what in _OF_STAGE:
        yield number, _stage_words(fault), fault.part, None
    elif fault.manner == "colours shorted" or fault.what == "beyond" or fault.effect.severed:
        part, _, pin = fault.place.ends[0].rpartition(".")
        if fault.effect.severed:
            part, _, pin = fault.place.ends[-1].rpartition(".")
        yield number, _pin_words(fault), part, pin or None


def _stage_words(fault: Fault) -> str:
    factors = [change.factor for change in fault.effect.stage]
    at = f" at {fault.colours[0]}" if fault.colours else ""
    return {
        "wrong value": f"{factors[0]:g} times its value" if factors else "another value",
        "common open": f"common leg open{at}",
    }.get(fault.manner, fault.manner)


def _pin_words(fault: Fault) -> str:
    colours = " and ".join(fault.colours)
    if fault.effect.severed:
        return "no contact on the board"
    return {
        "colours shorted": f"{colours} shorted together" if len(fault.colours) > 1 else "shorted to ground",
        "wire open": f"{colours} open behind it",
        "input weak": f"{colours} weak behind it",
        "no load": "no load at the monitor",
        "wires swapped": f"wires of {colours} swapped",
    }[fault.manner]


def _moved(legs: PathLegs, fault: Fault) -> MovedIndex | None:
    """What a fault of the address makes of the entry that is asked for; nothing where nobody can tell."""
    address = fault.effect.address
    if address is None or address.unsteady or fault.effect.scrambled or fault.control is not None:
        return None  # Lines that stop with their clock stand at levels that nobody knows.
    n_lines = max((sum(x.is_live for x in m.lines) for m in legs.memories), default=0)
    own = {key for key, path in legs.paths.items() if path.legs[0].part in fault.effect.memories}
    return MovedIndex(address.held, address.joined, n_lines, tuple(sorted(own))) if own and n_lines else None


def _faulted(legs: PathLegs, fault: Fault, key: BitId, end: AtDriver) -> FaultedBit:
    return FaultedBit(
        key[1], end.level, end.let_go, None if end.is_told else _open_input(legs, fault.effect.hits, key)
    )


def _open_input(legs: PathLegs, hits: Mapping[BitId, Sequence[Hit]], key: BitId) -> OpenInput:
    """The input that a fault leaves open."""
    path = legs.paths[key]
    hit = in_bank(hits[key], path.bank)[-1]
    reader = path.legs[stands_from(path, hit)].part
    known = legs.circuit.identified.get(reader)
    family = family_of(known) if known else None
    return OpenInput(reader, family.name if family else None)
