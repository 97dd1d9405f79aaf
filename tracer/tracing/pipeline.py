"""The pipeline: netlist -> circuit -> colour pins -> output stages -> walks -> `BitMap`.

`trace` is the one function that the command line, scripts and tests share.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from tracer.base.findings import Finding, joined, note, warning
from tracer.base.no_collecting import no_collecting
from tracer.bitmap.colour_count import count_colours
from tracer.bitmap.model import Bit, BitMap, Colour, ColourPin, ColourState, Driver, StageResistor
from tracer.circuit.beeped import traceable
from tracer.circuit.graph import Circuit, build_circuit
from tracer.netlist.board import Netlist
from tracer.netlist.check import check_netlist
from tracer.netlist.numberless import legs_apart
from tracer.parts.library import Library, load_library
from tracer.stage.gather import gather_stage
from tracer.stage.model import Stage, StageDriver, stage_findings
from tracer.stage.weights import StageBit, WeighedStage, count_stage_levels, weigh_stage
from tracer.stage.weights_said import weight_findings
from tracer.tracing.bits import (
    bits_alone,
    can_blank,
    idle_drivers,
    leaking_drivers,
    without_crosstalk,
    without_weak_clamps,
)
from tracer.tracing.chip_rows import chips_of
from tracer.tracing.colour_pins import find_colour_pins
from tracer.tracing.driver_ways import DriverWays
from tracer.tracing.headers import bridge_words, bridges, open_headers
from tracer.tracing.load import LoadTold, load_of
from tracer.tracing.memory_index import count_live_lines, index_of
from tracer.tracing.module import Module, bits_through_module, find_module
from tracer.tracing.odd_resistors import slip_findings
from tracer.tracing.said import touching
from tracer.tracing.stages import StageSet, gather_stages
from tracer.tracing.told_pins import told_places
from tracer.tracing.walk import Walker

__all__ = ["Traced", "trace", "trace_fully"]


def trace(
    netlist: Netlist,
    library: Library | None = None,
    *,
    pins: Mapping[str, str] | None = None,
    load_ohm: LoadTold = "noted",
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
    load_ohm : float, None or 'noted'
        The monitor's input, in ohms; None for none; 'noted': that of bench notes, else 75.

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
    kept : dict
        What `tracer.base.once.once` has computed from it.
    """

    bit_map: BitMap
    circuit: Circuit
    stages: Mapping[str, Stage]
    clamps: Mapping[str, tuple[tuple[StageDriver, int], ...]]
    kept: dict[object, object] = field(init=False, repr=False, compare=False, default_factory=dict)


@no_collecting()
def trace_fully(
    netlist: Netlist,
    library: Library | None = None,
    *,
    pins: Mapping[str, str] | None = None,
    load_ohm: LoadTold = "noted",
) -> Traced:
    """Like `trace`, and gives the circuit and the output stages too."""
    library = library or load_library()
    n_nets = len(netlist.nets)
    at_ohm = load_of(netlist, load_ohm)
    told = {**dict(netlist.notes.colour_pins), **told_places(netlist, pins or {})}
    if netlist.beeped:
        netlist = traceable(netlist, library, told.values())
    netlist = legs_apart(netlist)
    circuit = build_circuit(netlist, library)
    gathered: dict[str, Stage] = {}

    def stage_of(net: str) -> Stage:
        if net not in gathered:
            gathered[net] = gather_stage(circuit, net)
        return gathered[net]

    def n_drivers(net: str) -> int:
        return 0 if net in circuit.rails else len(stage_of(net).drivers)

    found = find_colour_pins(circuit, told, n_drivers)
    sets = gather_stages(circuit, {colour: pin.net for colour, pin in found.pins.items()})
    main, *others = [_made(circuit, found.pins, each, at_ohm) for each in sets]
    colours = _with_states(main.colours, [other.colours for other in others])
    stages = sets[0].stages
    sources = [p.source for c in colours for b in c.bits for p in b.paths if p.role != "write path"]
    index = index_of(circuit, sources)
    possible = count_colours(colours) if all(c.levels for c in colours if c.bits) else 0
    at_once = 2 ** count_live_lines(index) if index else possible
    at_once = min(possible, at_once) if possible else at_once
    slips = slip_findings(circuit, colours, stages)
    drawing = list(check_netlist(netlist))
    if not netlist.beeped:
        drawing = touching(circuit, drawing, colours, index, stages)
    vain = [f for part in circuit.identified.values() for f in part.findings if f.code == "told-in-vain"]
    walked = dict.fromkeys(f for made in (main, *others) for f in made.walker.findings)
    findings = joined([*found.findings, *vain, *main.said, *walked, *slips, *drawing])
    bit_map = BitMap(
        name=netlist.name,
        inputs=netlist.inputs,
        n_parts=len(netlist.parts),
        n_nets=n_nets,
        load_ohm=at_ohm,
        colours=colours,
        chips=chips_of(circuit, main.walker.cones, colours),
        index=index,
        colours_possible=possible,
        colours_at_once=at_once,
        findings=findings,
    )
    return Traced(bit_map, circuit, stages, {colour: w.clamps for colour, w in main.weighed.items()})


