"""What stands behind a colour pin, as it is collected net by net, and the output stage that it makes."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from tracer.base.findings import Finding, note
from tracer.base.names import natural_key
from tracer.netlist.board import PinRef
from tracer.stage.model import Stage, StageDriver
from tracer.stage.network import Amplifier, Charged, Diode, Network, Resistor, Transistor

__all__ = ["Collected"]


@dataclass
class Collected:
    """Parts between nets, not yet nodes, and what ends a way.

    Attributes
    ----------
    start : str
        The net of the colour pin.
    pins : tuple of str
        That net and those of other colour pins whose stages are taken in.
    seen : set of str
        Every net that was reached.
    resistors, diodes, transistors, amplifiers : dict
        The parts, each once, by what tells it apart from others.
    joins : list of (str, str)
        Nets that are one node: links, coils, coupling capacitors.
    capacitors : dict of str to (str, str)
        Coupling capacitors with the nets on both sides.
    drivers : dict of str to StageDriver
        Net -> the digital outputs that drive it.
    may_drive, drawn_as_inputs : dict of str to list of PinRef
        Net -> pins that drive it only where nothing better does: of parts without an entry, drawn passive or as inputs.
    fixed : dict of str to float
        Net -> the volts that it holds.
    connectors : dict of PinRef to str
    inputs : list of PinRef
    switches, unread : set of str
        Parts that were taken as closed, and resistors whose value cannot be read.
    choices : dict of str to tuple
        Net -> the levels that open each way of an analogue selector.
    findings : list of Finding
    """

    start: str
    pins: tuple[str, ...]
    seen: set[str] = field(default_factory=set)
    resistors: dict[tuple[str, str, str], Resistor] = field(default_factory=dict)
    diodes: dict[tuple[str, str, str], Diode] = field(default_factory=dict)
    transistors: dict[str, Transistor] = field(default_factory=dict)
    amplifiers: dict[tuple[str, str], Amplifier] = field(default_factory=dict)
    joins: list[tuple[str, str]] = field(default_factory=list)
    capacitors: dict[str, tuple[str, str]] = field(default_factory=dict)
    drivers: dict[str, StageDriver] = field(default_factory=dict)
    may_drive: dict[str, list[PinRef]] = field(default_factory=dict)
    drawn_as_inputs: dict[str, list[PinRef]] = field(default_factory=dict)
    fixed: dict[str, float] = field(default_factory=dict)
    connectors: dict[PinRef, str] = field(default_factory=dict)
    inputs: list[PinRef] = field(default_factory=list)
    switches: set[str] = field(default_factory=set)
    unread: set[str] = field(default_factory=set)
    choices: dict[str, tuple[Mapping[str, int], ...]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)

    def stage(self, still: Mapping[str, float], selected: Mapping[str, int], beside: frozenset[str]) -> Stage:
        """The output stage: nets that are joined are one node, and each node has its driver.

        What was asked for goes into it as it was told to `gather_stage`.
        """
        node_of = _joined(self.joins, self.start, set(self.fixed), set(self.drivers))

        def node(net: str) -> str:
            return node_of.get(net, net)

        network = Network(
            tuple(Resistor(r.part, node(r.a), node(r.b), r.ohm) for _, r in sorted(self.resistors.items()) if node(r.a) != node(r.b)),
            tuple(Diode(d.part, node(d.anode), node(d.cathode)) for _, d in sorted(self.diodes.items())),
            tuple(Transistor(q.part, node(q.base), node(q.collector), node(q.emitter), q.polarity) for _, q in sorted(self.transistors.items())),
            tuple(self._settled(Amplifier(a.part, node(a.plus), node(a.minus), node(a.out)), node) for _, a in sorted(self.amplifiers.items())),
        )  # fmt: skip
        merged: dict[str, StageDriver] = {}
        for net, driver in sorted(self.drivers.items(), key=lambda item: natural_key(item[0])):
            first = merged.get(node(net))
            pins = driver.pins if first is None else (*first.pins, *driver.pins)
            only_low = driver.open_collector and (first is None or first.open_collector)
            merged[node(net)] = StageDriver(first.net if first else net, pins, only_low)
        return Stage(
            start=self.start,
            network=network,
            drivers=tuple(merged.values()),
            fixed={node(net): volts for net, volts in self.fixed.items()},
            nets=frozenset(self.seen),
            capacitors=tuple(
                Charged(c, node(a), node(b), 0.0) for c, (a, b) in sorted(self.capacitors.items())
            ),
            connectors=tuple((net, pin) for pin, net in self.connectors.items()),
            inputs=tuple(self.inputs),
            switches=tuple(sorted(self.switches, key=natural_key)),
            unread=tuple(sorted(self.unread, key=natural_key)),
            node_of=node_of,
            findings=tuple(self.findings),
            still=still,
            selected=selected,
            beside=beside,
            choices=tuple(self.choices.values()),
        )

    def _settled(self, amplifier: Amplifier, node: Callable[[str], str]) -> Amplifier:
        """An amplifier whose output nothing leads back to its input holds no level: it is taken as a follower."""
        if amplifier.minus == amplifier.out:
            return amplifier
        reached, front = {amplifier.out}, [amplifier.out]
        ends = [(node(r.a), node(r.b)) for r in self.resistors.values()]
        while front:
            here = front.pop()
            new = {b if a == here else a for a, b in ends if here in (a, b)} - reached - set(self.fixed)
            reached |= new
            front += new
        if amplifier.minus in reached:
            return amplifier
        self.findings.append(
            note(
                "stage-approximate",
                f"nothing leads from the output of {amplifier.part} (net {amplifier.out}) back to its - input; it was "
                "taken as a follower",
                amplifier.part,
            )
        )
        return replace(amplifier, minus=amplifier.out)


def _joined(joins: list[tuple[str, str]], start: str, rails: set[str], drivers: set[str]) -> dict[str, str]:
    """Net -> name of the node it is joined into by links and coils: a rail's name, else a driver's, else any."""
    groups: dict[str, set[str]] = {}
    for a, b in joins:
        whole = groups.get(a, {a}) | groups.get(b, {b})
        for net in whole:
            groups[net] = whole
    found: dict[str, str] = {}
    for net, whole in groups.items():
        ranked = sorted(whole, key=lambda n: (n not in rails, n not in drivers, n != start, natural_key(n)))
        found[net] = ranked[0]
    return found
