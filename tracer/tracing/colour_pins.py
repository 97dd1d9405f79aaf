"""Which pins carry red, green and blue.

In this order: told by the user; a connector whose pin-out is a published or
trade standard; names of pins or nets; the shape of the network. The first that
fits is taken, and the result says which way it was.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from tracer.base.errors import ColourPinError
from tracer.base.findings import Finding, note, warning
from tracer.base.names import last_part, natural_key, readable_name, sheets_of
from tracer.bitmap.model import ColourPin, FoundBy
from tracer.circuit.graph import Circuit
from tracer.netlist.board import PinRef
from tracer.netlist.colour_names import COLOUR_WORDS, COLOURS
from tracer.netlist.notes import Told
from tracer.parts.connectors import connector_types
from tracer.parts.kinds import Kind
from tracer.tracing.likely_pins import likely_pins
from tracer.tracing.told_pins import told_net

__all__ = ["COLOURS", "FoundPins", "colour_word", "find_colour_pins"]


@dataclass(frozen=True)
class FoundPins:
    """The colour pins, in the order red, green, blue and then as told, and how they were found."""

    pins: Mapping[str, ColourPin]
    findings: tuple[Finding, ...] = ()


#: Of three pins that are named after the colours so many must be driven: one may be what is broken.
_FEWEST_DRIVEN = 2

#: Tells whether a net is the end of an output stage: some digital output drives it over a network.
IsDriven = Callable[[str], int]


def find_colour_pins(circuit: Circuit, told: Mapping[str, Told], n_drivers: IsDriven) -> FoundPins:
    """Find the colour pins.

    Parameters
    ----------
    circuit : Circuit
    told : mapping of str to Told
        Colour -> where a person says that it leaves the board.
    n_drivers : callable
        Net -> number of drivers of its output stage.

    Raises
    ------
    ColourPinError
        None were found; lists the candidates.
    PinNotFoundError
        A pin or net that was told is not on the board.
    """
    if told:
        pins = {colour: _told(circuit, where, n_drivers) for colour, where in told.items()}
        return FoundPins(pins)
    for find in (_by_connector, _by_names_on_connectors, _by_net_names, _by_shape, _by_driven_net_names):
        candidates = list(find(circuit, n_drivers))
        if candidates:
            return _choose(candidates)
    raise ColourPinError(
        "no red, green and blue pins were found on this board",
        fix="tell them, for example --pin red=J1.1 --pin green=J1.2 --pin blue=J1.3, or --pin red=net:NAME"
        + likely_pins(circuit, n_drivers),
    )


def _told(circuit: Circuit, told: Told, n_drivers: IsDriven) -> ColourPin:
    pin, net = told_net(circuit, told, n_drivers)
    if pin is None:
        return ColourPin(None, None, readable_name(last_part(net)), net, "told")
    return _colour_pin(circuit, pin, net, "told")


def _colour_pin(circuit: Circuit, pin: PinRef, net: str, found_by: FoundBy) -> ColourPin:
    leg = circuit.identified[pin.part].type.by_number.get(pin.pin)
    name = leg.name if leg is not None and leg.name and leg.name != pin.pin else ""
    return ColourPin(pin.part, pin.pin, name, net, found_by)


@dataclass(frozen=True)
class _Candidate:
    pins: dict[str, ColourPin]
    drivers: int
    why: str
    finding: Finding | None = None


def _choose(candidates: list[_Candidate]) -> FoundPins:
    """The candidate with most drivers; others are named, never dropped in silence."""
    ranked = sorted(candidates, key=lambda c: -c.drivers)
    best = ranked[0]
    findings = [best.finding] if best.finding else []
    nets = {p.net for p in best.pins.values()}
    rivals = [c for c in ranked[1:] if {p.net for p in c.pins.values()} != nets]
    if rivals:
        shown = "; ".join(_options(c.pins) for c in rivals[:3])
        findings.append(
            warning("colour-rivals", f"the colour pins could also be others: {shown}", *(_where(best.pins)))
        )
    return FoundPins(best.pins, tuple(findings))


def _where(pins: Mapping[str, ColourPin]) -> list[str]:
    return [f"{p.part}.{p.pin}" if p.part else p.net for p in pins.values()]


def _options(pins: Mapping[str, ColourPin]) -> str:
    return " ".join(f"--pin {c}={f'{p.part}.{p.pin}' if p.part else f'net:{p.net}'}" for c, p in pins.items())


def _by_connector(circuit: Circuit, n_drivers: IsDriven) -> Iterator[_Candidate]:
    for reference in circuit.connectors():
        part = circuit.identified[reference].part
        numbers = circuit.netlist.pins_of_parts[reference]
        for standard in connector_types():
            if not standard.fits(part, numbers):
                continue
            pins: dict[str, ColourPin] = {}
            for colour, number in standard.colours.items():
                pin = PinRef(reference, number)
                nets = circuit.nets_of(*pin)
                if nets and (n_drivers(nets[0]) or colour not in COLOURS):
                    pins[colour] = _colour_pin(circuit, pin, nets[0], "connector")
            if all(c in pins for c in COLOURS) and len({p.net for p in pins.values()}) >= 1:
                pins = {c: p for c, p in pins.items() if n_drivers(p.net)}
                yield _Candidate(pins, sum(n_drivers(p.net) for p in pins.values()), standard.name)
                break


_WORD = re.compile(
    r"(?P<before>(?:.*[^A-Z])?|(?:V|VID|VIDEO|RGB|OUT|ANALOG|VGA|CRT|DAC)_?)(?P<word>RED|GREEN|GRN|BLUE|BLU|[RGB])"
    r"(?P<after>(?:[^A-Z0-9].*)?|_?(?:OUT|O|VID|VIDEO|A|IN|SIG|SIGNAL|ANALOG|75)\d?)"
)


def colour_word(name: str) -> tuple[str, str, bool] | None:
    """Colour, the rest of the name, and whether the colour is written out; None when the name is none.

    >>> colour_word("VIDEO_RED")
    ('red', 'VIDEO_|', True)
    >>> colour_word("ROUT"), colour_word("R"), colour_word("RAS"), colour_word("R0")
    (('red', '|OUT', False), ('red', '|', False), None, None)
    """
    match = _WORD.fullmatch(readable_name(name).upper())
    if not match:
        return None
    for colour, words in COLOUR_WORDS.items():
        if match["word"] in words:
            return colour, f"{match['before']}|{match['after']}", len(match["word"]) > 1
    return None


def _by_names_on_connectors(circuit: Circuit, n_drivers: IsDriven) -> Iterator[_Candidate]:
    """Names of connector pins, else of the nets on them, else of the nets one part behind those."""
    for reference in circuit.connectors():
        for names_of in (_leg_names, _net_names, _names_behind):
            groups: dict[str, dict[str, ColourPin]] = {}
            for number in circuit.netlist.pins_of_parts[reference]:
                pin = PinRef(reference, number)
                for net in circuit.nets_of(*pin):
                    for found in map(colour_word, names_of(circuit, pin, net)):
                        if found and net not in circuit.rails:
                            groups.setdefault(found[1], {}).setdefault(
                                found[0], _colour_pin(circuit, pin, net, "name")
                            )
            sets = [
                _candidate(g, n_drivers, reference)
                for g in groups.values()
                if len(g) == len(COLOURS)
                and len({p.net for p in g.values()}) == len(COLOURS)
                and sum(n_drivers(p.net) > 0 for p in g.values()) >= _FEWEST_DRIVEN
            ]
            if sets:
                yield from sets
                break


def _leg_names(circuit: Circuit, pin: PinRef, _net: str) -> list[str]:
    leg = circuit.identified[pin.part].type.by_number.get(pin.pin)
    return [leg.name] if leg else []


def _net_names(circuit: Circuit, _pin: PinRef, net: str) -> list[str]:
    return [circuit.given_name(net)]


def _names_behind(circuit: Circuit, _pin: PinRef, net: str) -> list[str]:
    """Names of nets behind a resistor, bead or capacitor in the line."""
    others = [other for other, _, _ in circuit.series_neighbours(net)]
    for pin, part in circuit.parts_on(net):
        if part.kind == Kind.CAPACITOR:
            others += circuit.nets_beside(pin)
    return [circuit.given_name(other) for other in others if other not in circuit.rails]


def _by_net_names(circuit: Circuit, n_drivers: IsDriven) -> Iterator[_Candidate]:
    """Nets anywhere that are named so and are no output's own net: a drawing without a connector symbol."""
    return _net_name_sets(circuit, n_drivers, driven=False)


