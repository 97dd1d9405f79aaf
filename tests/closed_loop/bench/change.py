"""A change of a simulated circuit: what a fault is, told by what it does to legs, nets and parts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tests.closed_loop.bench.behaviour import ALL, VISIBLE, frame_mask
from tracer.netlist.board import PinRef

__all__ = ["NO_CHANGE", "Change", "Mode", "leg_text", "looks"]

Mode = str
"""What an output does instead: low, high, nothing, weak (no high), half (no level), frozen, unstable, layer, random."""


@dataclass(frozen=True)
class Change:
    """A change of the circuit.

    Attributes
    ----------
    off : tuple of PinRef
        Legs that have left their nets, each alone.
    cut : tuple of PinRef
        Legs that have left their net together.
    joined : tuple of tuple of str
        Nets tied together.
    tied : mapping of str to int
        Nets tied to a rail.
    outputs : mapping of PinRef to Mode
    hears : mapping of PinRef to int
        Inputs that hear one level only, inside their chip.
    words : mapping of str to str
        Memory -> ``random``: other words than were written.
    ohms : mapping of (str, str) to float
        Part and first leg of a resistor -> factor.
    gone, bridged
        Diodes and transistors that are open; legs of one part tied together.
    dark : frozenset of str
        Colours that the monitor does not show; `unplugged` those it does not load either.
    exchanged : tuple of str
        Colours that are swapped on their way to the monitor.
    frames : frozenset of int or None
        The looks at the picture in which it is there; None for all.
    """

    off: tuple[PinRef, ...] = ()
    cut: tuple[PinRef, ...] = ()
    joined: tuple[tuple[str, ...], ...] = ()
    tied: Mapping[str, int] = field(default_factory=dict)
    outputs: Mapping[PinRef, Mode] = field(default_factory=dict)
    hears: Mapping[PinRef, int] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    ohms: Mapping[tuple[str, str], float] = field(default_factory=dict)
    gone: frozenset[str] = frozenset()
    bridged: tuple[tuple[PinRef, PinRef], ...] = ()
    dark: frozenset[str] = frozenset()
    unplugged: frozenset[str] = frozenset()
    exchanged: tuple[str, ...] = ()
    frames: frozenset[int] | None = None


NO_CHANGE = Change()


def looks(change: Change) -> int:
    """The lanes in which a change is there."""
    if change.frames is None:
        return ALL
    # Between pictures it is as in the first look.
    blank = ALL & ~VISIBLE if 0 in change.frames else 0
    return sum(frame_mask(f) for f in change.frames) | blank


def leg_text(leg: PinRef) -> str:
    """``U9.17``."""
    return f"{leg.part}.{leg.pin}"
