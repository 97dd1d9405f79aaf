"""A fault: a change of the circuit, what would be a right answer, and what cures it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from tests.closed_loop.bench.change import Change, leg_text
from tracer.netlist.board import PinRef

__all__ = ["OUTSIDE", "Answer", "Fault", "Verdict", "answer_at", "of_chip", "texts", "verdict"]

Verdict = Literal["right", "half", "wrong"]


@dataclass(frozen=True)
class Answer:
    """A suspect that would be right: what it is, and parts or legs of which its place must name one."""

    what: str
    at: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Fault:
    """One fault.

    Attributes
    ----------
    family, name : str
        Its class, and what it is in words.
    change : Change
    answers : tuple of Answer
    near : frozenset of str
        Parts and legs whose naming is half right: the place is right, the kind is not. ``outside`` may stand here.
    cures : frozenset of str
        Parts whose exchange cures it.
    moves : mapping of str to float
        Part -> the chance that the picture changes when it is pressed or warmed.
    is_unsteady : bool
        It changes with warmth.
    is_of_layer : bool
        One layer of the picture has it.
    is_of_plug : bool
        It lies between the board's pin and the plug, so that another wire at that pin has it too.
    """

    family: str
    name: str
    change: Change
    answers: tuple[Answer, ...]
    near: frozenset[str] = frozenset()
    cures: frozenset[str] = frozenset()
    moves: Mapping[str, float] = field(default_factory=dict)
    is_unsteady: bool = False
    is_of_layer: bool = False
    is_of_plug: bool = False


def verdict(fault: Fault, what: str, ends: tuple[str, ...]) -> Verdict:
    """What a suspect is worth that the program names first."""
    named = {*ends, *(end.rpartition(".")[0] for end in ends)}
    if what == "outside":
        named = {"outside"}
    for answer in fault.answers:
        if answer.what == what and (what == "outside" or answer.at & set(ends)):
            return "right"
    return "half" if named & fault.near else "wrong"


OUTSIDE = Answer("outside")


def answer_at(what: str, *names: str) -> Answer:
    return Answer(what, frozenset(names))


def texts(legs: list[PinRef]) -> list[str]:
    return [leg_text(leg) for leg in legs]


def of_chip(family: str, chip: str, name: str, change: Change, **more: object) -> Fault:
    """A fault inside a chip."""
    fault = Fault(family, name, change, (answer_at("chip", chip),), frozenset({chip}), frozenset({chip}))
    return replace(fault, **more)  # type: ignore[arg-type]