@dataclass(frozen=True)
class _Made:
    """The colours of one set of stages, and what is said of them."""

    colours: tuple[Colour, ...]
    weighed: Mapping[str, WeighedStage]
    walker: Walker
    said: list[Finding]


def _made(circuit: Circuit, pins: Mapping[str, ColourPin], each: StageSet, load_ohm: float | None) -> _Made:
    """Decide which drivers are bits, and walk back from each."""
    stages = each.stages
    modules = {c: find_module(circuit, c, pins[c], stage) for c, stage in stages.items()}
    ways = DriverWays(circuit, stages, (d for module in modules.values() if module for d in module.drivers))
    may_clamp = can_blank(
        {c: {d: ways.origins(d) for d in stage.drivers} for c, stage in stages.items()}, ways.store
    )
    leaks = leaking_drivers(stages, load_ohm)
    first = {
        c: weigh_stage(stage, load_ohm, may_clamp=may_clamp, leaks=leaks.get(c, frozenset()))
        for c, stage in stages.items()
    }
    settled = without_weak_clamps(stages, first, ways.store, load_ohm)
    weighed, leaked = without_crosstalk(settled)
    made = [
        _colour(ways, name, pin, stages[name], weighed[name], modules[name], load_ohm)
        for name, pin in pins.items()
    ]
    colours = tuple(replace(colour, when=each.when) for colour, _ in made)
    said = [*each.said, *leaked, *idle_drivers(settled), *(f for _, findings in made for f in findings)]
    return _Made(colours, weighed, ways.walker, [*said, *_shared(colours)])


def _with_states(main: tuple[Colour, ...], others: Iterable[tuple[Colour, ...]]) -> tuple[Colour, ...]:
    """The colours with what they show in other states of the selectors, where that is something else."""
    found = []
    for i, colour in enumerate(main):
        states: list[ColourState] = []
        for other in others:
            here = other[i]
            known = (colour.bits, *(state.bits for state in states))
            if here.bits and here.bits not in known:
                states.append(ColourState(here.when, here.levels, here.bits))
        found.append(replace(colour, states=tuple(states)) if states else replace(colour, when=()))
    return tuple(found)


def _colour(
    ways: DriverWays,
    name: str,
    pin: ColourPin,
    stage: Stage,
    weighed: WeighedStage,
    module: Module | None,
    load_ohm: float | None,
) -> tuple[Colour, list[Finding]]:
    """A colour with the ways of its bits, and what a person should know of it."""
    circuit = ways.walker.circuit
    findings = [*stage_findings(stage, name, circuit.identified), *weighed.findings]
    if module is not None:
        bits, by_name = bits_through_module(ways, name, module)
        return Colour(name, pin, 2 ** len(bits), bits), [*findings, by_name]
    alone, said = bits_alone(circuit, name, weighed, ways.store)
    if len(alone.bits) < len(stage.drivers):
        alone = replace(alone, levels=count_stage_levels(stage, load_ohm, alone))
    last = len(alone.bits) - 1
    bits = tuple(_bit(ways, last - i, bit, stage) for i, bit in enumerate(alone.bits))
    findings += [*said, *weight_findings(name, alone, stage.unread)]
    if not bits:
        findings.append(_no_drivers(circuit, name, pin, stage))
    else:
        findings += open_headers(circuit, name, pin, stage)
    # What a converter puts out has as many levels as it has inside: not known from the drawing.
    analogue = any(p.source.kind == "dac" for b in bits for p in b.paths)
    return Colour(name, pin, alone.levels if bits and not analogue else 0, bits), findings


def _no_drivers(circuit: Circuit, name: str, pin: ColourPin, stage: Stage) -> Finding:
    where = f"{pin.part}.{pin.pin}" if pin.part else pin.net
    text = f"no output drives {where} (net {pin.net}) over any resistor, transistor or link"
    found = [
        b for net, other in stage.connectors if str(other) != where for b in bridges(circuit, other, net)
    ]
    if not found:
        return warning("no-drivers", f"{text}; is it the right pin?", where, colour=name)
    header = found[0].header
    text = f"{text}; only {header} stands here. {bridge_words([b for b in found if b.header == header])}"
    return warning("no-drivers", text, where, header, colour=name)


def _bit(ways: DriverWays, number: int, weighed: StageBit, stage: Stage) -> Bit:
    pin, paths = ways.of(weighed.driver)
    part = ways.walker.circuit.identified[pin.part]
    leg = part.type.by_number.get(pin.pin)
    resistors = tuple(StageResistor(r, None if r in stage.unread else ohm) for r, ohm in weighed.resistors)
    driver = Driver(pin.part, part.shown_type, pin.pin, leg.name if leg else "", part.sold_as)
    return Bit(number, weighed.weight, resistors, driver, paths)


def _shared(colours: tuple[Colour, ...]) -> Iterator[Finding]:
    """Drivers of more than one colour."""
    users: dict[tuple[str, str], list[str]] = {}
    for colour in colours:
        for bit in colour.bits:
            users.setdefault((bit.driver.part, bit.driver.pin), []).append(colour.name)
    for (part, pin), names in users.items():
        if len(set(names)) > 1:
            together = ", ".join(dict.fromkeys(names))
            yield note("shared-stage", f"{part}.{pin} drives {together} together", f"{part}.{pin}")
