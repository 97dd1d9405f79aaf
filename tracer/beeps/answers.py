"""What a person answers to a touch, in words -> the leg that beeped, and what is to be asked once more."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from tracer.base.errors import UsageError
from tracer.base.units import parse_ohm
from tracer.beeps.choice import Choice, Search
from tracer.beeps.facts import Answer, Facts, facts_of, speak_of_the_same, touch_line
from tracer.netlist.board import PinRef

__all__ = ["YES", "doubts_of", "facts_of_all", "meant", "parse_answer", "parse_answers"]

_LEG = re.compile(r"(?:(?P<part>[^\s.]+)\.)?(?P<pin>\S+)(?:\s+(?P<ohm>\S+)(?:\s*ohm)?)?$", re.IGNORECASE)
#: What people type -> the word that is meant.
_WORDS: dict[str, str] = {
    **dict.fromkeys(("none", "no", "n", "nothing", "no beep", "silent", "-"), "none"),
    **dict.fromkeys(("skip", "later", "next", "bad leg", "bad", "broken", "cannot reach", "cut"), "skip"),
    **dict.fromkeys(("undo", "back"), "undo"),
    **dict.fromkeys(("quit", "q", "exit", "stop", "end"), "quit"),
    **dict.fromkeys(("help", "h", "?"), "help"),
}
#: A touch of one leg beeps.
YES = frozenset({"yes", "y", "beep", "beeps", "it beeps", "ok"})
_GROUND = frozenset({"ground", "gnd", "0v", "earth"})
_SUPPLY = frozenset({"+5v", "5v", "vcc", "supply", "+5", "vdd"})


def meant(word: str) -> str:
    """One of ``none``, ``skip``, ``undo``, ``quit``, ``help`` where the word stands for it, else the word itself."""
    return _WORDS.get(word.lower(), word)


def doubts_of(search: Search, answers: Sequence[Answer], facts: Facts) -> list[str]:
    """What a person is asked to confirm: a leg that was not swept, an answer that speaks against an earlier one."""
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
    return doubts


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
        if match["pin"].lower() in YES:
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
