"""The search as a conversation: one touch asked, one answer noted, and the next."""

from __future__ import annotations

import re
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Protocol

from tracer.base.errors import TracerError, UsageError
from tracer.base.text import wrapped
from tracer.base.toml_numbers import NumberTables
from tracer.base.units import parse_ohm
from tracer.beeps.choice import Choice, Search
from tracer.beeps.facts import Answer, Facts, facts_of, speak_of_the_same, touch_line, with_touches
from tracer.beeps.halfway import Halfway, look_halfway
from tracer.beeps.text import question_as_text
from tracer.beeps.values import CAUTION
from tracer.cli.inputs import working
from tracer.netlist.board import Netlist, PinRef
from tracer.parts.library import Library

__all__ = ["Memory", "Record", "converse", "facts_of_all", "parse_answer", "parse_answers", "say"]

HELP = (
    "Answer with the leg that beeps (its number, or U13.15 where several parts are swept; yes where it is one leg; ground or "
    "+5V for a supply; several with commas), with its ohms behind it where they are asked for (15 33), with none or no, "
    "skip (another touch instead), bad leg (one that cannot be touched), undo (take the last answer back), help, or quit."
)
_LEG = re.compile(r"(?:(?P<part>[^\s.]+)\.)?(?P<pin>\S+)(?:\s+(?P<ohm>\S+)(?:\s*ohm)?)?$", re.IGNORECASE)
#: What people type -> the word that is meant.
_WORDS: Mapping[str, str] = {
    **dict.fromkeys(("none", "no", "n", "nothing", "no beep", "silent", "-"), "none"),
    **dict.fromkeys(("skip", "later", "next", "bad leg", "bad", "broken", "cannot reach", "cut"), "skip"),
    **dict.fromkeys(("undo", "back"), "undo"),
    **dict.fromkeys(("quit", "q", "exit", "stop", "end"), "quit"),
    **dict.fromkeys(("help", "h", "?"), "help"),
}
_YES = frozenset({"yes", "y", "beep", "beeps", "it beeps", "ok"})
_GROUND = frozenset({"ground", "gnd", "0v", "earth"})
_SUPPLY = frozenset({"+5v", "5v", "vcc", "supply", "+5", "vdd"})


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
    assert search.choice is not None
    swept = {leg for leg, _ in search.choice.legs}
    doubts = [
        f"{answer.leg} was not among the legs to touch"
        for answer in answers
        if answer.leg and answer.leg not in swept
    ]
    if search.choice.repeat is None and search.choice.clash is None:
        known = search.bench.touches
        against = [t for t in known if any(speak_of_the_same(t, struck) for struck in facts.struck)]
        doubts += [f"an earlier answer says otherwise: {touch_line(touch)}" for touch in against]
    if not doubts:
        return True
    for doubt in doubts:
        tell("\n".join(wrapped(doubt, "  ! ", "    ")) + "\n")
    try:
        return ask("  is it so? yes or no: ").strip().lower() in _YES
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
    while (not word or _WORDS.get(word.lower()) == "help") and choice is not None:
        tell("\n".join(wrapped(HELP, "  ", "  ")) + "\n")
        try:
            word = ask(prompt).strip()
        except EOFError:
            return "quit"
    return _WORDS.get(word.lower(), word)


def parse_answers(text: str, choice: Choice, search: Search) -> list[Answer]:
    """``none``; a leg; several legs with commas between them. Errors as in `parse_answer`."""
    words = [word.strip() for word in re.split(r"[,;]|\band\b", text) if word.strip()]
    found = [parse_answer(word, choice, search) for word in words or [text]]
    if len(found) > 1 and any(answer.leg is None for answer in found):
        raise UsageError(
            f"{text} says both that a leg beeps and that none does", fix="type the legs alone, or none"
        )
    return found


def facts_of_all(choice: Choice, answers: Sequence[Answer]) -> Facts:
    """The facts of several legs that beeped in one sweep: each was touched, and those before the first did not beep."""
    first, *others = sorted(answers, key=lambda a: _place(choice, a))
    facts = facts_of(choice, first)
    for other in others:
        more = facts_of(
            replace(choice, legs=tuple(item for item in choice.legs if item[0] == other.leg)), other
        )
        facts = Facts(
            (*facts.touches, *more.touches), (*facts.measured, *more.measured), (*facts.struck, *more.struck)
        )
    return facts


def _place(choice: Choice, answer: Answer) -> int:
    legs = [leg for leg, _ in choice.legs]
    return legs.index(answer.leg) if answer.leg in legs else len(legs)


def parse_answer(text: str, choice: Choice, search: Search) -> Answer:
    """``none``, ``15``, ``U13.15`` or ``15 33``: the leg that beeped and its ohms.

    Raises
    ------
    UsageError, PinNotFoundError
        No such leg, or one that is not swept and cannot be told from its number.
    """
    if _WORDS.get(text.lower()) == "none":
        return Answer(None)
    if text.lower() in _GROUND | _SUPPLY:
        return Answer(_rail(text.lower() in _GROUND, choice, search))
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
        if match["pin"].lower() in _YES:
            if len(legs) == 1:
                return Answer(legs[0], ohm)
            raise UsageError(f"{len(legs)} legs are swept", fix=f"type the one that beeps, such as {legs[0]}")
        if len(here) > 1 or len(parts) > 1:
            raise UsageError(
                f"{match['pin']} is a leg of several parts", fix=f"type it whole, such as {legs[0]}"
            )
        return Answer(_pin_of(search, legs[0].part, match["pin"]), ohm)
    return Answer(_pin_of(search, match["part"], match["pin"]), ohm)


def _rail(is_ground: bool, choice: Choice, search: Search) -> PinRef:
    """A leg of ground, or of the supply: one that is swept, else any."""
    circuit = search.bench.circuit
    nets = [
        net for net, rail in circuit.rails.items() if rail.is_ground == is_ground and circuit.pins_on(net)
    ]
    swept = [leg for leg, _ in choice.legs if search.bench.net(leg) in nets]
    if not swept and not nets:
        raise UsageError("no leg of that supply is known", fix="type the leg that beeps")
    return swept[0] if swept else circuit.pins_on(nets[0])[0]


def _pin_of(search: Search, part: str, pin: str) -> PinRef:
    return search.bench.circuit.netlist.find_pin(part, pin)
