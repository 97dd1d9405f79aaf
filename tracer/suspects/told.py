"""What was typed, held against the path: legs, places and faults that it has, in either order and any case."""

from __future__ import annotations

import re
from collections.abc import Iterable

from tracer.base.errors import UsageError
from tracer.base.names import natural_key, similar_names
from tracer.levels.legs import read_legs
from tracer.suspects.exchange import exchangeable
from tracer.suspects.fault import Place
from tracer.suspects.observation import Observation, ObservationKind
from tracer.suspects.reasoning import Reasoning
from tracer.suspects.text import fault_text, place_text

__all__ = ["arranged", "ends_of", "faults_called", "leg_told", "place_told", "resistor_ohm", "to_ground"]

Ends = tuple[str, ...]
#: Between the ends of a connection.
_TO = re.compile(r"\s+(?:to|and|-+|->)\s+", re.IGNORECASE)
_LONGEST_SAID = 80


def ends_of(text: str) -> Ends:
    """The ends of a connection, or a part: ``U9.17 to U13.18``."""
    return tuple(end.strip() for end in _TO.split(text.strip(), maxsplit=1))


def leg_told(text: str) -> tuple[str, str]:
    """The two names of ``U4.11``.

    Raises
    ------
    UsageError
        It is no leg.
    """
    part, dot, pin = text.strip().rpartition(".")
    if not dot or not part or not pin:
        raise UsageError(f"{text[:_LONGEST_SAID]!r} is no leg", fix="write the part and the leg: U4.11")
    return part, pin


def _places(reasoning: Reasoning, kind: ObservationKind) -> list[Ends]:
    """Where something of a kind can be told."""
    if kind == "read":
        # Also the legs of other ways of a bit, which the levels list: no listed fault lies there.
        listed = ((leg.part, leg.pin) for leg in read_legs(reasoning.traced))
        return list(dict.fromkeys((*reasoning.likely.readable, *listed)))
    if kind in ("press", "swapped"):
        return [(part,) for part in reasoning.parts]
    if kind == "exchanged":
        return list(exchangeable(reasoning.traced))
    found = dict.fromkeys(p.ends for what, p in reasoning.groups if reasoning.measured_at(what, p) == kind)
    return list(found)


def _match(ends: Ends, places: Iterable[Ends]) -> Ends | None:
    """The place that is meant: as written, else in any case, else from its other end; None where several could be."""
    known = list(places)
    if ends in known:
        return ends
    folded = tuple(end.lower() for end in ends)
    for asked in (folded, folded[::-1]):
        found = [each for each in known if tuple(e.lower() for e in each) == asked]
        if found:
            return found[0] if len(found) == 1 else None
    return None


def place_told(reasoning: Reasoning, observation: Observation) -> Observation:
    """The observation with its place as the path names it.

    Raises
    ------
    UsageError
        The path has no such place: it would be taken for nothing.
    """
    kind, where = observation.kind, observation.where
    places = _places(reasoning, kind)
    # A leg alone is one of two ends.
    tracks = [
        p
        for p in places
        if len(p) > 1 and kind != "read" and len(where) == 1 and where[0].lower() in (e.lower() for e in p)
    ]
    found = _match(where, places) if kind != "read" else _leg_match(where, places)
    found = found or (tracks[0] if len(tracks) == 1 else None)
    if found is not None:
        return Observation(kind, found, observation.word, observation.is_denied)
    raise _no_leg(reasoning, *where) if kind == "read" else _no_place(where, places, kind)


def _leg_match(where: Ends, places: Iterable[Ends]) -> Ends | None:
    """A leg; the order of part and pin is no one's choice."""
    known = list(places)
    if where in known:
        return where
    found = [p for p in known if tuple(e.lower() for e in p) == tuple(e.lower() for e in where)]
    return found[0] if len(found) == 1 else None


