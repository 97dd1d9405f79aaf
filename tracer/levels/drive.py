"""How a digital output holds its net, high and low: volts behind a resistance.

Real outputs bend; two straight lines are what data sheets support (levels at a
stated current, and the short-circuit current), and they bring loaded outputs
within the 10 to 30 per cent by which they sag.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from tracer.circuit.graph import Circuit
from tracer.levels.drive_values import Drive, Hold, Override
from tracer.parts.families import Family, families, family_of
from tracer.stage.model import StageDriver

__all__ = ["ASSUMED_FAMILY", "Corner", "drive_of", "driver_family"]

#: What an output without a known family is taken as: the commonest on these boards (common practice, no source).
ASSUMED_FAMILY = "LS"
#: With how much less than its typical resistance a strong example of an output is reckoned.
STRONG_SHARE = 0.5

Corner = Literal["typical", "weak", "strong"]


def driver_family(circuit: Circuit, driver: StageDriver) -> Family | None:
    """The family of the first output on a driver's net that has a known one."""
    found: Sequence[Family | None] = [family_of(circuit.identified[p.part]) for p in driver.pins]
    return next((f for f in found if f is not None), None)


def drive_of(
    circuit: Circuit, driver: StageDriver, corner: Corner = "typical", override: Override | None = None
) -> Drive:
    """How a driver holds its net.

    Parameters
    ----------
    circuit : Circuit
    driver : StageDriver
    corner : {'typical', 'weak', 'strong'}
        Weak: the guaranteed high level behind the resistance of the least short-circuit current. Strong: the
        typical high level behind half the typical resistance, and the highest low level.
    override : Override, optional
        Told levels are plain sources: they give and take current.
    """
    family = driver_family(circuit, driver) or families()[ASSUMED_FAMILY]
    high, low = {
        "typical": (Hold(family.high, family.source_ohm), Hold(family.low, family.sink_ohm)),
        "weak": (Hold(family.high_min, family.source_ohm_max), Hold(0.0, family.sink_ohm)),
        "strong": (
            Hold(family.high, family.source_ohm * STRONG_SHARE),
            Hold(family.low_max, family.sink_ohm * STRONG_SHARE),
        ),
    }[corner]
    told = override or Override()
    high = _told(high, told.high, told.source_ohm, family.one_way)
    low = _told(low, told.low, told.source_ohm, family.one_way)
    return Drive(None if driver.open_collector else high, low)


def _told(hold: Hold, volts: float | None, ohm: float | None, one_way: bool) -> Hold:
    if volts is None:
        return Hold(hold.volts, hold.ohm if ohm is None else ohm, one_way)
    return Hold(volts, 0.0 if ohm is None else ohm)
