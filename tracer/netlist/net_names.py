"""Names of nets: which a person gave, which a program made, and which say that a pin is joined to nothing.

A name that a program made is put together from a part and its pin, or counted: ``Net-(U5-R)`` is no red and
``Net-(U7-GND)`` no ground. What a net's name says is read out of given names alone (`tracer.netlist.board.Net`),
so that no other module needs to know the forms of the made ones.

A netlist of one program is often handed on in the form of another, and many forms do not say which names were
made. So all forms are known here, whichever file they come from.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from tracer.netlist.pins import PinRef

__all__ = ["is_made", "is_no_connect", "name_of_alone", "name_of_joined", "says_alone"]


def name_of_joined(pin: PinRef) -> str:
    """The name of a net that nobody named, after its first pin, as KiCad writes it.

    >>> name_of_joined(PinRef("U1", "2"))
    'Net-(U1-Pad2)'
    """
    return f"Net-({pin.part}-Pad{pin.pin})"


def name_of_alone(pin: PinRef) -> str:
    """The name of the net of a pin that is joined to nothing, as KiCad writes it.

    >>> name_of_alone(PinRef("U1", "2"))
    'unconnected-(U1-Pad2)'
    """
    return f"{_ALONE}{pin.part}-Pad{pin.pin})"


_ALONE = "unconnected-("

_NOT_CONNECTED = frozenset(
    {"", "n/c", "nc", "n.c.", "?", "-", "no_connect", "no connect", "not connected", "open"}
)


def is_no_connect(word: str) -> bool:
    """Whether a word stands where a net's name would and names none: each pin that has it is joined to nothing.

    >>> [is_no_connect(w) for w in ("N/C", "?", "unconnected-(U1-Pad3)", "NC_RED", "")]
    [True, True, False, False, True]
    """
    return word.strip().lower() in _NOT_CONNECTED


def says_alone(name: str) -> bool:
    """Whether a name says that its pin is joined to nothing: a word for it, or a name of its own.

    >>> [says_alone(w) for w in ("N/C", "unconnected-(U1-Pad3)", "Net-(U1-Pad3)")]
    [True, True, False]
    """
    return is_no_connect(name) or name.strip().startswith(_ALONE)


#: Made names, on a sheet or a board as well. Sources: KiCad's netlists of its demos, and its exports, which write
#: upper case (Telesis) or ``_`` for brackets (SPICE); Lepton's keylist.scm for ``unnamed_net``; netlists that yosys
#: writes for ``$abc$12$n3`` and ``_12_``; from memory: Eagle's ``N$1``, ``N-000012`` of KiCad before 2013, ``$$$123``
#: and ``$1N12`` of PADS and Mentor, ``N00123`` of OrCAD.
_MADE = re.compile(
    r"(?:.*[/:])?(?:(?:net|unconnected)-(?:\(.*|_.*_)|"
    r"(?:n-0\d{4,}|unnamed_net\d+|n\$\d+|n\d{5,}|\$+\d\w*|\$[a-z]+\$.*|_\d+_)"
    # A wire of a bundle; the second net of a name.
    r"(?:\[\d+\])?(?:_+|_\d+| \(.*\))?)",
    re.IGNORECASE | re.DOTALL,
)


def is_made(name: str, pins: Iterable[PinRef]) -> bool:
    """Whether a program made the name of a net with these pins.

    >>> [n for n in ("Net-(U5-R)", "NET-(U5-G)", "/video/N$12", "unnamed_net3", "N1", "NET_RED") if not is_made(n, ())]
    ['N1', 'NET_RED']
    >>> is_made("NetQ1_B", [PinRef("Q1", "B")]), is_made("NetQ1_B", [PinRef("Q2", "B")])
    (True, False)
    """
    if _MADE.fullmatch(name):
        return True
    # Protel, Altium and Tango: after the first pin, and only such a pin tells it from a word of a person.
    return name.startswith("Net") and any(name == f"Net{pin.part}_{pin.pin}" for pin in pins)
