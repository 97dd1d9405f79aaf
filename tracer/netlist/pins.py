"""A pin, and where a fact was read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from tracer.base.names import natural_key

__all__ = ["Origin", "Pin", "PinRef"]


class Origin(NamedTuple):
    """Where a fact was read: file, line and column, counted from 1."""

    file: str
    line: int | None = None
    column: int | None = None

    def __str__(self) -> str:
        return ":".join(str(x) for x in self if x is not None)


class PinRef(NamedTuple):
    """A pin of a placed part: reference and pin number."""

    part: str
    pin: str

    def __str__(self) -> str:
        return f"{self.part}.{self.pin}"

    @classmethod
    def of(cls, text: str) -> PinRef:
        """The pin that a text such as ``U9.11`` stands for: what `str` made.

        >>> PinRef.of("A:U9.11")
        PinRef(part='A:U9', pin='11')
        """
        part, _, pin = text.rpartition(".")
        return cls(part, pin)

    def on_board(self, board: str) -> PinRef:
        """The pin with the name of its board in front."""
        return PinRef(f"{board}:{self.part}", self.pin)

    @property
    def key(self) -> tuple[object, object]:
        """Natural sort key."""
        return natural_key(self.part), natural_key(self.pin)


@dataclass(frozen=True, slots=True)
class Pin:
    """One pin as the drawing describes it.

    Attributes
    ----------
    number : str
        The leg: ``"11"``, ``"N"``, ``"AF16"``.
    name : str
        As drawn, overbars and all; empty when the form has none.
    kind : str
        KiCad's word (input, output, tri_state, bidirectional, passive,
        open_collector, power_in ...); empty when the form has none.
    """

    number: str
    name: str = ""
    kind: str = ""
