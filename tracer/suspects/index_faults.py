"""The address lines of the palette: what drives them, the tracks to them, and what comes to them.

A line that stands makes entries of the palette show for others: the colours fall together two by two, all at once, as
the drawing of the picture stays whole. What lies one chip further back is often one of several layers; then only a part
of the picture has it. Priors are shares of one another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracer.base.names import natural_key
from tracer.base.once import once
from tracer.levels.leg_paths import open_reads
from tracer.parts.kinds import Kind
from tracer.suspects.fault import AddressFault, Effect, Fault, Manner, Place
from tracer.suspects.of_chip import MIXES
from tracer.suspects.path_legs import LegKey, PathLegs
from tracer.suspects.priors import Priors

__all__ = [
    "Feed",
    "IndexNet",
    "before_faults",
    "far_feeds",
    "index_nets",
    "line_faults",
    "memories_of",
    "near_feeds",
    "open_lines",
]

#: Ways through a chip before the lines up to which each is gone back: of a shift register's word none is the one.
MOST_WAYS = 4
#: Levels at which all lines of a dead chip stand: low, high, mixed.
_DEAD = ((0,), (1,), *MIXES)


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


@dataclass(frozen=True, slots=True)
class Feed:
    """An output that sets a line, or comes to it through the next chip: in the whole picture, or in a part of it."""

    net: IndexNet
    output: LegKey
    legs: tuple[LegKey, ...]
    in_part: tuple[LegKey, ...] = ()

    @property
    def is_partial(self) -> bool:
        """Whether it comes to the line in a part of the picture only."""
        return bool(self.in_part)


@once
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


@once
def near_feeds(legs: PathLegs) -> dict[str, list[Feed]]:
    """Chip that drives lines -> how."""
    found: dict[str, list[Feed]] = {}
    for net in index_nets(legs):
        for output in net.drivers[:1]:
            if _is_chip(legs, output[0]):
                found.setdefault(output[0], []).append(Feed(net, output, (output, *net.legs)))
    return {part: found[part] for part in sorted(found, key=natural_key)}


@once
def far_feeds(legs: PathLegs) -> dict[str, list[Feed]]:
    """Chip one further back, which feeds those that drive lines -> how."""
    circuit, near = legs.circuit, near_feeds(legs)
    found: dict[str, list[Feed]] = {}
    for feed in (feed for own in near.values() for feed in own):
        part, pin = feed.output
        arcs = [a for a in circuit.identified[part].type.arcs if a.kind == "data" and a.target == pin]
        for arc in arcs if len(arcs) <= MOST_WAYS else ():
            driven = circuit.net_of(part, arc.source)
            for driver in circuit.drivers_of(driven)[:1] if driven is not None else ():
                if driver.part in near or driver.part in legs.chips or not _is_chip(legs, driver.part):
                    continue
                output, heard = (driver.part, driver.pin), (part, arc.source)
                found.setdefault(driver.part, []).append(
                    Feed(feed.net, output, (output, heard), in_part=feed.legs)
                    if len(arcs) > 1
                    else Feed(feed.net, output, (output, heard, *feed.legs))
                )
    return {part: found[part] for part in sorted(found, key=natural_key)}


def line_faults(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Chips that drive the lines; the faults of one chip are one list."""
    for part, feeds in near_feeds(legs).items():
        yield [*_of_feeds(legs, part, feeds, priors), *_selects(legs, part, feeds, priors)]


def before_faults(legs: PathLegs, priors: Priors) -> Iterator[list[Fault]]:
    """Chips one further back; the faults of one chip are one list."""
    for part, feeds in far_feeds(legs).items():
        yield list(_of_feeds(legs, part, feeds, priors))


def _is_chip(legs: PathLegs, part: str) -> bool:
    """Whether a part is a chip that can be at fault while the game runs: a processor is not."""
    kind = legs.circuit.identified[part].kind
    return not kind.is_discrete and kind not in (Kind.CONNECTOR, Kind.CPU)


