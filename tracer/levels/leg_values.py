"""What each leg of the path should read, as values."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Activity", "Cause", "LegReading", "LegRole", "OhmRange"]

LegRole = Literal["source", "data in", "data out", "control", "colour pin"]
Activity = Literal["pulses with the picture", "pulses all the time", "still", "held by blanking", "not known"]


@dataclass(frozen=True, slots=True)
class OhmRange:
    """What a meter can show with the board off; both None = open."""

    lowest: float | None
    highest: float | None


@dataclass(frozen=True, slots=True)
class Cause:
    """What the activity of a control is told by.

    Attributes
    ----------
    net : str or None
        None where the drawing does not say where the leg goes.
    tied : int or None
        The level at which a rail holds it.
    rail : str or None
        That rail; None where it holds it over a resistor.
    driver : str or None
        The leg that drives it.
    is_clock : bool
    """

    net: str | None
    tied: int | None = None
    rail: str | None = None
    driver: str | None = None
    is_clock: bool = False


@dataclass(frozen=True, slots=True)
class LegReading:
    """One leg.

    Attributes
    ----------
    part, pin, name, net : str
        net is None where the drawing does not state it.
    role : LegRole
    feeds : tuple of (str, int)
        Colours and bits that pass it.
    activity : Activity
        With the board on and a picture that changes from pixel to pixel.
    cause : Cause or None
        What the activity is told by; None for data.
    low, high : tuple of float or None
        Least and greatest volts of each level; None where it does not have that level, or is not known.
    to_ground : OhmRange or None
        Board off, chips of the path out, no monitor; None where a value on the way is not known.
    neighbour : str or None
        The leg of the next bit of the colour.
    to_neighbour : OhmRange or None
    """

    part: str
    pin: str
    name: str
    net: str | None
    role: LegRole
    feeds: tuple[tuple[str, int], ...]
    activity: Activity
    cause: Cause | None = None
    low: tuple[float, float] | None = None
    high: tuple[float, float] | None = None
    to_ground: OhmRange | None = None
    neighbour: str | None = None
    to_neighbour: OhmRange | None = None
