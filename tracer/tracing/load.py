"""At which load a board is traced: the one told, else the one in its notes, else the usual one."""

from __future__ import annotations

from typing import Literal

from tracer.netlist.board import Netlist

__all__ = ["MONITOR_OHM", "LoadTold", "load_of"]

#: What a colour input is to the board, unless told: 75 ohm, the video standards' termination, as domestic sets have it. It is
#: the heaviest usual load, so that no board gives less; monitors of game boards take 1k and more (common practice, no source).
MONITOR_OHM = 75.0

#: Ohms at the colour pin; None: nothing is plugged in; noted: as the board's notes say, else `MONITOR_OHM`.
LoadTold = float | Literal["noted"] | None


def load_of(netlist: Netlist, told: LoadTold = "noted") -> float | None:
    """Ohms at the colour pins; None for none. What is told counts, then the notes, then `MONITOR_OHM`."""
    if told != "noted":
        return told
    noted = netlist.notes.load
    return MONITOR_OHM if noted is None else noted.ohm