def _by_driven_net_names(circuit: Circuit, n_drivers: IsDriven) -> Iterator[_Candidate]:
    """The same with an output right on the net: digital colours."""
    return _net_name_sets(circuit, n_drivers, driven=True)


def _net_name_sets(circuit: Circuit, n_drivers: IsDriven, *, driven: bool) -> Iterator[_Candidate]:
    groups: dict[str, dict[str, ColourPin]] = {}
    for net in circuit.netlist.nets:
        found = colour_word(net.given_name)
        if found and bool(circuit.drivers_of(net.name)) == driven and n_drivers(net.name):
            pin_found = ColourPin(None, None, readable_name(last_part(net.name)), net.name, "name")
            groups.setdefault(f"{sheets_of(net.name)}/{found[1]}", {}).setdefault(found[0], pin_found)
    for group in groups.values():
        if len(group) == len(COLOURS):
            sure = all((word := colour_word(p.name)) and (word[2] or word[1] != "|") for p in group.values())
            yield _candidate(group, n_drivers, "nets", doubtful=not sure)


def _candidate(
    pins: dict[str, ColourPin], n_drivers: IsDriven, where: str, *, doubtful: bool = False
) -> _Candidate:
    ordered = {c: pins[c] for c in COLOURS}
    names = ", ".join(f"{c} {p.part}.{p.pin}" if p.part else f"{c} {p.net}" for c, p in ordered.items())
    finding = note("colour-by-name", f"the colour pins were found by name: {names}", *_where(ordered))
    if doubtful:
        finding = warning(
            "colour-doubtful",
            f"no connector is drawn, and three nets are called like colours by one letter alone: {names}. Check that they "
            f"are, and tell it with {_options(ordered)}",
            *_where(ordered),
        )
    return _Candidate(ordered, sum(n_drivers(p.net) for p in ordered.values()), where, finding)


