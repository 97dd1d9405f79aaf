"""Levels and leg readings as JSON: format rgbroots-levels, version 1.

``code``: bit 0 = the lightest; ``load_ohm``: null = none. Volts are rounded to a microvolt, so that the same
input gives the same bytes.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from typing import Any

from tracer.levels.leg_values import LegReading, OhmRange
from tracer.levels.values import ColourLevels, LevelTable, LoadLevels

__all__ = ["LEVELS_FORMAT", "LEVELS_VERSION", "levels_as_json"]

LEVELS_FORMAT = "rgbroots-levels"
LEVELS_VERSION = 1
_DECIMALS = 6


def levels_as_json(table: LevelTable, legs: Sequence[LegReading] = ()) -> str:
    """The levels of a board, its leg readings and findings."""
    whole = {
        "format": LEVELS_FORMAT,
        "version": LEVELS_VERSION,
        "board": table.board,
        "outputs": list(table.chip_levels),
        "tolerance": table.tolerance,
        "colours": {c.colour: _colour(c) for c in table.colours},
        "legs": [_leg(x) for x in legs],
        "findings": [
            {"severity": f.severity, "where": list(f.where), "text": f.text} for f in table.findings
        ],
    }
    return json.dumps(whole, indent=1, ensure_ascii=False) + "\n"


def _colour(colour: ColourLevels) -> dict[str, Any]:
    return {
        "bits": colour.n_bits,
        "coupled_by": list(colour.coupled_by),
        "crossing": [list(pair) for pair in colour.crossing],
        "loads": [_load(x) for x in colour.loads],
    }


def _load(load: LoadLevels) -> dict[str, Any]:
    ohm = load.load_ohm
    return {
        "load_ohm": int(ohm) if ohm is not None and ohm == int(ohm) else ohm,
        "levels": load.n_levels,
        "monotonic": load.is_monotonic,
        "blanked_volts": load.blanked_volts,
        "codes": [
            {"code": c.code, "volts": c.volts, "lowest": c.lowest, "highest": c.highest} for c in load.codes
        ],
    }


def _leg(leg: LegReading) -> dict[str, Any]:
    return {
        "part": leg.part,
        "pin": leg.pin,
        "name": leg.name,
        "net": leg.net,
        "role": leg.role,
        "feeds": [{"colour": colour, "bit": bit} for colour, bit in leg.feeds],
        "reads": leg.activity,
        "why": leg.why,
        "low_volts": _ends(leg.low),
        "high_volts": _ends(leg.high),
        "ohm_to_ground": _ohms(leg.to_ground),
        "neighbour": leg.neighbour,
        "ohm_to_neighbour": _ohms(leg.to_neighbour),
    }


def _ends(ends: tuple[float, float] | None) -> list[float] | None:
    return None if ends is None else [round(v, _DECIMALS) + 0.0 for v in ends]


def _ohms(ohms: OhmRange | None) -> dict[str, float | None] | None:
    """null = not known; both ends null = open."""
    return None if ohms is None else {"lowest": ohms.lowest, "highest": ohms.highest}
