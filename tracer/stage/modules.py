"""Parts without an entry whose legs are called by what goes in and what comes out: IN1 and OUT1, RIN and ROUT.

A hybrid or a module of amplifiers in the way of the colours: what stands on the input is taken to come out, as no more
is known of it.
"""

from __future__ import annotations

import re

from tracer.base.names import bare_name
from tracer.parts.identify import Identified
from tracer.parts.kinds import Kind

__all__ = ["input_of"]

_CLOSED = frozenset({Kind.UNKNOWN, Kind.CUSTOM, Kind.AMPLIFIER})
_WAY = re.compile(r"(?P<before>[A-Z]|\d)?_?V?(?P<way>IN|OUT)(?:PUT)?_?(?P<behind>[A-Z]|\d)?")


def input_of(part: Identified, pin: str) -> str | None:
    """The one input leg whose name goes with that of an output leg; None where the names do not tell."""
    if part.kind not in _CLOSED or part.type.arcs_into(pin, "data"):
        return None
    legs = {leg.number: _WAY.fullmatch(bare_name(leg.name)) for leg in part.type.pins if leg.name}
    own = legs.get(pin)
    if own is None or own["way"] != "OUT":
        return None
    found = [n for n, m in legs.items() if m is not None and m["way"] == "IN" and _index(m) == _index(own)]
    return found[0] if len(found) == 1 else None


def _index(match: re.Match[str]) -> str:
    return (match["before"] or "") + (match["behind"] or "")
