"""The output stage of one colour, as gathered: its network, its drivers, and what is odd about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tracer.base.findings import Finding, note, warning
from tracer.netlist.board import PinRef
from tracer.parts.identify import Identified
from tracer.stage.network import Charged, Network

__all__ = ["Stage", "StageDriver", "stage_findings"]


@dataclass(frozen=True, slots=True)
class StageDriver:
    """A net that digital outputs hold: one bit of the colour.

    Attributes
    ----------
    net : str
    pins : tuple of PinRef
        The outputs on it; several where three-state or open-collector outputs are tied together.
    open_collector : bool
        All of them can only pull low.
    """

    net: str
    pins: tuple[PinRef, ...]
    open_collector: bool = False


@dataclass
class Stage:
    """All that was gathered from one colour pin.

    Attributes
    ----------
    start : str
        The net of the colour pin.
    network : Network
        Nodes are net names, joined ones under one name.
    drivers : tuple of StageDriver
    fixed : dict of str to float
        Volts of the rails that the network touches.
    capacitors : tuple of Charged
        Coupling capacitors in the way, charge not known; short circuits in `network` unless it was gathered with
        them kept apart.
    connectors : tuple of (str, PinRef)
        Nets and pins of connectors on the way.
    loads, ends : nets with chip inputs, and nets at which a branch ends.
    switches : references of switches and jumpers taken as closed.
    unread : references of parts whose value was not read.
    selected : levels of the nets that choose among the ways of analogue selectors.
    choices : what analogue selectors on the way can show: of each, the levels of control nets that open one way alone.
    assumed : drivers that are joined only over switches or jumpers, where others are joined without.
    beside : nets of the other colour pins.
    still : nets at which it ends with the volts they hold, as they are inputs of a mixer.
    """

    start: str
    network: Network = field(default_factory=Network)
    drivers: tuple[StageDriver, ...] = ()
    fixed: dict[str, float] = field(default_factory=dict)
    nets: frozenset[str] = frozenset()
    capacitors: tuple[Charged, ...] = ()
    connectors: tuple[tuple[str, PinRef], ...] = ()
    inputs: tuple[PinRef, ...] = ()
    switches: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    node_of: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    still: Mapping[str, float] = field(default_factory=dict)
    selected: Mapping[str, int] = field(default_factory=dict)
    beside: frozenset[str] = frozenset()
    assumed: tuple[StageDriver, ...] = ()
    choices: tuple[tuple[Mapping[str, int], ...], ...] = ()

    def node(self, net: str) -> str:
        """The node that a net is part of."""
        return self.node_of.get(net, net)


def stage_findings(stage: Stage, colour: str, identified: Mapping[str, Identified]) -> list[Finding]:
    """What a person should know about a stage and the parts in it."""
    found = list(stage.findings)
    for reference in stage.network.parts:
        if reference not in stage.unread:
            found += identified[reference].findings
    if stage.switches and not stage.assumed:
        found.append(
            note(
                "switch-assumed",
                f"{', '.join(stage.switches)} in the way was taken as closed",
                *stage.switches,
                colour=colour,
                like="closed",
            )
        )
    if stage.assumed:
        names = ", ".join(str(d.pins[0]) for d in stage.assumed)
        switches = ", ".join(stage.switches)
        found.append(
            warning(
                "switch-assumed",
                f"{names} is joined only over {switches}, which was taken as closed; where it is open, that is no "
                f"bit of {colour}",
                *stage.switches,
                colour=colour,
            )
        )
    if len(stage.unread) == 1:
        reference = stage.unread[0]
        found += [f for f in identified[reference].findings if f.code == "value-unread"] or [
            warning(
                "value-unread",
                f"the value of {reference} is not known",
                reference,
                colour=colour,
                like="one value",
            )
        ]
    elif stage.unread:
        names = ", ".join(stage.unread)
        first = stage.unread[0]
        found.append(
            warning(
                "value-unread",
                f"the values of {names} are missing or cannot be read; they count as equal, so the order of the "
                f"bits is not known. Tell each with --part {first}=470 or, in bench notes, {first} is 470",
                *stage.unread,
                colour=colour,
                like="several values",
            )
        )
    return found
