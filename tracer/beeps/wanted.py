"""What the beeps have shown of the colour paths, and the open ends from which the search goes on.

A connection is a held leg and the leg that it beeped with, by what it means:

stage    a net of the output stage (a colour pin first) and a leg that stands on it
driver   the far leg of a colour resistor and the output that drives it
input    a data input of a chip on the way and the output that feeds it
bank     an output that can let go, a memory's first of all, and a data leg of another memory on one bus
tied     a control of a chip whose outputs can let go, and the supply that it is tied to

Each open end is a `Want`: a held leg whose partner of one of these kinds is not known yet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from tracer.netlist.board import PinRef

__all__ = ["Connection", "Gate", "Kind", "NearEnd", "Want", "Wanted", "are_rungs"]

Kind = Literal["stage", "driver", "input", "bank", "tied"]
#: What a leg stands on. Of a resistor, its near end: the net where the bits meet, a transistor, or another net of the
#: stage. Of a net of the stage: where the bits meet, a net on the way there, a node of a ladder, or any other.
NearEnd = Literal["pin", "base", "emitter", "node", "through", "ladder"]

#: Resistors of a ladder are of one make: they match better than the steps of a row of values.
_LADDER_MATCH = 0.03


@dataclass(frozen=True, slots=True)
class Want:
    """An open end.

    Attributes
    ----------
    kind : str
    held : PinRef
        Where the lead is held.
    colour : str
        The first colour that needs it.
    ohm : float
        Of the resistor of the first bit that needs it; 0 on a net of the stage.
    like : str
        For a bank: the other memory; ``gates`` where an input is only compared with those of other gates.
    node : NearEnd
    """

    kind: Kind
    held: PinRef
    colour: str
    ohm: float = 0.0
    like: str = ""
    node: NearEnd = "pin"


@dataclass(frozen=True, slots=True)
class Connection:
    """A want that a beep has met."""

    want: Want
    end: PinRef


@dataclass(frozen=True, slots=True)
class Gate:
    """A gate that a bit passes: its output, and the inputs that are no supply."""

    output: PinRef
    inputs: tuple[PinRef, ...]


@dataclass
class Wanted:
    """All connections that were found, all open ends, and where ways end.

    Attributes
    ----------
    stage_nets : dict of str to str
        Net of the stage on which resistors' legs are sought -> colour.
    heads : dict of str to list of str
        Colour -> the nets from its pin to where its bits meet.
    gates : list of Gate
    shared : set of str
        Nets that gate several bits.
    joints : list of str
        Nets behind resistors on which several stand and no output was found yet.
    """

    found: list[Connection] = field(default_factory=list)
    open: list[Want] = field(default_factory=list)
    memories: dict[PinRef, str] = field(default_factory=dict)
    stopped: dict[PinRef, str] = field(default_factory=dict)
    stage_nets: dict[str, str] = field(default_factory=dict)
    heads: dict[str, list[str]] = field(default_factory=dict)
    gates: list[Gate] = field(default_factory=list)
    shared: set[str] = field(default_factory=set)
    joints: list[str] = field(default_factory=list)

    @property
    def head_nets(self) -> set[str]:
        """The nets from the pin of any colour to where its bits meet."""
        return {net for own in self.heads.values() for net in own}

    def met(self, connection: Connection) -> None:
        """Take in a connection, once."""
        same = (connection.want.kind, connection.want.held, connection.end)
        if all((c.want.kind, c.want.held, c.end) != same for c in self.found):
            self.found.append(connection)

    def ask(self, want: Want) -> None:
        """Take in an open end, once for each held leg."""
        if all((w.kind, w.held) != (want.kind, want.held) for w in self.open):
            self.open.append(want)


def are_rungs(ohms: Sequence[float]) -> bool:
    """Whether there are two resistors or more, alike or one twice the other: R and 2R of a ladder."""
    return len(ohms) > 1 and all(_is_rung(ohms[0], ohm) for ohm in ohms[1:])


def _is_rung(ohm: float, other: float) -> bool:
    low, high = sorted((ohm, other))
    return low > 0 and any(abs(high - low * times) <= _LADDER_MATCH * low * times for times in (1, 2))
