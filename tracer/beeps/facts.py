"""What an answer adds to the notes: touches, ohms that were read, and lines that are struck out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from tracer.beeps.bench import LEAD_OHM
from tracer.beeps.choice import Choice
from tracer.netlist.board import Evidence, Net, Netlist, Notes, PinRef, Touch, make_netlist
from tracer.netlist.net_names import name_of_joined
from tracer.netlist.union_find import UnionFind

__all__ = ["Answer", "Facts", "facts_of", "speak_of_the_same", "touch_line", "with_touches"]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the person with the meter said: the leg that beeped, or None for none of the sweep; ohms where read."""

    leg: PinRef | None
    ohm: float | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """What follows for the notes.

    Attributes
    ----------
    touches : tuple of Touch
        To be added, in this order.
    measured : tuple of (PinRef, PinRef, float)
        Ohms between two legs that are not one net.
    struck : tuple of Touch
        What was noted of the same two legs, if it was, and counts no longer.
    """

    touches: tuple[Touch, ...] = ()
    measured: tuple[tuple[PinRef, PinRef, float], ...] = ()
    struck: tuple[Touch, ...] = ()


def facts_of(choice: Choice, answer: Answer) -> Facts:
    """The facts that an answer to a choice adds."""
    legs = [leg for leg, _ in choice.legs]
    repeats = choice.repeat is not None or choice.clash is not None
    if answer.leg is None:
        quiet = tuple(Touch((choice.held, leg), False) for leg in legs)
        return Facts(quiet, (), tuple(Touch((choice.held, leg), True) for leg in legs) if repeats else ())
    passed = legs[: legs.index(answer.leg)] if answer.leg in legs else []
    quiet = tuple(Touch((choice.held, leg), False) for leg in passed)
    if answer.ohm is not None and answer.ohm > LEAD_OHM:
        struck = (Touch((choice.held, answer.leg), True),) if repeats else ()
        return Facts(quiet, ((choice.held, answer.leg, answer.ohm),), struck)
    # A beep is heard where there is one; that none was heard on the same two legs before was a bad contact.
    heard = Touch((choice.held, answer.leg), True)
    return Facts((*quiet, heard), (), (Touch(heard.pins, False),))


def speak_of_the_same(a: Touch, b: Touch) -> bool:
    """Whether two touches say the same of the same two legs, whichever was held."""
    return a.heard == b.heard and len(a.pins) == len(b.pins) == 2 and set(a.pins) == set(b.pins)


def touch_line(touch: Touch) -> str:
    """A touch as its line of notes stands there, with the number of the line where it has one."""
    sign = " = " if touch.heard else " != "
    where = f" (line {touch.origin.line})" if touch.origin and touch.origin.line else ""
    return sign.join(str(p) for p in touch.pins) + where


def with_touches(netlist: Netlist, facts: Iterable[Facts]) -> Netlist:
    """Notes with the facts of more answers: what reading the file again would give."""
    touches = list(netlist.notes.touches)
    evidence = list(netlist.notes.evidence)
    for each in facts:
        touches = [t for t in touches if not any(speak_of_the_same(t, s) for s in each.struck)]
        touches += each.touches
        evidence += [Evidence("measured", (str(a), str(b)), f"{ohm:g} ohm") for a, b, ohm in each.measured]
    notes = replace(netlist.notes, touches=tuple(touches), evidence=tuple(evidence))
    return _from_touches(netlist, notes)


def _from_touches(netlist: Netlist, notes: Notes) -> Netlist:
    joined = UnionFind()
    pins: dict[PinRef, None] = {}
    for touch in notes.touches:
        for pin in touch.pins:
            pins[pin] = None
            if touch.heard:
                joined.union(touch.pins[0], pin)
    groups: dict[object, list[PinRef]] = {}
    for pin in pins:
        groups.setdefault(joined.find(pin), []).append(pin)
    nets = [
        Net(name_of_joined(min(group, key=lambda p: p.key)), tuple(group), is_named=False)
        for group in groups.values()
        if len(group) > 1
    ]
    return make_netlist(
        netlist.name,
        netlist.parts,
        nets,
        inputs=netlist.inputs,
        findings=netlist.findings,
        notes=notes,
        beeped=True,
        outline=netlist.outline,
    )
