"""Volts at a leg -> the word of a probe, by what stands there: a TTL level, a supply, ground, or a colour."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from tracer.base.errors import UsageError
from tracer.suspects.reasoning import Reasoning

__all__ = ["HIGH_VOLTS", "LOW_VOLTS", "Scale", "limits_of_volts", "scale_at", "word_of_volts"]

#: A TTL level is low up to here and high from there (VIL 0.8, VIH 2.0 V of 74LS, Motorola FAST and LS TTL Data).
LOW_VOLTS, HIGH_VOLTS = 0.8, 2.0
#: No leg of a chip on 5 V stands above or below these: its supply ends at 5.25 V (TI SN7400), its inputs clamp below ground
#: at -1.5 V at most. Where one is read, the meter or the supply is wrong. Limits themselves: common practice, no source.
_MOST_VOLTS, _LEAST_VOLTS = 6.0, -1.0
#: A supply of 74-series chips is right within 5 % (4.75 to 5.25 V, TI SN7400).
_SUPPLY_WITHIN = 0.05
#: A ground leg stands no higher than this above the supply's ground (common practice, no source).
_GROUND_VOLTS = 0.2
#: Up to this share of its span a colour is dark, and beyond its brightest by more than that it stands too high.
_DARK_SHARE = 0.1
_MEASURE_AGAIN = (
    "measure again, black lead on the board's ground, and check the supply first: a chip on 5 V does not live long above "
    "7 V; the board is live, one hand, a fine tip"
)


@dataclass(frozen=True, slots=True)
class Scale:
    """What the volts at a leg are held against.

    Attributes
    ----------
    kind : {'level', 'supply', 'ground', 'colour'}
    least, most : float
        Of a supply its volts, twice; of a colour its darkest and brightest; of a level what it may be read at.
    """

    kind: Literal["level", "supply", "ground", "colour"] = "level"
    least: float = _LEAST_VOLTS
    most: float = _MOST_VOLTS


def limits_of_volts() -> dict[str, float]:
    """The limits by name, for a script that reads volts as this module does."""
    return {
        "low_volts": LOW_VOLTS, "high_volts": HIGH_VOLTS, "least_volts": _LEAST_VOLTS, "most_volts": _MOST_VOLTS,
        "supply_within": _SUPPLY_WITHIN, "ground_volts": _GROUND_VOLTS, "dark_share": _DARK_SHARE,
    }  # fmt: skip


def scale_at(reasoning: Reasoning, leg: tuple[str, ...]) -> Scale:
    """What a leg of the board is held against."""
    circuit = reasoning.traced.circuit
    net = circuit.net_of(leg[0], leg[1])
    rail = circuit.rails.get(net) if net is not None else None
    if rail is not None and rail.is_ground:
        return Scale("ground")
    if rail is not None and rail.volts is not None:
        return Scale("supply", rail.volts, rail.volts)
    for colour in reasoning.traced.bit_map.colours:
        volts = reasoning.likely.picture.healthy.at_pins.get(colour.name)
        if (colour.pin.part, colour.pin.pin) == leg and volts:
            return Scale("colour", min(volts), max(volts))
    # An output that drives a stage can be pulled up to what feeds that stage.
    drives = any((p.legs[-1].part, p.legs[-1].pin) == leg for p in reasoning.legs.paths.values() if p.legs)
    highest = max((r.volts or 0.0 for r in circuit.rails.values()), default=0.0) if drives else 0.0
    return Scale("level", _LEAST_VOLTS, max(_MOST_VOLTS, highest * (1 + _SUPPLY_WITHIN)))


def word_of_volts(value: float, leg: str, scale: Scale | None = None) -> str:
    """What a probe would say.

    Raises
    ------
    UsageError
        No leg of this kind stands there, or a meter cannot tell what is asked.
    """
    scale = scale or Scale()
    if scale.kind == "supply":
        return _at_supply(value, leg, scale.most)
    if scale.kind == "colour":
        return _at_colour(value, leg, scale)
    if not scale.least <= value <= scale.most:
        raise UsageError(f"{value:g} V at {leg} cannot be: it is a leg of a chip on 5 V", fix=_MEASURE_AGAIN)
    low = _GROUND_VOLTS if scale.kind == "ground" else LOW_VOLTS
    if value <= low if scale.kind == "ground" else value < low:
        return "low"
    return "high" if value > HIGH_VOLTS else "between"


def _at_supply(value: float, leg: str, nominal: float) -> str:
    share = value / nominal
    if share > 1 + _SUPPLY_WITHIN or share < -_SUPPLY_WITHIN:
        raise UsageError(
            f"{value:g} V at {leg}, which should have {nominal:g} V: that damages chips", fix=_MEASURE_AGAIN
        )
    if share >= 1 - _SUPPLY_WITHIN:
        return "high"
    return "low" if abs(value) < LOW_VOLTS else "between"


def _at_colour(value: float, leg: str, scale: Scale) -> str:
    span = scale.most - scale.least
    if not _LEAST_VOLTS <= value <= max(scale.most + span, _MOST_VOLTS):
        raise UsageError(f"{value:g} V at the colour pin {leg} cannot be", fix=_MEASURE_AGAIN)
    if value <= scale.least + _DARK_SHARE * span:
        return "low"
    if value > scale.most + _DARK_SHARE * span:
        return "high"
    # A picture that moves gives a meter as much on the mean as a level that stands: it is not dark, and that is all.
    return "between"
