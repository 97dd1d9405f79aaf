"""Names and evidence as bench notes write them. The language: `grammars/bench_notes.lark`."""

from __future__ import annotations

import re

from tracer.netlist.notes import Evidence
from tracer.netlist.pins import PinRef

__all__ = ["evidence_line", "leg_word", "pin_word", "place_word", "quoted", "reference_word"]

_PLAIN_REFERENCE = re.compile(r"[A-Z_+\-:/\\]*[\d?][A-Z0-9_+\-?/\\]*")
_PLAIN_LEG = re.compile(r"[A-Z0-9_+\-~/]+")
#: Evidence whose words stand behind a comma.
_BEHIND_COMMA = frozenset({"swapped", "pressed", "exchanged"})


def quoted(text: str) -> str:
    """In quotes, as a name with blanks stands."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def reference_word(reference: str) -> str:
    """A part, quoted where its name needs it.

    >>> reference_word("U9"), reference_word("main:U9")
    ('U9', '"main:U9"')
    """
    plain = _PLAIN_REFERENCE.fullmatch(reference) and ":" not in reference
    return reference if plain else quoted(reference)


def leg_word(number: str) -> str:
    """The number of a leg."""
    return number if _PLAIN_LEG.fullmatch(number) else quoted(number)


def pin_word(pin: PinRef) -> str:
    """A leg as the notes write it: ``U9.11``, quoted where its names need it."""
    return f"{reference_word(pin.part)}.{leg_word(pin.pin)}"


def place_word(name: str) -> str:
    """A leg or a part by its name: ``U9.11``, ``R5``."""
    part, dot, leg = name.rpartition(".")
    return pin_word(PinRef(part, leg)) if dot else reference_word(name)


def evidence_line(evidence: Evidence) -> str:
    """``measured U9.17 to U13.18 no beep``; of colours the names stand as they are."""
    is_of_colours = evidence.kind == "exchanged"
    names = (name if is_of_colours else place_word(name) for name in evidence.where)
    where = (" and " if is_of_colours else " to ").join(names)
    comma = "," if evidence.kind in _BEHIND_COMMA and evidence.words else ""
    return " ".join(w for w in (evidence.kind, where + comma, evidence.words) if w)
