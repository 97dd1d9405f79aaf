"""Notes as text that grows by answers: each is added, and can be taken back.

Lines that an answer added end in a comment with its number, so that `without_last` finds them whoever reads the text
next. A line is never deleted: it becomes a comment that says why it no longer counts.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import groupby

from tracer.beeps.facts import Facts, speak_of_the_same
from tracer.netlist.board import PinRef, Touch
from tracer.netlist.note_words import pin_word

__all__ = ["fact_lines", "with_answer", "without_last"]

_NUMBER = re.compile(r"# answer (\d{1,9})$")
_STRUCK = re.compile(r"# struck by answer (\d{1,9}): (.*)$")
#: In any comment: a line that was taken back keeps its number.
_ANY_NUMBER = re.compile(r"answer (\d{1,9})\b")


def fact_lines(facts: Facts) -> list[str]:
    """What facts are in the language of the notes, a line each; legs of one part that do not beep on one line."""
    lines = []
    quiet = [t for t in facts.touches if not t.heard]
    for (held, part), touches in groupby(quiet, key=lambda t: (t.pins[0], t.pins[1].part)):
        legs = [t.pins[1] for t in touches]
        words = pin_word(legs[0]) if len(legs) == 1 else _legs(part, legs)
        lines.append(f"{pin_word(held)} != {words}")
    lines += [" = ".join(pin_word(pin) for pin in t.pins) for t in facts.touches if t.heard]
    lines += [f"measured {pin_word(a)} to {pin_word(b)} {ohm:g} ohm" for a, b, ohm in facts.measured]
    return lines


def _legs(part: str, legs: list[PinRef]) -> str:
    words = [pin_word(leg) for leg in legs]
    start = pin_word(PinRef(part, "1"))[:-1]
    return f"{start}[{' '.join(word[len(start) :] for word in words)}]"


def with_answer(lines: list[str], facts: Facts, known: Sequence[Touch]) -> tuple[list[str], list[str]]:
    """Notes with what an answer says, and the lines that were added.

    Parameters
    ----------
    lines : list of str
        The notes as they stand.
    facts : Facts
    known : sequence of Touch
        What these notes say, read; each knows its line.
    """
    number = 1 + max((int(m[1]) for line in lines if (m := _ANY_NUMBER.search(line))), default=0)
    lines, kept = _strike(lines, facts.struck, known, number)
    added = [f"{line}  # answer {number}" for line in (*kept, *fact_lines(facts))]
    return [*lines, *added], added


def without_last(lines: Sequence[str]) -> tuple[list[str], list[str]]:
    """Notes without their last answer, and the lines that it had added; none where there is none."""
    numbers = [int(m[1]) for line in lines if not line.startswith("#") and (m := _NUMBER.search(line))]
    if not numbers:
        return list(lines), []
    last = max(numbers)
    gone, kept = [], []
    for line in lines:
        struck = _STRUCK.match(line)
        if struck and int(struck[1]) == last:
            kept.append(struck[2])
        elif not line.startswith("#") and (m := _NUMBER.search(line)) and int(m[1]) == last:
            gone.append(line)
            kept.append(f"# undone: {line}")
        else:
            kept.append(line)
    return kept, gone


def _strike(
    lines: list[str], struck: tuple[Touch, ...], known: Sequence[Touch], number: int
) -> tuple[list[str], list[str]]:
    """Turn lines that count no longer into comments; also gives lines for what else they had said."""
    lines, kept = list(lines), []
    said: dict[int, list[Touch]] = {}
    for touch in known if struck else ():
        if touch.origin and touch.origin.line:
            said.setdefault(touch.origin.line, []).append(touch)
    for line, touches in said.items():
        rest = [t for t in touches if not any(speak_of_the_same(t, s) for s in struck)]
        if len(rest) < len(touches):
            lines[line - 1] = f"# struck by answer {number}: {lines[line - 1]}"
            kept += fact_lines(Facts(tuple(rest)))
    return lines, kept
