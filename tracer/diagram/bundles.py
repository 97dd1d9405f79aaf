"""Words of bits that one output brings in turn, drawn as one line.

A shift register brings a whole word over one output. Those of its inputs that
come the same way (same latch, same memory) become one cell, and the legs they
come from one row each, as far back as every leg leads nowhere else: a bundle.
The legs of a bundle stand in the same order in every box, so the third leg of
the memory goes to the third leg of the shift register.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from tracer.base.names import natural_key
from tracer.diagram.network import BoxKey, Head, Network, Out, OutKey

__all__ = ["Bundles", "find_bundles"]

_Slot = tuple[BoxKey, str, str]


@dataclass
class Bundles:
    """What is drawn together.

    Attributes
    ----------
    rows : dict of OutKey to list of OutKey
        Output -> all outputs of its row, for those that share one.
    cells : dict of OutKey to list of list of str
        Output of a shift register -> its input legs, those of a bundle together.
    """

    rows: dict[OutKey, list[OutKey]] = field(default_factory=dict)
    cells: dict[OutKey, list[list[str]]] = field(default_factory=dict)


def find_bundles(network: Network) -> Bundles:
    """Bundles of all shift registers."""
    tails: dict[_Slot, list[OutKey]] = {}
    heads: dict[OutKey, list[Head]] = {}
    for tail, head in network.wires:
        heads.setdefault(tail, []).append(head)
        if head.box is not None:
            tails.setdefault((head.box, head.pin, head.in_pin), []).append(tail)

    found = Bundles()
    for key, out in network.outs.items():
        if out.how != "shift register" or not out.picture or len(out.ins) < 2:
            continue
        groups: dict[object, list[tuple[str, list[OutKey]]]] = {}
        for pin in sorted(out.ins, key=natural_key):
            chain = _chain(network, (key.box, key.pin, pin), tails, heads)
            # A leg that others share or that has several feeders stands alone.
            way = tuple(_look(network.outs[k]) for k in chain) or pin
            groups.setdefault(way, []).append((pin, chain))
        found.cells[key] = [[pin for pin, _ in group] for group in groups.values()]
        for group in groups.values():
            if len(group) > 1:
                for members in zip(*(chain for _, chain in group), strict=True):
                    found.rows.update((member, list(members)) for member in members)
    return found


def _chain(
    network: Network, slot: _Slot, tails: dict[_Slot, list[OutKey]], heads: dict[OutKey, list[Head]]
) -> list[OutKey]:
    """The outputs one behind the other that lead into an input and nowhere else."""
    chain: list[OutKey] = []
    while True:
        feeding = tails.get(slot, [])
        if len(feeding) != 1 or len(heads[feeding[0]]) != 1:
            return chain
        tail = feeding[0]
        ins = network.outs[tail].ins
        if len(ins) > 1 or tail in chain:
            return chain
        chain.append(tail)
        if tail.box.kind == "write":
            return chain
        # At an end the next slot is the leg itself, which a write path may meet.
        slot = (tail.box, tail.pin, next(iter(ins), ""))


def _look(out: Out) -> object:
    """What must be alike for outputs to share a row."""
    return (
        out.key.box,
        tuple(out.because),
        tuple(out.when),
        tuple((i.inverts, *i.when) for i in out.ins.values()),
    )
