"""What a card says of the board beside the path, in words: supplies and clocks, parts to try a swap with, legs counted."""

from __future__ import annotations

from collections.abc import Sequence

from tracer.base.text import clean
from tracer.card.blocks import Column, Row
from tracer.card.values import BoardCard, PartDonors
from tracer.circuit.donors import Donor

__all__ = ["COUNTING", "donor_items", "supply_columns", "supply_rows"]

#: How legs are numbered (JEDEC MS-001; common practice, from memory).
COUNTING = (
    "Leg 1 is left of the notch, or has the dot; count down that row, then up the other. From the solder side the rows "
    "change places: notch up, leg 1 is on the right."
)
#: Room for a reading by hand, in millimetres.
_TO_WRITE = 24.0
#: More donors of one part than this are counted, not named.
_MOST_DONORS = 6


def supply_columns() -> list[Column]:
    """Columns of the table of supplies and clocks."""
    return [Column("what"), Column("should be"), Column("at", gives=True), Column("read", least=_TO_WRITE)]


def supply_rows(card: BoardCard) -> list[Row]:
    """A line for each supply and each crystal or oscillator, with room for what was read."""
    rows = [Row((clean(s.name), f"{s.volts:g} V", clean(s.at), ""), bold=(0,)) for s in card.supplies]
    clocks = [(c.part, c.marking, c.place) for c in card.clocks]
    return rows + [
        Row((clean(part), clean(what), clean(place), ""), bold=(0,)) for part, what, place in clocks
    ]


def donor_items(card: BoardCard) -> list[tuple[str, str]]:
    """Which parts can take which place; parts with the same donors together."""
    alike: dict[tuple[object, ...], list[PartDonors]] = {}
    none: list[str] = []
    programmed: list[str] = []
    for own in card.donors:
        if own.is_programmed:
            programmed.append(f"{own.part} {own.what}")
        elif not own.donors:
            none.append(f"{own.part} {own.what}")
        else:
            beside = tuple(d for d in own.donors if not d.is_on_path)
            others = frozenset((own.part, *(d.part for d in own.donors if d.is_on_path)))
            alike.setdefault((own.what, beside, others), []).append(own)
    items = [("-", clean(_donors_text(group))) for group in alike.values()]
    if none:
        items.append(("-", clean(f"none on this board for {', '.join(none)}")))
    if programmed:
        one = len(programmed) == 1
        words = (
            "holds a content of its own: no other is its spare"
            if one
            else "hold contents of their own: no spares"
        )
        items.append(("-", clean(f"{', '.join(programmed)} {words}")))
    return items


def _donors_text(group: Sequence[PartDonors]) -> str:
    own = ", ".join(_placed(each.part, each.place) for each in group)
    beside = [d for d in group[0].donors if not d.is_on_path]
    on_path = [d for d in group[0].donors if d.is_on_path]
    words = []
    if beside:
        words.append(", ".join(_donor(d, group[0].what) for d in beside[:_MOST_DONORS]))
        if len(beside) > _MOST_DONORS:
            words[-1] += f" and {len(beside) - _MOST_DONORS} more"
    if on_path:
        others = [d for d in on_path if d.part not in {each.part for each in group}]
        with_which = ", ".join(_donor(d, group[0].what) for d in others)
        exchange = f"exchange it with {with_which}" if others else "exchange them"
        words.append(f"{exchange}: the fault moves with the part")
    return f"{group[0].what} ({own}): {'; or '.join(words)}"


def _donor(donor: Donor, own: str) -> str:
    what = "" if donor.what == own else f" {donor.what}"
    socket = {None: "", True: " (socket)", False: " (soldered)"}[donor.in_socket]
    return f"{_placed(donor.part + what, donor.place)}{socket}"


def _placed(part: str, place: str) -> str:
    return f"{part} at {place}" if place else part