def _no_leg(reasoning: Reasoning, part: str, pin: str) -> UsageError:
    known = _places(reasoning, "read")
    legs = sorted((p for r, p in known if r.lower() == part.lower()), key=natural_key)
    measured = sorted(
        (
            e
            for e in _places(reasoning, "ohms")
            if part.lower() in (end.partition(".")[0].lower() for end in e)
        ),
        key=len,
    )
    if legs:
        fix = f"the legs of {part} at which a reading does are: {' '.join(dict.fromkeys(legs))}"
    elif measured:
        fix = f"what can be told of {part} is ohms, for example --ohms '{place_text(Place(measured[0]))}={'open' if len(measured[0]) == 1 else 'short'}'"
    elif part.upper() in (each.upper() for each in reasoning.parts):
        fix = f"what can be told of {part} is a swap and pressing it: --swapped '{part}=no change', --pressed {part}=changes"
    elif pins := _colour_pins(reasoning, part):
        fix = f"what can be told there is what its colour's pin does, for example --read {pins[0]}=pulsing"
    else:
        fix = "`rgbroots levels BOARD --legs` lists the legs that it passes"
    return UsageError(
        f"{part[:_LONGEST_SAID]}.{pin[:_LONGEST_SAID]} is no leg of the colour path, so a reading there says nothing of the "
        "colours",
        fix=fix,
    )


def _colour_pins(reasoning: Reasoning, part: str) -> list[str]:
    """The colour pins of the stages that a part is in."""
    colours = {
        change.colour for f in reasoning.faults if f.part.lower() == part.lower() for change in f.effect.stage
    }
    pins = [c.pin for c in reasoning.traced.bit_map.colours if c.name in colours]
    return [f"{p.part}.{p.pin}" for p in pins if (p.part, p.pin) in reasoning.likely.readable]


def _no_place(where: Ends, places: Iterable[Ends], kind: ObservationKind) -> UsageError:
    asked = place_text(Place(where))[:_LONGEST_SAID]
    named = sorted((place_text(Place(ends)) for ends in places), key=natural_key)
    part = where[0].partition(".")[0].lower()
    near = [n for n in named if re.search(rf"(?<![\w]){re.escape(part)}(?![\w])", n.lower())][:4]
    near = near or similar_names(asked, named) or named[:4]
    what = {"beep": "a connection", "ohms": "a resistor or a track", "exchanged": "two colours"}.get(
        kind, "a part"
    )
    return UsageError(
        f"{asked} is not in the colour path as {what}, so it says nothing of the colours",
        fix=f"what can be told there is, for example: {'; '.join(near) or 'nothing of this kind'}",
    )


def arranged(reasoning: Reasoning, kind: ObservationKind, where: str, words: str) -> tuple[str, str]:
    """Place and words, turned round where they were told the other way: ``low=U13.19``."""
    places = _places(reasoning, kind)

    def is_place(text: str) -> bool:
        if kind == "read":
            part, _, pin = text.strip().rpartition(".")
            return bool(part) and _leg_match((part, pin), places) is not None
        return _match(ends_of(text), places) is not None

    return (words, where) if is_place(words) and not is_place(where) else (where, words)


def to_ground(reasoning: Reasoning, where: str) -> str:
    """The place with ground as its far end, where the path has it so: a colour's pin."""
    asked = f"{where.strip()} to ground"
    return asked if _match(ends_of(asked), _places(reasoning, "ohms")) is not None else where


def resistor_ohm(reasoning: Reasoning, part: str) -> float | None:
    """The marked value of a resistor."""
    known = reasoning.traced.circuit.identified.get(part)
    return known.ohm if known is not None else None


def faults_called(reasoning: Reasoning, words: str) -> list[tuple[str, dict[str, str]]]:
    """Faults whose name holds all the words, each with what the screen shows: colour -> word."""
    wanted = words.lower().split()
    named = (
        (fault_text(f), shown) for f, shown in zip(reasoning.faults, reasoning.likely.words, strict=True)
    )
    return [
        (name, shown) for name, shown in named if shown is not None and all(w in name.lower() for w in wanted)
    ]
