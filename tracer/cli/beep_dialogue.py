"""The search as a conversation: one touch asked, one answer noted, and the next."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from tracer.base.errors import TracerError
from tracer.base.text import wrapped
from tracer.base.toml_numbers import NumberTables
from tracer.beeps.answers import YES, doubts_of, facts_of_all, meant, parse_answers
from tracer.beeps.choice import Choice, Search
from tracer.beeps.facts import Answer, Facts, with_touches
from tracer.beeps.halfway import Halfway, look_halfway
from tracer.beeps.text import question_as_text
from tracer.beeps.values import CAUTION
from tracer.cli.inputs import working
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.library import Library

__all__ = ["Memory", "Record", "converse", "say"]

HELP = (
    "Answer with the leg that beeps (its number, or U13.15 where several parts are swept; yes where it is one leg; ground or "
    "+5V for a supply; several with commas), with its ohms behind it where they are asked for (15 33), with none or no, "
    "skip (another touch instead), bad leg (one that cannot be touched), undo (take the last answer back), help, or quit."
)


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
        with working("looking for the next touch"):
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
                answers = parse_answers(word, search.choice, search)
            except TracerError as error:
                tell(f"  {error}\n")
                continue
            facts = facts_of_all(search.choice, answers)
            if _is_confirmed(search, answers, facts, ask, tell):
                for line in record.add(facts):
                    tell(f"  noted: {line}\n")


def _is_confirmed(
    search: Search,
    answers: Sequence[Answer],
    facts: Facts,
    ask: Callable[[str], str],
    tell: Callable[[str], None],
) -> bool:
    """Whether the person stands by an answer that speaks against an earlier one, or of a leg that was not swept."""
    doubts = doubts_of(search, answers, facts)
    if not doubts:
        return True
    for doubt in doubts:
        tell("\n".join(wrapped(doubt, "  ! ", "    ")) + "\n")
    try:
        return ask("  is it so? yes or no: ").strip().lower() in YES
    except EOFError:
        return False


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
    while (not word or meant(word) == "help") and choice is not None:
        tell("\n".join(wrapped(HELP, "  ", "  ")) + "\n")
        try:
            word = ask(prompt).strip()
        except EOFError:
            return "quit"
    return meant(word)
