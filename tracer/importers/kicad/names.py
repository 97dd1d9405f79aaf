"""Names of nets as KiCad gives them, so that a schematic and its netlist agree.

KiCad 9 names a net after its strongest driver: global label or power symbol,
then local label, hierarchical label, sheet pin, and last a pin
(``Net-(U4-D0)``, ``Net-(R1-Pad2)``, ``unconnected-(U1-X-Pad3)``). Among equals
the one nearest the root wins, then the alphabet. Found by comparing with
netlists that KiCad 9.0.2 wrote.
"""

from __future__ import annotations

from collections.abc import Hashable, Sequence
from dataclasses import dataclass

from tracer.netlist.board import PinRef
from tracer.netlist.union_find import UnionFind

__all__ = ["NetNamer", "PinName", "slash_escaped"]

_STRENGTH = {
    "power": 0,
    "global": 0,
    "local power": 1,
    "local": 2,
    "bus member": 2,
    "hierarchical": 3,
    "sheet pin": 4,
}


@dataclass(frozen=True, slots=True)
class PinName:
    """A pin as it may name a net.

    Attributes
    ----------
    shown : str
        The reference, with the section's letter in parts of several sections.
    name, number : str
        Of the pin.
    ref : PinRef
        The pin itself.
    repeated : bool
        Other pins of the part carry the same name.
    """

    shown: str
    name: str
    number: str
    ref: PinRef
    repeated: bool


class NetNamer:
    """Collects what could name a net; `names` chooses."""

    def __init__(self) -> None:
        self._labels: list[tuple[Hashable, int, str]] = []
        self._pins: list[tuple[Hashable, PinName]] = []
        self._no_connects: list[Hashable] = []

    def label(self, node: Hashable, text: str, kind: str, sheet: str) -> None:
        """A label, sheet pin or power symbol; `sheet` is the shown path it is known on, empty for everywhere."""
        self._labels.append((node, _STRENGTH[kind], sheet + slash_escaped(text)))

    def pin(self, node: Hashable, pin: PinName) -> None:
        """A pin of a part."""
        self._pins.append((node, pin))

    def no_connect(self, node: Hashable) -> None:
        """A no-connect mark."""
        self._no_connects.append(node)

    def names(self, keys: Sequence[Hashable], joined: UnionFind) -> dict[Hashable, str]:
        """A name for each group, no two alike."""
        labels: dict[Hashable, list[tuple[int, int, str]]] = {}
        for node, strength, text in self._labels:
            labels.setdefault(joined.find(node), []).append((strength, text.count("/"), text))
        pins: dict[Hashable, list[PinName]] = {}
        for node, pin in self._pins:
            pins.setdefault(joined.find(node), []).append(pin)
        marked = {joined.find(node) for node in self._no_connects}
        chosen: dict[Hashable, str] = {}
        taken: set[str] = set()
        counts: dict[str, int] = {}
        for key in keys:
            if key in labels:
                name = min(labels[key])[2]
            else:
                name = _pin_net_name(pins[key], alone=key in marked or len({p.ref for p in pins[key]}) == 1)
            # Numbers go on from the last of this name: those before are all taken.
            unique, count = name, counts.get(name, 0)
            while unique in taken:
                count += 1
                unique = f"{name}_{count}"
            taken.add(unique)
            counts[name] = count
            chosen[key] = unique
        return chosen


def _pin_net_name(pins: list[PinName], *, alone: bool) -> str:
    candidates = []
    for pin in pins:
        named = pin.name and pin.name != pin.number
        middle = f"-{slash_escaped(pin.name)}" if named else ""
        # A name that several pins of the part share does not tell which; KiCad then adds the pad.
        pad = f"-Pad{pin.number}" if alone or not named or pin.repeated else ""
        kind = "unconnected" if alone else "Net"
        shown = pin.shown if named else pin.ref.part
        candidates.append((bool(pad), f"{kind}-({shown}{middle}{pad})"))
    return min(candidates)[1]


def slash_escaped(text: str) -> str:
    """KiCad keeps the slash for sheets and writes one inside a name as ``{slash}``."""
    return text.replace("/", "{slash}")
