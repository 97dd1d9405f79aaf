"""How an output holds its net at each level, as values."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Drive", "Hold", "Override"]


@dataclass(frozen=True, slots=True)
class Hold:
    """One level of an output: `volts` behind `ohm`; one_way when current only leaves (high) or enters (low) it."""

    volts: float
    ohm: float
    one_way: bool = False


@dataclass(frozen=True, slots=True)
class Drive:
    """Both levels of an output; None = it lets its net go."""

    high: Hold | None
    low: Hold | None

    def at(self, level: int) -> Hold | None:
        """The one for a level."""
        return self.high if level else self.low


@dataclass(frozen=True, slots=True)
class Override:
    """Levels that the user told instead of the chips'."""

    high: float | None = None
    low: float | None = None
    source_ohm: float | None = None
