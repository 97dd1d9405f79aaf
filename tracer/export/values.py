"""What is handed to other programs, as values: output stages as circuits, and the walked circuit as edges."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from tracer.levels.drive_values import Drive
from tracer.stage.network import Network

__all__ = ["WHOLE", "Deck", "DeckDriver", "Node", "WalkedEdge"]

#: Stands for a bit where an edge carries a whole colour.
WHOLE = -1


@dataclass(frozen=True, slots=True)
class DeckDriver:
    """An output that drives the stage; bit is None for one that is held at `level`."""

    node: str
    label: str
    drive: Drive
    bit: int | None
    level: int = 0


@dataclass(frozen=True)
class Deck:
    """One colour's output stage.

    Attributes
    ----------
    colour, out : str
        Name, and the node of the colour pin.
    network : Network
    fixed : mapping of str to float
        Volts of rails.
    drivers : tuple of DeckDriver
    capacitors : mapping of str to float
        Farads of coupling capacitors, where known.
    load_ohm : float or None
    also_loaded : tuple of str
        Nodes of other colour pins in this stage.
    """

    colour: str
    out: str
    network: Network
    fixed: Mapping[str, float]
    drivers: tuple[DeckDriver, ...]
    capacitors: Mapping[str, float]
    load_ohm: float | None
    also_loaded: tuple[str, ...] = ()


class Node(NamedTuple):
    """A leg (``U9.17``) or, inside an output stage, a net."""

    name: str
    is_net: bool = False

    def __str__(self) -> str:
        return f"net:{self.name}" if self.is_net else self.name


@dataclass(frozen=True, slots=True)
class WalkedEdge:
    """From one node to the next, in the direction of the picture.

    Attributes
    ----------
    source, target : Node
    part : str
        The part passed; empty for a track.
    kind : str
        ``track``, ``resistor``, ``diode``, ``transistor``, or how a chip passes the bit on (``register`` ...).
    colours : tuple of (str, int)
        Bits that pass; in an output stage the colour with bit -1.
    ohm : float or None
    inverts : bool
    """

    source: Node
    target: Node
    part: str
    kind: str
    colours: tuple[tuple[str, int], ...]
    ohm: float | None = None
    inverts: bool = False