def _by_shape(circuit: Circuit, n_drivers: IsDriven) -> Iterator[_Candidate]:
    """A connector with exactly three pins at which networks of several drivers meet."""
    for reference in circuit.connectors():
        ends: dict[str, PinRef] = {}
        for number in circuit.netlist.pins_of_parts[reference]:
            pin = PinRef(reference, number)
            for net in circuit.nets_of(*pin):
                if net not in circuit.rails and not circuit.drivers_of(net) and n_drivers(net) >= 2:
                    ends.setdefault(net, pin)
        if len(ends) == len(COLOURS):
            yield _shape_candidate(circuit, n_drivers, reference, ends)


def _shape_candidate(
    circuit: Circuit, n_drivers: IsDriven, reference: str, ends: dict[str, PinRef]
) -> _Candidate:
    ordered = sorted(ends.items(), key=lambda item: natural_key(item[1].pin))
    named = {_colour_behind(circuit, net): (net, pin) for net, pin in ordered}
    certain = set(named) == set(COLOURS)
    chosen = [named[c] for c in COLOURS] if certain else ordered
    pins = {c: _colour_pin(circuit, pin, net, "shape") for c, (net, pin) in zip(COLOURS, chosen, strict=True)}
    if certain:
        finding = note(
            "colour-by-shape",
            f"three networks of several outputs meet at {reference}; the names of the nets behind them tell the "
            f"colours: {_options(pins)}",
            *_where(pins),
        )
    else:
        finding = warning(
            "colour-by-shape",
            f"three networks of several outputs meet at {reference}: its pins were taken as red, green, blue in "
            f"the order of their numbers; check which is which and tell it with {_options(pins)}",
            *_where(pins),
        )
    return _Candidate(pins, sum(n_drivers(p.net) for p in pins.values()), reference, finding)


def _colour_behind(circuit: Circuit, net: str) -> str | None:
    """The colour that the nets one part behind a net are named after, when they agree."""
    colours = set()
    for other, _, _ in circuit.series_neighbours(net):
        names = [circuit.given_name(other)]
        for pin in circuit.drivers_of(other):
            leg = circuit.identified[pin.part].type.by_number[pin.pin]
            names.append(leg.name)
        colours |= {found[0] for n in names if (found := colour_word(_without_index(n)))}
    return colours.pop() if len(colours) == 1 else None


def _without_index(name: str) -> str:
    """``RED_2`` and ``R3`` are bits of a colour: the number off."""
    return re.sub(r"_?\d+$", "", name)
