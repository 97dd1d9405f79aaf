"""The search as a conversation: one touch asked, one answer noted, and the next."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Protocol

from tracer.base.errors import TracerError, UsageError
from tracer.base.text import wrapped
from tracer.base.toml_numbers import NumberTables
from tracer.base.units import parse_ohm
from tracer.beeps.choice import Choice, Search
from tracer.beeps.facts import Answer, Facts, facts_of, with_touches
from tracer.beeps.halfway import Halfway, look_halfway
from tracer.beeps.text import question_as_text
from tracer.beeps.values import CAUTION
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.library import Library

__all__ = ["Memory", "Record", "converse", "parse_answer", "say"]

HELP = (
    "Answer with the leg that beeps (its number, or U13.15 where several parts are swept), with its ohms behind it where "
    "they are asked for (15 33), with none, skip (another touch instead), undo (take the last answer back), or quit."
)
_LEG = re.compile(r"(?:(?P<part>[^\s.]+)\.)?(?P<pin>\S+)(?:\s+(?P<ohm>\S+)(?:\s*ohm)?)?$", re.IGNORECASE)


class Record(Protocol):
    """What keeps the answers: a notes file, or memory."""

    def netlist(self) -> Netlist:
        """The board so far."""

    def add(self, facts: Facts) -> list[str]:
        """Keep what an answer says."""

    def undo(self) -> list[str]:
        """Take the last answer back."""


@dataclass
class Memory:
    """Answers that are kept for this conversation only."""

    start: Netlist
    facts: list[Facts] = field(default_factory=list)

    def netlist(self) -> Netlist:
        """The board so far."""
        return with_touches(self.start, self.facts)

    def add(self, facts: Facts) -> list[str]:
        """Keep what an answer says."""
        self.facts.append(facts)
        return []

    def undo(self) -> list[str]:
        """Take the last answer back."""
        return [str(touch.pins) for touch in self.facts.pop().touches] if self.facts else []


def say(text: str) -> None:
    """Show text at once."""
    sys.stdout.write(text)
    sys.stdout.flush()


def converse(
    record: Record,
    library: Library,
    numbers: NumberTables,
    told: dict[str, str],
    ask: Callable[[str], str],
    tell: Callable[[str], None],
) -> Halfway:
    """Ask touch after touch until the map is closed or the person stops; gives the board as it stands then.

    Parameters
    ----------
    ask : callable
        Shows a prompt and gives the typed line; raises EOFError at the end of input.
    tell : callable
        Shows text, line ends included.
    """
    tell("\n".join([*wrapped(CAUTION, "! ", "  "), *wrapped(HELP, "", "")]) + "\n")
    skipped: set[tuple[PinRef, PinRef]] = set()
    while True:
        halfway = look_halfway(record.netlist(), library, numbers, told, skipped)
        search = halfway.search
        tell("\n" + question_as_text(halfway.advice))
        if search.choice is None and not skipped:
            return halfway
        word = _word(ask, tell, search.choice)
        if word == "quit":
            return halfway
        if word == "undo":
            gone = record.undo()
            tell(f"  taken back: {'; '.join(gone)}\n" if gone else "  there is no answer to take back\n")
            skipped.clear()
        elif search.choice is None:
            skipped.clear()
        elif word == "skip":
            skipped |= {(search.choice.held, leg) for leg, _ in search.choice.legs}
        else:
            try:
                answer = parse_answer(word, search.choice, search)
            except TracerError as error:
                tell(f"  {error}\n")
                continue
            for line in record.add(facts_of(search.choice, answer)):
                tell(f"  noted: {line}\n")


def _word(ask: Callable[[str], str], tell: Callable[[str], None], choice: Choice | None) -> str:
    """The next answer, in lower case where it is one of the words."""
    prompt = (
        "  which leg beeps? "
        if choice is not None
        else "  all that is left was skipped; enter, undo or quit? "
    )
    try:
        word = ask(prompt).strip()
    except EOFError:
        tell("\n")
        return "quit"
    while not word and choice is not None:
        tell("\n".join(wrapped(HELP, "  ", "  ")) + "\n")
        try:
            word = ask(prompt).strip()
        except EOFError:
            return "quit"
    return word.lower() if word.lower() in ("none", "skip", "undo", "quit") else word


def parse_answer(text: str, choice: Choice, search: Search) -> Answer:
    """``none``, ``15``, ``U13.15`` or ``15 33``: the leg that beeped and its ohms.

    Raises
    ------
    UsageError, PinNotFoundError
        No such leg, or one that is not swept and cannot be told from its number.
    """
    if text.lower() == "none":
        return Answer(None)
    match = _LEG.fullmatch(text)
    if match is None:
        raise UsageError(f"{text} is no leg", fix="type its number, or none")
    ohm = parse_ohm(match["ohm"]) if match["ohm"] else None
    if match["ohm"] and ohm is None:
        raise UsageError(
            f"{match['ohm']} is no number of ohms", fix="type the leg and the ohms, such as 15 33"
        )
    legs = [leg for leg, _ in choice.legs]
    if match["part"] is None:
        here = [leg for leg in legs if leg.pin.upper() == match["pin"].upper()]
        parts = {leg.part for leg in legs}
        if len(here) == 1:
            return Answer(here[0], ohm)
        if match["pin"].lower() in ("yes", "beep", "y") and len(legs) == 1:
            return Answer(legs[0], ohm)
        if len(here) > 1 or len(parts) > 1:
            raise UsageError(
                f"{match['pin']} is a leg of several parts", fix=f"type it whole, such as {legs[0]}"
            )
        return Answer(_pin_of(search, legs[0].part, match["pin"]), ohm)
    return Answer(_pin_of(search, match["part"], match["pin"]), ohm)


def _pin_of(search: Search, part: str, pin: str) -> PinRef:
    return search.bench.circuit.netlist.find_pin(part, pin)
