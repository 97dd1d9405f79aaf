"""The pipeline: netlist -> circuit -> colour pins -> output stages -> walks -> `BitMap`.

`trace` is the one function that the command line, scripts and tests share.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

from tracer.base.findings import Finding, note, warning
from tracer.base.no_collecting import no_collecting
from tracer.bitmap.colour_count import count_colours
from tracer.bitmap.model import Bit, BitMap, Colour, ColourPin, Driver, Path, StageResistor
from tracer.circuit.beeped import traceable
from tracer.circuit.graph import Circuit, build_circuit
from tracer.netlist.board import Netlist, PinRef, check_netlist
from tracer.parts.kinds import Kind
from tracer.parts.library import Library, load_library
from tracer.stage.gather import gather_stage
from tracer.stage.model import Stage, StageDriver, stage_findings
from tracer.stage.weights import StageBit, WeighedStage, weigh_stage, weight_findings
from tracer.tracing.chip_rows import chips_of
from tracer.tracing.colour_pins import find_colour_pins
from tracer.tracing.memory_index import count_live_lines, index_of
from tracer.tracing.module import bits_through_module
from tracer.tracing.odd_resistors import slip_findings
from tracer.tracing.roles import drivers_by_role, find_gate_users
from tracer.tracing.walk import Walker

__all__ = ["MONITOR_OHM", "Traced", "trace", "trace_fully"]

#: What a monitor's colour input is to the board, unless told: 75 ohm, the video standards' termination.
MONITOR_OHM = 75.0

#: A driver that weighs this much less in one colour than in another only leaks into the first.
CROSSTALK = 0.2

_SYNC_NAME = re.compile(r".*(SYNC|BLANK|BLNK|BLK|BURST|CSYN|HSYN|VSYN|CLAMP).*", re.IGNORECASE)


def trace(
    netlist: Netlist,
    library: Library | None = None,
    *,
    pins: Mapping[str, str] | None = None,
    load_ohm: float | None = MONITOR_OHM,
) -> BitMap:
    """Find which memory pin feeds which bit of which colour.

    Parameters
    ----------
    netlist : Netlist
        The board; joined and merged already.
    library : Library, optional
        Part types; the program's own when left out.
    pins : mapping of str to str, optional
        Colour -> ``REF.PIN`` or ``net:NAME``; those of bench notes, or found, when left out.
    load_ohm : float or None
        The monitor's input, in ohms; None for none.

    Returns
    -------
    BitMap
        Same netlist, same map, to the byte.

    Raises
    ------
    ColourPinError, PinNotFoundError
        The colour pins were not found, or one that was told does not exist.
    """
    return trace_fully(netlist, library, pins=pins, load_ohm=load_ohm).bit_map


@dataclass(frozen=True)
class Traced:
    """A map with what it was made from, for those who compute on.

    Attributes
    ----------
    bit_map : BitMap
    circuit : Circuit
    stages : mapping of str to Stage
        Colour -> its output stage.
    clamps : mapping of str to tuple of (StageDriver, int)
        Colour -> drivers that blank it, with the level that lets it through.
    """

    bit_map: BitMap
    circuit: Circuit
    stages: Mapping[str, Stage]
    clamps: Mapping[str, tuple[tuple[StageDriver, int], ...]]


@no_collecting()
def trace_fully(
    netlist: Netlist,
    library: Library | None = None,
    *,
    pins: Mapping[str, str] | None = None,
    load_ohm: float | None = MONITOR_OHM,
) -> Traced:
    """Like `trace`, and gives the circuit and the output stages too."""
    library = library or load_library()
    n_nets = len(netlist.nets)
    told = {**dict(netlist.notes.colour_pins), **(pins or {})}
    if netlist.beeped:
        netlist = traceable(netlist, library, told.values())
    circuit = build_circuit(netlist, library)
    stages: dict[str, Stage] = {}

    def stage_of(net: str) -> Stage:
        if net not in stages:
            stages[net] = gather_stage(circuit, net)
        return stages[net]

    def n_drivers(net: str) -> int:
        return 0 if net in circuit.rails else len(stage_of(net).drivers)

    found = find_colour_pins(circuit, told, n_drivers)
    weighed = {
        colour: _Weighed(pin, stage_of(pin.net), weigh_stage(stage_of(pin.net), load_ohm))
        for colour, pin in found.pins.items()
    }
    tracer = _Tracer(circuit, weighed, load_ohm)
    colours = tracer.colours()
    sources = [p.source for c in colours for b in c.bits for p in b.paths if p.role != "write path"]
    index = index_of(circuit, sources)
    possible = count_colours(colours) if all(c.levels for c in colours if c.bits) else 0
    at_once = 2 ** count_live_lines(index) if index else possible
    at_once = min(possible, at_once) if possible else at_once
    slips = slip_findings(circuit, colours, {colour: w.stage for colour, w in weighed.items()})
    findings = [*check_netlist(netlist), *found.findings, *tracer.findings, *slips]
    bit_map = BitMap(
        name=netlist.name,
        inputs=netlist.inputs,
        n_parts=len(netlist.parts),
        n_nets=n_nets,
        load_ohm=load_ohm,
        colours=colours,
        chips=chips_of(circuit, colours),
        index=index,
        colours_possible=possible,
        colours_at_once=at_once,
        findings=tuple(dict.fromkeys(findings)),
    )
    return Traced(
        bit_map,
        circuit,
        {colour: w.stage for colour, w in weighed.items()},
        {colour: w.result.clamps for colour, w in weighed.items()},
    )


@dataclass
class _Weighed:
    """A colour between the output stage and the walk."""

    pin: ColourPin
    stage: Stage
    result: WeighedStage


class _Tracer:
    """Walks back from every driver of every colour."""

    def __init__(self, circuit: Circuit, weighed: Mapping[str, _Weighed], load_ohm: float | None) -> None:
        self.circuit = circuit
        self.weighed = weighed
        self.findings: list[Finding] = []
        drivers = {p for w in weighed.values() for b in w.result.bits for p in b.driver.pins}
        held = {d.net for w in weighed.values() for d in w.stage.drivers}
        closed = frozenset(net for w in weighed.values() for net in w.stage.nets) - held
        known = [p for p in drivers if circuit.identified[p.part].kind != Kind.CONNECTOR]
        self.walker = Walker(circuit, closed, find_gate_users(circuit, sorted(known, key=lambda p: p.key)))
        self._paths: dict[StageDriver, tuple[PinRef, tuple[Path, ...]]] = {}
        self._weigh_without_weak_clamps(load_ohm)
        self._drop_crosstalk()

    def colours(self) -> tuple[Colour, ...]:
        colours = tuple(self._colour(name, w) for name, w in self.weighed.items())
        self.findings += self.walker.findings
        self._say_shared(colours)
        return colours

    def _drop_crosstalk(self) -> None:
        """A driver that weighs much less in this colour than in another belongs to the other."""
        most: dict[str, float] = {}
        for w in self.weighed.values():
            for bit in w.result.bits:
                most[bit.driver.net] = max(most.get(bit.driver.net, 0.0), abs(bit.weight))
        for colour, w in self.weighed.items():
            kept = [b for b in w.result.bits if abs(b.weight) >= CROSSTALK * most[b.driver.net]]
            leaked = [b for b in w.result.bits if b not in kept]
            if leaked and kept:
                total = sum(abs(b.weight) for b in kept)
                bits = tuple(replace(b, weight=b.weight / total) for b in kept)
                levels = min(w.result.levels, 2 ** len(bits))
                w.result = replace(w.result, bits=bits, levels=levels)
                share = sum(abs(b.weight) for b in leaked)
                if share > 0.005:
                    names = ", ".join(str(b.driver.pins[0]) for b in leaked[:6])
                    self.findings.append(
                        note(
                            "crosstalk",
                            f"{colour}: {names} of other colours leak in by {share:.1%} over a shared net",
                        )
                    )

    def _colour(self, name: str, w: _Weighed) -> Colour:
        self.findings += stage_findings(w.stage, name, self.circuit.identified)
        self.findings += w.result.findings
        module = bits_through_module(self.circuit, self.walker, name, w.pin, w.stage)
        if module is not None:
            self.findings += module.findings
            return Colour(name, w.pin, 2 ** len(module.bits), module.bits)
        stage_bits = self._settle_clamps(name, w)
        stage_bits, levels = self._drop_sync(name, stage_bits, w.result.levels)
        bits = tuple(
            self._bit(len(stage_bits) - 1 - i, stage_bit, w) for i, stage_bit in enumerate(stage_bits)
        )
        self.findings += weight_findings(
            name, replace(w.result, bits=tuple(stage_bits), levels=levels), w.stage.unread
        )
        if not bits:
            where = f"{w.pin.part}.{w.pin.pin}" if w.pin.part else w.pin.net
            self.findings.append(
                warning(
                    "no-drivers",
                    f"{name}: no output drives {where} (net {w.pin.net}) over any resistor, transistor or link; "
                    "is it the right pin?",
                    where,
                )
            )
        # What a converter puts out has as many levels as it has inside: not known from the drawing.
        analogue = any(p.source.kind == "dac" for b in bits for p in b.paths)
        return Colour(name, w.pin, levels if bits and not analogue else 0, bits)

    def _walk(self, driver: StageDriver) -> tuple[PinRef, tuple[Path, ...]]:
        """The output to show as the driver, and all ways back."""
        if driver not in self._paths:
            self._paths[driver] = self._walk_now(driver)
        return self._paths[driver]

    def _walk_now(self, driver: StageDriver) -> tuple[PinRef, tuple[Path, ...]]:
        if len(driver.pins) == 1:
            return driver.pins[0], self.walker.walk_back(driver.pins[0])
        groups = drivers_by_role(self.walker, driver.net, list(driver.pins), frozenset({driver.net}), 0)
        self.walker.findings += [f for f in groups.findings if f not in self.walker.findings]
        paths = []
        order = {"picture": 0, "alternative": 1, "write path": 2}
        ways = sorted(groups.ways, key=lambda way: order[way[0]])
        for role, _, when, found in ways:
            for path in found:
                own = when if path.role != "write path" else ()
                paths.append(
                    replace(path, role=path.role if role == "picture" else role, when=(*own, *path.when))
                )
        return (ways[0][1] if ways else driver.pins[0]), tuple(dict.fromkeys(paths))

    def _settle_clamps(self, colour: str, w: _Weighed) -> list[StageBit]:
        """Drivers that gate the stage are controls; where two gate one another, the stored one is the bit."""
        bits = list(w.result.bits)
        if w.result.undecided:
            stored = [b for b in bits if any(p.source.is_memory for p in self._walk(b.driver)[1])]
            if stored and len(stored) < len(bits):
                for bit in [b for b in bits if b not in stored]:
                    self._say_clamp(colour, bit.driver)
                total = sum(abs(b.weight) for b in stored)
                bits = [replace(b, weight=b.weight / total) for b in stored]
        for clamp, _ in w.result.clamps:
            self._say_clamp(colour, clamp)
        return bits

    def _weigh_without_weak_clamps(self, load_ohm: float | None) -> None:
        """A driver against the sense of the others that pulls every colour and stores nothing blanks them.

        A heavy load can keep it from pulling all the way, so the stage alone does not tell.
        """
        if len(self.weighed) < 2:
            return
        weights = [{b.driver.net: b.weight for b in w.result.bits} for w in self.weighed.values()]
        drivers = {b.driver.net: b.driver for w in self.weighed.values() for b in w.result.bits}
        weak = frozenset(
            net
            for net, driver in drivers.items()
            if all(net in w and w[net] * sum(w.values()) < 0 for w in weights)
            and not any(p.source.is_memory for p in self._walk(driver)[1])
        )
        if weak and weak != set(drivers):
            for w in self.weighed.values():
                w.result = weigh_stage(w.stage, load_ohm, weak)

    def _say_clamp(self, colour: str, driver: StageDriver) -> None:
        self.findings.append(
            note(
                "clamp",
                f"{colour}: {driver.pins[0]} (net {driver.net}) lets the colour through or not; it blanks and is no bit",
                str(driver.pins[0]),
            )
        )

    def _drop_sync(self, colour: str, bits: list[StageBit], levels: int) -> tuple[list[StageBit], int]:
        """A driver called sync or blank that stores nothing, among others that do, is mixed in and no bit."""
        stored = [b for b in bits if any(p.source.is_memory for p in self._walk(b.driver)[1])]
        mixed = [b for b in bits if b not in stored and self._is_sync(b.driver)]
        if not mixed or not stored:
            return bits, levels
        kept = [b for b in bits if b not in mixed]
        total = sum(abs(b.weight) for b in kept)
        for bit in mixed:
            self.findings.append(
                note(
                    "sync-mixed",
                    f"{colour}: {bit.driver.pins[0]} (net {bit.driver.net}) is mixed in with {abs(bit.weight):.0%}; by its "
                    "name it is sync or blanking, not a bit",
                    str(bit.driver.pins[0]),
                )
            )
        return [replace(b, weight=b.weight / total) for b in kept], min(levels, 2 ** len(kept))

    def _is_sync(self, driver: StageDriver) -> bool:
        names = [driver.net]
        for pin in driver.pins:
            leg = self.circuit.identified[pin.part].type.by_number.get(pin.pin)
            names.append(leg.name if leg else "")
        return any(_SYNC_NAME.fullmatch(name) for name in names)

    def _bit(self, number: int, stage_bit: StageBit, w: _Weighed) -> Bit:
        pin, paths = self._walk(stage_bit.driver)
        part = self.circuit.identified[pin.part]
        leg = part.type.by_number.get(pin.pin)
        unread = set(w.stage.unread)
        resistors = tuple(StageResistor(r, None if r in unread else ohm) for r, ohm in stage_bit.resistors)
        driver = Driver(pin.part, part.shown_type, pin.pin, leg.name if leg else "")
        return Bit(number, stage_bit.weight, resistors, driver, paths)

    def _say_shared(self, colours: tuple[Colour, ...]) -> None:
        users: dict[tuple[str, str], list[str]] = {}
        for colour in colours:
            for bit in colour.bits:
                users.setdefault((bit.driver.part, bit.driver.pin), []).append(colour.name)
        for (part, pin), names in users.items():
            if len(set(names)) > 1:
                self.findings.append(
                    note(
                        "shared-stage",
                        f"{part}.{pin} drives {', '.join(dict.fromkeys(names))} together",
                        f"{part}.{pin}",
                    )
                )