def _of_feeds(legs: PathLegs, part: str, feeds: Sequence[Feed], priors: Priors) -> Iterator[Fault]:
    """Outputs of a chip that stand, one by one and all at once, or that no longer are the same twice."""
    stuck, dead, weak, floating = (priors("logic", k) for k in ("stuck", "dead", "weak", "floating"))
    for feed in feeds:
        for level in (0, 1):
            yield _held(legs, "stuck", part, [feed], (level,), stuck / len(feeds) / 2)
        yield _let_go(legs, part, feed, floating / len(feeds))
    for levels in _DEAD:
        yield _held(legs, "dead" if len(levels) == 1 else "frozen", part, feeds, levels, dead / len(_DEAD))
    lines = tuple(dict.fromkeys(f.net.line for f in feeds))
    address = AddressFault(unsteady=lines, is_partial=all(f.is_partial for f in feeds))
    yield Fault(
        "chip", "unstable", part, Place((part,)), legs.legs(dict.fromkeys(f.output for f in feeds)),
        Effect(memories=memories_of(feeds), address=address), prior=weak,
    )  # fmt: skip


def _held(
    legs: PathLegs, manner: Manner, part: str, feeds: Sequence[Feed], levels: Sequence[int], prior: float
) -> Fault:
    held = {feed.net.line: levels[i % len(levels)] for i, feed in enumerate(feeds)}
    stands = {key: held[feed.net.line] for feed in feeds for key in feed.legs}
    in_part = {key: held[feed.net.line] for feed in feeds for key in feed.in_part}
    address = AddressFault(tuple(held.items()), is_partial=all(f.is_partial for f in feeds))
    level = levels[0] if len(levels) == 1 else None
    return Fault(
        "chip", manner, part, Place((part,)), legs.legs(dict.fromkeys(f.output for f in feeds)),
        Effect(
            memories=memories_of(feeds), address=address, stands=tuple(stands.items()), in_part=tuple(in_part.items()),
            is_mixed=level is None,
        ),
        level, prior,
    )  # fmt: skip


def _let_go(legs: PathLegs, part: str, feed: Feed, prior: float) -> Fault:
    """An output that holds nothing: what hears it hears an open input."""
    reader, _ = feed.legs[1]
    level, line = open_reads(legs.circuit, reader), feed.net.line
    address = (
        AddressFault(unsteady=(line,), is_partial=feed.is_partial)
        if level is None
        else AddressFault(((line, level),), is_partial=feed.is_partial)
    )
    heard = [key for key in feed.legs if key == feed.output or key[0] == reader]
    return Fault(
        "chip", "floating", part, Place((part,)), legs.legs([feed.output]),
        Effect(memories=(*feed.net.memories,), address=address, floats=tuple(heard)), level, prior,
    )  # fmt: skip


def _selects(legs: PathLegs, part: str, feeds: Sequence[Feed], priors: Priors) -> Iterator[Fault]:
    """A multiplexer that always shows one of its inputs: where the other should show, the colours are those of another layer."""
    arcs = legs.circuit.identified[part].type.arcs
    selects = dict.fromkeys(arc.source for arc in arcs if arc.kind == "control" and arc.role == "select")
    for pin in selects:
        yield Fault(
            "chip", "not selected", part, Place((part,)), legs.legs([(part, pin)]),
            Effect(memories=memories_of(feeds), address=AddressFault(is_partial=True), scrambled=True),
            prior=priors("logic", "control") / len(selects),
        )  # fmt: skip


def memories_of(feeds: Sequence[Feed]) -> tuple[str, ...]:
    """The memories that the lines address."""
    return tuple(dict.fromkeys(m for feed in feeds for m in feed.net.memories))


def open_lines(legs: PathLegs, opened: float, short: float) -> Iterator[Fault]:
    """Joints and tracks of the lines: open to one memory, shorted to a supply."""
    nets = index_nets(legs)
    readers = sum(len(net.legs) for net in nets)
    for net in nets:
        driver = ".".join(net.drivers[0]) if net.drivers else net.net
        for key in net.legs:
            level = open_reads(legs.circuit, key[0])
            address = (
                AddressFault(unsteady=(net.line,)) if level is None else AddressFault(((net.line, level),))
            )
            yield Fault(
                "joint", "open", key[0], Place((driver, ".".join(key))), legs.legs([key]),
                Effect(memories=(key[0],), address=address, floats=(key,)), level, opened / readers,
            )  # fmt: skip
        for level in (0, 1):
            stands = tuple((key, level) for key in (*net.drivers[:1], *net.legs))
            effect = Effect(memories=net.memories, address=AddressFault(((net.line, level),)), stands=stands)
            yield Fault(
                "track", "shorted", net.legs[0][0], Place((driver, ".".join(net.legs[0]))), legs.legs(net.legs),
                effect, level, short / len(nets) / 2,
            )  # fmt: skip
