"""How a rehearsed search went, as text."""

from __future__ import annotations

from tracer.base.text import clean, wrapped
from tracer.beeps.rehearsal_values import Rehearsed

__all__ = ["rehearsal_as_text"]

#: Where the lead is held, by kind of connection.
_WHERE = {"stage": "at the colour pins", "driver": "behind resistors", "input": "at data inputs"}


def rehearsal_as_text(rehearsed: Rehearsed) -> str:
    """Touches, the plain way beside them, and whether the map came out right."""
    r = rehearsed
    each = r.touches / r.connections if r.connections else 0.0
    share = (
        f", {r.touches / r.plain_touches:.0%} of the plain way's {r.plain_touches}" if r.plain_touches else ""
    )
    lines = [clean(f"{r.board}: the search by beeps, rehearsed")]
    lines += wrapped(
        f"{r.touches} touches for {r.connections} connections ({each:.1f} each){share}", "  ", "  "
    )
    ways = ", ".join(f"{count} {_WHERE.get(kind, kind)}" for kind, count in r.by_kind.items())
    lines += wrapped(
        f"plain way: someone with the same part list and data sheets who sweeps all that could be, leg by leg ({ways}); one who "
        f"knows which chips are in the path needs {r.plain_knowing}",
        "  ",
        "  ",
    )
    lines += wrapped(
        f"{r.entropy_bits:.0f} bits: log2 of the number of maps that fit the part list; a touch tells one bit at most, so "
        "fewer touches than that are won by what boards have in common",
        "  ",
        "  ",
    )
    if r.located:
        lines += wrapped(
            f"by the places of parts, too: it is known where {r.located} of {r.parts} parts sit", "  ", "  "
        )
    else:
        lines.append("  without the places of parts: where they sit is not known")
    if r.misread:
        lines.append(f"  {r.misread} touches were misread on purpose")
    lines.append(f"  the map is {'right' if r.map_right else 'NOT right'}")
    for text in r.stopped:
        lines += wrapped(f"open: {text}", "  ! ", "    ")
    return "\n".join(lines) + "\n"
