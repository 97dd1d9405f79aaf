"""Resistors of the output stages that look wrong: what a wrong value, a swap or a missing part leaves in the map.

Three judges, in this order: the other colours (boards draw the same set for all
that have equally many bits), the doubling from bit to bit, and the order in
which the memory's pins follow the weights. All three are common practice, no
source; a finding says which of them speaks, and never changes the map.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.base.units import format_ohm
from tracer.bitmap.model import Bit, Colour
from tracer.circuit.graph import Circuit
from tracer.parts.kinds import Kind
from tracer.stage.model import Stage

__all__ = ["slip_findings"]

#: Weights of neighbouring bits lie about 2 apart; E12 values and loads spread that this far.
REGULAR_RATIO = (1.5, 3.2)
#: Slips of a decade, and of the letter (68k for 68): how many times the value is off.
SLIPS = {
    10.0: "ten times too much",
    0.1: "a tenth",
    1000.0: "a thousand times too much",
    0.001: "a thousandth",
}
#: A weight follows its one resistor if weight times ohms is the same for all bits within this share.
_FOLLOWS = 0.25
_NEAR = 0.15
_LEAST_TO_ORDER = 3


@dataclass(frozen=True, slots=True)
class _Weighing:
    """A bit and the one resistor that weighs it."""

    bit: Bit
    part: str
    ohm: float


def slip_findings(circuit: Circuit, colours: Sequence[Colour], stages: Mapping[str, Stage]) -> list[Finding]:
    """What looks wrong about the resistors of all colours."""
    sets: dict[str, tuple[_Weighing, ...]] = {}
    for colour in colours:
        weighing = _weighing(colour)
        if weighing is not None:
            sets[colour.name] = weighing
    values = dict(_values(sets))
    findings = [*values.values(), *_swaps({c: s for c, s in sets.items() if c not in values})]
    for colour in colours:
        findings += _open_ends(circuit, colour.name, stages[colour.name])
    return list(dict.fromkeys(findings))


def _weighing(colour: Colour) -> tuple[_Weighing, ...] | None:
    """The set of a colour, heaviest first; None where its weights are not those of one resistor a bit."""
    found = []
    for bit in colour.bits:
        if not bit.resistors or bit.resistors[0].ohm is None or not bit.weight:
            return None
        found.append(_Weighing(bit, bit.resistors[0].part, sum(r.ohm or 0.0 for r in bit.resistors)))
    if len(found) < 2:
        return None
    products = [abs(w.bit.weight) * w.ohm for w in found]
    return tuple(found) if max(products) <= (1 + _FOLLOWS) * min(products) else None


# -- values -------------------------------------------------------------------------------------------


def _values(sets: Mapping[str, tuple[_Weighing, ...]]) -> Iterator[tuple[str, Finding]]:
    """Colours with a resistor of a wrong value, as far as the set tells."""
    for colour, own in sets.items():
        peers = {name: s for name, s in sets.items() if name != colour and len(s) == len(own)}
        other = _other_value(own, peers)
        if other is not None:
            odd, expected = other
            judge = f"{' and '.join(peers)} {'have' if len(peers) > 1 else 'has'}"
            yield colour, _value_finding(colour, own, odd, expected, judge)
        elif not _is_regular([w.ohm for w in own]) and not _agree(own, peers):
            guesses = list(_in_step(own))
            if len(guesses) == 1:
                judge = "the doubling of the others wants"
                yield colour, _value_finding(colour, own, *guesses[0], judge)


def _agree(own: Sequence[_Weighing], peers: Mapping[str, Sequence[_Weighing]]) -> bool:
    """Whether another colour has the very same set, however odd it is."""
    return any(_ohms(own) == _ohms(p) for p in peers.values())


def _ohms(weighing: Sequence[_Weighing]) -> Counter[float]:
    return Counter(w.ohm for w in weighing)


def _other_value(
    own: Sequence[_Weighing], peers: Mapping[str, Sequence[_Weighing]]
) -> tuple[_Weighing, float] | None:
    """The one resistor that differs from what all peers agree on, and what stands there in them."""
    wanted = [_ohms(p) for p in peers.values()]
    if not wanted or any(w != wanted[0] for w in wanted):
        return None
    too_many, lacking = _ohms(own) - wanted[0], wanted[0] - _ohms(own)
    if sum(too_many.values()) != 1 or sum(lacking.values()) != 1:
        return None
    # A single peer is right only where it is the more regular of the two.
    if len(wanted) == 1 and not (_is_regular(wanted[0].elements()) and not _is_regular(w.ohm for w in own)):
        return None
    (value,), (expected,) = too_many, lacking
    return next(w for w in own if w.ohm == value), expected


def _is_regular(ohms: Iterator[float] | Sequence[float]) -> bool:
    low, high = REGULAR_RATIO
    return all(low <= b / a <= high for a, b in pairwise(sorted(ohms)))


def _in_step(own: Sequence[_Weighing]) -> Iterator[tuple[_Weighing, float]]:
    """Resistors that a slip alone explains: with it undone the whole set doubles."""
    for odd in own:
        for slip in SLIPS:
            expected = odd.ohm / slip
            if _is_regular([expected if w is odd else w.ohm for w in own]):
                yield odd, expected


def _value_finding(
    colour: str, own: Sequence[_Weighing], odd: _Weighing, expected: float, judge: str
) -> Finding:
    ratio = odd.ohm / expected
    kind = next((words for slip, words in SLIPS.items() if abs(ratio / slip - 1) < _NEAR), "")
    twins = [w.part for w in own if w is not odd and w.ohm == odd.ohm]
    if not kind and twins:
        kind = f"equal to {twins[0]}"
    why = f" ({kind})" if kind else ""
    return warning(
        "resistor-slip",
        f"{odd.part} is {format_ohm(odd.ohm)} where {judge} {format_ohm(expected)}{why}; read the part itself. "
        "If the drawing slipped, the order of the bits here is wrong too",
        odd.part,
        colour=colour,
    )


# -- order --------------------------------------------------------------------------------------------


def _swaps(sets: Mapping[str, tuple[_Weighing, ...]]) -> Iterator[Finding]:
    """One pair against the order that the memory pins of every other colour keep."""
    ranks = {c: r for c, own in sets.items() if len(own) >= _LEAST_TO_ORDER and (r := _ranks(own))}
    for colour, own_ranks in ranks.items():
        senses = {_sense(r) for c, r in ranks.items() if c != colour}
        if len(senses) != 1 or None in senses or _sense(own_ranks) is not None:
            continue
        wanted = sorted(own_ranks, reverse=senses.pop() == "falling")
        wrong = [i for i, (a, b) in enumerate(zip(own_ranks, wanted, strict=True)) if a != b]
        first, second = (sets[colour][i] for i in (wrong[0], wrong[-1])) if wrong else (None, None)
        if first and second and len(wrong) == 2 and first.ohm != second.ohm:
            yield note(
                "resistors-swapped",
                f"{first.part} {format_ohm(first.ohm)} and {second.part} {format_ohm(second.ohm)} may be "
                "swapped: in the other colours the weights follow the memory's pins in order, here these two do not",
                first.part,
                second.part,
                colour=colour,
            )


def _ranks(own: Sequence[_Weighing]) -> tuple[int, ...] | None:
    """Places of the bits' memory pins, heaviest bit first; None where several memories or none feed them."""
    sources = []
    for weighing in own:
        path = weighing.bit.main_path
        if path is None or not path.source.is_memory or path.source.pin is None:
            return None
        sources.append(path.source)
    if len({s.part for s in sources}) != 1 or len({s.pin for s in sources}) != len(sources):
        return None
    ordered = sorted(sources, key=lambda s: (natural_key(s.name), natural_key(s.pin or "")))
    return tuple(ordered.index(s) for s in sources)


