"""What is odd about a netlist, whichever form it came in."""

from __future__ import annotations

from collections.abc import Iterator

from tracer.base.findings import Finding, note, warning
from tracer.base.names import natural_key
from tracer.netlist.board import Netlist

__all__ = ["check_netlist"]

#: Pairs of names that one warning shows: a person must find the one that is a slip among them.
_PAIRS = 24


def check_netlist(netlist: Netlist) -> tuple[Finding, ...]:
    """All that is odd about a netlist, its reader's findings first."""
    return (*netlist.findings, *_odd(netlist))


def _odd(netlist: Netlist) -> Iterator[Finding]:
    for pin, nets in netlist.nets_of_pins.items():
        if len(nets) > 1:
            yield warning(
                "pin-on-two-nets",
                f"{pin} is listed on {len(nets)} nets: {', '.join(nets)}; they were not joined. If one is a slip, beep the "
                "leg to both",
                str(pin),
                *nets,
            )
    folded: dict[str, list[str]] = {}
    for net in netlist.nets:
        folded.setdefault(net.name.upper(), []).append(net.name)
    twins = [names for names in folded.values() if len(names) > 1]
    if twins:
        shown = ", ".join(" and ".join(names) for names in twins[:_PAIRS])
        yield warning(
            "case-twins",
            f"names of nets differ only in upper and lower case: {shown}{' ...' if len(twins) > _PAIRS else ''}. They were kept "
            "apart; if one is a slip, beep them to each other",
            *(name for names in twins for name in names),
        )
    undeclared = sorted(set(netlist.pins_of_parts) - set(netlist.by_reference), key=natural_key)
    if undeclared:
        yield note(
            "undeclared-part",
            f"{len(undeclared)} part(s) stand in nets but not in the part list, so nothing says what they are: "
            f"{', '.join(undeclared[:8])}{' ...' if len(undeclared) > 8 else ''}; tell it with --part "
            f"{undeclared[0]}=MARKING, or give the part list too",
            *undeclared,
        )
    if not any(len(net.pins) > 1 for net in netlist.nets):
        yield warning(
            "nothing-connected",
            f"no net of {netlist.name} joins two pins, so nothing can be traced; is it a part list without its net list?",
        )
    for a, b in netlist.notes.apart:
        shared = set(netlist.nets_of_pins.get(a, ())) & set(netlist.nets_of_pins.get(b, ()))
        if shared:
            yield warning(
                "contradiction",
                f"no beep was heard between {a} and {b}, but both stand on {min(shared)}: an open joint or track, or the "
                "drawing is wrong",
                str(a),
                str(b),
            )
    loose = [p.reference for p in netlist.parts if p.reference.endswith("?")]
    if loose:
        yield warning(
            "unannotated", f"parts without a number: {', '.join(loose)}; number them in the drawing", *loose
        )
