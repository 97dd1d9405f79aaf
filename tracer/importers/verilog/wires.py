"""The wires of all modules, as far as they have been gone into, and which of them are one net."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

from tracer.base.names import natural_key
from tracer.importers.text import Positions
from tracer.netlist.board import PinRef
from tracer.netlist.net_names import name_of_alone
from tracer.netlist.union_find import UnionFind

__all__ = ["DEEPEST_SHEET", "MOST_WIRES", "Wires"]

#: Sheets in sheets.
DEEPEST_SHEET = 60
#: Wires and pins of the board, each counted in every sheet that it passes: a few lines of text can stand for more
#: than any board has.
MOST_WIRES = 2_000_000


@dataclass
class Wires:
    """Wires by number.

    Attributes
    ----------
    joined : UnionFind
        Of the numbers.
    names : list of (int, str, int)
        Of each wire: how far from the top, its name, where it stands.
    pins : dict of int to list of PinRef
    alone : list of (PinRef, int)
        Pins that are joined to nothing, and where that stands.
    """

    positions: Positions
    joined: UnionFind = field(default_factory=UnionFind)
    names: list[tuple[int, str, int]] = field(default_factory=list)
    pins: dict[int, list[PinRef]] = field(default_factory=lambda: defaultdict(list))
    alone: list[tuple[PinRef, int]] = field(default_factory=list)
    _constants: dict[int, int] = field(default_factory=dict)
    _n_counted: int = 0

    def node(self, name: str, depth: int, at: int) -> int:
        """The number of a new wire."""
        self.names.append((depth, name, at))
        self.count(1, at)
        return len(self.names) - 1

    def constant(self, value: int) -> int:
        """The wire that always has a level."""
        if value not in self._constants:
            # Named after what it is joined to, if there is anything.
            self._constants[value] = self.node(f"1'b{value}", DEEPEST_SHEET + 1, 0)
        return self._constants[value]

    def count(self, n: int, at: int) -> None:
        """Count wires and pins, before they are made.

        Raises
        ------
        NetlistError
            There are more than any board has.
        """
        self._n_counted += n
        if self._n_counted > MOST_WIRES:
            raise self.positions.error(
                f"the buses of its modules stand for more than {MOST_WIRES:,} wires and pins",
                at,
                "give the netlist of the board alone",
            )

    def nets(self) -> tuple[list[tuple[str, list[PinRef], int]], list[str]]:
        """Name, pins and place of each net, no two of one name; and the names that several would have."""
        groups: dict[object, list[int]] = defaultdict(list)
        for node in range(len(self.names)):
            groups[self.joined.find(node)].append(node)
        nets: list[tuple[str, list[PinRef], int]] = []
        taken: set[str] = set()
        counts: dict[str, int] = {}
        twins: dict[str, None] = {}
        for nodes in groups.values():
            depth, name, at = min(
                (self.names[node] for node in nodes), key=lambda n: (n[0], natural_key(n[1]))
            )
            pins = [pin for node in nodes for pin in self.pins.get(node, ())]
            if not pins and depth > DEEPEST_SHEET:
                continue
            # Numbers go on from the last of this name: those before are all taken.
            unique, count = name, counts.get(name, 1)
            while unique in taken:
                twins[name] = None
                count += 1
                unique = f"{name} ({count})"
            taken.add(unique)
            counts[name] = count
            nets.append((unique, pins, at))
        nets += [(name_of_alone(pin), [pin], at) for pin, at in self.alone]
        return nets, list(twins)
