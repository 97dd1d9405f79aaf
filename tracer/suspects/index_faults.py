"""The address lines of the palette: what drives them, the tracks to them, and what comes to them.

A line that stands makes entries of the palette show for others: the colours fall together two by two, all at once, as
the drawing of the picture stays whole. Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from tracer.base.names import natural_key
from tracer.levels.leg_paths import open_reads
from tracer.suspects.fault import AddressFault, Effect, Fault, Leg, Place
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = ["IndexNet", "index_nets", "line_faults", "open_lines"]


@dataclass(frozen=True, slots=True)
class IndexNet:
    """One line of the index: its number among the live ones, what drives it, and the memories' legs on it."""

    line: int
    net: str
    drivers: tuple[LegKey, ...]
    legs: tuple[LegKey, ...]

    @property
    def memories(self) -> tuple[str, ...]:
        """The memories that it addresses."""
        return tuple(part for part, _ in self.legs)


def index_nets(legs: PathLegs) -> tuple[IndexNet, ...]:
    """The live lines of the index, in the order of the address."""
    found: dict[str, IndexNet] = {}
    for memory in legs.memories:
        for line, each in enumerate(line for line in memory.lines if line.is_live):
            if each.net is None or each.set_by not in ("output", "connector"):
                continue
            known = found.get(each.net)
            drivers = tuple((d.part, d.pin) for d in each.drivers)
            own = ((memory.part, each.pin),)
            found[each.net] = (
                IndexNet(line, each.net, drivers, own)
                if known is None
                else IndexNet(known.line, each.net, known.drivers, known.legs + own)
            )
    return tuple(found.values())


def line_faults(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Outputs that drive a line and stand there; the faults of one chip are one list."""
    by_chip: dict[str, list[Fault]] = {}
    for net in index_nets(legs):
        for part, pin in net.drivers[:1]:
            for level in (0, 1):
                effect = Effect(memories=net.memories, address=AddressFault(net.line, level))
                by_chip.setdefault(part, []).append(
                    Fault(
                        "chip", "stuck", part, Place((part,)), (Leg(part, pin), *legs.legs(net.legs)), effect, level,
                        priors("logic", "stuck"),
                    )
                )  # fmt: skip
    for part in sorted(by_chip, key=natural_key):
        yield by_chip[part]


def open_lines(legs: PathLegs, opened: float, short: float) -> Iterator[Fault]:
    """Joints and tracks of the lines: open to one memory, shorted to a supply, joined with the next line."""
    nets = index_nets(legs)
    readers = sum(len(net.legs) for net in nets)
    for net in nets:
        driver = ".".join(net.drivers[0]) if net.drivers else net.net
        for key in net.legs:
            level = open_reads(legs.circuit, key[0])
            address = AddressFault(net.line, level, is_unsteady=level is None)
            yield Fault(
                "joint", "open", key[0], Place((driver, ".".join(key))), legs.legs([key]),
                Effect(memories=(key[0],), address=address), level, opened / readers,
            )  # fmt: skip
        for level in (0, 1):
            yield Fault(
                "track", "shorted", net.legs[0][0], Place((driver, ".".join(net.legs[0]))), legs.legs(net.legs),
                Effect(memories=net.memories, address=AddressFault(net.line, level)), level, short / len(nets) / 2,
            )  # fmt: skip
    for net, other in pairwise(nets):
        both = tuple(dict.fromkeys((*net.memories, *other.memories)))
        yield Fault(
            "track", "joined", net.legs[0][0], Place((".".join(net.legs[0]), ".".join(other.legs[0]))),
            legs.legs((net.legs[0], other.legs[0])),
            Effect(memories=both, address=AddressFault(net.line, other=other.line)), prior=short / len(nets),
        )  # fmt: skip
