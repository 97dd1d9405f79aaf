"""What a map says of a built board: right, said, or wrong without a word."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from tests.closed_loop.built.board import TrueBit, TrueBoard
from tracer.bitmap.model import Bit, BitMap

__all__ = ["Fault", "faults"]

#: How far a computed share may be from that of the resistors, and weights that are taken as equal.
_SHARE = 0.003
_ALIKE = 1.02


@dataclass(frozen=True)
class Fault:
    """Something that the map says otherwise than the board was built; `said` if a finding or a stopped bit names it."""

    text: str
    said: bool = False

    def __str__(self) -> str:
        return ("said: " if self.said else "SILENT: ") + self.text


def faults(true: TrueBoard, bit_map: BitMap) -> list[Fault]:
    """All differences; empty where the map is right."""
    found = []
    for code, where in true.said:
        # A clamp that does not conduct at this board's levels moves nothing, and that is said.
        codes = (code, "no-effect") if code == "clamp" else (code,)
        if not any(f.code in codes and (where in f.where or where in f.text) for f in bit_map.findings):
            stopped = any(
                f"{b.driver.part}.{b.driver.pin}" == where
                for c in bit_map.colours
                for b in c.bits
                if b.because
            )
            found.append(Fault(f"no finding {code} names {where}", stopped))
    by_name = {c.name: c for c in bit_map.colours}
    for name, colour in true.colours.items():
        made = by_name.get(name)
        if made is None:
            found.append(Fault(f"{name} is missing", bool(bit_map.findings)))
            continue
        shown = [made.bits, *(state.bits for state in made.states)]
        if len(shown) != len(colour.states):
            found.append(
                Fault(
                    f"{name}: {len(shown)} states for {len(colour.states)}",
                    not any(b.is_traced for b in made.bits),
                )
            )
        for state in colour.states:
            best = min(([*_state(name, state, bits, bit_map)] for bits in shown), key=len)
            found += best
    return found


def _state(name: str, true: Sequence[TrueBit], bits: Sequence[Bit], bit_map: BitMap) -> Iterator[Fault]:
    places: dict[int, TrueBit] = {}
    for bit in true:
        at = [
            i
            for i, b in enumerate(bits)
            if f"{b.driver.part}.{b.driver.pin}" in bit.drivers and i not in places
        ]
        if at:
            places[at[0]] = bit
        else:
            stopped = len(bits) > 0 and all(not b.is_traced for b in bits)
            said = stopped or not bits or _names(bit_map, *bit.drivers)
            yield Fault(f"{name}: no bit of {sorted(bit.drivers)}", said)
    for i, made in enumerate(bits):
        if i not in places:
            leg = f"{made.driver.part}.{made.driver.pin}"
            yield Fault(f"{name}: invented bit of {leg}", not made.is_traced or _names(bit_map, leg))
            continue
        yield from _bit(f"{name} {made.bit}", places[i], made, bit_map)
        # Shares are of all bits of the colour: with one too many or missing they say nothing.
        if len(places) == len(true) == len(bits) and places[i].exact:
            share = abs(made.weight)
            if abs(share - places[i].weight) > _SHARE:
                yield Fault(f"{name} {made.bit}: weight {share:.4f} for {places[i].weight:.4f}")
    placed = [places[i] for i in sorted(places) if places[i].ordered]
    for heavy, light in pairwise(placed):
        if light.weight > heavy.weight * _ALIKE:
            yield Fault(f"{name}: {sorted(heavy.resistors)} above {sorted(light.resistors)}")


def _bit(where: str, true: TrueBit, made: Bit, bit_map: BitMap) -> Iterator[Fault]:
    resistors = {r.part for r in made.resistors}
    if not true.resistors <= resistors <= true.resistors | true.may_pass:
        yield Fault(f"{where}: resistors {sorted(resistors)} for {sorted(true.resistors)}")
    ends = {f"{p.source.part}.{p.source.pin}" for p in made.paths if p.role != "write path"}
    leg = f"{made.driver.part}.{made.driver.pin}"
    if true.ends == "memory":
        if ends != true.sources:
            said = not made.is_traced or _names(bit_map, leg)
            yield Fault(f"{where}: ends at {sorted(ends)} for {sorted(true.sources)}; {made.because}", said)
        elif not made.is_traced:
            yield Fault(f"{where}: stopped, {made.because}", True)
    elif made.is_traced:
        whole = true.ends == "function" and ends == true.sources
        if not (whole and any(f.code == "gate-undecided" for f in bit_map.findings)):
            yield Fault(f"{where}: traced to {sorted(ends)}, but ends in {true.ends}", _names(bit_map, leg))
    elif true.ends == "elsewhere" and ends != true.sources:
        yield Fault(f"{where}: ends at {sorted(ends)} for {sorted(true.sources)}; {made.because}", True)


def _names(bit_map: BitMap, *words: str) -> bool:
    """Whether a warning names one of these, or that it was left out for its name."""
    return any(
        (f.severity == "warning" or f.code == "sync-mixed")
        and any(word in f.where or word in f.text for word in words)
        for f in bit_map.findings
    )
