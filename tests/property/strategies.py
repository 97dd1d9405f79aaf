"""Random boards, texts and tiny writers, for the property tests."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from hypothesis import strategies as st

from tracer.netlist.board import Net, Netlist, Part, Pin, PinRef, make_netlist

__all__ = ["as_connections", "as_kicad", "as_net_rows", "as_pin_rows", "boards", "names"]

references = st.from_regex(r"[A-Z]{1,2}[1-9][0-9]?", fullmatch=True)
numbers = st.from_regex(r"[1-9][0-9]?|[A-C][1-9]", fullmatch=True)
#: Names of nets as files carry them: any letters, no control characters, no blanks at the ends.
names = st.text(
    st.characters(codec="utf-8", exclude_categories=("C", "Z"), exclude_characters='"'),
    min_size=1,
    max_size=8,
).filter(
    lambda name: name.lower() not in ("n/c", "nc", "n.c.", "?", "-", "open") and not name.startswith("#")
)


@st.composite
def boards(draw: st.DrawFn, max_nets: int = 6) -> Netlist:
    """A board of a few parts, each pin on one net; no net without a pin, no part without one."""
    pins = draw(st.lists(st.builds(PinRef, references, numbers), min_size=1, max_size=16, unique=True))
    labels = draw(st.lists(names, min_size=1, max_size=max_nets, unique=True))
    nets: dict[str, list[PinRef]] = {}
    for pin in pins:
        nets.setdefault(draw(st.sampled_from(labels)), []).append(pin)
    kept = [name for name in nets if nets[name]]
    markings = st.sampled_from(["", "74LS273", "4k7", 'a "b" c', "0,1uF", "Ω"])
    parts = [
        Part(reference, draw(markings), pins=tuple(Pin(p.pin) for p in pins if p.part == reference))
        for reference in dict.fromkeys(pin.part for pin in pins)
    ]
    return make_netlist("board", parts, [(name, nets[name], None) for name in kept])


def as_kicad(netlist: Netlist) -> str:
    """A KiCad netlist, version E."""
    comps = " ".join(
        f"(comp (ref {_quoted(p.reference)}) (value {_quoted(p.marking or '~')}))" for p in netlist.parts
    )
    nets = " ".join(
        f"(net (code {code}) (name {_quoted(net.name)}) "
        + " ".join(f"(node (ref {_quoted(pin.part)}) (pin {_quoted(pin.pin)}))" for pin in net.pins)
        + ")"
        for code, net in enumerate(netlist.nets, 1)
    )
    return f'(export (version "E") (components {comps}) (nets {nets}))'


def as_pin_rows(netlist: Netlist, separator: str = ",") -> str:
    """A table with a row for each pin."""
    rows = [("part", "pin", "net", "marking")]
    for net in netlist.nets:
        rows += [(pin.part, pin.pin, net.name, netlist.by_reference[pin.part].marking) for pin in net.pins]
    return _table(rows, separator)


def as_net_rows(netlist: Netlist, separator: str = ",") -> str:
    """A table with a row for each net."""
    rows = [("net", "net pins"), *((net.name, " ".join(map(str, net.pins))) for net in netlist.nets)]
    return _table(rows, separator)


def as_connections(netlist: Netlist, separator: str = ",") -> str:
    """A table with a row for each pair of neighbours of a net; a pin that is alone is joined to nothing."""
    rows = [("from", "to")]
    for net in netlist.nets:
        rows += [(str(a), str(b)) for a, b in _neighbours(net)]
    return _table(rows, separator)


def _neighbours(net: Net) -> list[tuple[object, object]]:
    if len(net.pins) == 1:
        return [(net.pins[0], "N/C")]
    return list(zip(net.pins, net.pins[1:], strict=False))


def _table(rows: Sequence[Sequence[str]], separator: str) -> str:
    out = io.StringIO()
    csv.writer(out, delimiter=separator, lineterminator="\n").writerows(rows)
    return out.getvalue()


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'
