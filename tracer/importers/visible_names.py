"""Names that a terminal, an SVG or a spreadsheet would trip over, made visible before anything is done with them.

Whatever the form, a name may hold control characters: typed as such, or by an escape of the form (``\\n`` of an
s-expression, ``&#155;`` of XML, ``%27%`` of EDIF). They are shown as escapes from here on, so that nothing that is
printed, drawn or written holds any.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from tracer.base.errors import NetlistError
from tracer.base.findings import note
from tracer.base.names import natural_key
from tracer.base.visible import UNSEEN, visible
from tracer.netlist.board import Netlist, Part

__all__ = ["LONGEST_NAME", "MOST_PINS", "with_visible_names"]

#: Letters of a name, marking or note. Drawing programs end at a few hundred (common practice, no source).
LONGEST_NAME = 4096
#: Pins that parts declare and nets name: a board of a million pins has two million.
MOST_PINS = 4_000_000


def with_visible_names(netlist: Netlist) -> Netlist:
    """The same board; the very same value where all characters can be seen.

    Raises
    ------
    NetlistError
        A name is longer than `LONGEST_NAME`, pins are more than `MOST_PINS`, or two are alike once they can be seen.
    """
    n_pins = sum(len(part.pins) for part in netlist.parts) + sum(len(net.pins) for net in netlist.nets)
    if n_pins > MOST_PINS:
        raise NetlistError(
            f"its parts and nets name {n_pins:,} pins, and up to {MOST_PINS:,} are read",
            file=netlist.inputs[0].file if netlist.inputs else None,
            fix="give the netlist of one board alone",
        )
    words = list(_words(netlist))
    if longest := next((word for word in words if len(word) > LONGEST_NAME), None):
        raise NetlistError(
            f"a name has {len(longest):,} letters, and up to {LONGEST_NAME:,} are read: {longest[:40]} ...",
            file=netlist.inputs[0].file if netlist.inputs else None,
            fix="look for a quote or a bracket that is never closed",
        )
    words += [finding.text for finding in netlist.findings]
    odd = [word for word in words if not word.isprintable() and UNSEEN.search(word)]
    if not odd:
        return netlist
    shown: Netlist = _shown(netlist)
    for what, was, now in (
        ("nets", netlist.by_net_name, shown.by_net_name),
        ("parts", netlist.by_reference, shown.by_reference),
        ("pins", netlist.nets_of_pins, shown.nets_of_pins),
    ):
        if len(was) != len(now):
            raise NetlistError(
                f"two {what} differ only in characters that cannot be seen",
                file=netlist.inputs[0].file if netlist.inputs else None,
                fix="give them other names in the drawing",
            )
    names = list(dict.fromkeys(visible(word) for word in odd))
    told = ", ".join(names[:4]) + (" ..." if len(names) > 4 else "")
    finding = note(
        "unseen-characters",
        f"{len(names)} name(s) hold characters that cannot be seen; they are shown so: {told}",
    )
    return replace(
        shown,
        parts=tuple(sorted(shown.parts, key=lambda part: natural_key(part.reference))),
        nets=tuple(
            replace(net, pins=tuple(sorted(net.pins, key=lambda pin: pin.key)))
            for net in sorted(shown.nets, key=lambda net: natural_key(net.name))
        ),
        findings=(*shown.findings, finding),
    )


def _words(netlist: Netlist) -> Iterator[str]:
    yield netlist.name
    for part in netlist.parts:
        yield part.reference
        yield part.marking
        yield part.symbol
        yield part.library
        yield part.footprint
        yield part.place
        for drawn in part.pins:
            yield drawn.number
            yield drawn.name
            yield drawn.kind
    for net in netlist.nets:
        yield net.name
        for pin in net.pins:
            yield pin.part
            yield pin.pin
    for file in netlist.inputs:
        yield file.file
    for colour, where in netlist.notes.colour_pins:
        yield colour
        yield from where
    for evidence in netlist.notes.evidence:
        yield evidence.words
        yield from evidence.where


def _shown(value: Any) -> Any:
    """A value of the netlist with every text in it made visible."""
    if isinstance(value, str):
        return visible(value)
    if isinstance(value, tuple):
        items = [_shown(item) for item in value]
        return type(value)(*items) if hasattr(value, "_fields") else tuple(items)
    if is_dataclass(value) and not isinstance(value, type):
        shown = {f.name: _shown(getattr(value, f.name)) for f in fields(value)}
        if isinstance(value, Part):
            # What is printed on a part in two lines is one marking; it tells nothing apart.
            shown["marking"] = visible(" ".join(value.marking.split()))
        return replace(value, **shown)
    return value
