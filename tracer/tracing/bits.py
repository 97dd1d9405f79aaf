"""Which drivers of the output stages are bits, and which leak in, blank, or are mixed in.

Each rule takes the weighed stages and gives them without the drivers that are no bits, and what a person should know.
Whether a stored bit lies behind a driver is asked through `stores`, as only the walk knows it.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import replace

from tracer.base.findings import Finding, note
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.stage.bit_resistors import StagePaths
from tracer.stage.model import Stage, StageDriver
from tracer.stage.weights import StageBit, WeighedStage, weigh_stage

__all__ = [
    "bits_alone",
    "can_blank",
    "idle_drivers",
    "leaking_drivers",
    "without_crosstalk",
    "without_weak_clamps",
]

#: Whether a stored bit lies behind a driver.
Stores = Callable[[StageDriver], bool]

#: A driver that moves one colour by less than this share of what it moves another only leaks into the first, where
#: both are reached over the same resistor.
ALIKE = 0.6
#: What leaks in by less than this share of full scale is not worth a word.
_NOTICED_LEAK = 0.005
#: Drivers that a finding names at most.
_MOST_NAMED = 6

_SYNC_NAME = re.compile(r".*(SYNC|BLANK|BLNK|BLK|BURST|CSYN|HSYN|VSYN|CLAMP).*", re.IGNORECASE)


def without_weak_clamps(
    stages: Mapping[str, Stage],
    weighed: Mapping[str, WeighedStage],
    stores: Stores,
    load_ohm: float | None,
) -> dict[str, WeighedStage]:
    """Weigh anew without drivers that reach every colour and store nothing, where they blank.

    Those do that pull every colour against the sense of its bits, and those that nothing but junctions (a diode, a
    transistor) joins to a colour, beside bits with resistors: such a driver has no weight of its own. A heavy load can keep
    it from pulling all the way, so the stage alone does not tell.
    """
    if len(weighed) < 2:
        return dict(weighed)
    weights = [{b.driver.net: b.weight for b in w.bits} for w in weighed.values()]
    clamps = {colour: frozenset(driver.net for driver, _ in w.clamps) for colour, w in weighed.items()}
    drivers = {b.driver.net: b.driver for w in weighed.values() for b in w.bits}
    reached = [{d.net for d in stage.drivers} for stage in stages.values()]
    weak = frozenset(
        net
        for net, driver in drivers.items()
        if all(net in nets for nets in reached)
        and not stores(driver)
        and (
            all(
                net in clamped or (net in w and w[net] * sum(w.values()) < 0)
                for w, clamped in zip(weights, clamps.values(), strict=True)
            )
            or all(_is_bare(net, w) for w in weighed.values())
        )
    )
    if not weak or weak == set(drivers):
        return dict(weighed)
    return {colour: weigh_stage(stages[colour], load_ohm, weak | clamps[colour]) for colour in weighed}


def _is_bare(net: str, weighed: WeighedStage) -> bool:
    """Whether a driver reaches a colour over junctions alone, where bits do over resistors; or does not move it."""
    own = [b for b in weighed.bits if b.driver.net == net]
    return all(b.through and not b.resistors for b in own) and any(
        b.resistors for b in weighed.bits if b not in own
    )


def without_crosstalk(
    weighed: Mapping[str, WeighedStage],
) -> tuple[dict[str, WeighedStage], list[Finding]]:
    """Leave out drivers of other colours that a shared net, diodes or a mixer let in.

    A driver with a resistor of its own for each colour is a bit of each. One that reaches two colours over the same
    resistor is a bit of the colour on which it acts, and of both only where it moves them about alike.
    """
    everywhere = _everywhere(weighed)
    found: dict[str, WeighedStage] = {}
    findings = []
    for colour, w in weighed.items():
        kept = [b for b in w.bits if not _leaks(b, everywhere[b.driver.net])]
        leaked = [b for b in w.bits if b not in kept]
        found[colour] = _only(w, kept) if leaked and kept else w
        share = sum(abs(b.weight) for b in leaked)
        if kept and share > _NOTICED_LEAK:
            names = ", ".join(str(b.driver.pins[0]) for b in leaked[:_MOST_NAMED])
            findings.append(
                note(
                    "crosstalk",
                    f"{names} of other colours leak in by {share:.1%} over a shared net",
                    colour=colour,
                )
            )
    return found, findings


def _everywhere(weighed: Mapping[str, WeighedStage]) -> dict[str, list[StageBit]]:
    """Net of a driver -> what it is in each colour."""
    found: dict[str, list[StageBit]] = {}
    for w in weighed.values():
        for bit in w.bits:
            found.setdefault(bit.driver.net, []).append(bit)
    return found


def leaking_drivers(stages: Mapping[str, Stage], load_ohm: float | None) -> dict[str, frozenset[str]]:
    """Colour -> nets of drivers of other colours that leak into it, as long as nothing is held that may blank."""
    users = Counter(driver.net for stage in stages.values() for driver in stage.drivers)
    if all(count == 1 for count in users.values()):
        return {}
    weighed = {c: weigh_stage(stage, load_ohm, may_clamp=lambda _: False) for c, stage in stages.items()}
    everywhere = _everywhere(weighed)
    found = {}
    for colour, w in weighed.items():
        # What the load swallows here, but leads to another colour over the same part, leaks as well.
        paths = StagePaths(stages[colour])
        swallowed = [StageBit(driver, 0.0, first=paths.first(driver.net)) for driver in w.idle]
        found[colour] = frozenset(
            b.driver.net for b in [*w.bits, *swallowed] if _leaks(b, everywhere.get(b.driver.net, []))
        )
    return found


def _leaks(bit: StageBit, elsewhere: list[StageBit]) -> bool:
    """Whether a driver acts on another colour, over the resistor that leads here too."""
    return any(
        abs(bit.change_volts) < ALIKE * abs(other.change_volts)
        for other in elsewhere
        if bit.first and bit.first == other.first
    )


def idle_drivers(weighed: Mapping[str, WeighedStage]) -> list[Finding]:
    """Drivers that some stage reaches and that do nothing to any colour."""
    busy = {b.driver for w in weighed.values() for b in w.bits}
    busy |= {driver for w in weighed.values() for driver, _ in w.clamps}
    idle: dict[StageDriver, list[str]] = {}
    for colour, w in weighed.items():
        for driver in w.idle:
            if driver not in busy:
                idle.setdefault(driver, []).append(colour)
    return [
        note(
            "no-effect",
            f"{driver.pins[0]} (net {driver.net}) is joined to the output stage of {', '.join(colours)} but moves no colour, "
            "so it is no bit",
            str(driver.pins[0]),
        )
        for driver, colours in idle.items()
    ]


def can_blank(
    ways: Mapping[str, Mapping[StageDriver, frozenset[PinRef]]], stores: Stores
) -> Callable[[StageDriver], bool]:
    """Which drivers can blank: those that every colour has, by their net or by what they come from.

    So can one that alone of its colour stores nothing, where no other colour has its like: a gate of which each colour
    has one of its own is a bit.

    Parameters
    ----------
    ways : mapping
        Colour -> driver of its stage -> the pins where what it shows is made.
    stores : callable
        Whether a stored bit lies behind a driver.
    """
    colours = [drivers for drivers in ways.values() if drivers]
    ends = {driver: pins for drivers in colours for driver, pins in drivers.items()}
    everywhere = {
        driver
        for driver, pins in ends.items()
        if all(
            any(other.net == driver.net or (pins and its == pins) for other, its in drivers.items())
            for drivers in colours
        )
    }
    bare = [[driver for driver in drivers if not stores(driver)] for drivers in colours]
    if sum(map(bool, bare)) == 1:
        everywhere |= {driver for drivers in bare for driver in drivers}
    return lambda driver: len(colours) < 2 or driver in everywhere


def bits_alone(
    circuit: Circuit, colour: str, weighed: WeighedStage, stores: Stores
) -> tuple[WeighedStage, list[Finding]]:
    """Leave out what gates the stage, and sync or blanking that is mixed in."""
    settled, clamps = _without_clamps(colour, weighed, stores)
    alone, sync = _without_sync(circuit, colour, settled, stores)
    return alone, [*clamps, *sync]


def _without_clamps(colour: str, weighed: WeighedStage, stores: Stores) -> tuple[WeighedStage, list[Finding]]:
    """Drivers that gate the stage are controls; where two gate one another, the stored one is the bit."""
    clamps = [driver for driver, _ in weighed.clamps]
    if weighed.undecided:
        stored = [b for b in weighed.bits if stores(b.driver)]
        if stored and len(stored) < len(weighed.bits):
            clamps = [*(b.driver for b in weighed.bits if b not in stored), *clamps]
            weighed = replace(weighed, bits=_rescaled(stored))
    return weighed, [
        note(
            "clamp",
            f"{clamp.pins[0]} (net {clamp.net}) lets the colour through or not; it blanks and is no bit",
            str(clamp.pins[0]),
            colour=colour,
            like="blanks",
        )
        for clamp in clamps
    ]


def _without_sync(
    circuit: Circuit, colour: str, weighed: WeighedStage, stores: Stores
) -> tuple[WeighedStage, list[Finding]]:
    """A driver called sync or blank that stores nothing, among others that do, is mixed in and no bit."""
    stored = [b for b in weighed.bits if stores(b.driver)]
    mixed = [b for b in weighed.bits if b not in stored and _is_sync(circuit, b.driver)]
    if not mixed or not stored:
        return weighed, []
    return _only(weighed, [b for b in weighed.bits if b not in mixed]), [
        note(
            "sync-mixed",
            f"{bit.driver.pins[0]} (net {bit.driver.net}) is mixed in with {abs(bit.weight):.0%}; by its "
            "name it is sync or blanking, not a bit",
            str(bit.driver.pins[0]),
            colour=colour,
        )
        for bit in mixed
    ]


def _is_sync(circuit: Circuit, driver: StageDriver) -> bool:
    names = [circuit.given_name(driver.net)]
    for pin in driver.pins:
        leg = circuit.identified[pin.part].type.by_number.get(pin.pin)
        names.append(leg.name if leg else "")
    return any(_SYNC_NAME.fullmatch(name) for name in names)


def _only(weighed: WeighedStage, kept: list[StageBit]) -> WeighedStage:
    """The stage with these bits alone, their weights scaled anew."""
    return replace(weighed, bits=_rescaled(kept), levels=min(weighed.levels, 2 ** len(kept)))


def _rescaled(bits: list[StageBit]) -> tuple[StageBit, ...]:
    total = sum(abs(b.weight) for b in bits)
    return tuple(replace(b, weight=b.weight / total) for b in bits)