def _sense(ranks: Sequence[int]) -> str | None:
    if all(a < b for a, b in pairwise(ranks)):
        return "rising"
    return "falling" if all(a > b for a, b in pairwise(ranks)) else None


# -- what is missing ----------------------------------------------------------------------------------


def _open_ends(circuit: Circuit, colour: str, stage: Stage) -> Iterator[Finding]:
    packs: set[str] = set()
    for net in sorted(stage.nets, key=natural_key):
        if net in circuit.rails:
            continue
        for pin in circuit.pins_on(net):
            part = circuit.identified.get(pin.part)
            if part is None:
                continue
            if not part.part.fitted:
                yield note(
                    "not-fitted",
                    f"{pin.part} in its output stage is marked as not fitted and was left out",
                    pin.part,
                    colour=colour,
                    like="not fitted",
                )
            elif part.kind == Kind.RESISTOR and len(circuit.pins_on(net)) == 1 and net != stage.start:
                yield warning(
                    "resistor-open",
                    f"{pin} of its output stage leads nowhere; a bit may be missing for it",
                    str(pin),
                    colour=colour,
                    like="open",
                )
            elif part.kind == Kind.RESISTOR_PACK:
                packs.add(pin.part)
    for pack in sorted(packs, key=natural_key):
        common = _common_leg(circuit, pack)
        if common is None:
            continue
        nets = circuit.nets_of(pack, common)
        if not any(len(circuit.pins_on(n)) > 1 for n in nets):
            yield warning(
                "pack-common-open",
                f"the common leg {pack}.{common} goes nowhere; through it the lines on {pack} leak into one "
                "another, and its pull-up or pull-down does not work",
                f"{pack}.{common}",
                colour=colour,
                like="open",
            )


def _common_leg(circuit: Circuit, pack: str) -> str | None:
    """The leg that all resistors of a bussed pack share."""
    ends = [{arc.source, arc.target} for arc in circuit.identified[pack].type.arcs if arc.kind == "series"]
    shared = set.intersection(*ends) if len(ends) > 1 else set()
    return shared.pop() if len(shared) == 1 else None
